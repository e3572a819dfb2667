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
    stretch: int
    copies: int
    heat: float


@dataclass(frozen=True, slots=True)
class Effort:
    """Steps of the search for an order.

    ``starts`` waves are sifted both ways up in ``first_sweeps``; the best ``kept`` are annealed
    in ``sweeps`` each; then follow ``rounds``.
    """

    starts: int
    first_sweeps: int
    kept: int
    sweeps: int
    rounds: tuple[Round, ...]


def effort_for(kind: Literal["quick", "thorough"], count: int) -> Effort:
    """Steps for ``count`` blocks, by experiment on graphs of 24 to 3,840 boxes in file.

    Spreading the layers once makes room; after that, rounds without it keep the drawing narrow.
    """
    return _quick(count) if kind == "quick" else _thorough(count)


def _quick(count: int) -> Effort:
    if count < 90:
        return Effort(6, 3, 8, 15, (Round(1, 1, 1, 12, 2, 8, 8.0),))
    if count < 330:
        rounds = (Round(1, 1, 1, 8, 2, 4, 8.0), Round(1, 2, 1, 8, 1, 4, 4.0))
        return Effort(4, 2, 4, 8, rounds)
    if count < 700:
        return Effort(3, 2, 1, 6, (Round(1, 1, 1, 8, 2, 2, 8.0),))
    if count < 3000:
        return Effort(3, 2, 1, 6, (Round(1, 1, 1, 8, 2, 1, 8.0),))
    return Effort(1, 1, 1, 2, ())


def _thorough(count: int) -> Effort:
    if count < 200:
        rounds = (
            Round(6, 1, 2, 20, 2, 8, 8.0),
            Round(3, 3, 2, 15, 1, 8, 4.0),
            Round(1, 8, 2, 12, 1, 4, 3.0),
        )
        return Effort(20, 4, 24, 25, rounds)
    if count < 330:
        return Effort(8, 2, 6, 12, (Round(2, 1, 2, 12, 2, 4, 8.0), Round(1, 32, 2, 8, 1, 2, 3.0)))
    if count < 700:
        return Effort(12, 3, 8, 20, (Round(2, 1, 2, 12, 2, 2, 8.0), Round(1, 12, 2, 10, 1, 2, 3.0)))
    if count < 3000:
        return Effort(6, 2, 3, 8, (Round(1, 1, 2, 10, 2, 2, 8.0), Round(1, 12, 2, 10, 1, 1, 3.0)))
    return Effort(3, 2, 1, 6, (Round(1, 1, 1, 8, 2, 1, 8.0),))
