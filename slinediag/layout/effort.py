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
    in ``sweeps`` each; then follow ``rounds``, and ``polish`` with bundles in parts. Where lines
    still cross, those that are annealed and unlike each other go through the rounds ``unlike``.
    """

    starts: int
    first_sweeps: int
    kept: int
    sweeps: int
    rounds: tuple[Round, ...] = ()
    polish: tuple[Round, ...] = ()
    unlike: tuple[Round, ...] = ()


def effort_for(kind: Literal["quick", "thorough"], count: int) -> Effort:
    """Steps for ``count`` blocks, by experiment on graphs of 24 to 3,840 boxes in file.

    Spreading the layers once makes room; after that, rounds without it keep the drawing narrow.
    """
    return _quick(count) if kind == "quick" else _thorough(count)


def _quick(count: int) -> Effort:
    """From 90 blocks on, several starts go through the first rounds without annealing before: that
    is worth little until layers are spread, and the fewest crossings then are at another start."""
    if count < 40:
        polish = (Round(1, 2, 1, 5, 1, 8, 2.0),)
        return Effort(6, 3, 8, 15, (Round(1, 1, 1, 10, 2, 8, 8.0),), polish)
    if count < 90:
        polish = (Round(1, 2, 1, 5, 1, 8, 2.0),)
        return Effort(10, 3, 8, 8, (Round(2, 2, 1, 8, 2, 4, 8.0),), polish)
    if count < 330:
        four = (
            Round(4, 1, 1, 6, 2, 2, 8.0),
            Round(2, 1, 1, 6, 2, 2, 8.0),
            Round(2, 1, 1, 6, 1, 2, 3.0),
            Round(1, 3, 1, 6, 1, 2, 2.5),
        )
        return Effort(5, 2, 1, 0, four, (Round(1, 1, 0, 5, 1, 2, 1.5),))
    if count < 700:
        three = (
            Round(3, 1, 1, 6, 2, 1, 8.0),
            Round(2, 1, 1, 6, 1, 1, 2.5),
            Round(1, 3, 1, 6, 1, 1, 2.5),
        )
        return Effort(4, 2, 1, 0, three, (Round(1, 1, 0, 4, 1, 1, 1.5),))
    if count < 3000:
        two = (Round(2, 1, 1, 6, 2, 1, 8.0), Round(1, 2, 1, 6, 1, 1, 2.5))
        return Effort(3, 2, 1, 0, two, (Round(1, 1, 0, 3, 1, 1, 1.0),))
    return Effort(1, 1, 1, 2)


def _thorough(count: int) -> Effort:
    if count < 60:
        three = (
            Round(12, 1, 1, 12, 2, 8, 8.0),
            Round(4, 2, 1, 12, 1, 8, 4.0),
            Round(1, 4, 2, 12, 1, 8, 3.0),
        )
        unlike = (
            Round(4, 1, 1, 12, 2, 8, 8.0),
            Round(2, 2, 1, 12, 1, 8, 4.0),
            Round(1, 2, 2, 12, 1, 8, 3.0),
        )
        return Effort(20, 4, 24, 15, three, (Round(1, 5, 1, 10, 1, 8, 3.0),), unlike)
    if count < 200:
        three = (
            Round(8, 1, 1, 10, 2, 4, 8.0),
            Round(3, 2, 1, 10, 1, 4, 4.0),
            Round(1, 4, 2, 10, 1, 4, 3.0),
        )
        return Effort(16, 3, 16, 12, three, (Round(1, 5, 1, 8, 1, 4, 3.0),))
    if count < 330:
        two = (Round(2, 1, 2, 12, 2, 4, 8.0), Round(1, 48, 2, 8, 1, 2, 3.0))
        return Effort(8, 2, 6, 12, two, (Round(1, 8, 1, 8, 1, 2, 2.0),))
    if count < 700:
        two = (Round(2, 1, 2, 12, 2, 2, 8.0), Round(1, 24, 2, 10, 1, 2, 3.0))
        return Effort(12, 3, 8, 20, two, (Round(1, 4, 1, 8, 1, 2, 2.0),))
    if count < 3000:
        two = (Round(1, 1, 2, 10, 2, 2, 8.0), Round(1, 24, 2, 10, 1, 1, 3.0))
        return Effort(6, 2, 3, 8, two, (Round(1, 4, 1, 8, 1, 1, 2.0),))
    return Effort(3, 2, 1, 6, (Round(1, 1, 1, 8, 2, 1, 8.0),))
