"""What it costs to lead lines through one gap, with the rows on both sides as they stand.

Where an item stands in a row is told by even numbers, its ends by what lies between: an end of
the item at place k has a key from 2 k to 2 k + 1. Boundary b lies above place b: an end of an item
that were to stand there would have a key from 2 b - 1 to 2 b. What moves counts as not there, so
that the boundaries on both sides of it are the same.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

Tips = tuple[tuple[int, float], ...]
"""The ends of a net on one side of a gap: the item, and where on that it is, from 0 to 1."""

Ends = tuple[int, Tips, Tips]
"""A net, and its ends on the left and on the right of a gap."""

Keys = tuple[Sequence[float], Sequence[float]]
"""The keys of a net's ends on the left and on the right of a gap."""

FAR = 1e9
# The ends of a gap lie on a circle: down on the left, then up on the right.
ROUND = 1e6


class Gap:
    """The nets in a gap with their ends; ``number`` stands for all of it.

    ``at[side][item]``: the nets with an end at an item, by their places in ``nets``. ``lines``:
    those that lead from one end to one end. ``busy``: boxes with several nets, by side.
    """

    def __init__(self, number: int, ends: Sequence[Ends]) -> None:
        self.number = number
        self.nets = tuple(net for net, _, _ in ends)
        self.tips: tuple[tuple[Tips, ...], tuple[Tips, ...]] = (
            tuple(lefts for _, lefts, _ in ends),
            tuple(rights for _, _, rights in ends),
        )
        self.is_line = np.array([len(le) == len(ri) == 1 for _, le, ri in ends], bool)
        self.trees = np.flatnonzero(~self.is_line)
        self.lines = [
            (lefts[0][0], rights[0][0])
            for _, lefts, rights in ends
            if len(lefts) == len(rights) == 1
        ]
        self.items = [[item for tips in side for item, _ in tips] for side in self.tips]
        self.parts = [np.array([p for tips in side for _, p in tips]) for side in self.tips]
        counts = [np.array([len(tips) for tips in side], np.int64) for side in self.tips]
        self.some = [count > 0 for count in counts]
        self.starts = [
            (count.cumsum() - count)[some] for count, some in zip(counts, self.some, strict=True)
        ]
        # The ends of each net follow each other: left, then right.
        owners = np.concatenate([np.repeat(np.arange(len(ends)), count) for count in counts])
        self.by_net = np.argsort(owners, kind="stable")
        self.sizes = counts[0] + counts[1]
        self.firsts = self.sizes.cumsum() - self.sizes
        self.at: tuple[dict[int, list[int]], dict[int, list[int]]] = ({}, {})
        for found, side in zip(self.at, self.tips, strict=True):
            for net, tips in enumerate(side):
                for item in dict.fromkeys(item for item, _ in tips):
                    found.setdefault(item, []).append(net)
        self.busy = [{item for item, nets in own.items() if len(nets) > 1} for own in self.at]


class Side:
    """One side of a gap with its row: where its items and the ends of the gap's nets stand.

    ``keys``: of all ends, net by net; ``low`` and ``high``: per net of its ends on this side.
    """

    def __init__(self, gap: Gap, side: int, row: Sequence[int]) -> None:
        self.size = len(row)
        self.places = {item: place for place, item in enumerate(row)}
        items, some, starts = gap.items[side], gap.some[side], gap.starts[side]
        places = [self.places[item] for item in items]
        self.keys: Floats = 2.0 * np.array(places, np.float64) + gap.parts[side]
        if len(starts) == len(some) == len(items):
            self.low = self.high = self.keys
        else:
            self.low, self.high = np.full(len(some), FAR), np.full(len(some), -FAR)
            if len(starts):
                self.low[some] = np.minimum.reduceat(self.keys, starts)
                self.high[some] = np.maximum.reduceat(self.keys, starts)
        self._beside: tuple[Floats, Floats] | None = None

    def beside(self) -> tuple[Floats, Floats]:
        """Boundary by net: 1 for each net wholly above, and for each wholly below."""
        if self._beside is None:
            bounds = 2.0 * np.arange(self.size + 1)[:, None] - 0.5
            above, below = (self.high < bounds).astype(float), (self.low > bounds).astype(float)
            self._beside = above, below
        return self._beside


class View:
    """A gap with the rows on its left and right; ``number`` stands for all of it.

    ``spent``: how often two trees have been compared to cost places.
    """

    def __init__(self, number: int, gap: Gap, sides: tuple[Side, Side]) -> None:
        self.number = number
        self.gap = gap
        self.sides = sides
        self.spent = 0
        self._between: Floats | None = None
        self._ends: dict[tuple[int, int], Floats] = {}
        self._crossed: tuple[Ints, Ints, Ints] | None = None

    def place(self, side: int, item: int) -> int:
        """Where in its row an item stands."""
        return self.sides[side].places[item]

    def line_costs(self, left: int, right: int) -> Floats:
        """Crossings of the line between two items for each pair of boundaries, less a constant."""
        if self._between is None:
            (above, below), (over, under) = self.sides[0].beside(), self.sides[1].beside()
            self._between = -(above @ over.T) - (below @ under.T)
        # Without the line itself.
        costs = self._between.copy()
        one, other = self.sides[0].places[left] + 1, self.sides[1].places[right] + 1
        costs[:one, :other] += 1
        costs[one:, other:] += 1
        return costs

    def end_costs(self, side: int, item: int) -> Floats:
        """Crossings of all nets at an item for each boundary of its row, less a constant."""
        known = self._ends.get((side, item))
        if known is None:
            known = self._ends[side, item] = self._end_costs(side, item)
        return known

    def crossings(self) -> int:
        """How often the nets cross."""
        return int(self._pairs()[2].sum())

    def crossed(self) -> list[tuple[int, int, int]]:
        """Nets that cross, and how often: (net, net, times)."""
        nets = self.gap.nets
        pairs = zip(*(part.tolist() for part in self._pairs()), strict=True)
        return [(nets[a], nets[b], times) for a, b, times in pairs if times]

    def _end_costs(self, side: int, item: int) -> Floats:
        gap, here, there = self.gap, self.sides[side], self.sides[1 - side]
        own = gap.at[side].get(item)
        costs = np.zeros(here.size + 1)
        if not own:
            return costs
        lines = [net for net in own if gap.is_line[net]]
        if lines:
            above, below = here.beside()
            far = there.low[lines]
            higher = (there.high[:, None] < far).sum(axis=1).astype(float)
            lower = (there.low[:, None] > far).sum(axis=1).astype(float)
            higher[own] = lower[own] = 0
            costs -= above @ higher + below @ lower
        trees = [net for net in own if not gap.is_line[net]]
        if trees:
            self.spent += here.size * len(trees) * (len(gap.nets) - len(own))
            costs += self._tree_costs(side, item, trees)
        return costs

    def _tree_costs(self, side: int, item: int, trees: Sequence[int]) -> Floats:
        """Crossings of trees at an item for each boundary of its row.

        The ends of one net part the circle into arcs. A tree with ends in k of them crosses it
        k - 1 times.
        """
        gap = self.gap
        ends = self._circle(side, item)
        costs = np.zeros(self.sides[side].size + 1)
        counted = np.ones(len(gap.nets))
        for tree in trees:
            first = int(gap.firsts[tree])
            own = ends[first : first + int(gap.sizes[tree])]
            before = (ends[:, None] < own).astype(np.int32)
            arcs = np.add.reduceat(before, gap.firsts, axis=0) % gap.sizes[:, None, None]
            arcs.sort(axis=1)
            turns = (arcs[:, 1:] != arcs[:, :-1]).sum(axis=1)
            counted[tree] = 0
            costs += counted @ turns
        return costs

    def _circle(self, side: int, item: int) -> Floats:
        """Where on the circle each end is, net by net, for each boundary at which an item is."""
        bounds = 2.0 * np.arange(self.sides[side].size + 1) - 1
        found = []
        for half, own in enumerate(self.sides):
            rows = np.repeat(own.keys[:, None], len(bounds), axis=1)
            if half == side:
                loose = [k for k, other in enumerate(self.gap.items[side]) if other == item]
                rows[loose] = bounds + self.gap.parts[side][loose, None]
            found.append(rows if half == 0 else ROUND - rows)
        circle: Floats = np.concatenate(found)[self.gap.by_net]
        return circle

    def _pairs(self) -> tuple[Ints, Ints, Ints]:
        """Pairs of nets that are not wholly above each other, and how often they cross."""
        if self._crossed is None:
            left, right = self.sides
            above = (left.high[:, None] < left.low) & (right.high[:, None] < right.low)
            one, other = np.nonzero(np.triu(~(above | above.T), 1))
            # A line crosses what is neither above nor below it once.
            times = np.ones(len(one), np.int64)
            is_line = self.gap.is_line
            for k in np.flatnonzero(~(is_line[one] | is_line[other])).tolist():
                times[k] = crossings_of_trees(self._tree(one[k]), self._tree(other[k]))
            self._crossed = one, other, times
        return self._crossed

    def _tree(self, net: int) -> Keys:
        """The keys of a net's ends."""
        left, right = (
            [2 * side.places[item] + part for item, part in tips[net]]
            for side, tips in zip(self.sides, self.gap.tips, strict=True)
        )
        return left, right


def crossings_of_trees(one: Keys, other: Keys) -> int:
    """How often two nets must cross in a gap, whose edge is a circle on which their ends lie.

    Where k groups of ends of the one alternate with k of the other, k - 1 times.
    """
    lefts = sorted([(key, 0) for key in one[0]] + [(key, 1) for key in other[0]])
    rights = sorted([(key, 0) for key in one[1]] + [(key, 1) for key in other[1]], reverse=True)
    owners = [owner for _, owner in (*lefts, *rights)]
    changes = sum(a != b for a, b in zip(owners, owners[1:] + owners[:1], strict=True))
    return max(0, changes // 2 - 1)
