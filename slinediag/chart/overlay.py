"""What a trial makes of the chart beside its plugs: failed boxes, inputs lost or doubled."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from slinediag.address import PortAddress
from slinediag.tracing.values import Answer, Change


@dataclass(frozen=True, slots=True)
class Outcome:
    """The trial's outcome as the chart marks it; empty without a trial."""

    failed: frozenset[str] = frozenset()
    changes: Mapping[PortAddress, Change] = field(default_factory=dict)

    def lost(self, port: PortAddress) -> bool:
        """Whether an input falls silent."""
        return self.changes.get(port) == "lost"


def outcome_of(answer: Answer | None) -> Outcome:
    """The outcome of an answer; an empty one where there is none."""
    if answer is None:
        return Outcome()
    return Outcome(
        frozenset(answer.trial.failed),
        {outcome.input: outcome.change for outcome in answer.inputs},
    )
