"""A small change of the graph is a small change of the picture."""

from __future__ import annotations

import random
from dataclasses import replace
from functools import cache

import pytest
from hypothesis import HealthCheck, given
from hypothesis import settings as hypothesis_settings

from slinediag.layout.graph import Edge, Graph
from slinediag.layout.invariants import layout_faults
from slinediag.layout.keeping import calmer, keep_order
from slinediag.layout.layers import layer
from slinediag.layout.layout import Layout
from slinediag.layout.nets import wire
from slinediag.layout.pipeline import arrange
from slinediag.layout.settings import Settings
from tests.bench.strings import strings
from tests.layout.graphs import box, edge, graphs


def neighbours(layout: Layout) -> dict[str, tuple[str | None, str | None]]:
    """Per box what stands above and below it in its layer."""
    found = {}
    for row in layout.layers:
        padded = (None, *row, None)
        for above, name, below in zip(padded, row, padded[2:], strict=False):
            found[name] = (above, below)
    return found


def kept(first: Layout, second: Layout) -> float:
    """The share of the first layout's boxes that keep their neighbours."""
    before, after = neighbours(first), neighbours(second)
    return sum(before[name] == after.get(name) for name in before) / len(before)


def with_one_more(graph: Graph, chance: random.Random) -> Graph:
    """A small box put into one line."""
    number = chance.randrange(len(graph.edges))
    line = graph.edges[number]
    halves = (Edge(line.source, ("new", "i0")), Edge(("new", "o0"), line.target))
    nodes = (*graph.nodes, box("new", 1, 1, width=12.0))
    return Graph(nodes, (*graph.edges[:number], *halves, *graph.edges[number + 1 :]))


def with_one_moved(graph: Graph, chance: random.Random) -> Graph:
    """One line taken to an input that had none."""
    number = chance.randrange(len(graph.edges))
    taken = {line.target for line in graph.edges}
    free = [(n.id, p.id) for n in graph.nodes for p in n.inputs if (n.id, p.id) not in taken]
    edges = list(graph.edges)
    edges[number] = replace(edges[number], target=chance.choice(free))
    return replace(graph, edges=tuple(edges))


def with_two_swapped(graph: Graph, chance: random.Random) -> Graph:
    """Two lines that go to each other's inputs."""
    one, other = chance.sample(range(len(graph.edges)), 2)
    edges = list(graph.edges)
    edges[one] = replace(edges[one], target=graph.edges[other].target)
    edges[other] = replace(edges[other], target=graph.edges[one].target)
    return replace(graph, edges=tuple(edges))


def touched(first: Graph, second: Graph) -> set[str]:
    """The boxes that are new or whose lines are not what they were."""
    lines = set(first.edges) ^ set(second.edges)
    return {name for line in lines for name, _ in (line.source, line.target)}


def kept_by_others(first: Layout, second: Layout, changed: set[str]) -> float:
    """The share that keep their neighbours of boxes neither changed nor beside such a one."""
    before, after = neighbours(first), neighbours(second)
    beside = {n for found in (before, after) for name in changed for n in found.get(name, ())}
    others = [name for name in before if name not in changed | beside]
    return sum(before[name] == after.get(name) for name in others) / len(others)


@cache
def drawn(seed: int) -> tuple[Graph, Layout]:
    """A graph of 90 small boxes, and how it is drawn afresh."""
    graph = strings(90, seed)
    return graph, arrange(graph)


@pytest.mark.parametrize(
    ("change", "share"),
    [(with_one_more, 0.95), (with_one_moved, 0.95), (with_two_swapped, 0.9)],
)
def test_neighbours_stay(change, share: float) -> None:
    """Hardly a box gets other neighbours, and the lines cross as seldom as drawn afresh.

    Two lines that are swapped may turn the way of what they join about: that has to move.
    """
    shares, others, crossings, afresh = [], [], 0, 0
    for seed in range(6):
        graph, first = drawn(seed)
        changed = change(graph, random.Random(seed))
        second = arrange(changed, Settings(previous=first))
        assert layout_faults(second, changed, Settings()) == []
        shares.append(kept(first, second))
        others.append(kept_by_others(first, second, touched(graph, changed)))
        crossings += second.crossings
        afresh += arrange(changed).crossings
    assert sum(shares) / len(shares) >= share
    assert sum(others) / len(others) >= 0.95
    assert min(shares) >= share - 0.12
    assert crossings <= 1.15 * afresh


@pytest.mark.parametrize("seed", range(3))
def test_nothing_moves_without_a_change(seed: int) -> None:
    graph = strings(60, seed)
    first = arrange(graph)
    second = arrange(graph, Settings(previous=first))
    assert second.layers == first.layers
    assert second.crossings == first.crossings


def test_a_part_that_is_new_stands_below() -> None:
    graph = strings(24, 1)
    first = arrange(graph)
    more = Graph((*graph.nodes, box("x", 0, 1), box("y", 1, 0)), (*graph.edges, edge("x.o0>y.i0")))
    second = arrange(more, Settings(previous=first))
    assert kept(first, second) >= 1 - 2 / len(graph.nodes)


@hypothesis_settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(graphs(), graphs())
def test_any_graph_after_any_other(one: Graph, other: Graph) -> None:
    """Whatever was drawn before, what is drawn now is sound."""
    settings = Settings(previous=arrange(one))
    assert layout_faults(arrange(other, settings), other, settings) == []


def test_a_loop_is_cut_where_it_was() -> None:
    """A ring of three boxes that begins where its source enters; afterwards it has a larger box to
    begin at, and begins where it did."""
    ring = [edge("s.o0>a.i0"), edge("a.o0>b.i0"), edge("b.o0>c.i0"), edge("c.o0>a.i1")]
    nodes = (box("s", 0, 1), box("a", 2, 1), box("b", 4, 1), box("c", 1, 1))
    first = arrange(Graph(nodes, tuple(ring)))
    assert first.layers == (("s",), ("a",), ("b",), ("c",))
    feeders = tuple(box(f"f{k}", 0, 1) for k in range(3))
    lines = [edge(f"f{k}.o0>b.i{k + 1}") for k in range(3)]
    changed = Graph((*feeders, *nodes), (*lines, *ring[1:]))
    assert column(arrange(changed), "abc") == "bca"
    assert column(arrange(changed, Settings(previous=first)), "abc") == "abc"


def column(layout: Layout, names: str) -> str:
    """Names of boxes from left to right."""
    place = layout.layer_of()
    return "".join(sorted(names, key=lambda name: place[name]))


@pytest.mark.parametrize(("lines", "moved"), [(1, False), (2, True)])
def test_two_boxes_change_places_where_that_saves_a_crossing_for_each(lines, moved) -> None:
    """Two boxes lead straight on; then their lines are exchanged, one or two of each, and what
    they lead to could change places: 1 crossing for 2 boxes, or 4."""
    boxes = [box(name, 0, lines) for name in "ab"] + [box(name, lines, 0) for name in "cd"]

    def joined(*pairs: str) -> Graph:
        each = [edge(f"{a}.o{k}>{b}.i{k}") for a, b in pairs for k in range(lines)]
        return Graph(tuple(boxes), tuple(each))

    first = arrange(joined("ac", "bd"))
    assert first.layers == (("a", "b"), ("c", "d"))
    layered = layer(wire(joined("ad", "bc")))
    ordered = keep_order(layered, first, Settings(previous=first))
    kept = replace(ordered, rows=((0, 1), (2, 3)))
    polished = replace(ordered, rows=((0, 1), (3, 2)))
    assert calmer(kept, polished, first) is (polished if moved else kept)
