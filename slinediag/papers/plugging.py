"""What a plug does at each jack of the facility at rest: break a normal, tap one, or both."""

from __future__ import annotations

from typing import Literal

from slinediag.address import Jack
from slinediag.circuit.contacts import broken_by_source, broken_by_target
from slinediag.model.facility import Facility

Act = Literal["breaks", "taps"]


def plug_acts(facility: Facility) -> dict[Jack, frozenset[Act]]:
    """By jack what a plug there does to the normals that are wired to it; none where none is."""
    found: dict[Jack, set[Act]] = {}
    for normal in facility.normals:
        source: Act = "breaks" if broken_by_source(normal.kind) else "taps"
        target: Act = "breaks" if broken_by_target(normal.kind) else "taps"
        found.setdefault(normal.source, set()).add(source)
        found.setdefault(normal.target, set()).add(target)
    return {jack: frozenset(acts) for jack, acts in found.items()}
