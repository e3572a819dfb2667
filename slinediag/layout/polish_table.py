"""An order under change, layer by layer, and what it costs to lead a file through it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace

from slinediag.layout.expand import Ordered, lane
from slinediag.layout.polish_gaps import Ends, Floats, Gap, Side, Tips, View

Spot = tuple[int, int]
"""A layer and an item in it."""

Row = tuple[int, ...]

# Views that are kept: so many take some 50 MB.
MOST_KEPT = 4000


@dataclass(slots=True)
class Known:
    """What is known of gaps, so that it is worked out once for all tables of one graph.

    ``settled``: files that stand where they cross least, with the views that they pass.
    ``ports``: each output's and each input's end, by box and port.
    """

    gaps: dict[tuple[Ends, ...], Gap] = field(default_factory=dict)
    views: dict[tuple[int, Row, Row], View] = field(default_factory=dict)
    sides: dict[tuple[int, int, Row], Side] = field(default_factory=dict)
    settled: set[tuple[int, ...]] = field(default_factory=set)
    ports: tuple[list[list[Tips]], list[list[Tips]]] | None = None
    seen: int = 0

    def gap(self, ends: tuple[Ends, ...]) -> Gap:
        """The gap with these ends."""
        found = self.gaps.get(ends)
        if found is None:
            found = self.gaps[ends] = Gap(len(self.gaps), ends)
        return found

    def view(self, gap: Gap, rows: tuple[Row, Row]) -> View:
        """The gap between these rows."""
        key = gap.number, *rows
        found = self.views.get(key)
        if found is None:
            if len(self.views) >= MOST_KEPT:
                self.views.clear()
                self.sides.clear()
                self.settled.clear()
            sides = self._side(gap, 0, rows[0]), self._side(gap, 1, rows[1])
            found = self.views[key] = View(self.seen, gap, sides)
            self.seen += 1
        return found

    def _side(self, gap: Gap, side: int, row: Row) -> Side:
        key = gap.number, side, row
        found = self.sides.get(key)
        if found is None:
            found = self.sides[key] = Side(gap, side, row)
        return found


class Table:
    """Rows under change and the nets between them; gap g, from -1, is right of layer g.

    ``spent``: how often two trees have been compared to cost places.
    """

    def __init__(self, ordered: Ordered, known: Known | None = None) -> None:
        self._given = ordered
        self.known = known or Known()
        self.spent = 0
        self.rows: list[Row] = list(ordered.rows)
        self._gaps = [self.known.gap(ends) for ends in _ends_by_gap(ordered, self.known)]
        self._views: list[View | None] = [None] * len(self._gaps)
        self._files: list[list[Spot]] | None = None

    @property
    def pairs(self) -> int:
        """Pairs of nets that share a gap."""
        return sum(len(gap.nets) * (len(gap.nets) - 1) // 2 for gap in self._gaps)

    def ordered(self) -> Ordered:
        """The order as it is now."""
        return replace(self._given, rows=tuple(self.rows))

    def view(self, gap: int) -> View:
        """A gap as it is now."""
        found = self._views[gap + 1]
        if found is None:
            left = self.rows[gap] if gap >= 0 else ()
            right = self.rows[gap + 1] if gap + 1 < len(self.rows) else ()
            found = self._views[gap + 1] = self.known.view(self._gaps[gap + 1], (left, right))
        return found

    def views(self, first: int, last: int) -> list[View]:
        """Following gaps as they are now."""
        known = self._views[first + 1 : last + 2]
        return [found or self.view(gap) for gap, found in enumerate(known, first)]

    def put(self, file: Iterable[Spot], slots: Iterable[int]) -> None:
        """Take spots out of their layers and put each above what then stands at its slot."""
        for (layer, item), slot in zip(file, slots, strict=True):
            rest = [other for other in self.rows[layer] if other != item]
            self._set(layer, (*rest[:slot], item, *rest[slot:]))

    def restore(self, rows: Sequence[Row]) -> None:
        """Put all rows back as they were."""
        for layer, row in enumerate(rows):
            if row is not self.rows[layer]:
                self._set(layer, row)

    def _set(self, layer: int, row: Row) -> None:
        self.rows[layer] = row
        self._views[layer] = self._views[layer + 1] = None

    def beside(self, spot: Spot) -> set[Spot]:
        """The spots that the nets at a spot lead to in the layers on both sides."""
        layer, item = spot
        found: set[Spot] = set()
        for side in (0, 1):
            gap = self._gaps[layer + 1 - side]
            for net in gap.at[side].get(item, []):
                found.update((layer + 1 - 2 * side, other) for other, _ in gap.tips[1 - side][net])
        return found

    def files(self) -> list[list[Spot]]:
        """Spots in single file, each file as long as can be; boxes of more lines by themselves."""
        if self._files is None:
            onward = self._onward()
            reached = set(onward.values())
            self._files = []
            for layer, row in enumerate(self.rows):
                for item in sorted(row):
                    if (layer, item) not in reached:
                        file = [(layer, item)]
                        while file[-1] in onward:
                            file.append(onward[file[-1]])
                        self._files.append(file)
        return self._files

    def _onward(self) -> dict[Spot, Spot]:
        """The next spot of each that is followed by one in its file."""
        onward: dict[Spot, Spot] = {}
        for layer, gap in enumerate(self._gaps, -1):
            left = self._gaps[layer].busy[1] if layer >= 0 else set()
            right = self._gaps[layer + 2].busy[0] if layer + 1 < len(self.rows) else set()
            busy_left, busy_right = gap.busy[0] | left, gap.busy[1] | right
            for one, other in gap.lines:
                if one not in busy_left and other not in busy_right:
                    onward[layer, one] = layer + 1, other
        return onward

    def crossings(self) -> int:
        """How often all nets cross."""
        return sum(self.view(gap).crossings() for gap in range(-1, len(self.rows)))

    def crossed(self, gap: int) -> list[tuple[int, int, int]]:
        """Nets that cross in a gap, and how often: (net, net, times)."""
        return self.view(gap).crossed()

    def end_costs(self, gap: int, side: int, item: int) -> Floats:
        """Crossings of the nets at an item for each boundary of its row, less a constant."""
        view = self.view(gap)
        before = view.spent
        costs = view.end_costs(side, item)
        self.spent += view.spent - before
        return costs


def _ends_by_gap(ordered: Ordered, known: Known) -> list[tuple[Ends, ...]]:
    """Per gap, from -1, its nets with their ends; the lane comes first."""
    layered = ordered.layered
    nets: list[list[Ends]] = [[] for _ in range(layered.depth + 1)]
    if known.ports is None:
        known.ports = _tips(ordered.outputs), _tips(ordered.inputs)
    outputs, inputs = known.ports
    for number, ((first, last), net) in enumerate(
        zip(layered.spans, layered.wiring.nets, strict=True)
    ):
        if first == last and len(net.edges) == 1:
            # Most nets are lines to the next layer.
            (source, out), (target, into) = net.sources[0], net.targets[0]
            if layered.layers[source] < layered.layers[target]:
                nets[first + 1].append((number, outputs[source][out], inputs[target][into]))
                continue
        passing = ((lane(number), 0.5),)
        lefts: dict[int, Tips] = dict.fromkeys(range(first + 1, last + 1), passing)
        rights: dict[int, Tips] = dict.fromkeys(range(first, last), passing)
        for box, port in net.sources:
            gap = layered.layers[box]
            lefts[gap] = lefts.get(gap, ()) + outputs[box][port]
        for box, port in net.targets:
            gap = layered.layers[box] - 1
            rights[gap] = rights.get(gap, ()) + inputs[box][port]
        for gap in range(first, last + 1):
            nets[gap + 1].append((number, lefts.get(gap, ()), rights.get(gap, ())))
    return [tuple(found) for found in nets]


def _tips(ports: Sequence[Sequence[int]]) -> list[list[Tips]]:
    """Each end of each box, by box and port: how far down it is, by order, from 0 to 1."""
    found: list[list[Tips]] = []
    for box, ys in enumerate(ports):
        column = sorted(ys)
        found.append([((box, (column.index(y) + 1) / (len(column) + 1)),) for y in ys])
    return found
