"""Graphs for tests: drawn by Hypothesis, or built by hand."""

from __future__ import annotations

import random

from hypothesis import strategies as st

from slinediag.layout.graph import Edge, Graph, Node, Port


def box(name: str, ins: int, outs: int, pitch: float = 8.0, width: float = 30.0) -> Node:
    """A box with ports one pitch apart, half a pitch from its top."""
    height = pitch * max(ins, outs, 1)
    return Node(
        name,
        width,
        height,
        tuple(Port(f"i{k}", pitch * k + pitch / 2) for k in range(ins)),
        tuple(Port(f"o{k}", pitch * k + pitch / 2) for k in range(outs)),
    )


def edge(text: str) -> Edge:
    """``a.o0>b.i0``."""
    source, target = text.split(">")
    a, b = source.split("."), target.split(".")
    return Edge((a[0], a[1]), (b[0], b[1]))


def chain(length: int) -> Graph:
    nodes = [box(f"n{k}", 1, 1) for k in range(length)]
    edges = [edge(f"n{k}.o0>n{k + 1}.i0") for k in range(length - 1)]
    return Graph(tuple(nodes), tuple(edges))


def plant(
    count: int,
    seed: int,
    shared: float = 0.1,
    back: float = 0.03,
    sizes: tuple[int, ...] = (1, 1, 2, 4, 8),
    widths: tuple[float, ...] = (30.0,),
) -> Graph:
    """Boxes of a few sizes, in columns, joined by lines that mostly run onwards."""
    chance = random.Random(seed)
    nodes = [
        box(f"n{k}", chance.choice(sizes), chance.choice(sizes), width=widths[k % len(widths)])
        for k in range(count)
    ]
    column = max(2, count // 12)
    taken: set[tuple[str, str]] = set()
    edges = []
    for k, node in enumerate(nodes):
        for port in node.outputs:
            far = column + chance.randint(-4, 4) + (column if chance.random() < 0.1 else 0)
            other = k - far if chance.random() < back else k + max(1, far)
            if not 0 <= other < count:
                continue
            entry = chance.choice(nodes[other].inputs).id
            if (nodes[other].id, entry) in taken and chance.random() > shared:
                continue
            taken.add((nodes[other].id, entry))
            edges.append(Edge((node.id, port.id), (nodes[other].id, entry)))
    return Graph(tuple(nodes), tuple(edges))


@st.composite
def sides(draw: st.DrawFn, prefix: str, height: float) -> tuple[Port, ...]:
    """Ports at odd levels, at least 1 mm apart, as a box of any make may have them."""
    places = draw(st.lists(st.integers(0, int(height)), max_size=5, unique=True))
    return tuple(Port(f"{prefix}{k}", float(y)) for k, y in enumerate(places))


@st.composite
def nodes(draw: st.DrawFn, name: str) -> Node:
    if draw(st.booleans()):
        ins, outs = draw(st.integers(0, 4)), draw(st.integers(0, 4))
        return box(name, ins, outs, width=draw(st.sampled_from((0.0, 12.0, 30.0))))
    if draw(st.integers(0, 5)) == 0:
        return Node(name, 0.0, 0.0, (Port("i0", 0.0),), (Port("o0", 0.0),))
    height = draw(st.sampled_from((0.0, 3.0, 10.0, 40.5)))
    return Node(
        name,
        draw(st.sampled_from((0.0, 0.3, 17.7))),
        height,
        draw(sides("i", height)),
        draw(sides("o", height)),
        draw(st.sampled_from((0.0, 4.2))),
        draw(st.sampled_from((0.0, 3.0))),
    )


@st.composite
def graphs(draw: st.DrawFn, largest: int = 14) -> Graph:
    """Any graph: loops, pairs that feed each other, shared ports, boxes without lines."""
    count = draw(st.integers(0, largest))
    boxes = tuple(draw(nodes(f"n{k}")) for k in range(count))
    return draw(_joined(boxes))


@st.composite
def fans(draw: st.DrawFn, largest: int = 8) -> Graph:
    """A few boxes with ports on rows, and many lines, most of which share ports."""
    count = draw(st.integers(4, largest))
    width, ports = st.sampled_from((12.0, 30.0)), st.integers(1, 5)
    boxes = [box(f"n{k}", draw(ports), draw(ports), width=draw(width)) for k in range(count)]
    return draw(_joined(tuple(boxes), count))


@st.composite
def _joined(draw: st.DrawFn, boxes: tuple[Node, ...], least: int = 0) -> Graph:
    """The boxes with lines between any of their ports, ``least`` of them or more."""
    sources = [(node.id, port.id) for node in boxes for port in node.outputs]
    targets = [(node.id, port.id) for node in boxes for port in node.inputs]
    if not sources or not targets:
        return Graph(boxes)
    pairs = st.tuples(st.sampled_from(sources), st.sampled_from(targets))
    chosen = draw(st.lists(pairs, min_size=least, max_size=2 * len(boxes) + least, unique=True))
    return Graph(boxes, tuple(Edge(source, target) for source, target in chosen))
