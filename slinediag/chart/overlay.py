"""What a trial makes of the chart beside its plugs: failed boxes, inputs lost or doubled,
and all that falls silent."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from slinediag.address import Address, PortAddress
from slinediag.chart.silence import silenced
from slinediag.tracing.values import Answer, Change


@dataclass(frozen=True, slots=True)
class Outcome:
    """The trial's outcome as the chart marks it; empty without a trial."""

    failed: frozenset[str] = frozenset()
    changes: Mapping[PortAddress, Change] = field(default_factory=dict)
    silent: frozenset[Address] = frozenset()
    """The jacks and ports on nets that carried audio before and carry none now."""


def outcome_of(answer: Answer | None) -> Outcome:
    """The outcome of an answer; an empty one where there is none."""
    if answer is None:
        return Outcome()
    return Outcome(
        frozenset(answer.trial.failed),
        {outcome.input: outcome.change for outcome in answer.inputs},
        silenced(answer),
    )
