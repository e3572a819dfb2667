"""Random facilities and trials against networkx components built at contact level."""

from __future__ import annotations

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from slinediag.tracing.trial import ask
from tests import oracle
from tests.strategies import facilities, trials

THOROUGH = settings(max_examples=150, deadline=None, suppress_health_check=list(HealthCheck))


@THOROUGH
@given(st.data())
def test_a_trial_does_what_the_contacts_do(data):
    facility = data.draw(facilities())
    trial = data.draw(trials(facility))
    answer = ask(facility, trial, every_input=True)
    wanted = oracle.changes(facility, trial)
    assert len(answer.inputs) == len(wanted)
    for got in answer.inputs:
        sets = (got.feeds_before, got.feeds_after, got.hears_before, got.hears_after)
        found = (got.change, *({tuple(p) for p in ports} for ports in sets))
        assert found == wanted[tuple(got.input)], got.input
    for outcome in answer.cords:
        assert (outcome.idle, outcome.feedback) == oracle.cord_outcome(
            facility, trial, outcome.cord
        )
    # These plants have no phantom; with it harmless is judged in tests/tracing/test_phantom.py.
    assert answer.harmless == oracle.harmless(facility, trial)
    found = [
        (
            tuple(step.jack),
            {
                (tuple(a.normal.source), tuple(a.normal.target), a.normal.kind): a.effect
                for a in step.acts
            },
        )
        for step in answer.plugs
    ]
    assert found == oracle.acts(facility, trial)


@THOROUGH
@given(st.data())
def test_a_trial_leaves_no_trace(data):
    facility = data.draw(facilities())
    trial = data.draw(trials(facility))
    first = ask(facility, trial, every_input=True)
    ask(facility, data.draw(trials(facility)))
    assert ask(facility, trial, every_input=True) == first
