"""Divides a graph over sheets: parts that fit, across the lightest ties.

A tie is cut once for each further sheet that its members stand on. Units are halved until every
part fits, then parts that belong together are joined again where they fit one sheet.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from heapq import heapify, heappop, heappush
from itertools import combinations, pairwise

from slinediag.layout.halving import Bounds, Web, cut_weight, halve
from slinediag.layout.pouring import pour_out
from slinediag.progress import Tell, silent, stages

SLACKS = (0.2, 0.4)
"""How far a half may be off its share, of one sheet's capacity and of the whole; the further only
where that cuts less."""
MANY = 100
"""Units of which halves are within the first of these always."""
OVERFULL = 1.6
"""Parts whose sizes add up to more than this many sheets are not tried as one."""
TRIES = 5
"""Joins that are tried, for each part."""

FIRM = 1.0
"""Ties of at least this weight hold units together wherever they fit one sheet."""

HELD = 2.0
GRAIN = 0.3
"""Groups are joined to so much of a sheet before any of it is measured."""

Fits = Callable[[Sequence[str]], bool]
Joins = Callable[[Sequence[str], Sequence[str]], bool]
"""Whether two parts that fit a sheet each fit one together."""


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
    units: Sequence[Unit],
    ties: Iterable[Tie],
    capacity: float,
    fits: Fits,
    joins: Joins | None = None,
) -> tuple[tuple[str, ...], ...]:
    """The units in parts that fit, each in the order given; parts by their first unit.

    ``capacity``: about how much size one sheet takes. ``fits`` measures a part, ``joins`` two parts
    together, unless they are measured as one. A unit that does not fit alone comes as a part of
    its own.
    """
    return Division(units, ties, capacity, fits, joins).parts(tuple(unit.id for unit in units))


class Division:
    """The units and ties of one graph, with the measure of a sheet."""

    def __init__(
        self,
        units: Sequence[Unit],
        ties: Iterable[Tie],
        capacity: float,
        fits: Fits,
        joins: Joins | None = None,
        adds: Joins | None = None,
        rows: Iterable[Sequence[str]] = (),
    ) -> None:
        self._ids = [unit.id for unit in units]
        self._number = {unit.id: number for number, unit in enumerate(units)}
        self._sizes = [unit.size for unit in units]
        self._ties = [
            (tie.weight, tuple(sorted({self._number[m] for m in tie.members}))) for tie in ties
        ]
        self._capacity, self._fits = capacity, fits
        self._joins = joins or self._fit_as_one
        self._adds = adds or self._joins
        self._rows = [[self._number[m] for m in row if m in self._number] for row in rows]

    def parts(self, whole: Sequence[str], tell: Tell = silent) -> tuple[tuple[str, ...], ...]:
        """The given units in parts that fit."""
        units = sorted(self._number[name] for name in whole)
        groups = self._gathered(self._grown_together(units))
        splitting, joining, pouring = stages(tell, (1, 2, 2))
        settled: list[list[int]] = []
        for group in groups:
            for part in self._split(group):
                settled.append(part)
                splitting(sum(map(len, settled)) / len(units), "dividing")
        parts = self._poured(self._joined(settled, joining), pouring)
        return tuple(self._names(part) for part in parts)

    def _fit_as_one(self, one: Sequence[str], other: Sequence[str]) -> bool:
        number = self._number.__getitem__
        return self._fits(tuple(sorted((*one, *other), key=number)))

    def _gathered(self, groups: list[list[int]]) -> list[list[int]]:
        """Groups joined, the most tied first, to about so much of a sheet that they surely fit."""
        joining = _Joining(sorted(groups), self._ties, self._sizes)
        while (pair := joining.next_tied(GRAIN * self._capacity, HELD)) is not None:
            joining.join(*pair)
        return sorted(joining.parts.values())

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

    def _split(self, part: list[int]) -> Iterator[list[int]]:
        """A part in parts that fit, each as soon as it is found."""
        if not part:
            return
        small = self._size(part) <= OVERFULL * self._capacity
        if len(part) == 1 or (small and self._fits(self._names(part))):
            yield part
            return
        for half in self._halved(part):
            yield from self._split(half)

    def _halved(self, part: list[int]) -> tuple[list[int], list[int]]:
        total = self._size(part)
        count = max(2, math.ceil(total / self._capacity))
        goal = total * (count // 2) / count
        lumps = self._lumps(part)
        web, found = self._web(lumps), []
        for share in SLACKS:
            slack = share * min(self._capacity, total)
            side = halve(web, Bounds(goal - slack, goal, goal + slack))
            found.append((round(cut_weight(web, side), 6), share, side))
            if len(lumps) > MANY:
                break
        *_, side = min(found)
        left = [unit for lump, inside in zip(lumps, side, strict=True) if inside for unit in lump]
        taken = set(left)
        right = [unit for unit in part if unit not in taken]
        if left and right:
            return sorted(left), right
        return part[: len(part) // 2], part[len(part) // 2 :]

    def _lumps(self, part: Sequence[int]) -> list[list[int]]:
        """The units of a part by what is not halved: runs of its rows as long as fit a sheet."""
        lump = {unit: [unit] for unit in part}
        for row in self._rows:
            for one, other in pairwise([unit for unit in row if unit in lump]):
                first, second = lump[one], lump[other]
                if first is not second and self._makes_lump(first, second, part):
                    both = sorted((*first, *second))
                    lump.update((unit, both) for unit in both)
        return list({id(units): units for units in lump.values()}.values())

    def _makes_lump(self, one: Sequence[int], other: Sequence[int], part: Sequence[int]) -> bool:
        """Whether two lumps fit a sheet, and are not all that is to be halved."""
        if len(one) + len(other) == len(part):
            return False
        size = self._size(one) + self._size(other)
        return size <= OVERFULL * self._capacity and self._joins(
            self._names(one), self._names(other)
        )

    def _web(self, lumps: Sequence[Sequence[int]]) -> Web:
        place = {unit: number for number, lump in enumerate(lumps) for unit in lump}
        ties: dict[tuple[int, ...], float] = {}
        for weight, members in self._ties:
            kept = tuple(sorted({place[m] for m in members if m in place}))
            if len(kept) > 1:
                ties[kept] = ties.get(kept, 0.0) + weight
        return Web(
            tuple(map(self._size, lumps)),
            tuple((weight, members) for members, weight in ties.items()),
        )

    def _joined(self, parts: list[list[int]], tell: Tell) -> list[list[int]]:
        """Parts joined two by two as long as any two fit one sheet: the most tied first, of these
        the smallest; then strangers, the largest first, to fill the sheets."""
        joining = _Joining(sorted(parts), self._ties, self._sizes)
        most = OVERFULL * self._capacity
        most_tries = tries = TRIES * len(parts)
        while tries > 0 and (pair := joining.next_pair(most)) is not None:
            tries -= 1
            tell(1 - tries / most_tries, "joining")
            one, other = (self._names(joining.parts[number]) for number in pair)
            if self._joins(one, other):
                joining.join(*pair)
        return sorted(joining.parts.values())

    def _poured(self, parts: list[list[int]], tell: Tell) -> list[list[int]]:
        """Parts poured out over others where that saves a sheet for little."""

        def joins(one: Sequence[int], other: Sequence[int]) -> bool:
            return self._adds(self._names(one), self._names(other))

        return pour_out(parts, self._ties, self._sizes, joins, self._grown_together, tell)


class _Joining:
    """Parts by number, as they are joined, and the pairs still to be tried."""

    def __init__(
        self,
        parts: Sequence[list[int]],
        ties: Sequence[tuple[float, tuple[int, ...]]],
        sizes: Sequence[float],
    ) -> None:
        self.parts = dict(enumerate(parts))
        self._weights = [weight for weight, _ in ties]
        part_of = {unit: number for number, part in self.parts.items() for unit in part}
        self._touched = [{part_of[m] for m in members if m in part_of} for _, members in ties]
        self._ties: dict[int, set[int]] = {number: set() for number in self.parts}
        for tie, touched in enumerate(self._touched):
            for number in touched:
                self._ties[number].add(tie)
        self._size = {n: sum(sizes[unit] for unit in part) for n, part in self.parts.items()}
        self._heap: list[tuple[float, float, int, int]] = []
        self._strangers: list[tuple[float, int, int]] | None = None
        for number in self.parts:
            self._push(number, later_only=True)

    def next_pair(self, most: float) -> tuple[int, int] | None:
        """The next two parts to try, together no larger than told; each pair comes once."""
        if (tied := self.next_tied(most)) is not None:
            return tied
        if self._strangers is None:
            self._strangers = [
                (-self._size[one] - self._size[other], one, other)
                for one, other in combinations(sorted(self.parts), 2)
                if not self._ties[one] & self._ties[other]
            ]
            heapify(self._strangers)
        while self._strangers:
            size, one, other = heappop(self._strangers)
            if -size <= most and one in self.parts and other in self.parts:
                return one, other
        return None

    def next_tied(self, most: float, least: float = 0.0) -> tuple[int, int] | None:
        """The next two parts of those that are tied, at least as strongly as told."""
        while self._heap and -self._heap[0][0] >= least:
            _, size, one, other = heappop(self._heap)
            if size <= most and one in self.parts and other in self.parts:
                return one, other
        return None

    def together(self, one: int, other: int) -> list[int]:
        """The units of two parts."""
        return sorted((*self.parts[one], *self.parts[other]))

    def join(self, one: int, other: int) -> None:
        """Make two parts one of a new number."""
        new = max(self._size) + 1
        self.parts[new] = self.together(one, other)
        self._size[new] = self._size[one] + self._size[other]
        self._ties[new] = self._ties[one] | self._ties[other]
        for tie in self._ties[new]:
            self._touched[tie] = self._touched[tie] - {one, other} | {new}
        for gone in (one, other):
            del self.parts[gone]
        self._push(new)
        if self._strangers is not None:
            for number in self.parts:
                if number != new and not self._ties[number] & self._ties[new]:
                    heappush(self._strangers, (-self._size[number] - self._size[new], number, new))

    def _push(self, number: int, *, later_only: bool = False) -> None:
        """Note the pairs of a part with all that it is tied to."""
        pull: dict[int, float] = {}
        for tie in sorted(self._ties[number]):
            for other in self._touched[tie]:
                if other != number and not (later_only and other < number):
                    pull[other] = pull.get(other, 0.0) + self._weights[tie]
        for other, weight in pull.items():
            size = self._size[number] + self._size[other]
            pair = (min(number, other), max(number, other))
            heappush(self._heap, (-round(weight, 6), size, *pair))
