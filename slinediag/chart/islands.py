"""Islands of the chart: parts that no line joins, each arranged about its own origin.

Lengths in micrometres.
"""

from __future__ import annotations

import itertools
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

from slinediag.address import natural
from slinediag.chart.graph import ChartGraph, Piece, Placed, placed
from slinediag.chart.points import PITCH, ROWS
from slinediag.chart.recalling import Known
from slinediag.chart.standing import Arranged, Stood, arrange_again
from slinediag.geometry import Box, to_mm, union
from slinediag.layout.graph import Edge, Graph, Node
from slinediag.layout.layers import layer
from slinediag.layout.nets import wire
from slinediag.layout.settings import Settings

STRIP = 4_000
"""Width of the strips in which the lower outline of an island is kept."""


@dataclass(frozen=True)
class Island:
    """A part of the chart that hangs together, arranged about its own origin.

    ``boxes``: the room of its nodes with their labels, and of its lines; ``extent`` holds all.
    ``points``: those of its nodes that are patch points.
    """

    name: str
    placed: Placed
    boxes: tuple[Box, ...]
    extent: Box
    arranged: Arranged
    points: frozenset[str] = frozenset()

    @cached_property
    def outline(self) -> tuple[int, ...]:
        """How far down it reaches in each strip from its left; over all strips the least at top."""
        reach = [0] * self._strips
        for strip, box in self._by_strip():
            reach[strip] = max(reach[strip], box.bottom - self.extent.y)
        return tuple(reach)

    @cached_property
    def skyline(self) -> tuple[int | None, ...]:
        """How far below its top it begins in each strip; None where nothing of it is."""
        begins: list[int | None] = [None] * self._strips
        for strip, box in self._by_strip():
            known, top = begins[strip], box.y - self.extent.y
            begins[strip] = top if known is None else min(known, top)
        return tuple(begins)

    @property
    def _strips(self) -> int:
        return max(1, -(-self.extent.width // STRIP))

    def _by_strip(self) -> Iterator[tuple[int, Box]]:
        """Each of its boxes with each strip that it is in."""
        for box in self.boxes:
            first = (box.x - self.extent.x) // STRIP
            last = min(self._strips - 1, (box.right - self.extent.x) // STRIP)
            for strip in range(first, last + 1):
                yield strip, box

    @cached_property
    def core(self) -> Box:
        """What its nodes take, without the labels above them and without lines."""
        return union(self.placed.nodes.values())

    @cached_property
    def bearing(self) -> int:
        """How far from its left edge its first position stands; 0 without any."""
        nodes = self.placed.nodes.items()
        places = [box.x for name, box in nodes if name in self.points]
        return min(places, default=self.extent.x) - self.extent.x

    @cached_property
    def reads(self) -> tuple[object, ...]:
        """Sort key in which it is read among others: by its first position, bay by bay; what is no
        more than a row by the position at its left."""
        nodes = self.placed.nodes
        places = sorted(self.points) or [*nodes]
        if self.small:
            return natural(min(places, key=lambda name: (nodes[name].x, natural(name))))
        return min(map(natural, places))

    @property
    def small(self) -> bool:
        """Whether it is no more than a row: a tie line between two jacks, a mult."""
        return self.extent.height <= 2 * PITCH


def split(chart: ChartGraph) -> list[ChartGraph]:
    """The chart's graph by islands, in the order of their first nodes."""
    root = _roots(chart.graph)
    nodes: dict[str, list[Node]] = {}
    for node in chart.graph.nodes:
        nodes.setdefault(root[node.id], []).append(node)
    edges: dict[str, list[Edge]] = {name: [] for name in nodes}
    pieces: dict[str, list[Piece]] = {name: [] for name in nodes}
    for piece in chart.pieces:
        own = [chart.graph.edges[number] for number in piece.edges]
        name = root[own[0].source[0]]
        first = len(edges[name])
        edges[name] += own
        numbers = tuple(range(first, first + len(own)))
        pieces[name].append(Piece(piece.net, numbers, piece.junction))
    return [
        ChartGraph(
            Graph(tuple(nodes[name]), tuple(edges[name])),
            tuple(pieces[name]),
            chart.points & {node.id for node in nodes[name]},
        )
        for name in nodes
    ]


def _roots(graph: Graph) -> Mapping[str, str]:
    """Each node's island by the name of one of its nodes (union-find)."""
    root = {node.id: node.id for node in graph.nodes}

    def find(name: str) -> str:
        while root[name] != name:
            root[name] = root[root[name]]
            name = root[name]
        return name

    for edge in graph.edges:
        root[find(edge.target[0])] = find(edge.source[0])
    return {name: find(name) for name in root}


def columns(chart: ChartGraph) -> dict[str, tuple[str, int]]:
    """By node, the island it belongs to and the layer in which the layout will put it; islands that
    are one row of positions, like tie lines, count as one of ``ROWS``: they stand under each other.
    """
    found: dict[str, tuple[str, int]] = {}
    for part in split(chart):
        layers = layer(wire(part.graph)).layers
        nodes = part.graph.nodes
        across = len({node.id.partition(":")[0] for node in nodes}) > 1
        name = ROWS[across] if _is_row(part, layers) else nodes[0].id
        for node, number in zip(nodes, layers, strict=True):
            found[node.id] = (name, number)
    return found


def _is_row(part: ChartGraph, layers: Collection[int]) -> bool:
    """Whether a part is positions of one row each, one behind the other."""
    nodes = part.graph.nodes
    return len(set(layers)) == len(nodes) and all(
        node.id in part.points and node.height <= to_mm(PITCH) for node in nodes
    )


def arranged_island(
    part: ChartGraph,
    settings: Settings,
    above: Mapping[str, int],
    old: Stood | None,
    known: Known | None,
) -> Island:
    """An island laid out, as it stood where ``old`` tells of that.

    ``above``: by node, the room of the labels above it. ``known``: as for ``arrange_after``.
    """
    arranged = arrange_again(part.graph, settings, old, known)
    there = placed(part, arranged.layout)
    boxes = [
        Box(box.x, box.y - above[name], box.width, box.height + above[name])
        for name, box in there.nodes.items()
    ]
    runs = [
        Box(min(a.x, b.x), min(a.y, b.y), abs(a.x - b.x), abs(a.y - b.y))
        for piece in there.pieces
        for run in piece.runs
        for a, b in itertools.pairwise(run)
    ]
    name = min((node.id for node in part.graph.nodes), key=natural)
    return Island(name, there, (*boxes, *runs), union([*boxes, *runs]), arranged, part.points)
