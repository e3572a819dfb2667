"""Where else audio can be taken from once a jack is taken: by a mult, and by refeeding one.

A jack holds one plug. Where several silent inputs want what stands at one, a cord from it into a
mult makes three jacks of it; and where a dead output feeds a mult by a standing cord, that cord's
jack takes another.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import permutations
from typing import NamedTuple

from slinediag.address import Jack
from slinediag.tracing.outage.board import Moves
from slinediag.tracing.outage.situation import Situation
from slinediag.tracing.values import CordEnds


class Moved(NamedTuple):
    """Cords put in and standing cords pulled."""

    cords: tuple[CordEnds, ...]
    pulls: tuple[CordEnds, ...]

    @property
    def size(self) -> int:
        """How many moves that is."""
        return len(self.cords) + len(self.pulls)


WITH_ROOM = 3
"""A mult needs this many free jacks: two for the cords through it and one to spare."""


class Outlets:
    """The free jacks beside cords and pulls that are chosen already."""

    def __init__(self, situation: Situation, chosen: Moved, moves: Moves) -> None:
        """``moves`` are what is chosen, as moves of the board."""
        self._board, self._reach = situation.board, situation.reach
        self._plugs = situation.board.after(moves)
        freed = {jack for cord in chosen.pulls for jack in cord}
        self._held = [jack for cord in chosen.cords for jack in cord]
        self.taken = (situation.board.occupied - freed) | {*self._held}

    def _free(self, kind: int) -> list[Jack]:
        return [jack for jack in self._board.kinds[kind].jacks if jack not in self.taken]

    def twins(self, jack: Jack) -> list[Jack]:
        """The free jacks on the net of one that is taken, in which a plug breaks nothing."""
        board = self._board
        tip, ring = (
            set(board.net(cell, self._plugs)) for cell in board.kinds[board.kind_of[jack]].springs
        )
        kinds = sorted({kind for cell in tip for kind in board.kinds_on[cell]})
        return [
            twin
            for kind in kinds
            if board.kinds[kind].behind is None
            and board.kinds[kind].springs[0] in tip
            and board.kinds[kind].springs[1] in ring
            for twin in self._free(kind)
        ]

    def variants(self, patch: Moved) -> Iterator[Moved]:
        """A patch as it is, or with a jack that is taken exchanged for a twin within reach."""
        short = self._short(patch)
        if not short:
            yield patch
        elif len(short) == 1:
            yield from self._exchanged(patch, short[0], self.twins(short[0]))

    def from_others(self, patch: Moved) -> Iterator[Moved]:
        """A patch with its jack that is taken exchanged for a free one on the net of any other that
        the chosen cords hold."""
        short = self._short(patch)
        if len(short) == 1:
            others = (twin for jack in self._held for twin in self.twins(jack))
            yield from self._exchanged(patch, short[0], dict.fromkeys(others))

    def _short(self, patch: Moved) -> list[Jack]:
        """The jacks of a patch that are taken, also once it has pulled what it pulls."""
        taken = self.taken - {jack for cord in patch.pulls for jack in cord}
        return [jack for cord in patch.cords for jack in cord if jack in taken]

    def _exchanged(self, patch: Moved, jack: Jack, others: Iterable[Jack]) -> Iterator[Moved]:
        for other in others:
            cords = tuple(_with(cord, jack, other) for cord in patch.cords)
            if self._length(*cords) is not None:
                yield Moved(cords, patch.pulls)

    def through_mult(self, source: Jack, entry: Jack) -> Iterator[tuple[CordEnds, CordEnds]]:
        """Two cords from a jack to another by way of a mult that carries nothing and has a jack to
        spare, one for each mult, the shortest first."""
        found: list[tuple[int, int, tuple[CordEnds, CordEnds]]] = []
        for kind, way in enumerate(self._board.kinds):
            jacks = self._free(kind) if way.behind is None else []
            if len(jacks) < WITH_ROOM or self._carries(kind):
                continue
            ways = [((source, one), (other, entry)) for one, other in permutations(jacks, 2)]
            known = [(length, way) for way in ways if (length := self._length(*way)) is not None]
            if known:
                length, best = min(known, key=lambda one: one[0])
                found.append((length, kind, best))
        yield from (way for _, _, way in sorted(found))

    def _carries(self, kind: int) -> bool:
        """Whether any port is on the net of a kind."""
        springs = self._board.kinds[kind].springs
        met = [self._board.meets(cell, self._plugs) for cell in springs]
        return any(outputs or inputs for outputs, inputs, _ in met)

    def _length(self, *cords: CordEnds) -> int | None:
        """The length of cords in millimetres; None where one does not reach."""
        total = 0
        for cord in cords:
            length = self._reach.length(*cord) if cord[0] != cord[1] else None
            if length is None:
                return None
            total += round(1000 * length)
        return total

    def refeeds(self, sources: Iterable[Jack], pullable: Iterable[CordEnds]) -> Iterator[Moved]:
        """A standing cord pulled and one of its jacks fed anew: from each source that is free, or
        from a twin of it."""
        free = [
            jack
            for source in dict.fromkeys(sources)
            for jack in ([source] if source not in self.taken else self.twins(source)[:1])
        ]
        for cord in pullable:
            for entry in cord:
                for source in free:
                    if self._length((source, entry)) is not None:
                        yield Moved(((source, entry),), (cord,))


def _with(cord: CordEnds, jack: Jack, twin: Jack) -> CordEnds:
    one, other = (twin if end == jack else end for end in cord)
    return one, other
