"""The printed sheets on screen: all of them, each thing found where it is drawn."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from slinediag.chart.chart import draw
from slinediag.drawing.marks import Text
from slinediag.editor.sheet_set import sheets_of
from slinediag.editor.things import Box
from slinediag.file.read import load
from tests.builders import jack

LARKFEN = Path(__file__).resolve().parents[2] / "samples" / "larkfen.yaml"


def texts(spread):
    return sorted(p.mark.text for p in spread.placed if isinstance(p.mark, Text))


def test_they_hold_all_that_is_printed_and_do_not_lie_on_each_other():
    facility = load(LARKFEN).facility
    printed = draw(facility, sheet="A3")
    shown = sheets_of(facility)
    assert shown.count == len(printed)
    words = sorted(t for d in printed for t in words_in(d.marks))
    assert texts(shown.spread) == words
    papers = [p.box for p in shown.spread.placed if any("paper" in r.classes for r in p.refs)]
    assert len(papers) == len(printed)
    assert not any(one.meets(other) for one in papers for other in papers if one is not other)


def words_in(marks):
    for mark in marks:
        if isinstance(mark, Text):
            yield mark.text
        yield from words_in(getattr(mark, "marks", ()))


def test_what_is_selected_is_found_on_them_and_a_click_selects(window, qtbot):
    window.workplace.select(jack("PB1.T1"))
    QTest.keyClick(window, Qt.Key.Key_F4)
    qtbot.waitUntil(lambda: window.sheets.sheets is not None, timeout=30_000)
    assert window.middle.shown_canvas is window.sheets
    window.workplace.select(Box("XMIT"), show=True)
    place = window.sheets.place(Box("XMIT"))
    assert window.sheets.view.sees(place, window.sheets.width(), window.sheets.height(), 0)
    window.workplace.select(None)
    at = window.sheets.screen_point(place.centre).toPoint()
    QTest.mouseClick(window.sheets, Qt.MouseButton.LeftButton, pos=at)
    assert window.workplace.selection == Box("XMIT")


def test_pointing_lights_the_whole_way_over_the_sheets(window, qtbot):
    QTest.keyClick(window, Qt.Key.Key_F4)
    qtbot.waitUntil(lambda: window.sheets.sheets is not None, timeout=30_000)
    canvas, shown = window.sheets, window.sheets.sheets
    canvas.zoom(2, canvas.screen_place(jack("PB2.B1")))
    QTest.mouseMove(canvas, canvas.screen_place(jack("PB2.B1")).toPoint())
    assert canvas.over == jack("PB2.B1")
    # By hand: LINK L hears DISC 1 L through PB1 1 and the limiter.
    for stop in ("PB1.T1", "PB1.B1", "PB2.T1", "PB2.B1"):
        for run in shown.nets[shown.net_of[jack(stop)]].runs:
            assert run in canvas.lit_over
    normal = (shown.jacks[jack("PB2.T1")], shown.jacks[jack("PB2.B1")])
    assert normal in canvas.lit_over
