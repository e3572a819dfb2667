"""Islands of the chart: what no line joins is arranged apart and packed onto one plane.

So that a few tie lines stand beside the main chain in rows of their own and not under it in one
long column. Lengths in micrometres.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Literal, NamedTuple

from slinediag.address import natural
from slinediag.chart.graph import ChartGraph, Piece, Placed, PlacedPiece, placed
from slinediag.chart.points import PITCH
from slinediag.chart.recalling import Known
from slinediag.chart.standing import (
    Arranged,
    Standing,
    Stood,
    Wanted,
    arrange_again,
    corner_kept,
    settle,
)
from slinediag.geometry import Box, Point, from_mm, union
from slinediag.layout.graph import Edge, Graph, Node
from slinediag.layout.layers import layer
from slinediag.layout.nets import wire
from slinediag.layout.settings import Settings
from slinediag.progress import Tell, silent, stages

GAP = 12_000
"""Free between islands."""
ASIDE = 14_000
"""From the jack a cord drops from to the island it comes to: room for the drop."""
STRIP = 4_000
"""Width of the strips in which the lower outline of an island is kept."""
ASPECT = 1.5
"""Width to height of a lying sheet's room for a chart."""
SHARES = (1.0, 1.3, 1.7, 2.2, 2.9, 3.8)
"""Widths that are tried, as squares over the area of all islands."""


@dataclass(frozen=True)
class Island:
    """A part of the chart that hangs together, arranged about its own origin.

    ``boxes``: the room of its nodes with their labels, and of its lines; ``extent`` holds all.
    """

    name: str
    placed: Placed
    boxes: tuple[Box, ...]
    extent: Box
    arranged: Arranged

    @cached_property
    def outline(self) -> tuple[int, ...]:
        """How far down it reaches in each strip from its left; over all strips the least at top."""
        count = max(1, -(-self.extent.width // STRIP))
        reach = [0] * count
        for box in self.boxes:
            first = (box.x - self.extent.x) // STRIP
            last = min(count - 1, (box.right - self.extent.x) // STRIP)
            for strip in range(first, last + 1):
                reach[strip] = max(reach[strip], box.bottom - self.extent.y)
        return tuple(reach)

    @property
    def small(self) -> bool:
        """Whether it is no more than a row: a tie line between two jacks, a mult."""
        return self.extent.height <= 2 * PITCH


class JackPlace(NamedTuple):
    """A jack in its node: the node, the x from its left edge, and which side it stands on."""

    node: str
    x: int
    side: Literal["left", "right"]


@dataclass(frozen=True, slots=True)
class Link:
    """A cord as what draws two islands together: at each end the place of its jack."""

    one: JackPlace
    other: JackPlace


def arrange_after(
    before: Standing,
    chart: ChartGraph,
    settings: Settings,
    links: Sequence[Link] = (),
    aspect: float = ASPECT,
    tell: Tell = silent,
    across: int = 0,
    known: Known | None = None,
) -> tuple[Placed, Standing]:
    """Arrange every island and pack them, the largest first, then what cords hang from it, so that
    what stood before stays; and what stands now.

    ``aspect``: width to height of the room they are to fit. What has grown moves down what is below
    it; islands that are new are packed about the rest. ``across``: the width of the room, which is
    tried besides others. ``known``: what has been arranged so far with this effort; gains the rest.
    """
    above = {node.id: from_mm(node.above) for node in chart.graph.nodes}
    parts = split(chart)
    earlier = before.earlier([[node.id for node in part.graph.nodes] for part in parts])
    says = stages(tell, [_labour(part) for part in parts])
    arranged, stood = [], {}
    for part, old, say in zip(parts, earlier, says, strict=True):
        island = _arranged(part, settings, above, old, known)
        arranged.append(island)
        if old:
            stood[island.name] = old
        say(1.0, "laying out")
    islands = _in_order(arranged, links)
    kept = _kept(arranged, stood, before)
    widest = max((i.extent.width for i in islands), default=0)
    if kept:
        rooms = {max(before.room, widest)}
    else:
        area = sum((i.extent.width + GAP) * (i.extent.height + GAP) for i in islands)
        rooms = {max(widest, round(math.sqrt(area * share))) for share in SHARES}
        rooms |= {across} if across >= widest else set()
    packed = [(_packed(islands, room, links, kept), room) for room in sorted(rooms)]
    there, room = min(packed, key=lambda one: _room_needed(one[0], aspect))
    stands = tuple(island.arranged.stood(_top(island, there)) for island in islands)
    return there, Standing(stands, there.nodes, room)


def _kept(
    islands: Sequence[Island], stood: Mapping[str, Stood], before: Standing
) -> dict[str, Point]:
    """The corners of islands that stay; of the parts of one that fell apart only the largest."""
    heirs: dict[int, Island] = {}
    for island in islands:
        old = stood.get(island.name)
        if old is not None:
            other = heirs.setdefault(id(old), island)
            if len(island.placed.nodes) > len(other.placed.nodes):
                heirs[id(old)] = island
    wanted = {}
    for island in heirs.values():
        old = stood[island.name]
        own = {name: before.nodes[name] for row in old.layout.layers for name in row}
        corner = corner_kept(island.placed.nodes, island.extent, own)
        if corner is not None:
            wanted[island.name] = Wanted(island.boxes, island.extent, corner, old.top)
    return dict(zip(wanted, settle([*wanted.values()]), strict=True))


def _top(island: Island, there: Placed) -> int:
    """The upper edge of an island on the plane."""
    name, box = next(iter(island.placed.nodes.items()))
    return there.nodes[name].y - box.y + island.extent.y


def _labour(part: ChartGraph) -> int:
    """About how long a part takes to arrange, in any measure: more than by its lines alone."""
    return 1 + len(part.graph.edges) ** 2


def _packed(
    islands: Sequence[Island], room: int, links: Sequence[Link], kept: Mapping[str, Point]
) -> Placed:
    """The islands packed into a width, about those whose corners are kept."""
    pen = _Packing(room)
    nodes: dict[str, Box] = {}
    pieces: list[PlacedPiece] = []
    waiting: list[Island] = []
    for island in islands:
        if island.name in kept:
            pen.take(island.outline, kept[island.name])
            _put(island, kept[island.name], nodes, pieces)
    for island in islands:
        if island.name in kept:
            continue
        wish = _wish(island, nodes, links)
        if island.small and wish is None:
            waiting.append(island)
            continue
        _put(island, pen.place(island.outline, wish), nodes, pieces)
    for island, corner in _grid(waiting, pen):
        _put(island, corner, nodes, pieces)
    return Placed(nodes, tuple(sorted(pieces, key=lambda piece: piece.net)))


def _room_needed(there: Placed, aspect: float) -> int:
    """The width of the room, of this aspect, that the whole would need."""
    extent = union(there.nodes.values()) if there.nodes else Box(0, 0, 0, 0)
    return max(extent.width, round(extent.height * aspect))


def _put(island: Island, corner: Point, nodes: dict[str, Box], pieces: list[PlacedPiece]) -> None:
    dx, dy = corner.x - island.extent.x, corner.y - island.extent.y
    nodes.update({name: box.moved(dx, dy) for name, box in island.placed.nodes.items()})
    pieces += [_moved(piece, dx, dy) for piece in island.placed.pieces]


def _grid(islands: Sequence[Island], pen: _Packing) -> list[tuple[Island, Point]]:
    """Small islands in columns of one width, read downwards, where they reach down the least."""
    if not islands:
        return []
    across = max(i.extent.width for i in islands) + GAP
    down = max(i.extent.height for i in islands) + GAP // 2
    most = max(1, min(len(islands), pen.room // across))
    best: tuple[int, int, int, Point] | None = None
    for count in range(1, most + 1):
        rows = -(-len(islands) // count)
        used = -(-len(islands) // rows)
        outline = (rows * down,) * (-(-(used * across - GAP) // STRIP))
        corner = pen.tried(outline)
        reach = corner.y + rows * down
        if best is None or (reach, count) < best[:2]:
            best = (reach, count, rows, corner)
    assert best is not None
    _, _, rows, corner = best
    return [
        (island, corner.moved(n // rows * across, n % rows * down))
        for n, island in enumerate(islands)
    ]


def _in_order(islands: list[Island], links: Sequence[Link]) -> list[Island]:
    """The largest island; those that cords join to what is placed, in turn; then by size."""
    waiting = sorted(islands, key=_rank)
    done: list[Island] = []
    while waiting:
        placed_nodes = {name for island in done for name in island.placed.nodes}
        linked = (i for i in waiting if _mates(i, placed_nodes, links))
        following = next(linked, waiting[0])
        waiting.remove(following)
        done.append(following)
    return done


def _rank(island: Island) -> tuple[object, ...]:
    """Largest area first, then small ones in natural order of their names."""
    size = island.extent.width * island.extent.height
    return (island.small, 0 if island.small else -size, natural(island.name))


def _mates(
    island: Island, others: Collection[str], links: Sequence[Link]
) -> list[tuple[JackPlace, JackPlace]]:
    """Cords from an island to other nodes: the jack in the island, the jack elsewhere."""
    pairs = [pair for link in links for pair in ((link.one, link.other), (link.other, link.one))]
    own = island.placed.nodes
    return [(here, there) for here, there in pairs if here.node in own and there.node in others]


def _wish(island: Island, nodes: Mapping[str, Box], links: Sequence[Link]) -> int | None:
    """The left edge that puts an island beside the drop of the cords that come to it.

    To the left of it where a cord comes to a right jack, to the right for a left jack; between
    them where cords come to both.
    """
    edges = [
        nodes[there.node].x
        + there.x
        + (ASIDE if here.side == "left" else -ASIDE - island.extent.width)
        for here, there in _mates(island, nodes, links)
    ]
    return sum(edges) // len(edges) if edges else None


def columns(chart: ChartGraph) -> dict[str, tuple[str, int]]:
    """By node, the island it belongs to and the layer in which the layout will put it."""
    found: dict[str, tuple[str, int]] = {}
    for part in split(chart):
        name = part.graph.nodes[0].id
        layers = layer(wire(part.graph)).layers
        for node, number in zip(part.graph.nodes, layers, strict=True):
            found[node.id] = (name, number)
    return found


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


def _arranged(
    part: ChartGraph,
    settings: Settings,
    above: Mapping[str, int],
    old: Stood | None,
    known: Known | None,
) -> Island:
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
    return Island(name, there, (*boxes, *runs), union([*boxes, *runs]), arranged)


def _moved(piece: PlacedPiece, dx: int, dy: int) -> PlacedPiece:
    return PlacedPiece(
        piece.net,
        tuple(tuple(corner.moved(dx, dy) for corner in run) for run in piece.runs),
        tuple(dot.moved(dx, dy) for dot in piece.dots),
        tuple(arrow.moved(dx, dy) for arrow in piece.arrows),
    )


class _Packing:
    """Islands put down in turn, each under what is above it by its lower outline, strip by strip.

    ``room``: the width that is packed into.
    """

    def __init__(self, room: int) -> None:
        self.room = room
        self._reach = [0] * (-(-room // STRIP) + 1)

    def place(self, outline: tuple[int, ...], wish: int | None) -> Point:
        """The corner of the next island: as far up as it goes, and there left; or near its wish."""
        places = [(x, self._top(x, len(outline))) for x in self._starts(len(outline), wish)]
        if wish is None:
            strip, top = min(places, key=lambda place: (place[1], place[0]))
        else:
            asked = wish // STRIP
            strip, top = min(
                places, key=lambda p: (p[1] + 2 * abs(p[0] - asked) * STRIP, abs(p[0] - asked), p)
            )
        self._cover(strip, strip, top, outline)
        return Point(strip * STRIP, top)

    def take(self, outline: tuple[int, ...], corner: Point) -> None:
        """Keep the room of an island that stands here, its strips across those of the whole."""
        first = corner.x // STRIP
        self._cover(first, -(-corner.x // STRIP), corner.y, outline)

    def _cover(self, first: int, last: int, top: int, outline: tuple[int, ...]) -> None:
        """Nothing comes where an island is that begins within these strips, nor close to it."""
        gap = -(-GAP // STRIP)
        for number, depth in enumerate(outline):
            for near in range(first + number - gap, last + number + gap + 1):
                if 0 <= near < len(self._reach):
                    self._reach[near] = max(self._reach[near], top + depth + GAP)

    def tried(self, outline: tuple[int, ...]) -> Point:
        """Where an island would go, without its going there."""
        before = list(self._reach)
        corner = self.place(outline, None)
        self._reach = before
        return corner

    def _starts(self, strips: int, wish: int | None) -> list[int]:
        """Strips to begin at: without a wish just those from which it could not go further left."""
        last = max(0, len(self._reach) - strips)
        if wish is None:
            reach = self._reach
            return [0, *(n for n in range(1, last + 1) if reach[n - 1] > reach[n])]
        asked = min(max(0, wish // STRIP), last)
        return sorted(range(last + 1), key=lambda strip: abs(strip - asked))

    def _top(self, strip: int, strips: int) -> int:
        return max(self._reach[strip : strip + strips], default=0)
