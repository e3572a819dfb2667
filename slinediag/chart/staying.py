"""Leaves units on the sheets where an earlier set had them, and finds room for those that are new.

What lines hold together stays together. A sheet that is new takes the next number.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence

from slinediag.chart.division import Bench
from slinediag.chart.ties import ties_of
from slinediag.layout.sheets import FIRM, Division, Tie

TRIES = 5
"""Sheets on which room is looked for, the most tied first."""
STEM = re.compile(r"([^:]+:)([TB]?)[0-9]+", re.ASCII)

Part = tuple[str, ...]
Order = Callable[[Sequence[Part]], Sequence[Part]]
"""Parts in the order in which new sheets are numbered."""


def things_in(bench: Bench, unit: str) -> Part:
    """What a unit stands for: the nodes of all its positions where lines are folded, else itself.

    So that it is known again when it is folded otherwise.
    """
    point = bench.points.get(unit)
    found = STEM.fullmatch(unit)
    if point is None or found is None or len(point.positions) < 2:
        return (unit,)
    return tuple(f"{place.bay}:{found[2]}{place.number}" for place in point.positions)


class Staying:
    """The units of one chart, and on which sheet an earlier set had what they stand for."""

    def __init__(
        self,
        bench: Bench,
        before: Mapping[int, Iterable[str]],
        division: Division,
        fits: Callable[[Part], bool],
    ) -> None:
        self._order = {unit.id: number for number, unit in enumerate(bench.units)}
        self._size = {unit.id: unit.size for unit in bench.units}
        self._ties = ties_of(bench)
        self._division, self._fits = division, fits
        self._last = max(before, default=1)
        sheet = {name: number for number, names in before.items() for name in names}
        self._before = {
            unit: _most(sheet[thing] for thing in things_in(bench, unit) if thing in sheet)
            for unit in self._order
        }

    @property
    def shared(self) -> int:
        """How many units the earlier set had."""
        return sum(number is not None for number in self._before.values())

    def sheets(self, in_order: Order) -> dict[int, Part]:
        """All units by sheets: where they were, what is new where it is tied to and has room."""
        found: dict[int, list[str]] = {}
        loose = []
        for unit, number in self._before.items():
            if number is None:
                loose.append(unit)
            else:
                found.setdefault(number, []).append(unit)
        kept = {number: tuple(part) for number, part in sorted(found.items())}
        return self._with(kept, loose, in_order, ())

    def relieved(
        self, sheets: Mapping[int, Part], large: Collection[int], in_order: Order
    ) -> dict[int, Part]:
        """The sheets with those that are too large rid of what holds least to the rest of them."""
        kept, loose = dict(sheets), []
        for number in sorted(large):
            kept[number], shed = self._shed(sheets[number])
            loose += shed
        return self._with(kept, loose, in_order, large)

    def _shed(self, part: Part) -> tuple[Part, list[str]]:
        """The most of a part of several units that fits, by what lines hold together; the rest."""
        clusters = sorted(self._clusters(part), key=self._sum)
        found = [self._rest(clusters), self._rest(clusters[::-1])]
        fitting = [one for one in found if one is not None]
        if fitting:
            rest, shed = min(fitting, key=lambda one: len(one[1]))
            return rest, shed
        *others, largest = clusters
        pieces = sorted(self._division.halves(self._sorted(largest)), key=self._sum)
        return pieces[-1], [unit for piece in (*others, *pieces[:-1]) for unit in piece]

    def _rest(self, clusters: Sequence[Sequence[str]]) -> tuple[Part, list[str]] | None:
        """What fits once the first clusters are shed, and these; None where none fits."""
        for count in range(1, len(clusters)):
            rest = self._sorted(unit for cluster in clusters[count:] for unit in cluster)
            if self._fits(rest):
                return rest, [unit for cluster in clusters[:count] for unit in cluster]
        return None

    def _with(
        self,
        sheets: dict[int, Part],
        loose: Iterable[str],
        in_order: Order,
        full: Collection[int],
    ) -> dict[int, Part]:
        """The sheets with loose units, none of them on a full one; new sheets for what is left."""
        left: list[str] = []
        for cluster in self._clusters(self._sorted(loose)):
            joined = self._joined(sheets, cluster, full)
            if joined is None:
                left += cluster
            else:
                sheets[joined[0]] = joined[1]
        if left:
            parts = self._division.parts(self._sorted(left))
            start = max(self._last, *sheets, 1) + 1
            sheets.update(enumerate(map(self._sorted, in_order(parts)), start))
        return sheets

    def _joined(
        self, sheets: Mapping[int, Part], cluster: Sequence[str], full: Collection[int]
    ) -> tuple[int, Part] | None:
        """The sheet that a cluster is tied to most of those with room for it, with it on."""
        pull = self._pull(sheets, cluster)
        near = sorted((n for n in pull if n not in full), key=lambda n: (-pull[n], n))
        for number in near[:TRIES]:
            both = self._sorted((*sheets[number], *cluster))
            if self._fits(both):
                return number, both
        return None

    def _pull(self, sheets: Mapping[int, Part], cluster: Sequence[str]) -> dict[int, float]:
        """By sheet, how strongly it is tied to a cluster."""
        sheet = {unit: number for number, part in sheets.items() for unit in part}
        own, found = set(cluster), dict[int, float]()
        for tie in self._ties:
            if own.intersection(tie.members):
                for number in {sheet[unit] for unit in tie.members if unit in sheet}:
                    found[number] = found.get(number, 0.0) + tie.weight
        return {number: round(weight, 6) for number, weight in found.items()}

    def _clusters(self, part: Sequence[str]) -> list[list[str]]:
        """Units by what firm ties hold together, directly or through others."""
        cluster = {unit: [unit] for unit in part}
        for tie in self._ties:
            if tie.weight >= FIRM:
                _merge(cluster, tie)
        return list({id(members): members for members in cluster.values()}.values())

    def _sum(self, part: Iterable[str]) -> float:
        return sum(self._size[unit] for unit in part)

    def _sorted(self, part: Iterable[str]) -> Part:
        return tuple(sorted(part, key=self._order.__getitem__))


def _most(numbers: Iterable[int]) -> int | None:
    """The number that comes most often, the least of equals; None of none."""
    count = Counter(numbers)
    return min(count, key=lambda number: (-count[number], number), default=None)


def _merge(cluster: dict[str, list[str]], tie: Tie) -> None:
    """Make one of the clusters that a tie holds together, all their units pointing to it."""
    inside = [unit for unit in tie.members if unit in cluster]
    for unit in inside[1:]:
        one, other = cluster[inside[0]], cluster[unit]
        if one is not other:
            one += other
            cluster.update((moved, one) for moved in other)
