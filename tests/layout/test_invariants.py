"""What must hold after every step, on graphs of every kind."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st

from slinediag.layout import invariants
from slinediag.layout.finish import finish
from slinediag.layout.graph import Edge, Graph, Node, Port
from slinediag.layout.layers import layer
from slinediag.layout.nets import wire
from slinediag.layout.order import order
from slinediag.layout.place import place
from slinediag.layout.route import route
from slinediag.layout.settings import Settings
from slinediag.layout.spares import add_spares
from tests.layout.graphs import box, chain, edge, graphs, plant

STEADY = {"deadline": None, "suppress_health_check": list(HealthCheck)}


def check(graph: Graph, settings: Settings) -> None:
    """No fault after any step."""
    layered = layer(wire(graph))
    assert invariants.layered_faults(layered) == []
    ordered = order(layered, settings)
    assert invariants.ordered_faults(ordered) == []
    placed = place(ordered, settings)
    assert invariants.placed_faults(placed, settings) == []
    filled = add_spares(placed, settings)
    assert not [f for f in invariants.placed_faults(filled, settings) if "below" in f]
    routed = route(filled, settings)
    assert invariants.routed_faults(routed, settings) == []
    layout = finish(routed, settings)
    assert invariants.layout_faults(layout, graph, settings) == []


@hypothesis_settings(max_examples=150, **STEADY)
@given(graphs(), st.sampled_from(("fixed", "free")), st.sampled_from((0.0, 5.0, 8.0)))
def test_any_graph(graph: Graph, ports: str, pitch: float) -> None:
    check(graph, Settings(ports=ports, pitch=pitch, margin=5.0))


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("ports", ["fixed", "free"])
def test_plants(seed: int, ports: str) -> None:
    check(plant(60, seed), Settings(ports=ports))


@pytest.mark.parametrize("seed", range(4))
def test_plants_with_boxes_of_many_widths(seed: int) -> None:
    """Uprights leave their channel for the room beside narrow boxes."""
    graph = plant(60, seed, widths=(12.0, 12.0, 12.0, 30.0, 45.0))
    check(graph, Settings(stretch=0.1))
    check(graph, Settings(spacing=0.7, channel=0.0, ports="free"))


def test_thorough() -> None:
    check(plant(20, 7), Settings(effort="thorough"))


NAMED = {
    "nothing": Graph(),
    "one box": Graph((box("a", 1, 1),)),
    "boxes without lines": Graph(tuple(box(f"n{k}", 1, 1) for k in range(30))),
    "self-loop": Graph((box("a", 1, 1),), (edge("a.o0>a.i0"),)),
    "self-loops": Graph(
        (box("a", 3, 3), box("b", 1, 1)),
        (edge("a.o0>a.i0"), edge("a.o1>a.i2"), edge("a.o2>a.i1"), edge("b.o0>b.i0")),
    ),
    "two that feed each other": Graph(
        (box("a", 1, 1), box("b", 1, 1)), (edge("a.o0>b.i0"), edge("b.o0>a.i0"))
    ),
    "ring": Graph(
        tuple(box(f"n{k}", 1, 1) for k in range(5)),
        tuple(edge(f"n{k}.o0>n{(k + 1) % 5}.i0") for k in range(5)),
    ),
    "one port with forty ends": Graph(
        (box("a", 0, 1), *(box(f"n{k}", 1, 0) for k in range(40))),
        tuple(edge(f"a.o0>n{k}.i0") for k in range(40)),
    ),
    "forty outputs on one input": Graph(
        (box("a", 1, 0), *(box(f"n{k}", 0, 1) for k in range(40))),
        tuple(edge(f"n{k}.o0>a.i0") for k in range(40)),
    ),
    "every output to every input": Graph(
        (box("a", 0, 4), box("b", 4, 0)),
        tuple(edge(f"a.o{j}>b.i{k}") for j in range(4) for k in range(4)),
    ),
    "junction": Graph(
        (box("a", 0, 2), Node("j", 0, 0, (Port("i", 0),), (Port("o", 0),)), box("b", 3, 0)),
        (edge("a.o0>j.i"), edge("j.o>b.i0"), edge("j.o>b.i2"), edge("a.o1>b.i1")),
    ),
    "empty sides": Graph(
        (box("a", 0, 3), box("b", 0, 0), box("c", 3, 0), box("d", 0, 2), box("e", 4, 0)),
        (edge("a.o0>c.i2"), edge("d.o1>e.i3")),
    ),
    "loops on shared inputs": Graph(
        (box("a", 1, 1), box("b", 1, 1), box("c", 0, 2)),
        (edge("a.o0>a.i0"), edge("b.o0>b.i0"), edge("c.o0>a.i0"), edge("c.o1>b.i0")),
    ),
    "swapped": Graph((box("a", 0, 2), box("b", 2, 0)), (edge("a.o0>b.i1"), edge("a.o1>b.i0"))),
    "turned over": Graph(
        (box("a", 0, 6), box("b", 6, 0)), tuple(edge(f"a.o{k}>b.i{5 - k}") for k in range(6))
    ),
    "shared port that also runs back": Graph(
        (box("a", 1, 1), box("b", 1, 1), box("c", 2, 0)),
        (edge("a.o0>b.i0"), edge("b.o0>a.i0"), edge("b.o0>c.i0"), edge("a.o0>c.i1")),
    ),
    "chain": chain(9),
    "two parts and a spare": Graph(
        (*chain(4).nodes, box("x", 0, 1), box("y", 1, 0), box("z", 2, 2)),
        (*chain(4).edges, edge("x.o0>y.i0")),
    ),
}


@pytest.mark.parametrize("name", NAMED)
@pytest.mark.parametrize("ports", ["fixed", "free"])
def test_named(name: str, ports: str) -> None:
    check(NAMED[name], Settings(ports=ports))


def test_labels_keep_their_room() -> None:
    def labelled(node: Node) -> Node:
        return Node(node.id, node.width, node.height, node.inputs, node.outputs, 6.0, 3.5)

    graph = plant(40, 3)
    check(Graph(tuple(map(labelled, graph.nodes)), graph.edges), Settings())


def test_five_thousand_boxes() -> None:
    graph = plant(5000, 1, sizes=(1, 1, 1, 2))
    assert len(graph.edges) > 3500
    check(graph, Settings())


def test_a_fault_is_found() -> None:
    graph = Graph(
        (box("a", 0, 2), box("b", 2, 0)), (Edge(("a", "o0"), ("b", "i0")), edge("a.o1>b.i1"))
    )
    settings = Settings()
    layout = finish(route(place(order(layer(wire(graph)), settings), settings), settings), settings)
    moved = type(layout)(
        {**layout.nodes, "b": layout.nodes["a"]},
        layout.inputs,
        layout.outputs,
        layout.edges,
        layout.trunks,
        layout.layers,
        layout.crossings,
        layout.width,
        layout.height,
    )
    faults = invariants.layout_faults(moved, graph, settings)
    assert any("overlap" in fault for fault in faults)
    assert any("its port is at" in fault for fault in faults)
