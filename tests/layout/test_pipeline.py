"""What a layout promises to those who draw it."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from dataclasses import asdict, replace
from pathlib import Path

import pytest

from slinediag.layout.graph import Edge, Graph, Node, Port
from slinediag.layout.layout import Layout
from slinediag.layout.pipeline import arrange
from slinediag.layout.settings import Settings
from slinediag.layout.settle import fitting
from slinediag.problems import RequestError
from tests.layout.graphs import box, chain, edge, plant


def crossings(layout: Layout) -> int:
    """Points at which lines of two nets cross, by cutting every segment with every other."""
    segments = [(n, *a, *b) for n, trunk in enumerate(layout.trunks) for a, b in trunk.segments]
    found = set()
    for n, ax, ay, bx, by in segments:
        for m, cx, cy, dx, dy in segments:
            if n != m and ay == by and cx == dx and ax < cx < bx and cy < ay < dy:
                found.add((cx, ay))
    return len(found)


def bends(layout: Layout) -> int:
    return sum(len(run.points) - 2 for run in layout.edges)


@pytest.mark.parametrize("seed", range(5))
@pytest.mark.parametrize("ports", ["fixed", "free"])
def test_crossings_are_counted_right(seed: int, ports: str) -> None:
    layout = arrange(plant(50, seed), Settings(ports=ports))
    assert layout.crossings == crossings(layout)


def test_free_ports_cross_less() -> None:
    graphs = [plant(30, seed) for seed in range(3)]
    fixed = sum(arrange(graph, Settings()).crossings for graph in graphs)
    free = sum(arrange(graph, Settings(ports="free")).crossings for graph in graphs)
    assert free < fixed / 2


def test_thorough_is_not_worse() -> None:
    graphs = [plant(16, seed) for seed in range(3)]
    quick = sum(arrange(graph, Settings()).crossings for graph in graphs)
    thorough = sum(arrange(graph, Settings(effort="thorough")).crossings for graph in graphs)
    assert thorough <= quick


def test_a_chain_is_straight() -> None:
    layout = arrange(chain(12))
    assert bends(layout) == 0
    xs = [layout.nodes[f"n{k}"][0] for k in range(12)]
    assert xs == sorted(xs)


def test_chains_side_by_side_are_straight() -> None:
    """Eight lines through boxes of one row each, from one box to another: the eye runs through."""
    middle = [box(f"m{k}", 1, 1, width=12.0) for k in range(8)]
    edges = [edge(f"a.o{k}>m{k}.i0") for k in range(8)] + [
        edge(f"m{k}.o0>b.i{k}") for k in range(8)
    ]
    layout = arrange(Graph((box("a", 0, 8), *middle, box("b", 8, 0)), tuple(edges)))
    assert bends(layout) == 0
    assert layout.crossings == 0


def test_a_tree_has_no_crossing() -> None:
    nodes = [box(f"n{k}", 1, 2) for k in range(31)]
    edges = [edge(f"n{k}.o{j}>n{2 * k + 1 + j}.i0") for k in range(15) for j in range(2)]
    assert arrange(Graph(tuple(nodes), tuple(edges))).crossings == 0


def test_lines_come_between_those_of_a_bundle() -> None:
    """Four lines from box to box, and a detour between them: planar, if the bundle is parted."""
    nodes = (box("a", 0, 6), box("c", 2, 2), box("b", 6, 0))
    around = [edge(f"a.o{k}>b.i{k}") for k in (0, 1, 4, 5)]
    between = [edge(text) for text in ("a.o2>c.i0", "a.o3>c.i1", "c.o0>b.i2", "c.o1>b.i3")]
    assert arrange(Graph(nodes, (*around, *between))).crossings == 0


def test_what_runs_back_says_so() -> None:
    graph = Graph(
        (box("a", 2, 1), box("b", 1, 2), box("c", 1, 0)),
        (edge("a.o0>b.i0"), edge("b.o0>a.i1"), edge("b.o1>c.i0")),
    )
    layout = arrange(graph)
    assert sorted(run.reversed for run in layout.edges) == [False, False, True]
    for run in layout.edges:
        assert run.reversed == (run.points[0][0] > run.points[-1][0])


def test_a_shared_port_is_one_trunk() -> None:
    nodes = (box("a", 0, 1), *(box(f"n{k}", 1, 0) for k in range(6)))
    layout = arrange(Graph(nodes, tuple(edge(f"a.o0>n{k}.i0") for k in range(6))))
    (trunk,) = layout.trunks
    assert trunk.edges == tuple(range(6))
    uprights = [(a, b) for a, b in trunk.segments if a[0] == b[0]]
    assert len(uprights) == 1
    assert len(trunk.dots) in (4, 5)


def test_boxes_without_lines_fill_a_block() -> None:
    layout = arrange(Graph(tuple(box(f"n{k}", 1, 1) for k in range(40))))
    assert 0.3 < layout.width / layout.height < 3


def test_small_parts_stand_beside_large_ones() -> None:
    """A pair of boxes without tie to the rest adds nothing to the height of the whole."""
    tall = (box("a", 0, 12), box("b", 12, 0), box("c", 1, 0))
    lines = [edge(f"a.o{k}>b.i{k}") for k in range(12)]
    nodes = (*tall, *chain(6).nodes, box("x", 0, 1), box("y", 1, 0))
    joined = Graph(nodes, (*lines, *chain(6).edges, edge("x.o0>y.i0")))
    alone = Graph((*tall, *chain(6).nodes), (*lines, *chain(6).edges))
    assert arrange(joined).height == arrange(alone).height


def test_margin_is_free() -> None:
    layout = arrange(plant(20, 1), Settings(margin=7.0))
    xs = [x for run in layout.edges for x, _ in run.points] + [x for x, _ in layout.nodes.values()]
    ys = [y for run in layout.edges for _, y in run.points] + [y for _, y in layout.nodes.values()]
    assert min(xs) == min(ys) == 7.0
    assert max(xs) <= layout.width - 7.0
    assert max(ys) <= layout.height - 7.0


def test_rows_are_a_grid() -> None:
    """Where boxes agree with the pitch, every level run but a dogleg stands on the grid."""
    layout = arrange(plant(60, 2), Settings())
    levels = [a[1] for trunk in layout.trunks for a, b in trunk.segments if a[1] == b[1]]
    offsets = [level % 8.0 for level in levels]
    commonest = max(set(offsets), key=offsets.count)
    assert offsets.count(commonest) > 0.95 * len(offsets)


def test_pitch_is_found() -> None:
    nodes = (box("a", 0, 5, pitch=6.0), box("b", 5, 0, pitch=6.0), box("c", 1, 1, pitch=9.0))
    assert fitting(Graph(nodes), Settings()).pitch == 6.0
    assert fitting(Graph(), Settings()).pitch == Settings().pitch
    assert fitting(Graph((box("c", 1, 1, pitch=9.0),)), Settings()).pitch == 9.0


def test_one_pair_of_ports_close_to_each_other_does_not_set_the_pitch() -> None:
    ports = tuple(Port(f"p{k}", y) for k, y in enumerate((4.0, 4.3, 11.3, 19.4, 28.0)))
    assert fitting(Graph((Node("a", 20.0, 32.0, ports),)), Settings()).pitch == 7.0


def test_a_bad_graph_is_refused_with_all_that_is_wrong() -> None:
    nodes = (Node("a", -1, 5), Node("a", 3, 5, (Port("p", 9.0),)))
    with pytest.raises(RequestError) as caught:
        arrange(Graph(nodes, (Edge(("a", "q"), ("b", "r")),)))
    told = [problem.text() for problem in caught.value.problems]
    assert len(told) == 5
    assert all(problem.hint for problem in caught.value.problems)


def test_same_layout_whatever_the_hash_seed() -> None:
    """Two processes with other hash seeds draw a graph of fifty boxes point for point alike."""
    program = (
        "import json, sys; from dataclasses import asdict;"
        "from tests.layout.graphs import plant; from slinediag.layout.pipeline import arrange;"
        "from slinediag.layout.settings import Settings;"
        "print(json.dumps(asdict(arrange(plant(50, 3), Settings(ports='free')))))"
    )
    root = Path(__file__).parents[2]
    texts = [
        subprocess.run(
            [sys.executable, "-c", program],
            check=True,
            capture_output=True,
            text=True,
            env={**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": str(root)},
            cwd=root,
        ).stdout
        for seed in ("1", "2024")
    ]
    here = arrange(plant(50, 3), Settings(ports="free"))
    assert texts[0] == texts[1] == json.dumps(asdict(here)) + "\n"


def test_order_of_the_list_of_edges_does_not_matter_much() -> None:
    graph = plant(40, 4)
    turned = replace_edges(graph, tuple(reversed(graph.edges)))
    one, other = arrange(graph), arrange(turned)
    assert abs(one.crossings - other.crossings) <= 0.3 * max(one.crossings, other.crossings)


def replace_edges(graph: Graph, edges: tuple[Edge, ...]) -> Graph:
    return replace(graph, edges=edges)
