"""How far a long piece of work is: told by who does it, shown by who asked for it.

A function that lasts takes ``tell``, calls it with the share that is done (0 to 1, never less
than before) and what it is at, and knows nothing of screens. The share is of work, by counted
pieces, so that it is honest without a clock.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import TypeVar

Tell = Callable[[float, str], None]
"""Takes the share done, 0 to 1, and a few words on what is being done."""

Piece = TypeVar("Piece")


def silent(share: float, doing: str) -> None:
    """Tell nobody."""


def within(tell: Tell, start: float, end: float) -> Tell:
    """A teller for a part of the work: its 0 to 1 are ``start`` to ``end`` of the whole."""

    def told(share: float, doing: str) -> None:
        tell(start + share * (end - start), doing)

    return told


def through(pieces: Sequence[Piece], tell: Tell, doing: str) -> Iterator[Piece]:
    """The pieces one by one, telling after each what share of them is done."""
    for number, piece in enumerate(pieces, 1):
        yield piece
        tell(number / len(pieces), doing)


def onward(tell: Tell) -> Tell:
    """A teller that keeps to itself what would go back: work that has to be done once more."""
    furthest = 0.0

    def told(share: float, doing: str) -> None:
        nonlocal furthest
        if share >= furthest:
            furthest = share
            tell(share, doing)

    return told


def stages(tell: Tell, weights: Iterable[float]) -> list[Tell]:
    """A teller for each of several stages that take about these shares of the whole."""
    found, start = [], 0.0
    known = list(weights)
    for weight in known:
        end = start + weight / sum(known)
        found.append(within(tell, start, end))
        start = end
    return found


def rounds(tell: Tell) -> Iterator[Tell]:
    """A teller for each of rounds of which nobody knows how many there will be, the first the most
    likely to be the last: each takes two thirds of what is left."""
    start = 0.0
    while True:
        end = start + (1.0 - start) * 2 / 3
        yield within(tell, start, end)
        start = end
