"""The back room: a process of its own, the newest task only, and nothing lost without a word."""

from __future__ import annotations

import os
import time

import pytest

from slinediag.editor.backroom import Backroom
from slinediag.editor.charting import chart_stages
from slinediag.editor.window import Window
from slinediag.editor.workplace import Workplace
from slinediag.file.read import load, parse
from tests.editor.plant import PLANT

pytestmark = pytest.mark.usefixtures("other_processes")


@pytest.fixture
def room(qapp):  # noqa: ARG001 (signals need the application)
    room = Backroom()
    yield room
    room.stop()


def answers_to(room, qtbot, function, *arguments):
    got = []
    room.answered.connect(lambda _number, value: got.append(value))
    with qtbot.waitSignal(room.finished, timeout=30_000) as ended:
        room.ask(function, *arguments)
    return got, ended.args[1]


def test_a_chart_comes_whole_from_another_process(room, qtbot):
    facility = parse(PLANT.encode(), "plant.yaml").facility
    got, error = answers_to(room, qtbot, chart_stages, facility)
    assert error == ""
    assert got == list(chart_stages(facility))


def test_it_is_another_process(room, qtbot):
    got, _ = answers_to(room, qtbot, os.getpid)
    assert got != [os.getpid()]


def test_a_newer_task_takes_the_place_of_one_under_way(room, qtbot):
    got = []
    room.answered.connect(lambda number, value: got.append((number, value)))
    room.ask(time.sleep, 60)
    number = room.ask(abs, -3)
    qtbot.waitUntil(lambda: not room.busy, timeout=30_000)
    assert got == [(number, 3)]


def test_what_goes_wrong_is_told_and_the_next_task_is_done(room, qtbot):
    _, error = answers_to(room, qtbot, int, "no number")
    assert error.startswith("ValueError")
    assert answers_to(room, qtbot, abs, -3)[0] == [3]


def test_a_process_that_ends_by_itself_is_told(room, qtbot):
    _, error = answers_to(room, qtbot, os._exit, 3)
    assert "broken off" in error


def test_the_window_gets_its_chart_and_leaves_no_process_behind(qtbot, plant_file):
    window = Window(Workplace(load(plant_file)))
    qtbot.addWidget(window)
    window.show()
    qtbot.waitUntil(lambda: window.canvas.chart is not None, timeout=30_000)
    rooms = window.findChildren(Backroom)
    window.close()
    assert all(room.process is None for room in rooms)
