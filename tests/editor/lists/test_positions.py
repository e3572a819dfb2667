"""Positions as a person keeps them in a spreadsheet: typed, pasted, filled, undone, saved."""

from __future__ import annotations

from dataclasses import replace

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest

from slinediag.address import Jack, PortAddress
from slinediag.editor.lists.box_form import BoxForm
from slinediag.editor.lists.cell import CellField
from slinediag.model.bay import EMPTY_POINT
from tests.editor.lists.conftest import CTRL, NONE

RETURN, TAB, ESC, DELETE = (
    Qt.Key.Key_Return,
    Qt.Key.Key_Tab,
    Qt.Key.Key_Escape,
    Qt.Key.Key_Delete,
)


@pytest.fixture
def hand(lists):
    return lists("Positions")


def point(hand, bay, number):
    return hand.facility.bays[bay].point(number)


def test_every_position_has_a_row_and_shows_what_holds_where_nothing_is_filed(hand):
    assert len(hand.rows()) == 24
    assert hand.shown("PB1 1", "Top") == "PLY1.L"
    assert hand.shown("PB1 1", "Top label") == "DISC 1 L"
    assert hand.shown("PB1 1", "Normal") == "half"
    assert hand.shown("PB2 1", "Normal") == "full"
    assert hand.model.data(hand.index("PB1 1", "Top label"), Qt.ItemDataRole.EditRole) == ""


def test_a_label_is_typed_undone_redone_and_saved_on_its_line_alone(hand):
    hand.go("PB1 3", "Top label")
    hand.enter("GUEST L")
    assert point(hand, "PB1", 3).label_top == "GUEST L"
    assert hand.undo_name() == "Label of PB1.T3"
    assert hand.table.currentIndex() == hand.index("PB1 4", "Top label")
    gone, come = hand.changed_lines()
    assert len(gone) == len(come) == 1
    assert "GUEST L" in come[0]
    assert "# what plays" in hand.check_saved()
    hand.workplace.undo()
    assert point(hand, "PB1", 3).label_top is None
    hand.workplace.redo()
    assert point(hand, "PB1", 3).label_top == "GUEST L"


def test_what_the_reader_would_refuse_stays_typed_until_it_is_mended(hand):
    before = hand.facility
    hand.go("PB1 5", "Top")
    hand.type("PLX1.L")
    assert hand.field.property("wrong")
    assert hand.words.startswith("PB1 5, Top: there is no equipment or bay PLX1. Did you mean PLY1")
    assert hand.page.words.property("danger")
    hand.key(RETURN)
    assert hand.field is not None
    assert hand.facility is before
    hand.key(TAB)
    assert hand.shown("PB1 5", "Top") == "PLX1.L"
    assert hand.facility is before
    hand.go("PB1 5", "Top")
    assert "Did you mean PLY1" in hand.words
    index = hand.index("PB1 5", "Top")
    role = Qt.ItemDataRole.AccessibleDescriptionRole
    assert "Did you mean PLY1" in hand.model.data(index, role)
    # Opened again it holds what was typed.
    hand.key(RETURN)
    assert hand.field.text() == "PLX1.L"
    hand.key(Qt.Key.Key_Home)
    hand.field.clear()
    hand.enter("MON.L:in")
    assert "wired twice" in hand.words
    hand.field.clear()
    hand.enter("")
    assert not hand.model.drafts


def test_esc_gives_up_what_is_typed_or_waits(hand):
    before = hand.facility
    hand.go("PB1 5", "Normal")
    hand.type("haf")
    assert "Did you mean half?" in hand.words
    hand.key(ESC)
    assert hand.shown("PB1 5", "Normal") == "half"
    hand.type("haf")
    hand.key(TAB)
    assert hand.model.drafts
    hand.go("PB1 5", "Normal")
    hand.key(ESC)
    assert not hand.model.drafts
    assert hand.facility is before


def test_two_positions_are_exchanged_by_typing(hand):
    hand.go("PB1 1", "Top")
    hand.type("PLY1.R")
    assert "wired twice: at PB1.T2 and at PB1.T1" in hand.words
    hand.key(TAB)
    hand.go("PB1 2", "Top")
    hand.enter("PLY1.L")
    assert not hand.model.drafts
    assert point(hand, "PB1", 1).top.to == PortAddress("PLY1", "R", "out")
    assert point(hand, "PB1", 2).top.to == PortAddress("PLY1", "L", "out")
    hand.check_saved()
    hand.workplace.undo()
    assert point(hand, "PB1", 1).top.to == PortAddress("PLY1", "L", "out")


def test_a_port_is_found_by_its_label_and_completed(hand):
    hand.go("PB1 6", "Top")
    hand.type("LIM R:out")
    hand.key(ESC)
    hand.key(ESC)
    hand.go("PB2 1", "Bottom")
    hand.key(DELETE)
    assert point(hand, "PB2", 1).bottom is None
    hand.go("PB2 5", "Bottom")
    hand.type("link")
    assert hand.field.offered[0].startswith("XMIT.L   LINK L")
    assert not hand.field.property("wrong")
    hand.type(" L")
    hand.key(RETURN)
    assert point(hand, "PB2", 5).bottom.to == PortAddress("XMIT", "L", "in")


def test_arrow_and_return_take_what_is_offered(hand):
    hand.go("PB1 7", "Normal")
    hand.type("p")
    assert hand.field.offered == ["parallel"]
    QTest.keyClick(hand.field.popup, Qt.Key.Key_Down)
    QTest.keyClick(hand.field.popup, RETURN)
    assert point(hand, "PB1", 7).normal == "parallel"


def test_what_is_typed_into_a_selection_fills_all_of_it(hand):
    hand.go("PB1 5", "Group")
    hand.extend("PB1 8", "Group")
    hand.type("GUESTS")
    hand.key(RETURN, CTRL)
    assert [point(hand, "PB1", n).group for n in range(5, 9)] == ["GUESTS"] * 4
    assert hand.undo_name() == "Fill 4 cells of positions"
    hand.key(DELETE)
    assert all(point(hand, "PB1", n) == EMPTY_POINT for n in range(5, 9))
    hand.workplace.undo()
    hand.workplace.undo()
    assert all(point(hand, "PB1", n) == EMPTY_POINT for n in range(5, 9))


def test_cells_are_pasted_from_a_spreadsheet_in_one_step(hand):
    hand.go("PB1 5", "Top label")
    hand.paste('"A ""one"""\tPLY9.L\tfull\nB\t\tnone\r\n"two\nlines"\t\t\n')
    assert point(hand, "PB1", 5).label_top == 'A "one"'
    assert point(hand, "PB1", 6).normal == "none"
    assert point(hand, "PB1", 7).label_top == "two\nlines"
    assert hand.undo_name() == "Paste 6 cells into positions"
    # One cell could not be; it is kept where it was pasted, and told.
    assert "1 cell cannot be so" in hand.words
    assert hand.shown("PB1 5", "Top") == "PLY9.L"
    hand.key(Qt.Key.Key_J, CTRL)
    assert "PB1 5, Top" in hand.words
    hand.check_saved()
    hand.workplace.undo()
    assert point(hand, "PB1", 6) == EMPTY_POINT


def test_what_is_copied_and_pasted_back_is_the_same(hand):
    hand.go("PB2 1", "Position")
    hand.extend("PB2 3", "Note")
    before = hand.facility
    text = hand.copied()
    assert text.splitlines()[0].split("\t")[:6] == [
        "PB2 1", "", "LIM.L", "full", "XMIT.L", "",
    ]  # fmt: skip
    hand.paste(text)
    assert hand.facility is before
    hand.go("PB2 5", "Position")
    hand.paste(text)
    assert "cannot be pasted over" in hand.words
    assert hand.facility is before


def test_a_paste_without_room_is_refused_with_words(hand):
    before = hand.facility
    hand.go("PB2 11", "Top label")
    hand.paste("A\nB\nC\n")
    assert "PB2 12: 3 rows are pasted where 2 are left" in hand.words
    hand.go("PB1 1", "Bottom swapped")
    hand.paste("A\tB")
    assert "2 columns are pasted where 1 are left" in hand.words
    assert hand.facility is before


def test_one_cell_is_pasted_over_all_that_are_selected(hand):
    hand.go("PB1 5", "State")
    hand.extend("PB1 10", "State")
    hand.paste("spare")
    assert [point(hand, "PB1", n).state for n in range(5, 11)] == ["spare"] * 6


def test_filling_down_counts(hand):
    hand.go("PB1 5", "Top label")
    hand.enter("MIC 1")
    hand.go("PB1 5", "Top label")
    hand.extend("PB1 8", "Top label")
    hand.key(Qt.Key.Key_D, CTRL)
    assert [point(hand, "PB1", n).label_top for n in range(5, 9)] == [
        "MIC 1", "MIC 2", "MIC 3", "MIC 4",
    ]  # fmt: skip
    assert hand.undo_name() == "Fill 3 cells of positions"


def test_a_cable_needs_a_wire_and_its_pair_is_used_once(hand):
    hand.go("PB1 5", "Top cable")
    hand.type("S12/2")
    assert "nothing is wired to PB1.T5. Say first what is: in the column Top" in hand.words
    hand.key(ESC)
    hand.go("PB1 1", "Top cable")
    hand.type("S12/1")
    assert "the pair S12/1 is used twice: at PB2.T1 and at PB1.T1" in hand.words
    hand.type("1")
    hand.key(RETURN)
    assert point(hand, "PB1", 1).top.cable == "S12/11"
    hand.check_saved()


def test_a_filter_and_an_order_leave_the_file_alone(hand):
    before = hand.facility
    hand.page.filter.setFocus()
    QTest.keyClicks(hand.page.filter, "disc 2")
    QTest.keyClick(hand.page.filter, RETURN)
    assert hand.rows() == ["PB1 3", "PB1 4"]
    assert hand.page.count.text() == "2 of 24 positions"
    # What is typed does not hide the row one is in.
    hand.go("PB1 3", "Top label")
    hand.enter("OTHER")
    hand.go("PB1 3", "Top")
    assert hand.rows() == ["PB1 3", "PB1 4"]
    hand.page.filter.setFocus()
    QTest.keyClick(hand.page.filter, ESC)
    assert len(hand.rows()) == 24
    hand.page.show_part("PB2")
    assert hand.rows() == [f"PB2 {n}" for n in range(1, 13)]
    hand.page.show_part("")
    header = hand.table.horizontalHeader()
    at = header.sectionViewportPosition(1) + 10
    for first in ("PB1 1", "PB1 3", "PB1 1"):
        QTest.mouseClick(header.viewport(), Qt.MouseButton.LeftButton, NONE, QPoint(at, 8))
        assert hand.rows()[0] == first
    hand.workplace.undo()
    assert hand.facility is before


def test_the_row_and_the_selection_follow_each_other(hand, qtbot):
    hand.go("PB1 4", "Bottom")
    qtbot.waitUntil(lambda: hand.workplace.selection == Jack("PB1", "B", 4))
    hand.workplace.select(Jack("PB2", "T", 2))
    assert hand.table.currentIndex().row() == hand.index("PB2 2", "Top").row()
    hand.key(RETURN, CTRL)
    assert hand.window.middle.currentWidget() is hand.window.canvas
    assert hand.workplace.selection == Jack("PB2", "B", 2)
    QTest.keyClick(hand.window, Qt.Key.Key_F5)
    hand.workplace.show(Jack("PB1", "T", 9))
    assert hand.window.middle.currentWidget() is hand.window.lists
    assert hand.table.currentIndex().row() == hand.index("PB1 9", "Top").row()


def test_typing_does_not_wait_for_the_chart(hand, monkeypatch):
    asked = []
    monkeypatch.setattr(hand.window.draughting.charts, "ask", lambda *what: asked.append(what))
    for number in range(5, 10):
        hand.go(f"PB1 {number}", "Top label")
        hand.enter(f"L{number}")
        assert point(hand, "PB1", number).label_top == f"L{number}"
    assert [facility for _, facility, *_ in asked][-1] is hand.facility


def test_a_bay_of_one_row_takes_nothing_below(lists):
    hand = lists("Positions")
    bay = replace(hand.facility.bays["PB1"], id="PX", rows=1, points={}, positions=2)
    bays = {**hand.facility.bays, "PX": bay}
    hand.workplace.change("Add PX", replace(hand.facility, bays=bays))
    assert hand.rows()[-2:] == ["PX 1", "PX 2"]
    hand.go("PX 1", "Bottom label")
    hand.type("X")
    assert "bay PX has one row, top" in hand.words


def test_what_is_typed_is_kept_when_one_clicks_elsewhere(hand):
    hand.go("PB1 5", "Normal")
    hand.type("haf")
    hand.go("PB1 9", "Group")
    assert hand.field is None
    assert hand.shown("PB1 5", "Normal") == "haf"
    hand.go("PB1 6", "Normal")
    hand.type("none")
    hand.window.find_field.setFocus()
    assert hand.field is None
    assert point(hand, "PB1", 6).normal == "none"
    assert hand.page.next.text() == "1 cell to correct"
    QTest.mouseClick(hand.page.next, Qt.MouseButton.LeftButton)
    assert "Did you mean half?" in hand.words


def test_forms_and_fields_leave_nothing_behind(hand, qtbot):
    for _ in range(20):
        hand.go("PB1 5", "Top")
        hand.type("P")
        hand.key(ESC)
        hand.key(ESC)
        form = hand.window.lists.add_box()
        QTest.keyClick(form, ESC)
    qtbot.waitUntil(lambda: not hand.window.findChildren(BoxForm))
    qtbot.waitUntil(lambda: not hand.window.findChildren(CellField))
