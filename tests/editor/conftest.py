"""No display is needed: Qt draws off screen. Settings go to a folder of the test."""

from __future__ import annotations

import os
from collections.abc import Iterator

import pytest
from PySide6.QtCore import QSettings, Qt, QTimer
from PySide6.QtTest import QTest

from slinediag.editor import looks
from slinediag.editor.backroom import Backroom
from slinediag.editor.window import Window
from slinediag.editor.workplace import Workplace
from slinediag.file.read import load
from slinediag.paint import qt as paint
from tests.editor.plant import PLANT

# Before any application is made; nothing above makes one.
os.environ["QT_QPA_PLATFORM"] = "offscreen"
paint.prefer_bundled_fonts()


@pytest.fixture(scope="session", autouse=True)
def _dressed(qapp):
    looks.dress(qapp)


@pytest.fixture(autouse=True)
def _settings_of_the_test(tmp_path):
    QSettings.setDefaultFormat(QSettings.Format.IniFormat)
    QSettings.setPath(
        QSettings.Format.IniFormat, QSettings.Scope.UserScope, str(tmp_path / "state")
    )


KNOWN = []
"""What tasks gave, for tests that begin alike: (function, arguments, values)."""


def values_of(function, arguments):
    for known, given, values in KNOWN:
        if known is function and given == arguments:
            return values
    made = function(*arguments)
    values = tuple(made) if isinstance(made, Iterator) else (made,)
    KNOWN.append((function, arguments, values))
    return values


def ask_here(room, function, *arguments):
    """Do a task in this process, and answer when events are next looked at."""
    number = room._current = next(room._numbers)

    def answer():
        for value in values_of(function, arguments):
            room._receive(number, value, True, "")
        room._receive(number, None, False, "")

    QTimer.singleShot(0, room, answer)
    return number


@pytest.fixture(autouse=True)
def _no_other_processes(request, monkeypatch):
    """Back rooms work in this process, but where a test is about the processes themselves."""
    if "other_processes" not in request.fixturenames:
        monkeypatch.setattr(Backroom, "ask", ask_here)


@pytest.fixture
def other_processes():
    """Asked for by tests of back rooms in processes of their own."""


@pytest.fixture
def plant_file(tmp_path):
    path = tmp_path / "plant.yaml"
    path.write_text(PLANT, encoding="utf-8")
    return path


@pytest.fixture
def window(qtbot, plant_file):
    """The window on the small plant, shown, its chart drawn."""
    window = Window(Workplace(load(plant_file)))
    qtbot.addWidget(window)
    window.resize(1280, 720)
    window.show()
    qtbot.waitExposed(window)
    qtbot.waitUntil(lambda: window.canvas.chart is not None, timeout=30_000)
    qtbot.waitUntil(lambda: not window.draughting.busy, timeout=30_000)
    # Nobody is there to be asked about unsaved changes when the test is over.
    window.may_leave = lambda: True
    yield window
    window.close()


class Hand:
    """A hand on the mouse over the chart of a window."""

    def __init__(self, window):
        self.canvas = window.canvas

    def _pixel(self, jack):
        return self.canvas.screen_place(jack).toPoint()

    def near(self, *jacks):
        """Go near, so that the jacks are all seen."""
        self.canvas.show_thing(jacks[0])
        for jack in jacks:
            assert self.canvas.rect().contains(self._pixel(jack)), f"{jack} is out of sight"

    def click(self, jack):
        QTest.mouseClick(self.canvas, Qt.MouseButton.LeftButton, pos=self._pixel(jack))

    def hover(self, jack):
        QTest.mouseMove(self.canvas, self._pixel(jack))

    def take(self, jack):
        QTest.mousePress(self.canvas, Qt.MouseButton.LeftButton, pos=self._pixel(jack))

    def carry(self, jack):
        QTest.mouseMove(self.canvas, self._pixel(jack))

    def drop(self, jack):
        QTest.mouseRelease(self.canvas, Qt.MouseButton.LeftButton, pos=self._pixel(jack))

    def drag(self, one, other):
        self.take(one)
        self.carry(other)
        self.drop(other)


@pytest.fixture
def hand(window):
    return Hand(window)
