"""Failed bays, places and cables on the chart and among what is tried; trials on the sheets."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from slinediag.chart.chart import draw
from slinediag.damage import NO_DAMAGE, damage_of
from slinediag.editor.sheet_set import sheets_of
from slinediag.editor.trials import Item, known
from slinediag.file.read import parse
from slinediag.tracing.outage.answer import outage
from slinediag.tracing.outage.failure import Failure, damaged
from slinediag.tracing.trial import ask
from slinediag.tracing.values import Trial
from tests.builders import entry, jack
from tests.editor.plant import PLANT

FACILITY = parse(PLANT.encode(), "plant.yaml").facility
CABLE = Failure(cables=("S12",))
SOURCE, END = jack("PB1.T3"), jack("PB2.B1")


def classes(marks):
    for mark in marks:
        if mark.ref is not None:
            yield from mark.ref.classes
        yield from classes(getattr(mark, "marks", ()))


@pytest.fixture
def cut(window, qtbot):
    """The window with the cable from the limiter cut, as a person chooses it."""
    QTest.keyClick(window, Qt.Key.Key_E, Qt.KeyboardModifier.ControlModifier)
    panel = window.outage
    QTest.keyClicks(panel.chooser, "Cable S12")
    QTest.keyClick(panel.chooser, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: panel.answer is not None, timeout=30_000)
    return window


def test_a_cut_cable_is_crossed_on_the_chart_and_its_line_hollow():
    answer = ask(damaged(FACILITY, CABLE), Trial())
    drawn = (SOURCE, END, jack("PB2.T1"), entry("XMIT.L"), entry("XMIT.R"), entry("MON.L"))
    damage = damage_of(FACILITY, CABLE, answer, drawn)
    # By hand from the file: S12/1 carries the limiter's left output to PB2 T1, and on to LINK L.
    assert damage.silent == {jack("PB2.T1"), END, entry("XMIT.L")}
    assert damage.cut == {jack("PB2.T1"): -1}
    assert damage_of(FACILITY, Failure(), answer, drawn) == NO_DAMAGE


def test_a_patch_against_it_brings_the_line_back():
    standing = damaged(FACILITY, CABLE)
    answer = ask(standing, Trial(cords=((SOURCE, END),)))
    damage = damage_of(FACILITY, CABLE, answer, (END, jack("PB2.T1"), entry("XMIT.L")))
    assert damage.silent == {jack("PB2.T1")}


def test_a_failed_bay_is_dead_as_the_outage_says():
    failure = Failure(bays=("PB2",))
    answer = ask(damaged(FACILITY, failure), Trial())
    ports = (entry("XMIT.L"), entry("XMIT.R"), entry("MON.L"), entry("LIM.L"))
    damage = damage_of(FACILITY, failure, answer, ports)
    assert damage.bays == {"PB2"}
    assert damage.silent == {each.input for each in outage(FACILITY, failure).silenced}


def test_a_patch_is_tried_on_what_is_left_and_listed_with_the_failure(cut):
    QTest.mouseClick(cut.outage.put_button, Qt.MouseButton.LeftButton)
    workplace = cut.workplace
    assert workplace.failure == CABLE
    lines = cut.trial.tried.lines
    assert lines[0] == "Cable S12 cut"
    assert len(lines) == 1 + len(cut.outage.answer.together.cords)
    assert cut.trial.words.lines[0].startswith("Cable S12 cut: no input is silent")
    seen = set(classes(cut.canvas.tried(workplace.answer)))
    assert {"break-cross", "cord", "trial"} <= seen
    # Taken out of the list, the cable is whole again and the cord stays.
    cut.trial.tried.setCurrentRow(0)
    QTest.keyClick(cut.trial.tried, Qt.Key.Key_Delete)
    assert workplace.failure == Failure()
    assert workplace.trial.cords == cut.outage.answer.together.cords


def test_what_fails_is_told_to_lead_somewhere_and_escape_clears_it(cut):
    assert cut.workplace.put(Item("bay", "PB2"))
    words = cut.trial.words
    assert words.lines[0] == "Bay PB2 failed: silent now LINK L and LINK R."
    words.setCurrentRow(0)
    QTest.keyClick(words, Qt.Key.Key_Return)
    assert cut.workplace.selection == entry("XMIT.L")
    marks = cut.canvas.tried(cut.workplace.answer)
    dead = [mark for mark in marks if mark.ref is not None and "failed" in mark.ref.classes]
    drawn = [plan for plan in cut.canvas.chart.plan.points if plan.position.bay == "PB2"]
    assert len(dead) >= len(drawn) > 0
    cut.canvas.setFocus()
    QTest.keyClick(cut.canvas, Qt.Key.Key_Escape)
    QTest.keyClick(cut.canvas, Qt.Key.Key_Escape)
    assert cut.workplace.at_rest
    assert cut.canvas.tried(cut.workplace.answer) == ()


def test_plug_by_plug_the_line_comes_back_on_the_chart(cut):
    panel = cut.outage
    QTest.mouseClick(panel.step_button, Qt.MouseButton.LeftButton)
    silent = []
    for _ in range(len(panel.answer.together.steps) + 1):
        seen = list(classes(cut.canvas.tried(cut.workplace.answer)))
        silent.append(seen.count("silent"))
        QTest.mouseClick(panel.next_button, Qt.MouseButton.LeftButton)
    assert silent[0] > silent[-1]
    assert cut.workplace.failure == CABLE


def test_what_the_facility_no_longer_has_fails_no_longer(window):
    workplace = window.workplace
    assert workplace.put(Item("bay", "PB2"))
    text = PLANT.partition("  PB2:")[0]
    without = parse(text.encode(), "plant.yaml").facility
    workplace.change("Remove PB2", without)
    assert workplace.failure == Failure()
    workplace.undo()
    assert known(workplace.facility, Failure(cables=("S12/1", "S99"))) == Failure(cables=("S12/1",))


# ---- sheets


def test_a_trial_is_drawn_on_the_sheets_as_it_is_printed(window, qtbot):
    window.middle.see_sheets()
    qtbot.waitUntil(lambda: window.sheets.sheets is not None, timeout=30_000)
    filed = window.sheets.sheets
    window.workplace.put_cord(SOURCE, END)
    qtbot.waitUntil(lambda: window.sheets.sheets is not filed, timeout=30_000)
    trial = window.workplace.trial
    shown = set(classes(window.sheets.sheets.drawing.marks))
    printed = {
        c for d in draw(FACILITY, ask(FACILITY, trial), sheet="A3") for c in classes(d.marks)
    }
    assert {"cord", "trial", "tapped", "broken"} <= shown
    assert {"cord", "trial"} <= printed
    window.workplace.clear_trial()
    qtbot.waitUntil(lambda: window.sheets.sheets.drawing == filed.drawing, timeout=30_000)


def test_a_cord_is_dragged_from_jack_to_jack_on_the_sheets(window, qtbot):
    window.middle.see_sheets()
    qtbot.waitUntil(lambda: window.sheets.sheets is not None, timeout=30_000)
    canvas = window.sheets
    assert {SOURCE, END} <= set(canvas.sheets.jacks)
    canvas.zoom(2, canvas.screen_place(SOURCE))
    one, other = (canvas.screen_place(j).toPoint() for j in (SOURCE, END))
    if not canvas.rect().contains(other):
        canvas.look(canvas.view.moved(canvas.width() / 2 - other.x(), 0))
        one, other = (canvas.screen_place(j).toPoint() for j in (SOURCE, END))
    QTest.mousePress(canvas, Qt.MouseButton.LeftButton, pos=one)
    QTest.mouseMove(canvas, other)
    QTest.mouseRelease(canvas, Qt.MouseButton.LeftButton, pos=other)
    assert window.workplace.trial.cords == ((SOURCE, END),)


def test_places_of_jacks_are_those_of_their_rings():
    shown = sheets_of(FACILITY)
    for place in shown.jacks.values():
        refs = shown.spread.at(place, 1_500)
        # A plug may lie over the ring.
        assert {"jack", "plug", "dummy-plug"} & {kind for ref in refs for kind in ref.classes}
