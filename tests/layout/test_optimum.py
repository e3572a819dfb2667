"""The integer program that counts the fewest crossings, and the layout against it."""

from __future__ import annotations

import itertools
import random

import pytest

from slinediag.layout.graph import Edge, Graph, Node, Port
from slinediag.layout.pipeline import arrange
from slinediag.layout.settings import Settings
from tests.layout.graphs import plant
from tests.layout.optimum import least_crossings


def boxes_and_lines(seed: int) -> tuple[Graph, dict[str, int]]:
    """Two layers of four boxes with two ports each, and lines from left to right at random."""
    chance = random.Random(seed)
    ports = (Port("a", 2.0), Port("b", 6.0))
    nodes = [Node(f"L{k}", 10.0, 8.0, (), ports) for k in range(4)]
    nodes += [Node(f"R{k}", 10.0, 8.0, ports, ()) for k in range(4)]
    edges = {
        ((f"L{chance.randrange(4)}", chance.choice("ab")), (f"R{k}", port))
        for k in range(4)
        for port in "ab"
    }
    graph = Graph(tuple(nodes), tuple(Edge(*pair) for pair in sorted(edges)))
    return graph, {node.id: int(node.id[0] == "R") for node in nodes}


def crossings_of_all_orders(graph: Graph) -> int:
    """The fewest crossings, by trying every order of both layers."""
    nets: dict[tuple[str, str], list[tuple[str, str]]] = {}
    for edge in graph.edges:
        nets.setdefault(edge.source, []).append(edge.target)
    best = len(graph.edges) ** 2
    for lefts, rights in itertools.product(itertools.permutations(range(4)), repeat=2):
        place = {f"L{box}": k for k, box in enumerate(lefts)}
        place |= {f"R{box}": k for k, box in enumerate(rights)}
        fans = sorted(
            (place[source[0]], source[1], sorted((place[box], port) for box, port in targets))
            for source, targets in nets.items()
        )
        total = 0
        for (_, _, upper), (_, _, lower) in itertools.combinations(fans, 2):
            # From the top: how often the two take turns, the upper one before all on the left.
            owners = [
                owner for _, owner in sorted([(e, 0) for e in upper] + [(e, 1) for e in lower])
            ]
            circle = [1, 0, *owners]
            turns = sum(a != b for a, b in zip(circle, [*circle[1:], circle[0]], strict=True))
            total += turns // 2 - 1
        best = min(best, total)
    return best


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_the_program_finds_what_trying_every_order_finds(seed):
    graph, layers = boxes_and_lines(seed)
    assert least_crossings(graph, layers) == crossings_of_all_orders(graph)


def test_the_layout_has_no_fewer_and_hardly_more_crossings_than_the_least():
    graph = plant(24, 5)
    layout = arrange(graph, Settings(effort="thorough"))
    least = least_crossings(graph, layout.layer_of())
    assert least <= layout.crossings <= least + 2
