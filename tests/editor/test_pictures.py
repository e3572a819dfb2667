"""A picture of each main state, for eyes: to the folder that SLINEDIAG_PICTURES names, if any."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from PySide6.QtCore import QEvent, QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from slinediag.editor import looks
from slinediag.editor.guide import guide
from slinediag.editor.trials import Item
from tests.builders import jack

CTRL = Qt.KeyboardModifier.ControlModifier
MODES = {"light": looks.LIGHT, "dark": looks.DARK}


@pytest.fixture(params=MODES)
def mode(request, qapp):
    """Qt's offscreen platform knows no modes: the colours are given as the system would."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(looks, "inks", lambda: MODES[request.param])
        looks._colour(qapp)
        yield request.param
    looks._colour(qapp)


@pytest.fixture
def keep(tmp_path, mode):
    folder = Path(os.environ.get("SLINEDIAG_PICTURES", tmp_path)) / mode
    folder.mkdir(parents=True, exist_ok=True)

    def kept(widget, name):
        QApplication.sendPostedEvents(None, QEvent.Type.LayoutRequest)
        QApplication.processEvents()
        picture = widget.grab().toImage()
        assert picture.save(str(folder / f"{name}.png"))
        colours = {
            picture.pixel(x, y)
            for x in range(0, picture.width(), 7)
            for y in range(0, picture.height(), 7)
        }
        assert len(colours) > 4, f"{name} is blank"
        ground = looks.inks().ground
        assert any(f"#{colour & 0xFFFFFF:06x}" == ground for colour in colours), name

    return kept


def test_a_picture_of_each_main_state(keep, window, qtbot):
    workplace, canvas = window.workplace, window.canvas

    def settled(drawn=canvas):
        qtbot.waitUntil(lambda: drawn.ready, timeout=30_000)

    settled()
    keep(window, "1 chart")
    canvas.show_thing(jack("PB1.T3"))
    canvas.zoom(4, canvas.screen_place(jack("PB1.T3")))
    for step in (QPoint(9, 40), QPoint(0, 0)):
        QTest.mouseMove(canvas, canvas.screen_place(jack("PB1.T3")).toPoint() + step)
    assert canvas.over == jack("PB1.T3")
    settled()
    keep(window, "2 pointed at")
    canvas.fit()
    workplace.select(jack("PB2.T1"))
    workplace.put_cord(jack("PB1.T3"), jack("PB2.B1"))
    settled()
    keep(window, "3 trial")
    window.middle.see_bays()
    settled(window.bays)
    keep(window, "4 bays")
    window.middle.see_sheets()
    qtbot.waitUntil(lambda: window.sheets.sheets is not None, timeout=30_000)
    settled(window.sheets)
    keep(window, "5 sheets")
    window.middle.see_chart()
    workplace.clear_trial()
    workplace.put(Item("cable", "S12"))
    settled()
    keep(window, "6 cable cut")
    workplace.clear_trial()
    QTest.keyClick(window, Qt.Key.Key_E, CTRL)
    QTest.keyClicks(window.outage.chooser, "LIM")
    QTest.keyClick(window.outage.chooser, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: window.outage.answer is not None, timeout=30_000)
    keep(window, "7 outage")
    QTest.mouseClick(window.outage.step_button, Qt.MouseButton.LeftButton)
    QTest.mouseClick(window.outage.next_button, Qt.MouseButton.LeftButton)
    settled()
    keep(window, "8 plug by plug")


def test_a_picture_of_each_window_beside_it(keep, window, qtbot):
    papers = window.besides.paper()
    qtbot.waitUntil(lambda: bool(papers.preview.pages), timeout=30_000)
    qtbot.waitUntil(lambda: papers.preview.ready, timeout=30_000)
    keep(papers, "9 print and write")
    shown = window.besides.help()
    for number, name in enumerate((guide.NORMALS, guide.LEGEND, guide.KEYS, guide.CARE)):
        shown.open_on(name)
        keep(shown, f"10 help {number + 1}")
    shown.close()
    papers.close()
    window.besides.introduce()
    keep(window, "11 introduction")
