"""Cords, and what a person would do with them and with plugs: a trial."""

from __future__ import annotations

from dataclasses import dataclass

from slinediag.address import Jack

CordEnds = tuple[Jack, Jack]
"""A cord by its two jacks, first-named end first."""


def cord_text(cord: CordEnds) -> str:
    """A cord as answers write it, ``PB1.T3=PB2.B7``."""
    return f"{cord[0]}={cord[1]}"


@dataclass(frozen=True, slots=True)
class Trial:
    """What a person would do: cords and dummy plugs out, cords and dummy plugs in, boxes dead."""

    cords: tuple[CordEnds, ...] = ()
    pulled_cords: tuple[CordEnds, ...] = ()
    pulled_plugs: tuple[Jack, ...] = ()
    plugs: tuple[Jack, ...] = ()
    failed: tuple[str, ...] = ()

    @property
    def empty(self) -> bool:
        """Whether nothing is changed."""
        return self == Trial()
