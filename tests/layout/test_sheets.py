"""The division over sheets: held to known cuts, to networkx, and to every cut of small graphs."""

from __future__ import annotations

import itertools
import random

import networkx as nx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slinediag.layout.halving import Bounds, Web, cut_weight, halve
from slinediag.layout.pouring import PRICE, pour_out
from slinediag.layout.sheets import Division, Tie, Unit, divide
from slinediag.progress import silent


def web_of(graph: nx.Graph) -> Web:
    """A graph of networkx with units of one size and ties of one weight."""
    number = {node: n for n, node in enumerate(graph)}
    ties = tuple((1.0, (number[a], number[b])) for a, b in graph.edges)
    return Web((1.0,) * len(graph), ties)


def cut_in_half(graph: nx.Graph) -> float:
    """The weight cut when a graph is halved to equal size."""
    web = web_of(graph)
    half = web.total / 2
    side = halve(web, Bounds(half, half, half))
    assert sum(side) == half
    return cut_weight(web, side)


def test_two_cliques_part_at_the_bridge():
    # A barbell's minimum cut is its bridge: one edge.
    assert cut_in_half(nx.barbell_graph(20, 0)) == 1


@pytest.mark.parametrize("side", [4, 6, 8])
def test_a_square_grid_parts_across_one_side(side):
    # The least bisection of an even n × n grid is n (Leighton 1992, from memory).
    assert cut_in_half(nx.grid_2d_graph(side, side)) == side


def test_a_ring_parts_at_two_ties():
    assert cut_in_half(nx.cycle_graph(64)) == 2


def test_no_worse_than_networkx_over_many_graphs():
    ours = peer = 0.0
    for seed in range(8):
        graph = nx.connected_watts_strogatz_graph(60, 4, 0.2, seed=seed)
        one, _ = nx.community.kernighan_lin_bisection(graph, seed=seed)
        peer += nx.cut_size(graph, one)
        ours += cut_in_half(graph)
    assert ours <= peer


@given(st.integers(0, 10_000))
@settings(max_examples=25, deadline=None)
def test_close_to_the_best_of_all_halves(seed):
    """On ten units with ties of two to four, the least cut by trying every half."""
    draw = random.Random(seed)
    ties = tuple(
        (float(draw.randint(1, 4)), tuple(draw.sample(range(10), draw.randint(2, 4))))
        for _ in range(14)
    )
    web = Web((1.0,) * 10, ties)
    best = min(
        cut_weight(web, [unit in half for unit in range(10)])
        for half in itertools.combinations(range(10), 5)
    )
    found = cut_weight(web, halve(web, Bounds(5, 5, 5)))
    assert best <= found <= 1.5 * best + 1


def by_size(most: float):
    """A measure that lets a part hold this many units."""
    return lambda part: len(part) <= most


@given(st.integers(0, 10_000), st.integers(1, 60), st.integers(1, 9))
@settings(max_examples=40, deadline=None)
def test_every_unit_stands_once_on_a_sheet_that_holds_it(seed, count, most):
    draw = random.Random(seed)
    units = [Unit(f"u{n}", draw.choice([0.5, 1.0, 3.0])) for n in range(count)]
    ties = [
        Tie(draw.random(), tuple(u.id for u in draw.sample(units, min(count, 3))))
        for _ in range(count)
    ]
    parts = divide(units, ties, 5.0, by_size(most))
    assert sorted(u for part in parts for u in part) == sorted(u.id for u in units)
    assert all(len(part) <= most for part in parts)
    assert divide(units, ties, 5.0, by_size(most)) == parts


def test_what_is_tied_stays_together():
    units = [Unit(f"{name}{n}", 1.0) for n in range(4) for name in "abc"]
    ties = [Tie(1.0, tuple(f"{name}{n}" for n in range(4))) for name in "abc"]
    parts = divide(units, ties, 4.0, by_size(4))
    assert sorted({u[0] for u in part} for part in parts) == [{"a"}, {"b"}, {"c"}]


def test_small_parts_are_joined_where_they_fit():
    units = [Unit(f"u{n}", 1.0) for n in range(6)]
    assert len(divide(units, [], 3.0, by_size(3))) == 2


def test_a_unit_that_fits_nowhere_stands_alone():
    parts = divide([Unit("wide", 9.0), Unit("a", 1.0)], [], 5.0, lambda part: "wide" not in part)
    assert sorted(parts) == [("a",), ("wide",)]


def test_a_row_is_halved_only_where_no_more_of_it_fits():
    """A row of six held by weak ties among others: parted once, where a sheet of four is full."""
    row = [f"r{n}" for n in range(6)]
    units = [Unit(id, 1.0) for id in (*row, *(f"x{n}" for n in range(12)))]
    ties = [Tie(1.0, pair) for pair in itertools.pairwise(row)]
    ties += [Tie(5.0, (f"r{n}", f"x{2 * n}")) for n in range(6)]
    ties += [Tie(5.0, (f"x{2 * n}", f"x{2 * n + 1}")) for n in range(6)]
    names = [unit.id for unit in units]

    def held(rows: list[list[str]]) -> list[int]:
        parts = Division(units, ties, 4.0, by_size(4), rows=rows).parts(names)
        assert all(len(part) <= 4 for part in parts)
        return sorted(len(set(row) & set(part)) for part in parts if set(row) & set(part))

    assert held([row]) == [2, 4]
    assert len(held([])) > 2


def test_a_pair_stays_together_though_its_halves_pull_apart():
    units = [Unit(f"{name}{n}", 1.0) for name in "ab" for n in range(4)]
    ties = [Tie(3.0, tuple(f"{name}{n}" for n in range(4))) for name in "ab"]
    ties.append(Tie(1.0, ("a0", "b0")))
    names = [unit.id for unit in units]
    parts = Division(units, ties, 4.0, by_size(4), rows=[["a0", "b0"]]).parts(names)
    assert any({"a0", "b0"} <= set(part) for part in parts)
    assert all(len(part) <= 4 for part in parts)


def test_a_further_unit_leaves_the_rest_where_it_was():
    """Six groups, one of them grows by a unit: the others keep their company."""
    units = [Unit(f"g{group}n{n}", 1.0) for group in range(6) for n in range(4)]
    ties = [Tie(1.0, tuple(f"g{group}n{n}" for n in range(4))) for group in range(6)]
    before = divide(units, ties, 5.0, by_size(5))
    more = [*units, Unit("new", 1.0)]
    after = divide(more, [*ties, Tie(1.0, ("new", "g3n0"))], 5.0, by_size(5))
    kept = {frozenset(part) for part in before} & {frozenset(part) for part in after}
    assert len(kept) >= 5


def test_a_part_little_filled_is_poured_out_over_others():
    """Three in a row on each of four sheets of four, and one alone that no tie holds."""
    units = [Unit(f"g{group}n{n}", 1.0) for group in range(4) for n in range(3)]
    units.append(Unit("alone", 1.0))
    ties = [Tie(5.0, tuple(f"g{group}n{n}" for n in range(3))) for group in range(4)]
    parts = divide(units, ties, 4.0, by_size(4))
    assert len(parts) == 4
    assert all(len({unit[:2] for unit in part if unit != "alone"}) == 1 for part in parts)


def pieces(kept: bool) -> list[list[int]]:
    """Three pairs on sheets of three, the last of them held together by a strong tie or none."""
    held = PRICE + 1.0 if kept else PRICE / 3
    ties = [(9.0, (0, 1)), (9.0, (2, 3)), (0.5, (0, 4)), (0.5, (2, 5)), (held, (4, 5))]
    return pour_out(
        [[0, 1], [2, 3], [4, 5]],
        ties,
        [1.0, 1.0, 1.0, 1.0, 0.4, 0.4],
        lambda one, other: len(one) + len(other) <= 3,
        lambda part: [[unit] for unit in part],
        silent,
    )


def test_a_sheet_is_saved_only_for_less_than_it_costs():
    assert pieces(kept=True) == [[0, 1], [2, 3], [4, 5]]
    assert pieces(kept=False) == [[0, 1, 4], [2, 3, 5]]
