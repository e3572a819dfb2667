"""Shifts dealt out to channels: tracks against their density, counted from the drawn lines."""

from __future__ import annotations

import random
from itertools import pairwise

import networkx as nx
import pytest

from slinediag.layout.graph import Graph
from slinediag.layout.layers import layer
from slinediag.layout.layout import Layout
from slinediag.layout.nets import wire
from slinediag.layout.order import order
from slinediag.layout.pipeline import arrange
from slinediag.layout.place import place
from slinediag.layout.placed import Placed
from slinediag.layout.segments import segments_of
from slinediag.layout.settings import Settings
from slinediag.layout.settle import fitting
from slinediag.layout.spreading import Channels, spread
from tests.bench.strings import strings
from tests.layout.graphs import box, edge

ROW = 8000


def tracks_and_density(layout: Layout, graph: Graph) -> tuple[int, int]:
    """Over all gaps in x without a box: the uprights' different x, and the most side by side.

    As in the channel routing problem: no fewer tracks than its density can do (Hashimoto,
    Stevens, "Wire routing by optimizing channel assignment within large apertures", 1971).
    """
    sides = sorted((layout.nodes[n.id][0], layout.nodes[n.id][0] + n.width) for n in graph.nodes)
    gaps, reach = [], sides[0][1]
    for left, right in sides[1:]:
        if left > reach:
            gaps.append((reach, left))
        reach = max(reach, right)
    uprights = [
        (a[0], a[1], b[1])
        for trunk in layout.trunks
        for a, b in trunk.segments
        if a[0] == b[0] and a[1] != b[1]
    ]
    tracks = density = 0
    for left, right in gaps:
        inside = [upright for upright in uprights if left <= upright[0] <= right]
        tracks += len({x for x, _, _ in inside})
        beside = [sum(low <= y < high for _, low, high in inside) for _, y, _ in inside]
        density += max(beside, default=0)
    return tracks, density


@pytest.mark.parametrize("ports", ["fixed", "free"])
def test_tracks_stay_near_their_density(ports: str) -> None:
    """Six plants of 96 positions: at most 1.3 tracks for each that the density asks for."""
    total = [0, 0]
    for seed in range(1, 7):
        graph = strings(96, seed)
        layout = arrange(graph, fitting(graph, Settings(ports=ports)))
        for k, value in enumerate(tracks_and_density(layout, graph)):
            total[k] += value
    assert total[0] <= 1.3 * total[1]


def stairs(lines: int, rows: int) -> tuple[Channels, Placed]:
    """Lines from box to box through a small box each, all of which shift after the first box."""
    middle = [box(f"m{k}", 1, 1, width=12.0) for k in range(lines)]
    edges = [edge(f"a.o{k}>m{k}.i0") for k in range(lines)]
    edges += [edge(f"m{k}.o0>b.i{k}") for k in range(lines)]
    graph = Graph((box("a", 0, lines), *middle, box("b", lines, 0)), tuple(edges))
    settings = Settings()
    ordered = order(layer(wire(graph)), settings)
    shifted = tuple(ROW * (rows + k) for k in range(lines))
    placed = Placed(ordered, ((0,), shifted, (ROW * rows,)))
    return Channels(ordered, segments_of(ordered), settings), placed


@pytest.mark.parametrize("rows", [-3, -1, 1, 3])
def test_stairs_are_shared_by_the_channels_they_pass(rows: int) -> None:
    """Twelve lines that shift together need twelve tracks; half of them can wait a channel."""
    channels, placed = stairs(12, rows)
    assert [channels.need(gap, placed.levels).tracks for gap in (0, 1)] == [12, 0]
    found = spread(channels, placed.levels)
    assert [channels.need(gap, found.levels).tracks for gap in (0, 1)] == [6, 6]
    # Each line is bent once, before as after, and the boxes with many ports stay.
    assert found.levels[0] == placed.levels[0]
    assert found.levels[2] == placed.levels[2]
    for upper, lower in pairwise(found.levels[1]):
        assert lower - upper >= ROW
    assert found.excess == 12 - 2 * abs(rows)


def test_what_needs_no_more_than_its_density_stays() -> None:
    """Two lines that shift by two rows, where the first box has a straight line to another."""
    near = [box("m0", 1, 1, width=12.0), box("m1", 1, 1, width=12.0), box("c", 1, 0)]
    texts = ("a.o0>m0.i0", "a.o1>m1.i0", "m0.o0>b.i0", "m1.o0>b.i1", "a.o2>c.i0")
    graph = Graph((box("a", 0, 3), *near, box("b", 2, 0)), tuple(map(edge, texts)))
    ordered = order(layer(wire(graph)), Settings())
    by_name = {"a": 2 * ROW, "m0": 0, "m1": ROW, "c": 4 * ROW, "b": 0}
    levels = tuple(tuple(by_name[graph.nodes[n].id] for n in row) for row in ordered.rows)
    channels = Channels(ordered, segments_of(ordered), Settings())
    assert channels.need(0, levels)[1:] == (2, 2)
    assert spread(channels, levels).levels == levels


@pytest.mark.parametrize("seed", range(6))
def test_placing_deals_out_all_that_can_be(seed: int) -> None:
    graph = strings(96, seed)
    settings = fitting(graph, Settings())
    ordered = order(layer(wire(graph)), settings)
    placed = place(ordered, settings)
    channels = Channels(ordered, segments_of(ordered), settings)
    assert spread(channels, placed.levels).levels == placed.levels


@pytest.mark.parametrize("seed", range(20))
def test_chains_are_the_longest_ways(seed: int) -> None:
    """Lines in one order on both sides: each two that touch are in a chain, and its longest way
    (networkx) is how many tracks they need; the density is the largest clique of those that
    overlap."""
    chance = random.Random(seed)
    lines = 9
    channels, placed = stairs(lines, 1)
    levels = [list(ys) for ys in placed.levels]
    steps = [chance.choice((1, 1, 1, 2, 4)) for _ in range(lines)]
    levels[1] = [ROW * (sum(steps[:k]) - 6) for k in range(lines)]
    spans = [(ROW * k, levels[1][k]) for k in range(lines)]
    need = channels.need(0, levels)
    before, beside = nx.DiGraph(), nx.Graph()
    for k, (a, b) in enumerate(spans):
        if a != b:
            before.add_node(k)
            beside.add_node(k)
    for one in before.nodes:
        for other in before.nodes:
            (a, b), (c, d) = sorted(spans[one]), sorted(spans[other])
            if one < other and c <= b and a <= d:
                before.add_edge(one, other)
            if one < other and c < b and a < d:
                beside.add_edge(one, other)
    longest = len(nx.dag_longest_path(before)) if before else 0
    clique = max((len(found) for found in nx.find_cliques(beside)), default=0)
    assert need.density == clique
    assert need.tracks == max(longest, clique)
