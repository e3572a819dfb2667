"""What a trial makes of the chart beside its plugs: failed boxes, inputs lost or doubled,
and all that falls silent."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from slinediag.address import Address, PortAddress
from slinediag.chart.silence import silenced
from slinediag.model.facility import Facility
from slinediag.tracing.phrases import port_name
from slinediag.tracing.values import Answer, Change, InputOutcome


@dataclass(frozen=True, slots=True)
class Outcome:
    """The trial's outcome as the chart marks it; empty without a trial."""

    failed: frozenset[str] = frozenset()
    changes: Mapping[PortAddress, Change] = field(default_factory=dict)
    hears: Mapping[PortAddress, str] = field(default_factory=dict)
    """By input that hears something else, what that is called."""
    silent: frozenset[Address] = frozenset()
    """The jacks and ports on nets that carried audio before and carry none now."""


def outcome_of(answer: Answer | None) -> Outcome:
    """The outcome of an answer; an empty one where there is none."""
    if answer is None:
        return Outcome()
    return Outcome(
        frozenset(answer.trial.failed),
        {outcome.input: outcome.change for outcome in answer.inputs},
        {o.input: name for o in answer.inputs if (name := _heard(answer.facility, o))},
        silenced(answer),
    )


def _heard(facility: Facility, outcome: InputOutcome) -> str:
    """What an input hears instead of what it heard: what newly feeds it, else the one origin; empty
    where nothing else is heard, or more than a few words tell."""
    if outcome.change not in ("altered", "gained"):
        return ""
    feeds, heard = outcome.feeds_after, outcome.hears_after
    if feeds != outcome.feeds_before and len(feeds) == 1:
        return port_name(facility, feeds[0])
    return port_name(facility, heard[0]) if len(heard) == 1 else ""
