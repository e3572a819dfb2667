"""The other lists as a person uses them: rows added, renamed, taken out, all with one undo each."""

from __future__ import annotations

import datetime

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from slinediag.address import Jack, PortAddress
from slinediag.editor.things import Box
from tests.editor.lists.conftest import ALT, CTRL

RETURN, TAB, ESC = Qt.Key.Key_Return, Qt.Key.Key_Tab, Qt.Key.Key_Escape


def tab_through(hand, *texts):
    """Type texts into neighbouring cells."""
    for text in texts[:-1]:
        hand.type(text)
        hand.key(TAB)
    hand.enter(texts[-1])


def test_a_new_row_is_in_once_it_has_what_it_needs(lists):
    hand = lists("Equipment")
    before = hand.facility
    hand.go("PLY1", "Id")
    hand.key(Qt.Key.Key_Insert, ALT)
    hand.type("CART")
    hand.key(TAB)
    assert hand.facility is before
    assert "a new box still needs Name" in hand.words
    assert hand.page.next.text() == "Row not yet whole"
    hand.enter("Cartridge player")
    assert hand.facility.equipment["CART"].name == "Cartridge player"
    assert hand.undo_name() == "Add a box"
    assert not hand.model.drafts
    # Another new row stands ready at the end.
    assert hand.rows()[-2:] == ["CART", "New box"]
    gone, come = hand.changed_lines()
    assert gone == []
    assert come == ["  CART: {name: Cartridge player}"]
    hand.workplace.undo()
    assert hand.facility is before
    assert "CART" not in hand.rows()


def test_a_new_row_is_given_up_with_esc(lists):
    hand = lists("Mults")
    hand.go("New mult", "Id")
    hand.type("1X")
    assert "An id is a letter" in hand.words
    hand.key(TAB)
    hand.go("New mult", "Id")
    hand.key(ESC)
    assert not hand.model.drafts
    assert hand.rows() == ["New mult"]


def test_an_id_is_renamed_everywhere_in_one_step(lists):
    hand = lists("Equipment")
    hand.go("LIM", "Id")
    hand.type("PB1")
    assert "there is a bay of this id" in hand.words
    hand.key(ESC)
    hand.type("LMT")
    hand.key(RETURN)
    assert hand.facility.wires[Jack("PB2", "T", 1)].to == PortAddress("LMT", "L", "out")
    assert hand.undo_name() == "Id of LIM"
    assert "LMT" in hand.rows()
    assert "LIM" not in hand.rows()
    gone, come = hand.changed_lines()
    assert len(gone) == len(come) == 4
    hand.workplace.undo()
    assert "LIM" in hand.rows()


def test_ports_are_typed_with_their_box_and_in_the_list_of_ports(lists):
    hand = lists("Equipment")
    hand.go("LIM", "Outputs")
    hand.type("L, R, M")
    # Straight paths want as many inputs; with these both go in.
    assert "straight needs as many inputs as outputs" in hand.words
    hand.key(TAB)
    hand.enter("L, R, M")
    assert not hand.model.drafts
    assert [p.id for p in hand.facility.equipment["LIM"].inputs] == ["L", "R", "M"]
    ports = lists("Ports")
    ports.page.show_part("LIM")
    assert ports.rows()[-1] == "New port"
    assert len(ports.rows()) == 7
    ports.go("LIM.M:out", "Level")
    ports.type("abc")
    assert '"abc" is not a number' in ports.words
    ports.key(ESC)
    ports.enter("-10")
    assert ports.undo_name() == "Level of LIM.M:out"
    assert ports.facility.equipment["LIM"].facts["M", "out"].level == -10
    assert ports.shown("LIM.M:out", "Max") == "10"
    ports.go("LIM.L:out", "Port")
    ports.enter("LEFT")
    assert ports.facility.carriers[PortAddress("LIM", "LEFT", "out")] == Jack("PB2", "T", 1)
    ports.check_saved()
    ports.page.show_part("")
    ports.go("New port", "Equipment")
    tab_through(ports, "MON", "input", "SUB")
    assert ("SUB", "in") in ports.facility.equipment["MON"].facts
    ports.check_saved()


def test_what_is_taken_out_says_what_goes_with_it(lists):
    hand = lists("Equipment")
    hand.go("PLY1", "Name")
    hand.key(Qt.Key.Key_Delete, ALT)
    assert hand.undo_name() == "Remove PLY1 and 2 wires"
    assert "PLY1" not in hand.facility.equipment
    assert Jack("PB1", "T", 1) not in hand.facility.wires
    assert "PLY1" not in hand.rows()
    hand.check_saved()
    hand.workplace.undo()
    assert hand.rows()[0] == "PLY1"


def test_a_bay_that_would_lose_jacks_in_use_is_refused_where_it_is_typed(lists):
    hand = lists("Bays")
    hand.go("PB1", "Positions")
    hand.type("3")
    assert "bay PB1 has 3 positions; there is no 4" in hand.words
    hand.key(ESC)
    hand.type("24")
    hand.key(RETURN)
    assert hand.facility.bays["PB1"].width == 24
    positions = lists("Positions")
    assert "PB1 24" in positions.rows()
    hand = lists("Bays")
    hand.go("PB2", "Id")
    hand.enter("JF2")
    assert hand.facility.cords[0].target == Jack("JF2", "B", 8)
    hand.check_saved()


def test_several_cables_are_pasted_as_new_rows(lists):
    hand = lists("Cables")
    hand.go("New cable", "Id")
    hand.paste("S12\tmulticore\t12\t\t8\nS13\tmulticore\t15\t\t8\nS14\t\tx\t\t\n")
    cables = hand.facility.cables
    assert (cables["S12"].length, cables["S13"].pairs) == (12.0, 8)
    assert cables["S14"].length is None
    assert "1 cell cannot be so" in hand.words
    assert hand.shown("S14", "Length") == "x"
    assert hand.shown("S12", "Used at") == "PB2 T1"
    hand.go("S12", "Id")
    hand.enter("C12")
    assert hand.facility.wires[Jack("PB2", "T", 1)].cable == "C12/1"
    hand.go("C12", "Pairs")
    hand.enter("1")
    hand.go("C12", "Pairs")
    hand.check_saved()


def test_a_line_a_mult_and_a_normal_across_are_added(lists):
    hand = lists("Lines")
    hand.go("New line", "Id")
    tab_through(hand, "TL1", "PB1.T10", "MON.L:in")
    assert (
        "wired twice" in hand.words or "runs from port to port or from jack to jack" in hand.words
    )
    hand.key(Qt.Key.Key_A, CTRL)
    hand.enter("PB2.B10")
    assert hand.facility.lines["TL1"].tie
    assert hand.shown("TL1", "Kind") == "tie line"
    mults = lists("Mults")
    mults.go("New mult", "Id")
    tab_through(mults, "M1", "PB1.T11, PB2.T11, PB2.B8")
    assert len(mults.facility.mults["M1"].jacks) == 3
    mults.go("M1", "Jacks")
    mults.enter("PB1.T11, PB1.T11")
    assert "stands twice under mults" in mults.words
    mults.key(ESC)
    across = lists("Normals across")
    across.go("New normal across positions", "From")
    tab_through(across, "PB1.T3", "LINK L")
    (cross,) = across.facility.cross_normals
    assert (cross.source, cross.target) == (Jack("PB1", "T", 3), Jack("PB2", "B", 1))
    across.go("PB1.T3=PB2.B1", "Kind")
    across.type("reverse-half")
    assert "is not known here" in across.words or "a half the other way" in across.words
    across.key(ESC)
    across.go("PB1.T3=PB2.B1", "To")
    across.enter("PB2.B2")
    assert across.facility.cross_normals[0].target == Jack("PB2", "B", 2)
    across.check_saved()


def test_standing_cords_and_dummy_plugs(lists):
    hand = lists("Standing cords")
    assert hand.shown("cord PB1.T4=PB2.B8", "Note") == "spare"
    hand.go("New standing cord", "From")
    tab_through(hand, "PB1.T1", "PB2.T8", "0.6")
    assert "a plug is in" in hand.words or "holds a plug" in hand.words
    hand.go("New standing cord", "To")
    hand.enter("PB2.T9")
    assert hand.facility.cords[1].length == 0.6
    hand.go("cord PB1.T1=PB2.T9", "Since")
    hand.type("2026-02-30")
    assert "the calendar has no day 2026-02-30" in hand.words
    hand.key(ESC)
    hand.enter("2026-02-28")
    assert hand.facility.cords[1].since == datetime.date(2026, 2, 28)
    hand.go("cord PB1.T1=PB2.T9", "From")
    hand.enter("PB1.T2")
    assert hand.facility.cords[1].source == Jack("PB1", "T", 2)
    hand.check_saved()
    plugs = lists("Dummy plugs")
    plugs.go("plug in PB2.T8", "Jack")
    plugs.key(Qt.Key.Key_Delete, ALT)
    assert not plugs.facility.plugs
    plugs.workplace.undo()
    plugs.go("plug in PB2.T8", "Note")
    plugs.enter("no cord here")
    assert plugs.facility.plugs[0].note == "no cord here"
    plugs.check_saved()


def test_drawing_data_revisions_notes_and_limits(lists):
    hand = lists("Drawing data")
    hand.go("Date", "Value")
    hand.type("May")
    assert '"May" is not a date' in hand.words
    hand.key(ESC)
    hand.enter("2026-05-18")
    hand.go("Limit of loss", "Value")
    hand.enter("0.5")
    hand.go("Cords in stock", "Value")
    hand.enter("0.3, 0.6")
    assert hand.facility.practice.cord_lengths == (0.3, 0.6)
    assert hand.facility.practice.limits.loss == 0.5
    hand.go("Name", "Value")
    hand.key(Qt.Key.Key_Delete)
    assert hand.facility.name == "Small plant"
    assert "this may not be empty" in hand.page.words.text() or hand.model.drafts
    hand.key(ESC)
    revisions = lists("Revisions")
    revisions.go("New revision", "Revision")
    tab_through(revisions, "A", "2026-05-18", "T. Ashby", "first issue")
    assert revisions.facility.practice.revisions[0].what == "first issue"
    notes = lists("Notes")
    notes.go("New note", "Note")
    notes.paste("Protective earth stays on every unit\nAsk before patching")
    assert len(notes.facility.practice.notes) == 2
    words = lists("Short forms")
    words.go("New short form", "Word")
    tab_through(words, "PROGRAMME", "PGM")
    assert words.facility.practice.abbreviations == {"PROGRAMME": "PGM"}
    accepted = lists("Accepted")
    accepted.go("New accepted finding", "Rule")
    accepted.type("polarty")
    assert "there is no such rule" in accepted.words
    accepted.key(ESC)
    accepted.type("polarity")
    accepted.key(RETURN)
    assert accepted.facility.practice.accept[0].rule == "polarity"
    accepted.check_saved()


def test_a_selection_elsewhere_is_found_in_each_list(lists, window):
    hand = lists("Equipment")
    window.workplace.select(Jack("PB2", "B", 1))
    assert hand.table.currentIndex().row() == hand.index("XMIT", "Id").row()
    ports = lists("Ports")
    window.workplace.select(Box("MON"))
    assert ports.table.currentIndex().row() == ports.index("MON.L", "Port").row()
    cords = lists("Standing cords")
    window.workplace.select(Jack("PB2", "B", 8))
    assert cords.table.currentIndex().row() == cords.index("cord PB1.T4=PB2.B8", "To").row()


@pytest.mark.parametrize("title", ["Equipment", "Ports", "Bays", "Drawing data"])
def test_every_control_says_what_it_is(lists, title):
    hand = lists(title)
    assert hand.table.accessibleName() == title
    assert hand.page.filter.accessibleName()
    index = hand.model.index(0, 1)
    text = hand.model.data(index, Qt.ItemDataRole.AccessibleTextRole)
    assert text.startswith(hand.model.name(index))
    assert hand.window.lists.names.accessibleName() == "Lists"


def test_all_by_keyboard_from_list_to_list(lists, window):
    lists("Positions")
    window.lists.names.setFocus()
    QTest.keyClick(window.lists.names, Qt.Key.Key_Down)
    assert window.lists.page.listing.title == "Equipment"
    QTest.keyClick(window.lists.names, RETURN)
    assert window.lists.page.table.hasFocus()


def test_each_of_several_names_is_completed(lists):
    hand = lists("Mults")
    hand.go("New mult", "Id")
    hand.type("M1")
    hand.key(TAB)
    hand.type("PB1.T11, PB2.T1")
    assert not hand.field.property("wrong")
    offered = hand.field.offered
    assert offered[0].startswith("PB2.T1")
    QTest.keyClick(hand.field.popup, Qt.Key.Key_Down)
    QTest.keyClick(hand.field.popup, Qt.Key.Key_Down)
    QTest.keyClick(hand.field.popup, RETURN)
    second = offered[1].split()[0]
    assert [str(jack) for jack in hand.facility.mults["M1"].jacks] == ["PB1.T11", second]


def test_what_waits_is_nothing_to_another_file(lists, window, tmp_path):
    hand = lists("Positions")
    hand.go("PB1 5", "Normal")
    hand.type("haf")
    hand.key(TAB)
    assert hand.model.drafts
    other = tmp_path / "other.yaml"
    other.write_text(hand.workplace.document.data.decode().replace("12", "8"), encoding="utf-8")
    assert window.workplace.open(other)
    assert not hand.model.drafts
    assert len(hand.rows()) == 16
    hand.go("PB1 5", "Top label")
    hand.enter("STILL WELL")
    hand.check_saved()


def test_the_filter_is_a_key_away(lists):
    hand = lists("Ports")
    hand.key(Qt.Key.Key_F, CTRL | Qt.KeyboardModifier.ShiftModifier)
    assert hand.page.filter.hasFocus()
    QTest.keyClicks(hand.page.filter, "disc 1")
    QTest.keyClick(hand.page.filter, RETURN)
    assert hand.table.hasFocus()


def test_what_waits_is_told_when_the_file_is_saved_without_it(lists, window):
    hand = lists("Positions")
    hand.go("PB1 5", "Top label")
    hand.enter("GUEST")
    hand.go("PB1 5", "Normal")
    hand.type("haf")
    hand.key(TAB)
    assert window.workplace.save()
    assert "Saved without 1 cell that cannot be as typed" in hand.words
    assert "GUEST" in (window.workplace.document.data).decode()
    assert "haf" not in (window.workplace.document.data).decode()
    assert hand.model.drafts


def test_what_waits_in_a_row_that_is_undone_comes_back_with_it(lists, window):
    hand = lists("Cables")
    hand.go("New cable", "Id")
    hand.enter("S20")
    hand.go("S20", "Length")
    hand.type("long")
    hand.key(TAB)
    assert hand.page.next.text() == "1 cell to correct"
    window.workplace.undo()
    assert "S20" not in hand.rows()
    assert not hand.page.next.isVisible()
    window.workplace.redo()
    assert hand.shown("S20", "Length") == "long"


def test_no_two_commands_share_their_keys(window):
    keys = [
        action.shortcut().toString() for menu in window.menus.values() for action in menu.actions()
    ]
    used = [key for key in keys if key]
    assert len(used) == len(set(used))
    own = {"Ctrl+D", "Ctrl+J", "Ctrl+Return", "Ctrl+Shift+F", "Ctrl+Shift+O", "Alt+Ins", "Alt+Del"}
    assert not own & set(used)


def test_the_order_is_by_the_column_one_is_in(lists):
    hand = lists("Equipment")
    hand.go("XMIT", "Name")
    hand.key(Qt.Key.Key_O, CTRL | Qt.KeyboardModifier.ShiftModifier)
    names = [hand.model.data(hand.model.index(row, 1)) for row in range(5)]
    assert names == sorted(names)
    # One stays in the row one was in.
    assert hand.model.cell(hand.table.currentIndex()).key == "XMIT"


def test_the_menu_does_what_it_says(lists, window):
    hand = lists("Positions")
    hand.go("PB1 1", "Top label")
    menu = hand.table.menu()
    actions = {action.text(): action for action in menu.actions()}
    assert "Add a position" not in actions
    actions["Show on the chart"].trigger()
    assert window.middle.currentWidget() is window.canvas
    assert window.workplace.selection == Jack("PB1", "T", 1)
