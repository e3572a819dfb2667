"""Segments joined straight: as many lines without a bend as fit, the widest bundles first.

Each line between two boxes can run straight at one of its ends wherever there is room; at both,
only if the boxes stand at one certain distance. So the bundles that are straight throughout form
a forest over the boxes, and the heaviest forest is found by taking the heaviest bundle first
(Kruskal, "On the shortest spanning subtree of a graph", Proc. AMS 7, 1956). The order of the
layers forbids some: those are left out.
"""

from __future__ import annotations

import heapq
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from copy import copy
from itertools import groupby
from operator import itemgetter

Straight = tuple[int, int, int]
"""A run (one, other, rise): straight where other stands rise below one."""

Distances = tuple[list[int], list[int], list[int]]
"""Least distances (upper, lower, distance) of segments; upper is always the lesser number."""


# How many groups may give way to one run: beyond, it is not worth the time.
MOST = 1000
# How many segments are followed before it is asked which way is less.
STEPS = 8


class Giving:
    """How far each group gives way if one moves.

    ``sign``: 1 downwards, -1 upwards. ``work``: the ways of all segments together. ``ways`` and
    ``work`` only grow until it is ``done``.
    """

    def __init__(self, levels: Levels, moved: int, way: int, sign: int) -> None:
        self.levels, self.way, self.sign = levels, way, sign
        group = levels.group[moved]
        members = levels.members[group]
        self.ways = {group: way}
        self.work = way * len(members)
        self.done = False
        self._waiting = [sign * segment for segment in members]
        heapq.heapify(self._waiting)

    def go(self, facing: Mapping[int, int]) -> bool:
        """Follow it some steps; False if the other end of the run, or over MOST groups, gave way.

        ``facing``: the ways if the other end moves, as far as they are known. What gives way to
        both by more than the run is off passes the one on to the other. Segments are visited from
        the top down, or up, so that hardly any is met twice.
        """
        levels, ways, waiting, sign = self.levels, self.ways, self._waiting, self.sign
        beside = levels.below if sign > 0 else levels.above
        level, groups, members = levels.level, levels.group, levels.members
        for _ in range(STEPS):
            if not waiting:
                self.done = True
                break
            segment = sign * heapq.heappop(waiting)
            here = sign * level[segment] + ways[groups[segment]]
            for other, distance in beside[segment]:
                need = here + distance - sign * level[other]
                if need <= 0:
                    continue
                group = groups[other]
                before = ways.get(group, 0)
                if need > before:
                    if need + facing.get(group, 0) > self.way or len(ways) > MOST:
                        return False
                    ways[group] = need
                    self.work += (need - before) * len(members[group])
                    for member in members[group]:
                        heapq.heappush(waiting, sign * member)
        return True


def _less(one: Giving, other: Giving) -> bool:
    """Whether one way moves less, and no more groups."""
    return one.work < other.work and len(one.ways) <= len(other.ways)


class Levels:
    """Levels of segments, in micrometres, and the groups that move as one.

    ``runs``: how many lines each stands for. ``stretch``: how much longer the lines may grow
    together for one that becomes straight, for each line there is.
    """

    def __init__(
        self, level: list[int], fixed: Distances, runs: Mapping[Straight, int], stretch: float
    ) -> None:
        self.level = level
        self.group = list(range(len(level)))
        self.members = [[segment] for segment in self.group]
        self.above: list[list[tuple[int, int]]] = [[] for _ in level]
        self.below: list[list[tuple[int, int]]] = [[] for _ in level]
        for upper, lower, distance in zip(*fixed, strict=True):
            self.above[lower].append((upper, distance))
            self.below[upper].append((lower, distance))
        # Per segment the other ends of its runs, where they stand if straight, and the lines.
        self.ends: list[list[tuple[int, int, int]]] = [[] for _ in level]
        self.lines = [0] * len(level)
        for (one, other, rise), lines in runs.items():
            self.ends[one].append((other, -rise, lines))
            self.ends[other].append((one, rise, lines))
            self.lines[one] += lines
            self.lines[other] += lines
        self.most = round(stretch * sum(runs.values()))

    def join(self, run: Straight, worth: int) -> bool:
        """Make a run straight for good by moving whole groups; False if that cannot be.

        ``worth``: how many lines become straight by it.
        """
        one, other, rise = run
        off = self.level[one] + rise - self.level[other]
        if self.group[one] == self.group[other]:
            return off == 0
        if off:
            giving = self._giving(run, off)
            if giving is None:
                return False
            sign, ways = giving.sign, giving.ways
            if self._growth(ways, sign, worth * self.most) > worth * self.most:
                return False
            for group, way in ways.items():
                for segment in self.members[group]:
                    self.level[segment] += sign * way
        self._unite(self.group[one], self.group[other])
        return True

    def _giving(self, run: Straight, off: int) -> Giving | None:
        """What gives way if one end of a run moves, the one that moves less; None if neither can.

        Either can only if the other stays, so both are followed, the lesser first, until it is
        known which is less: the other way is often very much longer.
        """
        one, other, _ = run
        sign = 1 if off > 0 else -1
        forth, back = Giving(self, other, abs(off), sign), Giving(self, one, abs(off), -sign)
        while not (forth.done and back.done):
            if forth.done and not _less(back, forth):
                return forth
            if back.done and _less(back, forth):
                return back
            if back.done or (forth.work <= back.work and not forth.done):
                follows = forth.go(back.ways)
            else:
                follows = back.go(forth.ways)
            if not follows:
                return None
        return back if _less(back, forth) else forth

    def _growth(self, ways: Mapping[int, int], sign: int, enough: int) -> int:
        """How much longer all runs become together if groups go these ways.

        What is surely no more than ``enough`` is not worked out.
        """
        bound = sum(way * self.lines[group] for group, way in ways.items())
        if bound <= enough:
            return bound
        level, groups, growth = self.level, self.group, 0
        for group, way in ways.items():
            for segment in self.members[group]:
                here = level[segment]
                for other, rise, lines in self.ends[segment]:
                    off = here - level[other] - rise
                    further = groups[other]
                    if further not in ways:
                        growth += 2 * lines * (abs(off + sign * way) - abs(off))
                    elif ways[further] != way:
                        moved = off + sign * (way - ways[further])
                        growth += lines * (abs(moved) - abs(off))
        return growth // 2

    def copy(self) -> Levels:
        """The same levels and groups, to be moved apart from these."""
        other = copy(self)
        other.level, other.group = list(self.level), list(self.group)
        other.members, other.lines = list(self.members), list(self.lines)
        return other

    def take(self, other: Levels) -> None:
        """Stand as a copy does."""
        self.level, self.group = other.level, other.group
        self.members, self.lines = other.members, other.lines

    def _unite(self, one: int, other: int) -> None:
        if len(self.members[one]) < len(self.members[other]):
            one, other = other, one
        for segment in self.members[other]:
            self.group[segment] = one
        # A new list: copies share the old one.
        self.members[one] = [*self.members[one], *self.members[other]]
        self.members[other] = []
        self.lines[one] += self.lines[other]


def join_straight(levels: Levels, runs: Iterable[Straight], first: Sequence[Straight] = ()) -> None:
    """Join what can be: widest bundle first, in it the run that is nearest to straight.

    ``first``: bundles that come before all wider ones.
    """
    runs = list(runs)
    bundle_of = _bundles(runs)
    width = Counter(bundle_of.values())
    rank = {bundle: -lines for bundle, lines in width.items()}
    for place, bundle in enumerate(reversed(first), 1):
        rank[bundle] = -len(runs) - place

    def key(run: Straight) -> tuple[int, Straight, int, Straight]:
        found = [bundle_of[end] for end in run[:2] if end in bundle_of]
        bundle = min(found, key=rank.__getitem__, default=(0, 0, 0))
        off = abs(levels.level[run[0]] + run[2] - levels.level[run[1]])
        return rank.get(bundle, 0), bundle, off, run

    for (_, bundle), part in groupby(sorted(map(key, runs)), itemgetter(0, 1)):
        nearest = [run for *_, run in part]
        if width[bundle] > 1:
            lines = [[end for end in run[:2] if bundle_of.get(end) == bundle] for run in nearest]
            in_order = [run for _, run in sorted(zip(lines, nearest, strict=True))]
            _join_bundle(levels, bundle, nearest, in_order, width[bundle])
        else:
            for run in nearest:
                levels.join(run, 1)


def _join_bundle(
    levels: Levels,
    bundle: Straight,
    nearest: Sequence[Straight],
    in_order: Sequence[Straight],
    lines: int,
) -> None:
    """Join what can be of a bundle, the run first that is nearest to straight.

    Where some cannot, its boxes are joined before its lines, from one end or the other, if that
    makes more runs straight: a line that comes first may stand in the way of all others.
    """

    def tried(start: Levels, order: Iterable[Straight]) -> tuple[int, Levels]:
        trial = start.copy()
        return sum([trial.join(run, lines) for run in order]), trial

    best = tried(levels, nearest)
    if best[0] < len(nearest):
        # The boxes' own run is no line.
        joined, boxes = tried(levels, [bundle])
        for order in (in_order, in_order[::-1]):
            if joined and best[0] < len(nearest):
                best = max(best, tried(boxes, order), key=itemgetter(0))
    levels.take(best[1])


def bent_bundles(level: Sequence[int], runs: Iterable[Straight]) -> list[Straight]:
    """The bundles of two lines or more that are not straight on these levels, widest first."""
    runs = list(runs)
    bundle_of = _bundles(runs)
    bent: Counter[Straight] = Counter()
    for one, other, rise in runs:
        if level[other] - level[one] != rise:
            bent.update({bundle_of[end] for end in (one, other) if end in bundle_of})
    return sorted((b for b, lines in bent.items() if lines > 1), key=lambda b: (-bent[b], b))


def _bundles(runs: Iterable[Straight]) -> dict[int, Straight]:
    """Per segment with two ends, where its boxes stand if it is straight: (one, other, rise)."""
    ends: dict[int, list[tuple[int, int]]] = defaultdict(list)
    for one, other, rise in runs:
        ends[one].append((other, -rise))
        ends[other].append((one, rise))
    found = {}
    for segment, pair in ends.items():
        if len(pair) == 2:
            (one, to_one), (other, to_other) = sorted(pair)
            found[segment] = (one, other, to_one - to_other)
    return found
