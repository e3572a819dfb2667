"""What is to be arranged: boxes with ports on their edges, and lines from port to port."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Literal

from slinediag.problems import Problem, problem

Side = Literal["inputs", "outputs"]
Pin = tuple[str, str]

# Far beyond any wall, and small enough for whole micrometres in 64 bits.
LARGEST = 1e8


@dataclass(frozen=True, slots=True)
class Port:
    """A place on a box's edge where lines end; ``y`` in mm down from the box's top."""

    id: str
    y: float


@dataclass(frozen=True, slots=True)
class Node:
    """A box, in mm: inputs on its left edge, outputs on its right.

    ``above`` and ``below`` are kept free of other boxes and of lines over the box's width.
    A box may be as small as a point.
    """

    id: str
    width: float
    height: float
    inputs: tuple[Port, ...] = ()
    outputs: tuple[Port, ...] = ()
    above: float = 0.0
    below: float = 0.0


@dataclass(frozen=True, slots=True)
class Edge:
    """A line from an output to an input, each a pair (node, port); a port may have many."""

    source: Pin
    target: Pin


@dataclass(frozen=True, slots=True)
class Graph:
    """Boxes and the lines between them; ``index`` finds a box's number by its id."""

    nodes: tuple[Node, ...] = ()
    edges: tuple[Edge, ...] = ()
    index: dict[str, int] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        index = {node.id: number for number, node in enumerate(self.nodes)}
        object.__setattr__(self, "index", index)


def micrometres(millimetres: float) -> int:
    """Millimetres as the nearest whole number of micrometres."""
    return round(millimetres * 1000)


def problems_of(graph: Graph) -> tuple[Problem, ...]:
    """Everything that keeps a graph from being drawn, in the order of the graph."""
    found = list(_repeated("node", (node.id for node in graph.nodes)))
    for node in graph.nodes:
        found += _problems_of_node(node)
    for number, edge in enumerate(graph.edges):
        found += _problems_of_edge(graph, number, edge)
    return tuple(found)


def _repeated(where: str, ids: Iterable[str]) -> list[Problem]:
    return [
        problem(f"{where} {name!r}", f"this id is used {count} times", "Give each its own id")
        for name, count in Counter(ids).items()
        if count > 1
    ]


def _problems_of_node(node: Node) -> list[Problem]:
    where = f"node {node.id!r}"
    sizes = {
        "width": node.width,
        "height": node.height,
        "above": node.above,
        "below": node.below,
    }
    found = [
        problem(f"{where}, {name}", f"{size} is no size", "Give millimetres, 0 or more")
        for name, size in sizes.items()
        if not (math.isfinite(size) and 0 <= size <= LARGEST)
    ]
    if found:
        return found
    for side, ports in (("inputs", node.inputs), ("outputs", node.outputs)):
        found += _problems_of_side(node, f"{where}, {side}", ports)
    return found


def _problems_of_side(node: Node, where: str, ports: tuple[Port, ...]) -> list[Problem]:
    found = _repeated(f"{where}, port", (port.id for port in ports))
    at: dict[int, str] = {}
    for port in ports:
        place = f"{where}, port {port.id!r}"
        if not math.isfinite(port.y) or not -0.0005 <= port.y <= node.height + 0.0005:
            hint = f"Give y in millimetres from 0 to the height, {node.height:g}"
            found.append(problem(place, f"y {port.y} is off the box", hint))
            continue
        other = at.setdefault(micrometres(port.y), port.id)
        if other != port.id:
            hint = "Move one of them, or make them one port: a port may have many lines"
            found.append(problem(place, f"it lies on port {other!r}", hint))
    return found


def _problems_of_edge(graph: Graph, number: int, edge: Edge) -> list[Problem]:
    found = []
    ends: tuple[tuple[str, Side, Pin], ...] = (
        ("from", "outputs", edge.source),
        ("to", "inputs", edge.target),
    )
    for end, side, (node, port) in ends:
        where = f"edge {number}, {end}"
        if node not in graph.index:
            hint = "Name a node of the graph, or add this one"
            found.append(problem(where, f"there is no node {node!r}", hint))
            continue
        box = graph.nodes[graph.index[node]]
        known = [p.id for p in (box.outputs if side == "outputs" else box.inputs)]
        if port not in known:
            hint = f"It has {', '.join(known[:8]) or 'none'}{', …' if len(known) > 8 else ''}"
            what = f"node {node!r} has no port {port!r} among its {side}"
            found.append(problem(where, what, hint))
    return found
