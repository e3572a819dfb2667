"""A stereo player on two free positions with normals to the desk, as one comes to it unprepared."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from slinediag.address import Jack, PortAddress
from slinediag.editor.lists.box_form import BoxForm
from slinediag.editor.things import Box
from slinediag.model.facility import Normal
from slinediag.tracing.tracer import Tracer
from tests.editor.lists.conftest import CTRL, SHIFT

LEFT = Qt.MouseButton.LeftButton


def open_form(window):
    QTest.keyClick(window, Qt.Key.Key_A, CTRL | SHIFT)
    (form,) = (child for child in window.findChildren(BoxForm) if child.isVisible())
    return form


def test_a_stereo_player_is_added_placed_and_normaled_in_one_step(lists, window):
    hand = lists("Equipment")
    before = hand.facility
    form = open_form(window)
    assert (form.id.text(), form.name.text()) == ("PLY3", "Stereo player 3")
    assert form.on_bay.wish.bay == "PB1"
    assert form.on_bay.first.value() == 5
    QTest.keyClicks(form.on_bay.fields[0], "MON.L")
    # The other side follows of itself.
    assert form.on_bay.fields[1].text() == "MON.R"
    assert (
        "In place of the normals from PB1 T3 (DISC 2 L) and PB1 T4 (DISC 2 R)" in form.words.text()
    )
    QTest.mouseClick(form.done_button, LEFT)
    facility = hand.facility
    assert hand.undo_name() == "Add PLY3 at PB1 5–6"
    assert facility.bays["PB1"].points[5].top.to == PortAddress("PLY3", "L", "out")
    assert Normal(Jack("PB1", "T", 5), Jack("PB1", "B", 3), "half") in facility.normals
    tracer = Tracer(facility)
    heard = tracer.hears(PortAddress("MON", "L", "in"))
    assert heard == (PortAddress("PLY3", "L", "out"),)
    assert hand.workplace.selection == Box("PLY3")
    assert "PLY3" in hand.rows()
    hand.check_saved()
    hand.workplace.undo()
    assert hand.facility is before


def test_what_is_wrong_is_said_before_anything_is_done(lists, window):
    hand = lists("Equipment")
    form = open_form(window)
    form.id.setText("PB1")
    assert "there is a bay of this id" in form.words.text()
    assert not form.done_button.isEnabled()
    form.id.setText("PLY3")
    form.on_bay.first.setValue(1)
    assert "this position is in use. Choose a free one" in form.words.text()
    form.on_bay.first.setValue(12)
    assert "there is no such position. Bay PB1 has positions 1 to 12" in form.words.text()
    form.on_bay.first.setValue(7)
    QTest.keyClicks(form.on_bay.fields[0], "LIM.Q")
    assert "equipment LIM has no port Q" in form.words.text()
    form.on_bay.fields[0].setText("PLY1.L")
    assert "this is an output" in form.words.text()
    form.on_bay.fields[0].clear()
    form.on_bay.fields[1].clear()
    assert form.done_button.isEnabled()
    form.placed.setChecked(False)
    QTest.mouseClick(form.done_button, LEFT)
    assert hand.undo_name() == "Add PLY3"
    assert not hand.facility.carriers.keys() & {PortAddress("PLY3", "L", "out")}


def test_inputs_that_the_desk_has_not_yet_are_given_to_it_when_asked(lists, window):
    hand = lists("Equipment")
    form = open_form(window)
    assert form.on_bay.missing.isHidden()
    form.on_bay.fields[0].setText("XMIT.AUX")
    assert not form.on_bay.missing.isHidden()
    assert not form.done_button.isEnabled()
    form.on_bay.missing.setChecked(True)
    assert "New: XMIT.AUX" in form.words.text()
    QTest.mouseClick(form.done_button, LEFT)
    point = hand.facility.bays["PB1"].points[5]
    assert point.bottom.to == PortAddress("XMIT", "AUX", "in")
    assert Normal(Jack("PB1", "T", 5), Jack("PB1", "B", 5), "half") in hand.facility.normals
    hand.check_saved()


@pytest.mark.parametrize(
    ("title", "outputs", "inputs"),
    [
        ("Desk with inserts", 6, 8),
        ("Distribution amplifier", 4, 1),
        ("Microphone preamplifier", 4, 4),
        ("Limiter", 2, 2),
        ("Stereo monitor", 0, 2),
    ],
)
def test_every_template_counts_and_is_written(lists, window, title, outputs, inputs):
    hand = lists("Equipment")
    form = open_form(window)
    form.template.setCurrentText(title)
    form.count.setValue(4)
    form.placed.setChecked(False)
    name = form.id.text()
    QTest.mouseClick(form.done_button, LEFT)
    box = hand.facility.equipment[name]
    assert (len(box.outputs), len(box.inputs)) == (outputs, inputs)
    hand.check_saved()


def test_equipment_that_there_is_is_placed_at_the_selected_jack(lists, window):
    hand = lists("Equipment")
    hand.go("New box", "Id")
    hand.type("CD")
    hand.key(Qt.Key.Key_Tab)
    hand.enter("Disc")
    hand.go("CD", "Outputs")
    hand.enter("L, R")
    hand.go("CD", "Id")
    hand.workplace.select(Jack("PB2", "T", 9))
    form = window.lists.place_box()
    assert (form.on_bay.wish.bay, form.on_bay.first.value()) == ("PB2", 9)
    form.on_bay.kind.setCurrentText("full")
    form.on_bay.fields[0].setText("LIM.L")
    QTest.mouseClick(form.done_button, LEFT)
    assert hand.undo_name() == "Place CD at PB2 9–10"
    assert Normal(Jack("PB2", "T", 9), Jack("PB1", "B", 1), "full") in hand.facility.normals
    hand.check_saved()
    assert window.lists.place_box() is None
    assert "Every port of CD is wired already" in hand.words


def test_esc_leaves_everything_as_it_was(lists, window):
    hand = lists("Equipment")
    before = hand.facility
    form = open_form(window)
    QTest.keyClick(form, Qt.Key.Key_Escape)
    assert not form.isVisible()
    assert hand.facility is before


def test_a_box_with_no_room_on_any_bay_is_added_beside_them(lists, window):
    hand = lists("Equipment")
    form = open_form(window)
    form.template.setCurrentText("Desk with inserts")
    form.count.setValue(24)
    assert not form.placed.isChecked()
    assert form.words.text() == "Adds DESK1, on no bay yet."
    form.placed.setChecked(True)
    assert "has no 74 free positions side by side" in form.words.text()
    form.on_bay.which.setCurrentText("inputs")
    form.count.setValue(1)
    assert form.done_button.isEnabled()
    QTest.mouseClick(form.done_button, LEFT)
    assert hand.facility.carriers[PortAddress("DESK1", "RTN1", "in")].row == "B"
    hand.check_saved()


def test_all_of_it_by_keys_alone(lists, window, qtbot):
    hand = lists("Equipment")
    form = open_form(window)
    form.activateWindow()
    qtbot.waitUntil(form.isActiveWindow)
    steps = 0
    while QApplication.focusWidget() is not form.on_bay.fields[0]:
        QTest.keyClick(QApplication.focusWidget(), Qt.Key.Key_Tab)
        steps += 1
        assert steps < 15
    QTest.keyClicks(QApplication.focusWidget(), "mon")
    field = form.on_bay.fields[0]
    assert field.offered[0].startswith("MON.L   MON L, at PB1 B3")
    assert form.on_bay.fields[1].text() == ""
    QTest.keyClick(field.popup, Qt.Key.Key_Down)
    QTest.keyClick(field.popup, Qt.Key.Key_Return)
    assert field.text() == "MON.L"
    QTest.keyClick(form, Qt.Key.Key_Return)
    assert not form.isVisible()
    assert Normal(Jack("PB1", "T", 6), Jack("PB1", "B", 4), "half") in hand.facility.normals
    assert Normal(Jack("PB1", "T", 5), Jack("PB1", "B", 3), "half") in hand.facility.normals
