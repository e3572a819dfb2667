"""Outages beside the chart: what falls silent, patches put in whole and plug by plug."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from slinediag.editor.outage_steps import both, parts, trial_after, what_may_fail, without
from slinediag.file.read import parse
from slinediag.tracing.outage.answer import outage
from slinediag.tracing.outage.failure import Failure
from slinediag.tracing.outage.values import Patch, Together
from slinediag.tracing.trial import ask
from slinediag.tracing.values import Trial
from tests.builders import entry, jack
from tests.editor.plant import PLANT

FACILITY = parse(PLANT.encode(), "plant.yaml").facility
LIMITER = Failure(boxes=("LIM",))


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
