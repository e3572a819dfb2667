"""How a layout stood, read off where its boxes and lines lie, so that a later one can follow it.

Columns of boxes are its layers. In each, boxes and the lines that pass follow each other from the
top; one order for all layers is made of these.
"""

from __future__ import annotations

import heapq
from bisect import bisect_left, bisect_right
from collections import defaultdict
from collections.abc import Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from slinediag.layout.chains import chains_of
from slinediag.layout.graph import Edge, Graph, Node, Pin, micrometres
from slinediag.layout.layout import Layout, Point, Standing
from slinediag.layout.nets import Wiring, wire

Way = tuple[Point, ...]


@dataclass(frozen=True, slots=True)
class Drawn:
    """What was drawn, in mm, y down: the top left corner of each box, the y of its ports from
    there, and the ways of lines, of which nothing says what they join."""

    nodes: Mapping[str, Point]
    ports: Mapping[str, Mapping[str, float]]
    ways: tuple[Way, ...]


def reread(drawn: Drawn, graph: Graph) -> Layout:
    """The layout for ``Settings.previous``, of the boxes of ``graph`` that were drawn.

    Where and how large they were is not in it.
    """
    nodes = [node for node in graph.nodes if node.id in drawn.nodes]
    joined = _joined(drawn, nodes)
    layers = _columns(drawn, nodes, joined)
    layer = {node.id: k for k, column in enumerate(layers) for node in column.nodes}
    ways = {edge: drawn.ways[number] for number, edge in joined.items()}
    earlier = Graph(tuple(nodes), tuple(ways))
    rows = tuple(
        tuple(node.id for node in sorted(column.nodes, key=lambda n: (_middle(drawn, n), n.id)))
        for column in layers
    )
    standing = _standing(wire(earlier), layer, _passing(drawn, layers, ways))
    return Layout({}, {}, {}, (), (), rows, 0, 0.0, 0.0, standing)


def _joined(drawn: Drawn, nodes: Sequence[Node]) -> dict[int, Edge]:
    """Per way, by its number, what it joins; none where an end is at nothing that is there now.

    A way begins at the right edge of its source, which lies next to the left of it, wherever that
    edge was, and ends at the left edge of its target.
    """
    now = {node.id: node for node in nodes}
    starts: dict[int, list[tuple[int, str, str]]] = defaultdict(list)
    ends: dict[tuple[int, int], Pin] = {}
    for name, (x, y) in drawn.nodes.items():
        node = now.get(name)
        outs = {port.id for port in node.outputs} if node else drawn.ports.get(name, {}).keys()
        for port, down in drawn.ports.get(name, {}).items():
            level = micrometres(y + down)
            if port in outs:
                starts[level].append((micrometres(x), name, port))
            if node is not None and port not in outs:
                ends[micrometres(x), level] = (name, port)
    for found in starts.values():
        found.sort()
    inputs = {(node.id, port.id) for node in nodes for port in node.inputs}
    joined: dict[int, Edge] = {}
    for number, way in enumerate(drawn.ways):
        first, last = _spot(way[0]), _spot(way[-1])
        near = starts[first[1]]
        place = bisect_left(near, (first[0] + 1,)) - 1
        target = ends.get(last)
        if place >= 0 and target in inputs and near[place][1] in now:
            joined[number] = Edge(near[place][1:], target)
    return joined


def _spot(point: Point) -> tuple[int, int]:
    return micrometres(point[0]), micrometres(point[1])


def _middle(drawn: Drawn, node: Node) -> float:
    return drawn.nodes[node.id][1] + node.height / 2


@dataclass(frozen=True, slots=True)
class _Column:
    """The boxes of a layer, and the x that all of it lies about."""

    nodes: tuple[Node, ...]
    middle: float


def _columns(drawn: Drawn, nodes: Sequence[Node], joined: Mapping[int, Edge]) -> list[_Column]:
    """The layers from left to right: boxes of one column lie above each other."""
    right = {node.id: drawn.nodes[node.id][0] + node.width for node in nodes}
    right |= {edge.source[0]: drawn.ways[number][0][0] for number, edge in joined.items()}
    found: list[_Column] = []
    group: list[Node] = []
    start = reach = 0.0
    for node in sorted(nodes, key=lambda node: (drawn.nodes[node.id][0], node.id)):
        x = drawn.nodes[node.id][0]
        if group and x > reach:
            found.append(_Column(tuple(group), (start + reach) / 2))
            group = []
        if not group:
            start = reach = x
        group.append(node)
        reach = max(reach, right[node.id])
    if group:
        found.append(_Column(tuple(group), (start + reach) / 2))
    return found


Item = tuple[float, Hashable]
"""Something in a layer and how far down it is there."""


def _passing(
    drawn: Drawn, layers: Sequence[_Column], ways: Mapping[Edge, Way]
) -> list[list[tuple[float, str | Edge]]]:
    """Per layer its boxes and the lines that pass, with how far down."""
    rows: list[list[tuple[float, str | Edge]]] = [
        [(_middle(drawn, node), node.id) for node in column.nodes] for column in layers
    ]
    middles = [column.middle for column in layers]
    for edge, way in ways.items():
        for (x, y), (other, end) in pairwise(way):
            if y == end:
                low, high = sorted((x, other))
                for layer in range(bisect_left(middles, low), bisect_right(middles, high)):
                    rows[layer].append((y, edge))
    return rows


def _standing(
    wiring: Wiring,
    layer: Mapping[str, int],
    rows: Sequence[Sequence[tuple[float, str | Edge]]],
) -> Standing:
    """One order that the rows follow; what runs in single file has one place in it."""
    graph = wiring.graph
    of_node: dict[str, Hashable] = {}
    of_edge: dict[Edge, Hashable] = {}
    for edge, net in zip(graph.edges, wiring.net_of_edge, strict=True):
        of_edge[edge] = ("net", net)
        of_node.update((name, ("box", name)) for name, _ in (edge.source, edge.target))
    back = frozenset(
        number
        for number, edge in enumerate(graph.edges)
        if layer[edge.target[0]] <= layer[edge.source[0]]
    )
    for number, chain in enumerate(chains_of(wiring, back)):
        of_node.update((graph.nodes[node].id, ("chain", number)) for node in chain.nodes)
        for net in chain.nets:
            of_edge.update((graph.edges[e], ("chain", number)) for e in wiring.nets[net].edges)
    named: list[list[Item]] = [
        [
            (y, of_node[item] if isinstance(item, str) else of_edge[item])
            for y, item in sorted(row, key=lambda one: (one[0], str(one[1])))
            if not isinstance(item, str) or item in of_node
        ]
        for row in rows
    ]
    height: dict[Hashable, list[float]] = defaultdict(list)
    for y, key in (one for row in named for one in row):
        height[key].append(y)
    for edge, key in of_edge.items():
        if key not in height:
            ends = [of_node[edge.source[0]], of_node[edge.target[0]]]
            height[key] = [y for end in ends for y in height[end]]
    places = _one_order([[key for _, key in row] for row in named], height)
    lines = tuple((edge.source, edge.target, places[of_edge[edge]]) for edge in graph.edges)
    return Standing({name: places[key] for name, key in of_node.items()}, lines)


def _one_order(
    rows: Sequence[Sequence[Hashable]], height: Mapping[Hashable, Sequence[float]]
) -> dict[Hashable, int]:
    """Places of all, 0 on top, that follow each row where rows do not contradict each other.

    What no row holds back comes first, the highest of those before others; where all is held
    back, what is highest of all.
    """
    level = {key: sum(ys) / len(ys) for key, ys in height.items()}
    number = {key: k for k, key in enumerate(sorted(level, key=lambda key: (level[key], str(key))))}
    below: dict[Hashable, list[Hashable]] = defaultdict(list)
    held = dict.fromkeys(number, 0)
    for row in rows:
        for upper, lower in _steps(row):
            below[upper].append(lower)
            held[lower] += 1
    keys = list(number)
    free = [number[key] for key in keys if not held[key]]
    left = iter(range(len(keys)))
    places: dict[Hashable, int] = {}
    while len(places) < len(keys):
        k = heapq.heappop(free) if free else next(left)
        if keys[k] in places:
            continue
        places[keys[k]] = len(places)
        for lower in below[keys[k]]:
            held[lower] -= 1
            if not held[lower] and lower not in places:
                heapq.heappush(free, number[lower])
    return places


def _steps(row: Sequence[Hashable]) -> Iterator[tuple[Hashable, Hashable]]:
    return ((upper, lower) for upper, lower in pairwise(row) if upper != lower)
