"""Joints made and opened at random, against components found by networkx each time."""

from __future__ import annotations

import networkx as nx
from hypothesis import given
from hypothesis import strategies as st

from slinediag.circuit.nets import Nets

SIZE = 12
PAIRS = st.tuples(st.integers(0, SIZE - 1), st.integers(0, SIZE - 1)).filter(lambda p: p[0] != p[1])


@given(st.lists(st.tuples(PAIRS, st.booleans()), max_size=60))
def test_nets_are_the_components_of_the_joints(changes):
    nets = Nets(SIZE)
    graph = nx.MultiGraph()
    graph.add_nodes_from(range(SIZE))
    for (one, other), make in changes:
        if make:
            nets.join(one, other)
            graph.add_edge(one, other)
        elif graph.has_edge(one, other):
            nets.part(one, other)
            graph.remove_edge(one, other)
        for component in nx.connected_components(graph):
            for contact in component:
                assert set(nets.members(contact)) == component
                assert len(nets.members(contact)) == len(component)
            assert len({nets.net(contact) for contact in component}) == 1
    numbers = {nets.net(c) for c in range(SIZE)}
    assert len(numbers) == nx.number_connected_components(graph)


def test_a_joint_made_twice_holds_until_both_are_opened():
    nets = Nets(2)
    nets.join(0, 1)
    nets.join(1, 0)
    nets.part(0, 1)
    assert nets.net(0) == nets.net(1)
    nets.part(0, 1)
    assert nets.net(0) != nets.net(1)
    assert nets.members(0) == [0]


def test_neighbours_are_what_is_joined_directly():
    nets = Nets(3)
    nets.join(0, 2)
    nets.join(0, 1)
    assert list(nets.neighbours(0)) == [2, 1]
