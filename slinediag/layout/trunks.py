"""From channels and columns to corners: each edge's way, each net's tree of lines."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from slinediag.layout.channel import Upright
from slinediag.layout.expand import lane
from slinediag.layout.graph import micrometres
from slinediag.layout.nets import End
from slinediag.layout.route import Routed
from slinediag.layout.wires import Wire

Spot = tuple[int, int]
"""A point, x and y in micrometres."""

Level = tuple[int, int, int]
"""A level run: y, left x, right x."""

Plumb = tuple[int, int, int]
"""An upright run: x, top y, bottom y."""


@dataclass(frozen=True, slots=True)
class Tree:
    """A net's runs, joined where they follow each other, sorted; ``dots``: where it branches."""

    levels: tuple[Level, ...]
    plumbs: tuple[Plumb, ...]
    dots: tuple[Spot, ...]


class Geometry:
    """Corners of a routed graph, in micrometres."""

    def __init__(self, routed: Routed) -> None:
        self.routed = routed
        placed = routed.placed
        self.ordered = placed.ordered
        self.layered = placed.ordered.layered
        self.level = {
            (layer, item): y
            for layer, (row, ys) in enumerate(zip(self.ordered.rows, placed.levels, strict=True))
            for item, y in zip(row, ys, strict=True)
        }
        self._uprights: dict[tuple[int, int], list[tuple[int, Upright]]] = {}
        nodes = self.layered.wiring.graph.nodes
        self.widths = [micrometres(node.width) for node in nodes]
        self.column_of = {
            item: layer for layer, row in enumerate(self.ordered.rows) for item in row if item >= 0
        }

    def source(self, end: End) -> Spot:
        """Where lines leave an output."""
        node, port = end
        y = self.level[self.column_of[node], node] + self.ordered.outputs[node][port]
        return self.routed.lefts[node] + self.widths[node], y

    def target(self, end: End) -> Spot:
        """Where lines enter an input."""
        node, port = end
        y = self.level[self.column_of[node], node] + self.ordered.inputs[node][port]
        return self.routed.lefts[node], y

    def runs_back(self, edge: int) -> bool:
        """Whether the edge's target is not right of its source."""
        (source, _), (target, _) = self.layered.wiring.ends[edge]
        return self.layered.layers[target] <= self.layered.layers[source]

    def way(self, edge: int) -> tuple[Spot, ...]:
        """The edge's corners, port to port."""
        source, target = self.layered.wiring.ends[edge]
        net = self.layered.wiring.net_of_edge[edge]
        first, last = self.layered.layers[source[0]], self.layered.layers[target[0]] - 1
        start, stop = self.source(source), self.target(target)
        corners = [start]
        if first <= last:
            y = start[1]
            for gap in range(first, last + 1):
                onward = stop[1] if gap == last else self.level[gap + 1, lane(net)]
                corners += self._across(net, gap, y, onward)
                y = onward
        else:
            y = self.level[first, lane(net)]
            corners += self._beside(net, first, start[1], y, right=False)
            for gap in range(first - 1, last, -1):
                onward = self.level[gap, lane(net)]
                corners += reversed(self._across(net, gap, onward, y))
                y = onward
            corners += self._beside(net, last, y, stop[1], right=True)
        return without_idle_corners([*corners, stop])

    def uprights(self, net: int, gap: int) -> list[tuple[int, Upright]]:
        """The net's upright runs in a gap with their x."""
        found = self._uprights.get((net, gap))
        if found is None:
            runs = self.routed.channels[gap + 1].uprights.get(net, ())
            first, spacing = self.routed.tracks[gap + 1], self.routed.spacing
            found = [(first + run.track * spacing, run) for run in runs]
            self._uprights[net, gap] = found
        return found

    def _across(self, net: int, gap: int, left: int, right: int) -> list[Spot]:
        """Corners from one level on the gap's left to another on its right."""
        return self._corners(net, gap, (left, False), (right, True))

    def _beside(self, net: int, gap: int, one: int, other: int, right: bool) -> list[Spot]:
        """Corners from one level to another on the same side."""
        return self._corners(net, gap, (one, right), (other, right))

    def _corners(
        self, net: int, gap: int, one: tuple[int, bool], other: tuple[int, bool]
    ) -> list[Spot]:
        """Corners between two of a net's ends in a gap: each a level, and whether on the right."""
        runs = self.uprights(net, gap)
        if not runs:
            return []
        x, onward = _turn(runs, *one), _turn(runs, *other)
        if x is not None and x == onward:
            return [(x, one[0]), (x, other[0])]
        bus = runs[0][1].wire.rights[0]
        corners = [] if x is None else [(x, one[0]), (x, bus)]
        return corners if onward is None else [*corners, (onward, bus), (onward, other[0])]

    def tree(self, net: int) -> Tree:
        """All runs of a net."""
        levels: dict[int, list[tuple[int, int]]] = defaultdict(list)
        plumbs: list[Plumb] = []
        dots: set[Spot] = set()
        first, last = self.layered.spans[net]
        for gap in range(first, last + 1):
            starts, stops = self._ends(net, gap)
            runs = self.uprights(net, gap)
            if not runs:
                x, y = starts[0]
                levels[y].append((x, stops[0][0]))
                continue
            (first_x, run), (last_x, _) = runs[0], runs[-1]
            for x, y in starts:
                turn = _turn(runs, y, right=False)
                levels[y].append((x, first_x if turn is None else turn))
            for x, y in stops:
                turn = _turn(runs, y, right=True)
                levels[y].append((last_x if turn is None else turn, x))
            if len(runs) > 1:
                levels[run.wire.rights[0]].append((first_x, last_x))
            for x, run in runs:
                plumbs.append((x, run.wire.low, run.wire.high))
                dots.update((x, y) for y in _branches(run.wire))
        joined = tuple((y, *part) for y in sorted(levels) for part in _joined(levels[y]))
        return Tree(joined, tuple(sorted(plumbs)), tuple(sorted(dots)))

    def _ends(self, net: int, gap: int) -> tuple[list[Spot], list[Spot]]:
        """Where the net's level runs in a gap begin on the left and end on the right.

        Those of a lane meet in the middle of its column: uprights keep to their half.
        """
        lefts, rights = self.layered.ends_in_gap(net, gap)
        item, after = lane(net), gap + 1
        starts = [
            self.source(end) if end else (self._middle(gap), self.level[gap, item]) for end in lefts
        ]
        stops = [
            self.target(end) if end else (self._middle(after), self.level[after, item])
            for end in rights
        ]
        return starts, stops

    def _middle(self, layer: int) -> int:
        return sum(self.routed.columns[layer]) // 2


def _turn(runs: Sequence[tuple[int, Upright]], y: int, right: bool) -> int | None:
    """The x at which a net's run on a level comes to an upright; None where it is the bus."""
    if len(runs) > 1 and y == runs[0][1].wire.rights[0]:
        return None
    return next(x for x, run in runs if y in (run.wire.rights if right else run.wire.lefts))


def _branches(wire: Wire) -> list[int]:
    """Levels at which three or four runs meet at an upright."""
    ends = Counter((*wire.lefts, *wire.rights))
    return [y for y, count in ends.items() if count + (y > wire.low) + (y < wire.high) > 2]


def _joined(parts: list[tuple[int, int]]) -> list[tuple[int, int]]:
    """The parts of one level, those that touch made one."""
    found: list[tuple[int, int]] = []
    for left, right in sorted(parts):
        if found and left <= found[-1][1]:
            found[-1] = (found[-1][0], max(right, found[-1][1]))
        elif left < right:
            found.append((left, right))
    return found


def without_idle_corners(corners: Iterable[Spot]) -> tuple[Spot, ...]:
    """The corners without repeated ones and those on a straight way; the ends stay."""
    kept: list[Spot] = []
    for corner in corners:
        if kept and corner == kept[-1]:
            continue
        while len(kept) > 1 and _on_one_line(kept[-2], kept[-1], corner):
            kept.pop()
        kept.append(corner)
    return tuple(kept)


def _on_one_line(a: Spot, b: Spot, c: Spot) -> bool:
    return a[0] == b[0] == c[0] or a[1] == b[1] == c[1]
