"""How many steps each effort may take: counted, so that no clock decides what is drawn."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, slots=True)
class Effort:
    """Steps of the search for an order of ``count`` blocks.

    ``starts`` waves are sifted both ways up in ``first_sweeps``; the best ``kept`` are annealed
    in ``sweeps`` each.
    """

    starts: int
    first_sweeps: int
    kept: int
    sweeps: int


def effort_for(kind: Literal["quick", "thorough"], count: int) -> Effort:
    """Steps by experiment on graphs of 24 to 3,840 boxes in file."""
    if kind == "quick":
        starts = min(24, max(6, 3300 // count))
        if count < 90:
            return Effort(starts, 4, 8, 30)
        if count < 330:
            return Effort(starts, 4, 3, 20)
        return Effort(starts if count <= 700 else starts // 2, 3, 1, 15)
    starts = min(60, max(12, 13000 // count))
    return Effort(starts, 4, 24 if count <= 200 else 8, 30)
