"""The chart is begun before the window's own parts are loaded, and taken up by its back room."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from slinediag.editor import head_start
from slinediag.editor.backroom import Backroom

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(autouse=True)
def _nothing_left_over():
    yield
    head_start.give_up()


def doubled(number):
    return 2 * number


@pytest.mark.usefixtures("other_processes")
def test_what_was_begun_is_taken_up_where_the_same_is_asked(qtbot):
    number = [7]
    head_start.begin(__name__, "first_of", number)
    (begun,) = head_start._begun
    room, came = Backroom(), []
    room.answered.connect(lambda _number, value: came.append(value))
    with qtbot.waitSignal(room.finished, timeout=60_000):
        room.ask(first_of, number)
        assert room.process is begun.process
    assert came == [7]
    assert not head_start._begun


def first_of(numbers):
    return numbers[0]


@pytest.mark.usefixtures("other_processes")
def test_another_task_gets_a_process_of_its_own(qtbot):
    head_start.begin(__name__, "first_of", [7])
    (begun,) = head_start._begun
    room, came = Backroom(), []
    room.answered.connect(lambda _number, value: came.append(value))
    with qtbot.waitSignal(room.finished, timeout=60_000):
        room.ask(doubled, 4)
        assert room.process is not begun.process
    assert came == [8]
    head_start.give_up()
    assert begun.process.returncode is not None


def test_the_file_is_read_and_its_chart_begun_before_qt_is_loaded():
    code = (
        "import sys; from slinediag.editor import head_start; from slinediag.editor import start; "
        "begin = head_start.begin; "
        "head_start.begin = lambda *a: (begin(*a), print([m for m in sys.modules if 'PySide6' in m])); "
        "start.refuse_without_display = lambda _probe: sys.exit(0); "
        "start.edit('samples/larkfen.yaml')"
    )
    bare = os.environ | {"QT_QPA_PLATFORM": "offscreen"}
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, env=bare, capture_output=True, text=True
    )
    assert done.stderr == ""
    assert done.stdout.strip() == "[]"


@pytest.mark.skipif(os.name != "posix", reason="no groups of processes")
def test_ctrl_c_at_the_terminal_is_for_the_window_alone():
    process = head_start.started()
    try:
        assert os.getpgid(process.pid) != os.getpgid(0)
    finally:
        process.stdin.close()
        assert process.wait() == 0
        process.stdout.close()
