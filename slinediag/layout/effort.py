"""How many steps each effort may take: counted, so that no clock decides what is drawn."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, slots=True)
class Round:
    """The best ``kept`` get ``times`` rounds each: ``passes`` over the layers, then ``sweeps``
    over ``copies`` of the order from ``heat``. Before, the layers are spread ``stretch`` times.
    """

    kept: int
    times: int
    passes: int
    sweeps: int
    stretch: int = 2
    copies: int = 4
    heat: float = 8.0


@dataclass(frozen=True, slots=True)
class Effort:
    """Steps of the search for an order of ``count`` blocks.

    ``starts`` waves are sifted both ways up in ``first_sweeps``; the best ``kept`` are annealed
    in ``sweeps`` each; then follow ``rounds``.
    """

    starts: int
    first_sweeps: int
    kept: int
    sweeps: int
    rounds: tuple[Round, ...]


def effort_for(kind: Literal["quick", "thorough"], count: int) -> Effort:
    """Steps by experiment on graphs of 24 to 3,840 boxes in file."""
    if kind == "quick":
        starts = min(24, max(6, 3300 // count))
        if count < 90:
            return Effort(starts, 4, 8, 30, (Round(5, 1, 2, 25), Round(2, 3, 2, 25)))
        if count < 330:
            return Effort(starts, 4, 3, 20, (Round(2, 1, 1, 15), Round(1, 2, 1, 15)))
        starts = starts if count <= 700 else starts // 2
        return Effort(starts, 3, 1, 15, (Round(1, 2, 1, 15),))
    starts = min(60, max(12, 13000 // count))
    if count <= 200:
        rounds = (Round(12, 1, 2, 30), Round(6, 3, 2, 30), Round(2, 4, 2, 30))
        return Effort(starts, 4, 24, 30, rounds)
    rounds = (Round(5, 1, 2, 30), Round(3, 2, 2, 30), Round(1, 2, 2, 30))
    return Effort(starts, 4, 8, 30, rounds)
