"""Islands of the chart: what no line joins is arranged apart and packed onto one plane.

So that a few tie lines stand beside the main chain in rows of their own and not under it in one
long column. Lengths in micrometres.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from slinediag.address import natural
from slinediag.chart.graph import ChartGraph, Piece, Placed, PlacedPiece, placed
from slinediag.chart.points import PITCH
from slinediag.geometry import Box, Point, from_mm, union
from slinediag.layout.graph import Edge, Graph, Node
from slinediag.layout.pipeline import arrange
from slinediag.layout.settings import Settings

GAP = 2 * PITCH
"""Free between islands."""
ASPECT = 1.5
"""Width to height that the whole is packed towards: that of a lying sheet's room."""


@dataclass(frozen=True, slots=True)
class Island:
    """A part of the chart that hangs together, arranged about its own origin, and its extent."""

    name: str
    placed: Placed
    extent: Box


def arrange_islands(chart: ChartGraph, settings: Settings) -> Placed:
    """Arrange every island and pack them, the largest first."""
    above = {node.id: from_mm(node.above) for node in chart.graph.nodes}
    islands = [_arranged(part, settings, above) for part in split(chart)]
    islands.sort(key=lambda i: (-i.extent.width * i.extent.height, natural(i.name)))
    places = pack([(i.extent.width, i.extent.height) for i in islands], GAP)
    nodes: dict[str, Box] = {}
    pieces: list[PlacedPiece] = []
    for island, corner in zip(islands, places, strict=True):
        dx, dy = corner.x - island.extent.x, corner.y - island.extent.y
        nodes.update({name: box.moved(dx, dy) for name, box in island.placed.nodes.items()})
        pieces += [_moved(piece, dx, dy) for piece in island.placed.pieces]
    return Placed(nodes, tuple(sorted(pieces, key=lambda piece: piece.net)))


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
        ChartGraph(Graph(tuple(nodes[name]), tuple(edges[name])), tuple(pieces[name]))
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


def _arranged(part: ChartGraph, settings: Settings, above: Mapping[str, int]) -> Island:
    there = placed(part, arrange(part.graph, settings))
    boxes = [
        Box(box.x, box.y - above[name], box.width, box.height + above[name])
        for name, box in there.nodes.items()
    ]
    runs = [
        Box(min(a.x, b.x), min(a.y, b.y), abs(a.x - b.x), abs(a.y - b.y))
        for piece in there.pieces
        for run in piece.runs
        for a, b in zip(run, run[1:], strict=False)
    ]
    name = min((node.id for node in part.graph.nodes), key=natural)
    return Island(name, there, union([*boxes, *runs]))


def _moved(piece: PlacedPiece, dx: int, dy: int) -> PlacedPiece:
    return PlacedPiece(
        piece.net,
        tuple(tuple(corner.moved(dx, dy) for corner in run) for run in piece.runs),
        tuple(dot.moved(dx, dy) for dot in piece.dots),
        tuple(arrow.moved(dx, dy) for arrow in piece.arrows),
    )


def pack(sizes: Sequence[tuple[int, int]], gap: int) -> list[Point]:
    """A corner for each rectangle so that none comes nearer another than the gap.

    Each in turn goes as far up as it can within a width, and there as far left (skyline).
    """
    if not sizes:
        return []
    area = sum((width + gap) * (height + gap) for width, height in sizes)
    room = max(max(width for width, _ in sizes), round(math.sqrt(area * ASPECT))) + gap
    skyline = [(0, room, 0)]
    corners = []
    for width, height in sizes:
        x, y = _lowest(skyline, width + gap)
        corners.append(Point(x, y))
        skyline = _raised(skyline, x, x + width + gap, y + height + gap)
    return corners


Ledge = tuple[int, int, int]
"""A level piece of the skyline: from x, to x, and how far down everything above it reaches."""


def _lowest(skyline: Sequence[Ledge], width: int) -> tuple[int, int]:
    best: tuple[int, int] | None = None
    end = skyline[-1][1]
    for x, _, _ in skyline:
        if x + width > end:
            break
        y = max(top for left, right, top in skyline if left < x + width and x < right)
        if best is None or y < best[1]:
            best = (x, y)
    return best if best is not None else (0, max(top for _, _, top in skyline))


def _raised(skyline: Iterable[Ledge], left: int, right: int, top: int) -> list[Ledge]:
    kept: list[Ledge] = []
    for start, end, y in skyline:
        if start < left:
            kept.append((start, min(end, left), y))
        if end > right:
            kept.append((max(start, right), end, y))
    return sorted([*kept, (left, right, top)])
