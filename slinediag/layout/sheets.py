"""Divides a graph over sheets: parts that fit, across the lightest ties.

A tie is cut once for each further sheet that its members stand on. Units are halved until every
part fits, then parts that belong together are joined again where they fit one sheet.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from slinediag.layout.halving import Bounds, Web, halve

SLACK = 0.2
"""How far a half may be off its share, of one sheet's capacity and of the whole."""
OVERFULL = 1.6
"""Parts whose sizes add up to more than this many sheets are not tried as one."""
TRIES = 5
"""Joins that are tried, for each part."""

FIRM = 1.0
"""Ties of at least this weight hold units together wherever they fit one sheet."""

Fits = Callable[[Sequence[str]], bool]


@dataclass(frozen=True, slots=True)
class Unit:
    """What is not divided: its id, and about how much of a sheet it takes, any measure."""

    id: str
    size: float


@dataclass(frozen=True, slots=True)
class Tie:
    """What holds units together, and how much it costs to cut it once."""

    weight: float
    members: tuple[str, ...]


def divide(
    units: Sequence[Unit], ties: Iterable[Tie], capacity: float, fits: Fits
) -> tuple[tuple[str, ...], ...]:
    """The units in parts that fit, each in the order given; parts by their first unit.

    ``capacity``: about how much size one sheet takes. ``fits`` measures a part. A unit that does
    not fit alone comes as a part of its own.
    """
    return Division(units, ties, capacity, fits).parts(tuple(unit.id for unit in units))


class Division:
    """The units and ties of one graph, with the measure of a sheet."""

    def __init__(
        self, units: Sequence[Unit], ties: Iterable[Tie], capacity: float, fits: Fits
    ) -> None:
        self._ids = [unit.id for unit in units]
        self._number = {unit.id: number for number, unit in enumerate(units)}
        self._sizes = [unit.size for unit in units]
        self._ties = [
            (tie.weight, tuple(sorted({self._number[m] for m in tie.members}))) for tie in ties
        ]
        self._capacity, self._fits = capacity, fits

    def parts(self, whole: Sequence[str]) -> tuple[tuple[str, ...], ...]:
        """The given units in parts that fit."""
        groups = self._grown_together(sorted(self._number[name] for name in whole))
        parts = self._joined([part for group in groups for part in self._split(group)])
        return tuple(self._names(part) for part in parts)

    def _grown_together(self, whole: Sequence[int]) -> list[list[int]]:
        """The units by what firm ties hold together, directly or through others."""
        root = {unit: unit for unit in whole}

        def find(unit: int) -> int:
            while root[unit] != unit:
                root[unit] = root[root[unit]]
                unit = root[unit]
            return unit

        for weight, members in self._ties:
            inside = [m for m in members if m in root]
            if weight >= FIRM:
                for one, other in pairwise(inside):
                    root[find(other)] = find(one)
        groups: dict[int, list[int]] = {}
        for unit in whole:
            groups.setdefault(find(unit), []).append(unit)
        return list(groups.values())

    def halves(self, part: Sequence[str]) -> tuple[tuple[str, ...], ...]:
        """A part of two units or more in parts that fit, at least two."""
        numbers = sorted(self._number[name] for name in part)
        return tuple(self._names(p) for half in self._halved(numbers) for p in self._split(half))

    def _names(self, part: Iterable[int]) -> tuple[str, ...]:
        return tuple(self._ids[number] for number in part)

    def _size(self, part: Iterable[int]) -> float:
        return sum(self._sizes[number] for number in part)

    def _split(self, part: list[int]) -> list[list[int]]:
        if not part:
            return []
        if len(part) == 1:
            return [part]
        if self._size(part) <= OVERFULL * self._capacity and self._fits(self._names(part)):
            return [part]
        return [piece for half in self._halved(part) for piece in self._split(half)]

    def _halved(self, part: list[int]) -> tuple[list[int], list[int]]:
        total = self._size(part)
        count = max(2, math.ceil(total / self._capacity))
        goal = total * (count // 2) / count
        slack = SLACK * min(self._capacity, total)
        side = halve(self._web(part), Bounds(goal - slack, goal, goal + slack))
        left = [unit for unit, inside in zip(part, side, strict=True) if inside]
        right = [unit for unit, inside in zip(part, side, strict=True) if not inside]
        if left and right:
            return left, right
        return part[: len(part) // 2], part[len(part) // 2 :]

    def _web(self, part: Sequence[int]) -> Web:
        place = {unit: number for number, unit in enumerate(part)}
        ties: dict[tuple[int, ...], float] = {}
        for weight, members in self._ties:
            kept = tuple(place[m] for m in members if m in place)
            if len(kept) > 1:
                ties[kept] = ties.get(kept, 0.0) + weight
        return Web(
            tuple(self._sizes[unit] for unit in part),
            tuple((weight, members) for members, weight in ties.items()),
        )

    def _joined(self, parts: list[list[int]]) -> list[list[int]]:
        """Parts joined two by two, the most tied first, as long as any two fit one sheet."""
        refused: set[tuple[tuple[int, ...], tuple[int, ...]]] = set()
        tries = TRIES * len(parts)
        while tries > 0:
            pair = self._next_pair(parts, refused)
            if pair is None:
                break
            one, other = pair
            tries -= 1
            both = sorted((*one, *other))
            if self._fits(self._names(both)):
                parts = [part for part in parts if part not in (one, other)] + [both]
            else:
                refused.add((tuple(one), tuple(other)))
        return sorted(parts)

    def _next_pair(
        self,
        parts: list[list[int]],
        refused: set[tuple[tuple[int, ...], tuple[int, ...]]],
    ) -> tuple[list[int], list[int]] | None:
        parts = sorted(parts)
        pull = self._pull(parts)
        best: tuple[float, float, int, int] | None = None
        for i, one in enumerate(parts):
            for j in range(i + 1, len(parts)):
                size = self._size(one) + self._size(parts[j])
                if size > OVERFULL * self._capacity or (tuple(one), tuple(parts[j])) in refused:
                    continue
                rank = (-pull.get((i, j), 0.0), -size, i, j)
                best = rank if best is None else min(best, rank)
        return (parts[best[2]], parts[best[3]]) if best else None

    def _pull(self, parts: Sequence[Sequence[int]]) -> dict[tuple[int, int], float]:
        """By two parts, the weight of the ties that would be cut once less if they were one."""
        part_of = {unit: number for number, part in enumerate(parts) for unit in part}
        pull: dict[tuple[int, int], float] = {}
        for weight, members in self._ties:
            touched = sorted({part_of[m] for m in members if m in part_of})
            for place, one in enumerate(touched):
                for other in touched[place + 1 :]:
                    pull[one, other] = pull.get((one, other), 0.0) + weight
        return pull
