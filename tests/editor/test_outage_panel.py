"""Outages beside the chart: what falls silent, patches put in whole and plug by plug."""

from __future__ import annotations

import re

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from slinediag.editor.outage_panel import OutagePanel, answer_lines
from slinediag.editor.outage_steps import (
    both,
    parts,
    steps_of,
    trial_after,
    what_may_fail,
    whole_trial,
    without,
)
from slinediag.editor.workplace import Workplace
from slinediag.file.read import parse
from slinediag.tracing.outage.answer import outage
from slinediag.tracing.outage.failure import Failure
from slinediag.tracing.outage.no_patch_words import TIED
from slinediag.tracing.outage.values import Patch, Together
from slinediag.tracing.outage.words import back_again, outage_lines, patch_clause
from slinediag.tracing.trial import ask
from slinediag.tracing.values import Trial
from tests.builders import entry, jack, output
from tests.editor.plant import PLANT
from tests.tracing.test_outage_told import CHANGEOVER, LISTENING

FACILITY = parse(PLANT.encode(), "plant.yaml").facility
LIMITER = Failure(boxes=("LIM",))
DESK = Failure(boxes=("DESK",))


@pytest.fixture
def panel(window, qtbot):
    """The panel with the limiter failed and the answer there."""
    QTest.keyClick(window, Qt.Key.Key_E, Qt.KeyboardModifier.ControlModifier)
    panel = window.outage
    QTest.keyClicks(panel.chooser, "LIM")
    QTest.keyClick(panel.chooser, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: panel.answer is not None, timeout=30_000)
    return panel


def click(button):
    QTest.mouseClick(button, Qt.MouseButton.LeftButton)


def test_what_is_silent_is_what_the_command_answers(panel):
    assert panel.failure == LIMITER
    assert panel.answer == outage(FACILITY, LIMITER)
    # By hand from the file: all that LINK hears goes through the limiter.
    assert [each.input for each in panel.answer.silenced] == [entry("XMIT.L"), entry("XMIT.R")]
    assert panel.head.text() == "2 inputs fall silent."
    assert any(line.startswith("Priority 1: LINK L") for line in panel.lines.lines)


def test_one_click_puts_the_patch_in(window, panel):
    assert isinstance(panel.lines.carried, Together)
    click(panel.put_button)
    trial = window.workplace.trial
    assert trial.failed == ("LIM",)
    assert trial.cords == panel.answer.together.cords
    changes = {outcome.input: outcome.hears_after for outcome in window.workplace.answer.inputs}
    assert all(changes.get(port, True) for port in panel.answer.together.restores)


@pytest.mark.parametrize(
    ("sections", "first"),
    [
        # A dummy plug there stands in for the cord from the microphone's jack to it.
        (LISTENING, "PB.T2"),
        (LISTENING.replace("reverse-half", "half"), "PB.T3"),
    ],
)
def test_put_in_the_view_goes_to_a_jack_in_which_a_plug_is(sections, first, qtbot):
    file = parse(f"slinediag: 1\nfacility: {{name: Test}}\n{sections}".encode(), "p.yaml")
    panel = OutagePanel(Workplace(file))
    qtbot.addWidget(panel)
    shown = []
    panel.workplace.shown.connect(shown.append)
    panel.fail(DESK)
    qtbot.waitUntil(lambda: panel.answer is not None, timeout=30_000)
    panel.put_in()
    assert shown == [jack(first)]
    trial = panel.workplace.trial
    assert jack(first) in (*trial.plugs, *(end for cord in trial.cords for end in cord))


@pytest.mark.parametrize(("boxes", "silent"), [(("LIM",), "Nothing"), (("LIM", "PLY1"), "2")])
def test_a_box_passed_by_its_bypass_is_told_whatever_falls_silent(boxes, silent, qtbot):
    """Common practice: the relay keeps the station on the air, and nobody limits any more."""
    text = PLANT.replace("paths: straight}", "paths: straight, bypass: straight, caution: limits}")
    panel = OutagePanel(Workplace(parse(text.encode(), "p.yaml")))
    qtbot.addWidget(panel)
    panel.fail(Failure(boxes=boxes))
    qtbot.waitUntil(lambda: panel.answer is not None, timeout=30_000)
    assert panel.head.text().startswith(silent)
    assert "CAUTION: audio passes LIM by its bypass" in panel.head.text()


def test_plug_by_plug_forward_and_back(window, panel):
    click(panel.step_button)
    steps = panel.answer.together.steps
    assert panel.steps.isVisible()
    assert window.workplace.trial == Trial(failed=("LIM",))
    for done in range(1, len(steps) + 1):
        click(panel.next_button)
        assert window.workplace.trial == trial_after(FACILITY, LIMITER, steps[:done])
    assert not panel.next_button.isEnabled()
    assert set(window.workplace.trial.cords) == set(panel.answer.together.cords)
    click(panel.back_button)
    assert window.workplace.trial == trial_after(FACILITY, LIMITER, steps[:-1])
    click(panel.end_button)
    assert not panel.steps.isVisible()


def test_after_the_last_plug_the_keys_go_to_the_patches(window, panel, qtbot):
    window.activateWindow()
    qtbot.waitUntil(window.isActiveWindow)
    panel.step_button.setFocus()
    QTest.keyClick(panel.step_button, Qt.Key.Key_Space)
    while panel.steps.isVisible():
        # On from plug to plug, then out of the steps, all by one key.
        QTest.keyClick(window.focusWidget(), Qt.Key.Key_Space)
    assert window.focusWidget() is panel.lines


def test_each_step_does_to_inputs_what_the_outage_says():
    answer = outage(FACILITY, LIMITER)
    patches = [patch for silenced in answer.silenced for patch in silenced.patches]
    assert patches
    for patch in patches:
        assert isinstance(patch, Patch)
        silent = [o.input for o in heard(patch.steps[:0]) if not o.hears_after]
        for done, step in enumerate(patch.steps, 1):
            now = {o.input: o for o in heard(patch.steps[:done])}
            for port in step.restores:
                assert port in silent
                assert port not in now or now[port].hears_after


def heard(steps):
    return ask(FACILITY, trial_after(FACILITY, LIMITER, steps)).inputs


def test_mended_again_nothing_is_silent(panel):
    panel.failed.setCurrentRow(0)
    QTest.keyClick(panel.failed, Qt.Key.Key_Delete)
    assert panel.failure == Failure()
    assert not panel.lines.isVisible()


def test_everything_of_a_facility_may_fail():
    names = dict(what_may_fail(FACILITY))
    assert names["LINK – Transmitter link"] == Failure(boxes=("XMIT",))
    assert names["Bay PB1 – Sources"] == Failure(bays=("PB1",))
    assert names["All at Rack 1"] == Failure(places=("Rack 1",))
    assert names["Cable S12"] == Failure(cables=("S12",))


def test_failures_are_put_together_and_taken_apart():
    one, other = LIMITER, Failure(bays=("PB1",), cables=("S12",))
    whole = both(one, other)
    assert list(parts(whole)) == [LIMITER, Failure(bays=("PB1",)), Failure(cables=("S12",))]
    assert without(whole, other) == one
    assert both(whole, one) == whole


def test_a_cord_half_in_is_a_plug_and_half_out_too():
    # What the contact rules say of a plug whose cord leads nowhere yet: it is a dummy plug.
    cord = (jack("PB1.T4"), jack("PB2.B8"))
    step = outage(FACILITY, LIMITER).together.steps[0]
    out = [type(step)("pull", end, cord, (), (), (), None) for end in cord]
    half = trial_after(FACILITY, Failure(), out[:1])
    assert (half.pulled_cords, half.plugs) == ((cord,), (cord[1],))
    assert trial_after(FACILITY, Failure(), out) == Trial(pulled_cords=(cord,))


LISTENED = parse(f"slinediag: 1\nfacility: {{name: Test}}\n{LISTENING}".encode(), "p.yaml").facility


def test_a_patch_with_a_dummy_plug_is_tried_as_one():
    """The cord that only breaks is neither hung nor stepped through."""
    together = outage(LISTENED, DESK).together
    trial = whole_trial(LISTENED, DESK, together)
    assert trial.plugs == (jack("PB.T2"),)
    assert trial.cords == ((jack("PB.T3"), jack("PB.B2")),)
    steps = steps_of(together)
    assert [step.jack for step in steps if step.dummy] == [jack("PB.T2")]
    assert len(steps) == 3
    assert trial_after(LISTENED, DESK, steps) == trial
    (phones,) = (
        o for o in ask(LISTENED, trial, every_input=True).inputs if o.input == entry("PH.L")
    )
    assert phones.hears_after == (output("AIR.L"),)


def test_the_panel_has_the_words_of_the_command():
    """Every line but those that only name an input is in what the command prints."""
    for facility, failure in (
        (LISTENED, DESK),
        (FACILITY, LIMITER),
        (CHANGED, Failure(boxes=("SW",))),
    ):
        answer = outage(facility, failure)
        said = "\n".join(outage_lines(answer))
        lines = [words for words, _ in answer_lines(answer)]
        assert not any("Restores" in words or " moves " in words for words in lines)
        for words in lines:
            clause = words.strip().removeprefix("All together: ")
            for part in re.split(r"(?<=\.) ", clause)[1 if "All together: " in words else 0 :]:
                told = part.removesuffix(".").removeprefix("HEARS SOMETHING ELSE: ")
                if not told.endswith(("falls silent", "all together:")) and told not in said:
                    # What all patches do stands in the steps, not among the other ways.
                    assert any(
                        told == patch_clause(facility, p)
                        for s in answer.silenced
                        for p in s.patches
                    )
    first = next(iter(answer_lines(outage(LISTENED, DESK))))[0]
    assert (
        first == "All together: 1 cord and 1 dummy plug. Back, but with something else: PHONES L."
    )


CHANGED = parse(f"slinediag: 1\nfacility: {{name: Test}}\n{CHANGEOVER}".encode(), "p.yaml").facility


def test_why_there_is_no_patch_is_said_as_the_command_says_it():
    facility = parse(
        f"slinediag: 1\nfacility: {{name: Test}}\n{LISTENING}".replace(
            "reverse-half", "parallel"
        ).encode(),
        "p.yaml",
    ).facility
    lines = [words.strip() for words, _ in answer_lines(outage(facility, DESK))]
    assert any(words.startswith(f"NO PATCH: {TIED}. A half-normal to ") for words in lines)


def test_the_last_step_says_how_the_inputs_are_back(panel):
    click(panel.step_button)
    for _ in steps_of(panel.answer.together):
        click(panel.next_button)
    assert panel.step_words.text().splitlines()[1:] == list(
        back_again(FACILITY, panel.answer.together.by_hand.outcomes)
    )
    assert "LINK L and LINK R" in panel.step_words.text()
