"""Halves a graph of units across the lightest ties: multilevel, refined by moves of single units.

Coarsened by matching along heavy ties, halved where it is small, and refined on the way back
(Fiduccia and Mattheyses, 1982: best move first, each unit once a pass, best prefix kept).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

SMALL = 24
"""Units at which coarsening stops."""
PASSES = 6
PATIENCE = 50
"""Moves without a gain after which a pass ends."""
LARGE_TIE = 12
"""Ties of more members say nothing about which two units belong together."""
STARTS = 6


@dataclass(frozen=True, slots=True)
class Web:
    """Units by number: their sizes, and ties as (weight, members) of two members or more."""

    sizes: tuple[float, ...]
    ties: tuple[tuple[float, tuple[int, ...]], ...]

    @property
    def total(self) -> float:
        """The size of all units."""
        return sum(self.sizes)


@dataclass(frozen=True, slots=True)
class Bounds:
    """What the left half may measure, and what it should."""

    low: float
    goal: float
    high: float


def halve(web: Web, bounds: Bounds) -> tuple[bool, ...]:
    """For each unit whether it is in the left half."""
    levels = [web]
    ways: list[tuple[int, ...]] = []
    while len(levels[-1].sizes) > SMALL:
        coarser, way = _coarser(levels[-1], web.total / 8)
        if len(coarser.sizes) > 0.9 * len(levels[-1].sizes):
            break
        levels.append(coarser)
        ways.append(way)
    side = _first(levels[-1], bounds)
    for finer, way in zip(reversed(levels[:-1]), reversed(ways), strict=True):
        side = _refined(finer, [side[to] for to in way], bounds)
    return tuple(side)


def cut_weight(web: Web, side: Sequence[bool]) -> float:
    """The weight of all ties with members in both halves."""
    return sum(w for w, members in web.ties if len({side[m] for m in members}) == 2)


def _coarser(web: Web, most: float) -> tuple[Web, tuple[int, ...]]:
    """Units joined in pairs along heavy ties; and for each unit the number of its pair."""
    pull: dict[tuple[int, int], float] = {}
    for weight, members in web.ties:
        if len(members) > LARGE_TIE:
            continue
        for place, one in enumerate(members):
            for other in members[place + 1 :]:
                pair = (min(one, other), max(one, other))
                pull[pair] = pull.get(pair, 0.0) + weight / (len(members) - 1)
    mate: dict[int, int] = {}
    for (one, other), _ in sorted(pull.items(), key=lambda item: (-item[1], item[0])):
        if one in mate or other in mate or web.sizes[one] + web.sizes[other] > most:
            continue
        mate[one], mate[other] = other, one
    number: dict[int, int] = {}
    firsts = [unit for unit in range(len(web.sizes)) if mate.get(unit, unit) >= unit]
    for place, unit in enumerate(firsts):
        number[unit] = number[mate.get(unit, unit)] = place
    way = tuple(number[unit] for unit in range(len(web.sizes)))
    sizes = [0.0] * (max(way) + 1)
    for unit, to in enumerate(way):
        sizes[to] += web.sizes[unit]
    ties: dict[tuple[int, ...], float] = {}
    for weight, members in web.ties:
        kept = tuple(sorted({way[m] for m in members}))
        if len(kept) > 1:
            ties[kept] = ties.get(kept, 0.0) + weight
    return Web(tuple(sizes), tuple((w, m) for m, w in sorted(ties.items()))), way


def _first(web: Web, bounds: Bounds) -> list[bool]:
    """The best of several halves grown from units spread over the order, each refined."""
    count = len(web.sizes)
    seeds = sorted({round(step * (count - 1) / (STARTS - 1)) for step in range(STARTS)})
    found = [_refined(web, _grown(web, seed, bounds), bounds) for seed in seeds]
    return min(found, key=lambda side: (_outside(web, side, bounds), cut_weight(web, side)))


def _outside(web: Web, side: Sequence[bool], bounds: Bounds) -> float:
    size = sum(s for s, left in zip(web.sizes, side, strict=True) if left)
    return max(bounds.low - size, size - bounds.high, 0.0)


def _grown(web: Web, seed: int, bounds: Bounds) -> list[bool]:
    """A half grown from a unit, each time by what is tied to it most, to the goal."""
    side = [False] * len(web.sizes)
    pull = [0.0] * len(web.sizes)
    touched = [False] * len(web.ties)
    at = _incident(web)
    size, unit = 0.0, seed
    while True:
        side[unit] = True
        size += web.sizes[unit]
        for number in at[unit]:
            if not touched[number]:
                touched[number] = True
                for member in web.ties[number][1]:
                    pull[member] += web.ties[number][0]
        left = [u for u, inside in enumerate(side) if not inside]
        fitting = [u for u in left if size + web.sizes[u] <= bounds.high]
        if size >= bounds.goal or not fitting or len(left) == 1:
            return side
        unit = max(fitting, key=lambda u: (pull[u], -u))


def _incident(web: Web) -> list[list[int]]:
    at: list[list[int]] = [[] for _ in web.sizes]
    for number, (_, members) in enumerate(web.ties):
        for member in members:
            at[member].append(number)
    return at


def _refined(web: Web, side: list[bool], bounds: Bounds) -> list[bool]:
    for _ in range(PASSES):
        state = _Moves(web, side, bounds)
        better = state.run()
        if better is None:
            return side
        side = better
    return side


class _Moves:
    """One pass of moves: the halves as they stand, what each move would gain, what is locked."""

    def __init__(self, web: Web, side: Sequence[bool], bounds: Bounds) -> None:
        self._web, self._bounds = web, bounds
        self._side = list(side)
        self._at = _incident(web)
        self._left = [sum(side[m] for m in members) for _, members in web.ties]
        self._size = sum(s for s, left in zip(web.sizes, side, strict=True) if left)
        self._free = set(range(len(web.sizes)))
        self._largest = max(web.sizes)
        self._gain = [self._gain_of(unit) for unit in range(len(web.sizes))]

    def run(self) -> list[bool] | None:
        """The best halves met on the way; None where none is better than the first."""
        best, best_rank = None, (self._off(self._size), 0.0)
        gained, idle = 0.0, 0
        while self._free and idle < PATIENCE:
            allowed = [unit for unit in self._free if self._may_move(unit)]
            if not allowed:
                break
            unit = max(allowed, key=lambda u: (self._gain[u], -self._off(self._after(u)), -u))
            gained += self._gain[unit]
            self._move(unit)
            rank = (self._off(self._size), -gained)
            idle += 1
            if rank[0] < best_rank[0] - 1e-9 or (
                rank[0] < best_rank[0] + 1e-9 and rank[1] < best_rank[1] - 1e-9
            ):
                best, best_rank, idle = list(self._side), rank, 0
        return best

    def _off(self, size: float) -> float:
        """How far a left half is out of bounds."""
        return max(self._bounds.low - size, size - self._bounds.high, 0.0)

    def _after(self, unit: int) -> float:
        size = self._web.sizes[unit]
        return self._size - size if self._side[unit] else self._size + size

    def _may_move(self, unit: int) -> bool:
        """By a unit out of bounds at most for the time being, so that two can change places."""
        off = self._off(self._after(unit))
        return off <= self._largest or off < self._off(self._size)

    def _move(self, unit: int) -> None:
        self._size = self._after(unit)
        self._free.discard(unit)
        self._side[unit] = not self._side[unit]
        step = 1 if self._side[unit] else -1
        near: set[int] = set()
        for number in self._at[unit]:
            self._left[number] += step
            near.update(self._web.ties[number][1])
        for other in near & self._free:
            self._gain[other] = self._gain_of(other)

    def _gain_of(self, unit: int) -> float:
        gain = 0.0
        for number in self._at[unit]:
            weight, members = self._web.ties[number]
            here = self._left[number] if self._side[unit] else len(members) - self._left[number]
            if here == 1:
                gain += weight
            elif here == len(members):
                gain -= weight
        return gain
