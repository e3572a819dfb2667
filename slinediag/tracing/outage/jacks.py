"""From kinds of jack to jacks: which free jacks carry moves out, shortest cords first.

Of cords side by side each jack may be used once. Where a jack stands foremost in so many ways of
one cord as other cords may take jacks from it, and as many more as an answer lists, its further
ways come into no answer: there is always a better one with the same other cords.
"""

from __future__ import annotations

import itertools
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from functools import cached_property

from slinediag.address import Jack
from slinediag.tracing.outage.board import Move, Moves
from slinediag.tracing.outage.rank import LISTED
from slinediag.tracing.outage.situation import Situation
from slinediag.tracing.values import CordEnds

Ways = list[tuple[int, CordEnds]]
"""Lengths in millimetres, and the two jacks."""


class JackChoice:
    """The free jacks of each kind, and the cords that reach between two kinds."""

    def __init__(self, situation: Situation) -> None:
        self._board = situation.board
        self._reach = situation.reach
        self.shortest_of_all = round(1000 * situation.reach.least)
        self._free: dict[int, tuple[Jack, ...]] = {}
        self._ways: dict[tuple[int, int], Ways] = {}
        self._lengths: dict[int, Sequence[int | None]] = {}
        self._by_length: dict[int, list[tuple[int, frozenset[int]]]] = {}
        self._last_least: tuple[Moves, int | None] = ((), 0)
        self._kinds_freed: dict[frozenset[Jack], frozenset[int]] = {}
        self._once_freed: dict[tuple[int, int, frozenset[Jack]], Ways] = {}

    def free(self, kind: int, freed: frozenset[Jack] = frozenset()) -> tuple[Jack, ...]:
        """The jacks of a kind that hold no plug, once some are freed."""
        found = self._free.get(kind)
        if found is None or freed:
            taken = self._board.occupied - freed
            found = tuple(j for j in self._board.kinds[kind].jacks if j not in taken)
            if not freed:
                self._free[kind] = found
        return found

    def shortest(self, one: int, other: int, freed: frozenset[Jack] = frozenset()) -> int | None:
        """The shortest cord between free jacks of two kinds; None where none reaches."""
        if freed and self._concerns(freed, one, other):
            ways = self._between(one, other, freed)
            return ways[0][0] if ways else None
        return self.lengths(one)[other]

    def lengths(self, kind: int) -> Sequence[int | None]:
        """The shortest cords between a kind and each kind, none where none reaches; kept."""
        found = self._lengths.get(kind)
        if found is None:
            found = self._lengths[kind] = self._measure_all(kind)
        return found

    def by_length(self, kind: int) -> list[tuple[int, frozenset[int]]]:
        """The lengths of the shortest cords from a kind, with the kinds each reaches; kept."""
        found = self._by_length.get(kind)
        if found is None:
            reached: dict[int, list[int]] = {}
            for other, length in enumerate(self.lengths(kind)):
                if length is not None:
                    reached.setdefault(length, []).append(other)
            found = [(length, frozenset(kinds)) for length, kinds in sorted(reached.items())]
            self._by_length[kind] = found
        return found

    def freed_by(self, moves: Iterable[Move]) -> frozenset[Jack]:
        """The jacks that the pulls among these moves free."""
        return frozenset(
            jack for move in moves if move.pulled >= 0 for jack in self._board.cords[move.pulled]
        )

    def least(self, moves: Moves) -> int | None:
        """The least total length of the cords of these moves; None where one does not reach.

        The last one is kept: a search asks for those of one view again and again.
        """
        if self._last_least[0] != moves:
            self._last_least = moves, self._add_up(moves)
        return self._last_least[1]

    def _add_up(self, moves: Moves) -> int | None:
        freed = self.freed_by(moves)
        total = 0
        for move in moves:
            if move.pulled < 0:
                ways = self._between(move.one, move.other, freed)
                if not ways:
                    return None
                total += ways[0][0]
        return total

    def choices(self, moves: Moves) -> Iterator[tuple[int, tuple[CordEnds, ...]]]:
        """Total lengths and cords, shortest first, then in natural order; no jack used twice."""
        freed = self.freed_by(moves)
        puts = [self._between(m.one, m.other, freed) for m in moves if m.pulled < 0]
        if len(puts) > 1:
            puts = [foremost(ways, LISTED + 2 * len(puts) - 2) for ways in puts]
        picked = []
        for picks in itertools.product(*puts):
            cords = tuple(cord for _, cord in picks)
            jacks = [jack for cord in cords for jack in cord]
            if len(set(jacks)) == len(jacks):
                picked.append((sum(length for length, _ in picks), cords))
        place = self._board.place
        yield from sorted(picked, key=lambda p: (p[0], [[place[j] for j in c] for c in p[1]]))

    def _between(self, one: int, other: int, freed: frozenset[Jack]) -> Ways:
        """All cords between free jacks of two kinds, shortest first."""
        if freed and not self._concerns(freed, one, other):
            freed = frozenset()
        ends = (one, other) if one <= other else (other, one)
        if freed:
            found = self._once_freed.get((*ends, freed))
            if found is None:
                found = self._measure(self.free(ends[0], freed), self.free(ends[1], freed))
                self._once_freed[(*ends, freed)] = found
            return found
        found = self._ways.get(ends)
        if found is None:
            found = self._ways[ends] = self._measure(self.free(ends[0]), self.free(ends[1]))
        return found

    def _concerns(self, freed: frozenset[Jack], one: int, other: int) -> bool:
        kinds = self._kinds_freed.get(freed)
        if kinds is None:
            kinds = frozenset(map(self._board.kind_of.__getitem__, freed))
            self._kinds_freed[freed] = kinds
        return one in kinds or other in kinds

    @cached_property
    def _spots(self) -> list[tuple[str, list[tuple[int, Jack]]]]:
        """The free jacks bay by bay, each with its kind."""
        by_bay: dict[str, list[tuple[int, Jack]]] = {}
        for kind in range(len(self._board.kinds)):
            for jack in self.free(kind):
                by_bay.setdefault(jack.bay, []).append((kind, jack))
        return list(by_bay.items())

    def _measure_all(self, kind: int) -> Sequence[int | None]:
        found: list[int | None] = [None] * len(self._board.kinds)
        for one in self.free(kind):
            for bay, jacks in self._spots:
                lengths = self._reach.lengths(one, bay)
                if not lengths:
                    continue
                for other, jack in jacks:
                    length, shortest = lengths[jack.row][jack.position], found[other]
                    if length is None or (other == kind and jack == one):
                        continue
                    if shortest is None or length < shortest:
                        found[other] = length
        return found

    def _measure(self, ones: tuple[Jack, ...], others: tuple[Jack, ...]) -> Ways:
        place = self._board.place
        found: dict[frozenset[Jack], tuple[int, CordEnds]] = {}
        for one, other in itertools.product(ones, others):
            lengths = self._reach.lengths(one, other.bay) if one != other else None
            length = lengths[other.row][other.position] if lengths else None
            if length is not None:
                cord = (one, other) if place[one] <= place[other] else (other, one)
                found[frozenset(cord)] = length, cord
        return sorted(found.values(), key=lambda way: (way[0], *(place[j] for j in way[1])))


def foremost(ways: Ways, most: int) -> Ways:
    """The ways in their order, each jack in so many of them at most."""
    used: Counter[Jack] = Counter()
    kept = []
    for length, cord in ways:
        if all(used[jack] < most for jack in cord):
            used.update(cord)
            kept.append((length, cord))
    return kept
