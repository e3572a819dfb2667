"""Least differences against a linear program solved by other means."""

from __future__ import annotations

import networkx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slinediag.layout.simplex import Differences, least_differences, longest_ways


def cost(problem: Differences, y: list[int]) -> int:
    return sum(
        weight * (y[head] - y[tail])
        for tail, head, weight in zip(problem.tails, problem.heads, problem.weights, strict=True)
    )


def least_cost(problem: Differences) -> int:
    """By duality the value of a flow of greatest length (networkx, network simplex on flows)."""
    graph = networkx.DiGraph()
    graph.add_nodes_from(range(problem.count), demand=0)
    lengths: dict[tuple[int, int], int] = {}
    for tail, head, length, weight in zip(
        problem.tails, problem.heads, problem.lengths, problem.weights, strict=True
    ):
        lengths[tail, head] = max(lengths.get((tail, head), length), length)
        graph.nodes[tail]["demand"] -= weight
        graph.nodes[head]["demand"] += weight
    for (tail, head), length in lengths.items():
        graph.add_edge(tail, head, weight=-length)
    return -int(networkx.network_simplex(graph)[0])


@st.composite
def problems(draw: st.DrawFn) -> Differences:
    """Conditions from lower to higher numbers, so that they have no cycle."""
    count = draw(st.integers(2, 9))
    pairs = [(a, b) for a in range(count) for b in range(a + 1, count)]
    chosen = draw(st.lists(st.sampled_from(pairs), min_size=1, max_size=20))
    lengths = draw(st.lists(st.integers(-3, 6), min_size=len(chosen), max_size=len(chosen)))
    weights = draw(st.lists(st.integers(0, 5), min_size=len(chosen), max_size=len(chosen)))
    return Differences(count, [a for a, _ in chosen], [b for _, b in chosen], lengths, weights)


@settings(max_examples=200, deadline=None)
@given(problems())
def test_as_good_as_any(problem: Differences) -> None:
    y = least_differences(problem)
    assert min(y) == 0
    for tail, head, length in zip(problem.tails, problem.heads, problem.lengths, strict=True):
        assert y[head] - y[tail] >= length
    assert cost(problem, y) == least_cost(problem)


@settings(max_examples=100, deadline=None)
@given(problems(), st.integers(0, 4))
def test_stopped_early_still_keeps_the_conditions(problem: Differences, pivots: int) -> None:
    y = least_differences(problem, pivots=pivots)
    for tail, head, length in zip(problem.tails, problem.heads, problem.lengths, strict=True):
        assert y[head] - y[tail] >= length


def test_a_ring_is_refused() -> None:
    with pytest.raises(ValueError, match="cycle"):
        longest_ways(Differences(2, [0, 1], [1, 0], [1, 1], [1, 1]))


def test_a_slack_that_a_greedy_choice_gets_wrong() -> None:
    """Two heavy lines pull box 1 towards box 3, one light line holds it at box 0."""
    problem = Differences(4, [0, 0, 2, 1], [1, 2, 3, 3], [1, 1, 1, 1], [1, 1, 1, 5])
    assert least_differences(problem) == [0, 1, 1, 2]
