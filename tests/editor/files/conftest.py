"""State of the test's own, and waiting for what bars say."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from slinediag.editor.window import Window
from slinediag.editor.workplace import Workplace
from slinediag.file.read import load


@pytest.fixture(autouse=True)
def state(tmp_path, monkeypatch):
    """The state folder of the test."""
    folder = tmp_path / "state-folder"
    monkeypatch.setenv("XDG_STATE_HOME", str(folder))
    return folder / "slinediag"


@pytest.fixture
def open_window(qtbot):
    """Opens windows, without waiting for their charts."""
    made = []

    def open_it(path):
        window = Window(Workplace(load(path)))
        qtbot.addWidget(window)
        window.resize(1280, 720)
        window.show()
        qtbot.waitExposed(window)
        window.may_leave = lambda: True
        made.append(window)
        return window

    yield open_it
    for window in made:
        window.close()


def press(bar, words):
    """Press a bar's button as a hand on the keyboard does."""
    button = bar.buttons[words]
    button.setFocus()
    QTest.keyClick(button, Qt.Key.Key_Space)
