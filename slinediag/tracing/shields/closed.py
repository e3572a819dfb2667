"""The ground loops that a trial's cords close, as plain values with the way round in words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from slinediag.address import PortAddress
from slinediag.model.facility import Facility
from slinediag.tracing.cords import CordEnds, Trial
from slinediag.tracing.shields.loops import severity_of, shields_after, unbalanced_in
from slinediag.tracing.shields.words import way_round


@dataclass(frozen=True, slots=True)
class ShieldLoop:
    """A loop through shields that a cord closes.

    ``bay`` is the one bay it lies within; None where it runs between chassis or bays.
    ``unbalanced`` are the unbalanced ports whose shields are in it, ``way`` the way round.
    """

    cord: CordEnds
    severity: Literal["warning", "note"]
    bay: str | None
    unbalanced: tuple[PortAddress, ...]
    way: str


def closed_by(facility: Facility, trial: Trial) -> tuple[ShieldLoop, ...]:
    """The loops that the cords of a trial close, in the order of the cords."""
    if not trial.cords:
        return ()
    cords = {frozenset(cord): cord for cord in trial.cords}
    found = []
    for loop in shields_after(facility, trial).loops:
        cord = cords.get(frozenset(loop.cord.jacks)) if loop.cord is not None else None
        if cord is not None:
            found.append(
                ShieldLoop(
                    cord,
                    severity_of(facility, [loop]),
                    loop.bay,
                    unbalanced_in(facility, [loop]),
                    way_round(facility, loop),
                )
            )
    return tuple(found)
