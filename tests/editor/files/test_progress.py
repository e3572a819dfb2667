"""Drawing that takes long is seen to go on, can be stopped, and begun again."""

from __future__ import annotations

import time

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from slinediag.editor import draughting
from slinediag.editor.charting import chart_stages


def slowly(_facility):
    time.sleep(600)


@pytest.fixture
def slow_window(qtbot, plant_file, open_window, monkeypatch, other_processes):
    """A window whose chart never comes, drawn in a process of its own."""
    assert other_processes is None
    monkeypatch.setattr(draughting, "chart_stages", slowly)
    window = open_window(plant_file)
    qtbot.waitUntil(lambda: not window.progress.isHidden(), timeout=60_000)
    return window


def test_what_takes_long_is_stopped_and_drawn_again(qtbot, slow_window, monkeypatch):
    window = slow_window
    assert window.draughting.busy
    process = window.draughting.charts.process
    button = window.progress.stop_button
    button.setFocus()
    QTest.keyClick(button, Qt.Key.Key_Space)
    assert not window.draughting.busy
    assert process.poll() is not None
    assert window.progress.isHidden()
    assert window.busy.text() == ""
    assert "Ctrl+R" in window.notice.text()
    monkeypatch.setattr(draughting, "chart_stages", chart_stages)
    (again,) = [a for a in window.menus["View"].actions() if "again" in a.text()]
    assert again.shortcut().toString() == "Ctrl+R"
    with qtbot.waitActive(window):
        window.activateWindow()
    QTest.keyClick(window, Qt.Key.Key_R, Qt.KeyboardModifier.ControlModifier)
    qtbot.waitUntil(lambda: window.canvas.chart is not None, timeout=120_000)


def test_the_window_works_meanwhile(slow_window):
    window = slow_window
    workplace = window.workplace
    box = next(iter(workplace.facility.equipment))
    workplace.show_box(box)
    assert window.selected.head.text()
    assert window.save()
