"""An order under change, layer by layer, and what it costs to lead a file through it.

Where an item stands in a layer is told by even numbers, its ends by what lies between: an end of
the item at place k has a key from 2 k to 2 k + 1, one of an item that is taken out, at the slot
above place k, from 2 k - 1 to 2 k.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from slinediag.layout.expand import Ordered, lane
from slinediag.layout.nets import End
from slinediag.layout.spans import LinkEnd

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

Spot = tuple[int, int]
"""A layer and an item in it."""

Keys = tuple[tuple[float, ...], tuple[float, ...]]
"""The keys of a net's ends on the left and on the right of a gap."""

Loose = tuple[Spot | None, Ints]
"""A spot that is taken out with the slots it may take; None beyond the ends of a file."""

FAR = 1e9


@dataclass(frozen=True, slots=True)
class Tips:
    """The ends of a gap's nets on one side.

    ``of[k]``: those of net k, each as its item and where on that it is, from 0 to 1. In a row:
    ``items``, ``parts``, and where those of each net begin that has ``some``.
    """

    of: tuple[tuple[tuple[int, float], ...], ...]
    items: tuple[int, ...]
    parts: Floats
    starts: Ints
    some: NDArray[np.bool_]


def crossings_of_trees(one: Keys, other: Keys) -> int:
    """How often two nets must cross in a gap, whose edge is a circle on which their ends lie.

    Where k groups of ends of the one alternate with k of the other, k - 1 times.
    """
    lefts = sorted([(key, 0) for key in one[0]] + [(key, 1) for key in other[0]])
    rights = sorted([(key, 0) for key in one[1]] + [(key, 1) for key in other[1]], reverse=True)
    owners = [owner for _, owner in (*lefts, *rights)]
    changes = sum(a != b for a, b in zip(owners, owners[1:] + owners[:1], strict=True))
    return max(0, changes // 2 - 1)


class Table:
    """Rows under change and the nets between them; gap g, from -1, is right of layer g.

    ``spent``: how often two trees have been compared to cost places.
    """

    def __init__(self, ordered: Ordered) -> None:
        self._given = ordered
        self.spent = 0
        self.rows = [list(row) for row in ordered.rows]
        self._places = [_places(row) for row in self.rows]
        layered = ordered.layered
        self._nets: list[list[int]] = [[] for _ in range(layered.depth + 1)]
        ends: list[tuple[list[list[LinkEnd]], list[list[LinkEnd]]]]
        ends = [([], []) for _ in self._nets]
        for net, (first, last) in enumerate(layered.spans):
            for gap in range(first, last + 1):
                self._nets[gap + 1].append(net)
                for half, found in zip(ends[gap + 1], layered.ends_in_gap(net, gap), strict=True):
                    half.append(found)
        self._tips = [
            (self._side(nets, lefts, ordered.outputs), self._side(nets, rights, ordered.inputs))
            for nets, (lefts, rights) in zip(self._nets, ends, strict=True)
        ]
        self._at: dict[tuple[int, int, int], list[int]] = {}
        for gap, sides in enumerate(self._tips):
            for side, tips in enumerate(sides):
                for number, own in enumerate(tips.of):
                    for item in dict.fromkeys(item for item, _ in own):
                        self._at.setdefault((gap, side, item), []).append(number)

    @property
    def pairs(self) -> int:
        """Pairs of nets that share a gap."""
        return sum(len(nets) * (len(nets) - 1) // 2 for nets in self._nets)

    def ordered(self) -> Ordered:
        """The order as it is now."""
        return replace(self._given, rows=tuple(map(tuple, self.rows)))

    def place(self, spot: Spot) -> int:
        """Where in its layer a spot stands."""
        return self._places[spot[0]][spot[1]]

    def take_out(self, file: Iterable[Spot]) -> None:
        """Take spots of different layers out of them."""
        for layer, item in file:
            self.rows[layer].remove(item)
            self._places[layer] = _places(self.rows[layer])

    def put_in(self, file: Iterable[Spot], slots: Iterable[int]) -> None:
        """Put spots into their layers, each above what stands at its slot."""
        for (layer, item), slot in zip(file, slots, strict=True):
            self.rows[layer].insert(slot, item)
            self._places[layer] = _places(self.rows[layer])

    def restore(self, rows: Sequence[Sequence[int]]) -> None:
        """Put all rows back as they were."""
        self.rows = [list(row) for row in rows]
        self._places = [_places(row) for row in self.rows]

    def beside(self, spot: Spot) -> set[Spot]:
        """The spots that the nets at a spot lead to in the layers on both sides."""
        layer, item = spot
        found: set[Spot] = set()
        for side in (0, 1):
            gap = layer + 1 - side
            for number in self._at.get((gap, side, item), []):
                found.update(
                    (layer + 1 - 2 * side, end[0]) for end in self._tips[gap][1 - side].of[number]
                )
        return found

    def files(self) -> list[list[Spot]]:
        """Spots in single file, each file as long as can be; boxes of more lines by themselves."""
        onward: dict[Spot, Spot] = {}
        for gap, (lefts, rights) in enumerate(self._tips):
            for number in range(len(self._nets[gap])):
                left, right = lefts.of[number], rights.of[number]
                if len(left) == len(right) == 1:
                    one, other = (gap - 1, left[0][0]), (gap, right[0][0])
                    if self._single(one) and self._single(other):
                        onward[one] = other
        reached = set(onward.values())
        files = []
        for layer, row in enumerate(self.rows):
            for item in sorted(row):
                if (layer, item) not in reached:
                    file = [(layer, item)]
                    while file[-1] in onward:
                        file.append(onward[file[-1]])
                    files.append(file)
        return files

    def crossings(self) -> int:
        """How often all nets cross."""
        return sum(self.crossings_in(gap) for gap in range(-1, len(self.rows)))

    def crossings_in(self, gap: int) -> int:
        """How often the nets in a gap cross."""
        return sum(count for _, _, count in self.crossed(gap))

    def crossed(self, gap: int) -> list[tuple[int, int, int]]:
        """Nets that cross in a gap, and how often: (net, net, times)."""
        nets = self._nets[gap + 1]
        keys = [self._keys(gap, number) for number in range(len(nets))]
        low_left, high_left, low_right, high_right = self._extents(gap)
        # What lies wholly above another on both sides does not cross it.
        above = (high_left[:, None] < low_left) & (high_right[:, None] < low_right)
        met = np.triu(~(above | above.T), 1)
        found = []
        for a, b in zip(*(part.tolist() for part in np.nonzero(met)), strict=True):
            times = crossings_of_trees(keys[a], keys[b])
            if times:
                found.append((nets[a], nets[b], times))
        return found

    def costs(self, gap: int, left: Loose, right: Loose) -> Floats:
        """Crossings in a gap of the nets at two loose spots, for each pair of their slots."""
        costs = np.zeros((len(left[1]), len(right[1])))
        own = sorted({*self._own(gap, 0, left[0]), *self._own(gap, 1, right[0])})
        if not own:
            return costs
        mine = np.zeros(len(self._nets[gap + 1]), bool)
        mine[own] = True
        extents = [extent[~mine] for extent in self._extents(gap)]
        lone = []
        for number in own:
            tips = self._ends(gap, number)
            if len(tips[0]) == len(tips[1]) == 1:
                ends = [
                    self._end_keys(gap + side, tips[side][0], loose)
                    for side, loose in enumerate((left, right))
                ]
                costs = costs + _line_costs(ends[0], ends[1], extents)
                continue
            lone.append(number)
        if lone:
            others = [self._keys(gap, k) for k in np.flatnonzero(~mine).tolist()]
            costs = costs + self._slow_costs(gap, left, right, (lone, own), others)
        return costs

    def _slow_costs(
        self,
        gap: int,
        left: Loose,
        right: Loose,
        nets: tuple[Sequence[int], Sequence[int]],
        others: Sequence[Keys],
    ) -> Floats:
        """Crossings of some nets with others; of these and more among each other."""
        lone, own = nets
        costs = np.zeros((len(left[1]), len(right[1])))
        self.spent += costs.size * len(lone) * len(others)
        for i, slot in enumerate(left[1].tolist()):
            for j, other_slot in enumerate(right[1].tolist()):
                keys = {
                    number: self._loose_keys(gap, number, (left[0], slot), (right[0], other_slot))
                    for number in own
                }
                costs[i, j] = sum(
                    crossings_of_trees(keys[number], other) for number in lone for other in others
                ) + sum(crossings_of_trees(keys[a], keys[b]) for a, b in combinations(own, 2))
        return costs

    def _side(
        self, nets: Sequence[int], ends: Sequence[Sequence[LinkEnd]], ys: Sequence[tuple[int, ...]]
    ) -> Tips:
        of = tuple(
            tuple((lane(net), 0.5) if end is None else (end[0], _part(ys, end)) for end in found)
            for net, found in zip(nets, ends, strict=True)
        )
        counts = np.array([len(found) for found in of], np.int64)
        starts = (counts.cumsum() - counts)[counts > 0]
        items = tuple(item for found in of for item, _ in found)
        parts = np.array([part for found in of for _, part in found], np.float64)
        return Tips(of, items, parts, starts, counts > 0)

    def _own(self, gap: int, side: int, spot: Spot | None) -> list[int]:
        return [] if spot is None else self._at.get((gap + 1, side, spot[1]), [])

    def _ends(self, gap: int, number: int) -> tuple[tuple[tuple[int, float], ...], ...]:
        """A net's ends on the left and on the right."""
        lefts, rights = self._tips[gap + 1]
        return lefts.of[number], rights.of[number]

    def _single(self, spot: Spot) -> bool:
        """Whether at most one net comes and one goes."""
        layer, item = spot
        entering = self._at.get((layer, 1, item), [])
        leaving = self._at.get((layer + 1, 0, item), [])
        return item < 0 or (len(entering) < 2 and len(leaving) < 2)

    def _key(self, layer: int, end: tuple[int, float]) -> float:
        item, part = end
        return 2 * self._places[layer].get(item, -1) + part

    def _keys(self, gap: int, number: int) -> Keys:
        lefts, rights = self._ends(gap, number)
        return (
            tuple(self._key(gap, end) for end in lefts),
            tuple(self._key(gap + 1, end) for end in rights),
        )

    def _loose_keys(
        self, gap: int, number: int, left: tuple[Spot | None, int], right: tuple[Spot | None, int]
    ) -> Keys:
        """The keys of a net with the spots at slots."""
        sides = []
        for side, (spot, slot) in enumerate((left, right)):
            ends = self._ends(gap, number)[side]
            sides.append(
                tuple(
                    2 * slot - 1 + end[1]
                    if spot and end[0] == spot[1]
                    else self._key(gap + side, end)
                    for end in ends
                )
            )
        return sides[0], sides[1]

    def _end_keys(self, layer: int, end: tuple[int, float], loose: Loose) -> Floats:
        """The key of an end: for each slot where its item is loose, else the one it has."""
        spot, slots = loose
        if spot and end[0] == spot[1]:
            return np.asarray(2.0 * slots - 1 + end[1], np.float64)
        return np.array([self._key(layer, end)])

    def _extents(self, gap: int) -> tuple[Floats, Floats, Floats, Floats]:
        """The least and greatest key of each net on the left, then on the right; none is FAR."""
        found = []
        for side, tips in enumerate(self._tips[gap + 1]):
            places = self._places[gap + side] if 0 <= gap + side < len(self.rows) else {}
            at = np.array([places.get(item, -1) for item in tips.items], np.float64)
            keys = 2 * at + tips.parts
            low, high = np.full(len(tips.some), FAR), np.full(len(tips.some), -FAR)
            if len(tips.starts):
                low[tips.some] = np.minimum.reduceat(keys, tips.starts)
                high[tips.some] = np.maximum.reduceat(keys, tips.starts)
            found += [low, high]
        return found[0], found[1], found[2], found[3]


def _line_costs(left: Floats, right: Floats, extents: Sequence[Floats]) -> Floats:
    """Crossings of a line with others for each pair of its ends: with those neither above nor
    below it on both sides."""
    low_left, high_left, low_right, high_right = extents
    above = (high_left < left[:, None]).astype(np.float64) @ (high_right < right[:, None]).T
    below = (low_left > left[:, None]).astype(np.float64) @ (low_right > right[:, None]).T
    crossed = len(low_left) - above - below
    found: Floats = crossed.astype(np.float64)
    return found


def _places(row: Sequence[int]) -> dict[int, int]:
    return {item: place for place, item in enumerate(row)}


def _part(ys: Sequence[tuple[int, ...]], end: End) -> float:
    """How far down its box an end is, by order: from 0 to 1, neither included."""
    node, port = end
    column = sorted(ys[node])
    return (column.index(ys[node][port]) + 1) / (len(column) + 1)
