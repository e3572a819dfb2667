"""Segments joined straight: against networkx, which tells whether distances can be kept at all."""

from __future__ import annotations

import random
from collections import Counter

import networkx as nx
import pytest

from slinediag.layout.joining import Distances, Levels, Straight, bent_bundles, join_straight

PLENTY = 1e6


def feasible(count: int, fixed: Distances, kept: list[Straight]) -> bool:
    """Whether levels exist: a system of differences has one if no cycle of it is negative
    (Cormen, Leiserson, Rivest, Stein, "Introduction to algorithms", section on difference
    constraints)."""
    web = nx.MultiDiGraph()
    web.add_nodes_from(range(count))
    for upper, lower, distance in zip(*fixed, strict=True):
        web.add_edge(lower, upper, weight=-distance)
    for one, other, rise in kept:
        web.add_edge(one, other, weight=rise)
        web.add_edge(other, one, weight=-rise)
    return not nx.negative_edge_cycle(web)


def case(seed: int) -> tuple[list[int], Distances, dict[Straight, int]]:
    """Columns of segments in order, and runs from column to column."""
    chance = random.Random(seed)
    count = 12
    column = [chance.randrange(3) for _ in range(count)]
    fixed: Distances = ([], [], [])
    for lower in range(count):
        upper = max((k for k in range(lower) if column[k] == column[lower]), default=None)
        if upper is not None:
            for part, value in zip(fixed, (upper, lower, chance.randint(1, 3)), strict=True):
                part.append(value)
    pairs = [(a, b) for a in range(count) for b in range(count) if column[a] < column[b]]
    chosen = chance.sample(pairs, min(len(pairs), 12))
    runs = {(a, b, chance.randint(-2, 2)): chance.randint(1, 3) for a, b in chosen}
    return [4 * k for k in range(count)], fixed, runs


@pytest.mark.parametrize("seed", range(40))
def test_what_is_left_bent_cannot_be_straight(seed: int) -> None:
    level, fixed, runs = case(seed)
    levels = Levels(list(level), fixed, runs, PLENTY)
    join_straight(levels, runs)
    for upper, lower, distance in zip(*fixed, strict=True):
        assert levels.level[lower] - levels.level[upper] >= distance
    joined = [run for run in runs if levels.group[run[0]] == levels.group[run[1]]]
    straight = [r for r in joined if levels.level[r[1]] == levels.level[r[0]] + r[2]]
    assert feasible(len(level), fixed, straight)
    for run in set(runs) - set(straight):
        assert not feasible(len(level), fixed, [*straight, run])


def test_the_wider_bundle_is_straight() -> None:
    """Two boxes, 0 and 1; five lines want them level, two want one 3 below the other."""
    lines = range(2, 9)
    runs = {(0, k, k): 1 for k in lines}
    runs |= {(k, 1, (0 if k < 7 else 3) - k): 1 for k in lines}
    fixed: Distances = ([], [], [])
    levels = Levels([0, 40, *range(100, 107)], fixed, runs, PLENTY)
    join_straight(levels, runs)
    assert levels.level[0] == levels.level[1]
    bent = Counter(
        a if a > 1 else b for a, b, rise in runs if levels.level[b] != levels.level[a] + rise
    )
    assert bent == {7: 1, 8: 1}


def test_no_room_is_made_for_little() -> None:
    """Segment 2 under 1 would be level with 0 if one of them left five lines that are straight."""
    fixed: Distances = ([1], [2], [10])
    runs = {(0, 2, 0): 1, (3, 1, 0): 5, (4, 0, 0): 5}
    level = [0, 0, 10, 0, 0]
    generous = Levels(list(level), fixed, runs, PLENTY)
    assert generous.join((0, 2, 0), 1)
    assert generous.level[0] == generous.level[2]
    sparing = Levels(list(level), fixed, runs, 0.1)
    assert not sparing.join((0, 2, 0), 1)
    assert sparing.level == level


def bundle_of_five() -> tuple[list[int], Distances, dict[Straight, int]]:
    """Five lines from box 0 to box 1, one apart on both; line 2 must stay two above line 3."""
    lines = range(2, 7)
    runs = {(0, k, k): 1 for k in lines} | {(k, 1, -k): 1 for k in lines}
    fixed: Distances = ([2, 3, 4, 5], [3, 4, 5, 6], [2, 1, 1, 1])
    return [1, 0, 2, 4, 5, 6, 7], fixed, runs


def test_one_line_gives_way_to_all_others() -> None:
    level, fixed, runs = bundle_of_five()
    level[0] = level[2] - 2
    level[1] = level[3] - 3
    levels = Levels(list(level), fixed, runs, PLENTY)
    join_straight(levels, runs)
    bent = {
        k
        for one, other, rise in runs
        if levels.level[other] != levels.level[one] + rise
        for k in (one, other)
        if k > 1
    }
    assert len(bent) == 1


def test_what_comes_first_is_straight_before_wider_bundles() -> None:
    """As with the two bundles above, of five lines and of two."""
    lines = range(2, 9)
    runs = {(0, k, k): 1 for k in lines}
    runs |= {(k, 1, (0 if k < 7 else 3) - k): 1 for k in lines}
    levels = Levels([0, 40, *range(100, 107)], ([], [], []), runs, PLENTY)
    join_straight(levels, runs, [(0, 1, 3)])
    assert levels.level[1] == levels.level[0] + 3
    assert bent_bundles(levels.level, runs) == [(0, 1, 0)]
