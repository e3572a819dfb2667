"""The chart as a graph of boxes with ports, for the layout; and the way back from its result.

The layout counts in millimetres, the chart in whole micrometres.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from slinediag.chart.equipment import BoxPlan
from slinediag.chart.points import PITCH, PointPlan
from slinediag.chart.pruning import branches, pruned
from slinediag.chart.rear import RearEnd, RearNet, entry_port
from slinediag.geometry import Box, Point, Run, from_mm, to_mm
from slinediag.layout.graph import Edge, Graph, Node, Port
from slinediag.layout.layout import Layout
from slinediag.layout.settings import Effort, Settings

GAP = 1.0
CLEARANCE = 3.0
SPACING = 4.0
CHANNEL = 10.0
NARROW = 4.0
"""Between boxes and positions beside each other, mm: as wished, and where room is short."""
STAMP_ROOM = 3.0
"""Room below a box for what a trial stamps across its lower edge, mm."""


@dataclass(frozen=True, slots=True)
class Piece:
    """A part of a rear net that the layout routes as one trunk: the numbers of its edges."""

    net: int
    edges: tuple[int, ...]
    junction: str | None = None


@dataclass(frozen=True, slots=True)
class ChartGraph:
    """The layout's graph, which edges draw which part of which net, and which nodes are patch
    points (a part of equipment may be named like one)."""

    graph: Graph
    pieces: tuple[Piece, ...]
    points: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class PlacedPiece:
    """A part of a rear net on the chart: its runs, its branch dots, and where it runs back."""

    net: int
    runs: tuple[Run, ...]
    dots: tuple[Point, ...]
    arrows: tuple[Point, ...]

    def moved(self, dx: int, dy: int) -> PlacedPiece:
        """The same further right and further down."""
        return PlacedPiece(
            self.net,
            tuple(tuple(corner.moved(dx, dy) for corner in run) for run in self.runs),
            tuple(dot.moved(dx, dy) for dot in self.dots),
            tuple(arrow.moved(dx, dy) for arrow in self.arrows),
        )


@dataclass(frozen=True, slots=True)
class Placed:
    """Where everything lies: nodes by id, and the pieces of nets."""

    nodes: Mapping[str, Box]
    pieces: tuple[PlacedPiece, ...]


def chart_graph(
    boxes: tuple[BoxPlan, ...], points: tuple[PointPlan, ...], nets: tuple[RearNet, ...]
) -> ChartGraph:
    """Boxes and points as nodes, rear nets as edges; a tiny junction where no port is shared."""
    nodes = [_box_node(box) for box in boxes] + [_point_node(point) for point in points]
    edges: list[Edge] = []
    pieces: list[Piece] = []
    for number, net in enumerate(nets):
        for part, (sources, targets) in enumerate(net.pieces):
            if len(sources) + len(targets) < 2:
                continue
            junction = f"{net.name}~{part}" if _needs_junction(sources, targets) else None
            if junction:
                nodes.append(_junction_node(junction, bool(sources), bool(targets)))
            first = len(edges)
            edges += _edges(sources, targets, junction)
            pieces.append(Piece(number, tuple(range(first, len(edges))), junction))
    places = frozenset(point.id for point in points)
    return ChartGraph(Graph(tuple(nodes), tuple(edges)), tuple(pieces), places)


def settings_for(effort: Effort, *, narrow: bool = False) -> Settings:
    """The layout's distances on a chart, or where it has little room."""
    return Settings(
        effort=effort,
        pitch=to_mm(PITCH),
        gap=GAP,
        clearance=CLEARANCE,
        spacing=SPACING,
        channel=NARROW if narrow else CHANNEL,
    )


def _needs_junction(sources: tuple[RearEnd, ...], targets: tuple[RearEnd, ...]) -> bool:
    return min(len(sources), len(targets)) != 1


def _edges(
    sources: tuple[RearEnd, ...], targets: tuple[RearEnd, ...], junction: str | None
) -> Iterator[Edge]:
    if junction is None:
        for source in sources:
            for target in targets:
                yield Edge((source.node, source.port), (target.node, target.port))
        return
    for source in sources:
        yield Edge((source.node, source.port), (junction, "in"))
    for target in targets:
        yield Edge((junction, "out"), (target.node, target.port))


def _box_node(box: BoxPlan) -> Node:
    return Node(
        box.id,
        to_mm(box.width),
        to_mm(box.height),
        tuple(Port(slot.port.port, to_mm(slot.y)) for slot in box.inputs),
        tuple(Port(slot.port.port, to_mm(slot.y)) for slot in box.outputs),
        above=to_mm(box.above),
        below=STAMP_ROOM,
    )


def _point_node(point: PointPlan) -> Node:
    inputs: list[Port] = []
    outputs: list[Port] = []
    for number, row in enumerate(point.rows):
        y = to_mm(point.row_y(number))
        if row.left:
            inputs.append(Port(row.left.jack.row, y))
        if row.entry and row.normal:
            inputs.append(Port(entry_port(row.normal.target), y))
        if row.right:
            outputs.append(Port(row.right.jack.row, y))
    return Node(point.id, to_mm(point.width), to_mm(point.height), tuple(inputs), tuple(outputs))


def _junction_node(name: str, has_sources: bool, has_targets: bool) -> Node:
    port_y = to_mm(PITCH // 2)
    return Node(
        name,
        0.0,
        to_mm(PITCH),
        (Port("in", port_y),) if has_sources else (),
        (Port("out", port_y),) if has_targets else (),
    )


def placed(chart: ChartGraph, layout: Layout) -> Placed:
    """The layout in micrometres, its trunks given back to the nets they draw."""
    size = {node.id: (from_mm(node.width), from_mm(node.height)) for node in chart.graph.nodes}
    nodes = {
        name: Box(from_mm(x), from_mm(y), *size[name]) for name, (x, y) in layout.nodes.items()
    }
    trunk_of = {edge: n for n, trunk in enumerate(layout.trunks) for edge in trunk.edges}
    return Placed(
        nodes, tuple(_placed_piece(piece, layout, trunk_of, nodes) for piece in chart.pieces)
    )


def _placed_piece(
    piece: Piece, layout: Layout, trunk_of: Mapping[int, int], nodes: Mapping[str, Box]
) -> PlacedPiece:
    trunks = [layout.trunks[n] for n in sorted({trunk_of[e] for e in piece.edges})]
    dots = [_point(dot) for trunk in trunks for dot in trunk.dots]
    if len(piece.edges) == 1:
        runs = [tuple(_point(p) for p in layout.edges[piece.edges[0]].points)]
    else:
        runs = [tuple(map(_point, segment)) for trunk in trunks for segment in trunk.segments]
    if piece.junction:
        box = nodes[piece.junction]
        junction = Point(box.x, box.y + PITCH // 2)
        runs = list(pruned(runs, junction))
        dots = [dot for dot in (*dots, junction) if branches(dot, runs) > 2]
    arrows = [
        where
        for edge in piece.edges
        if layout.edges[edge].reversed
        and (where := _running_back(tuple(map(_point, layout.edges[edge].points))))
    ]
    return PlacedPiece(
        piece.net,
        tuple(run for run in runs if len(run) > 1),
        tuple(dict.fromkeys(dots)),
        tuple(dict.fromkeys(arrows)),
    )


def _point(pair: tuple[float, float]) -> Point:
    return Point(from_mm(pair[0]), from_mm(pair[1]))


def _running_back(run: Run) -> Point | None:
    """The middle of the longest piece that runs from right to left."""
    back = [
        (one.x - other.x, one, other)
        for one, other in itertools.pairwise(run)
        if one.y == other.y and other.x < one.x
    ]
    if not back:
        return None
    length, one, _ = max(back, key=lambda piece: piece[0])
    return Point(one.x - length // 2, one.y)
