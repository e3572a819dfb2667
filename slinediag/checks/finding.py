"""What a check reports: one finding, with its place, its reason and its cure."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

from slinediag.model.facility import Acceptance

Severity = Literal["danger", "error", "warning", "note"]

SEVERITIES: tuple[Severity, ...] = ("danger", "error", "warning", "note")
"""Worst first."""


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing a check reports.

    ``where`` are the addresses concerned, the chief one first: jacks, ports, equipment, bays; none
    where an entry of the facility itself is meant.
    ``basis`` is the standard or practice that it rests on; ``accepted`` the facility's own word
    that it stands as it is, with the reason.
    """

    rule: str
    severity: Severity
    where: tuple[str, ...]
    message: str
    basis: str
    cure: str
    accepted: Acceptance | None = None

    @property
    def grave(self) -> bool:
        """Whether it is an error or a danger that nobody has accepted."""
        return self.severity in ("danger", "error") and self.accepted is None

    def to_dict(self) -> dict[str, Any]:
        """The finding as plain values, ready for JSON."""
        return {
            "rule": self.rule,
            "severity": self.severity,
            "where": list(self.where),
            "message": self.message,
            "basis": self.basis,
            "cure": self.cure,
            "accepted": _acceptance_dict(self.accepted) if self.accepted else None,
        }


def _acceptance_dict(acceptance: Acceptance) -> dict[str, Any]:
    return {
        "reason": acceptance.reason,
        "by": acceptance.by,
        "date": acceptance.date.isoformat() if acceptance.date else None,
    }
