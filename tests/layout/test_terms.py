"""The cost of an order and its steps, against counting every pair."""

from __future__ import annotations

import random
from itertools import combinations, pairwise

import numpy as np
import pytest

from slinediag.layout.blocks import Blocks, Rows, Strand, blocks_of, parts_of, strand_rows
from slinediag.layout.crews import crews_of, each_alone
from slinediag.layout.easing import PRICE, ease
from slinediag.layout.graph import Graph
from slinediag.layout.layers import layer
from slinediag.layout.nets import wire
from slinediag.layout.sifting import Orders, anneal, sift
from slinediag.layout.terms import steps_added_up, terms_of
from tests.layout.graphs import plant

Key = tuple[int, int]


def lines(strand: Strand, places: list[int]) -> list[tuple[Key, Key]]:
    """A strand's lines one by one, each by (place, port) at its two ends."""
    starts, ends = (ports or (0,) * strand.weight for ports in (strand.lefts, strand.rights))
    return [
        ((places[strand.left], p), (places[strand.right], q))
        for p, q in zip(starts, ends, strict=True)
    ]


def apart(a: Strand, b: Strand) -> bool:
    """Whether two strands are neither of one trunk nor of one bundle."""
    one_trunk = a.net >= 0 and a.net == b.net
    return not one_trunk and {a.left, a.right} != {b.left, b.right}


def counted(rows: Rows, places: list[int]) -> int:
    """Crossings of all lines, counted one by one."""
    total = 0
    for row in rows.gaps:
        for a, b in combinations(row, 2):
            if apart(a, b):
                for left_a, right_a in lines(a, places):
                    for left_b, right_b in lines(b, places):
                        total += (left_a < left_b) != (right_a < right_b)
    for row in rows.turns:
        for a, b in combinations(row, 2):
            if apart(a, b) and (a.left != a.right or b.left != b.right):
                arc, other = (a, b) if a.left != a.right else (b, a)
                ((low, high),) = (sorted(ends) for ends in lines(arc, places))
                for c, d in lines(other, places):
                    total += (low < c < high) if c == d else (low < c < high) != (low < d < high)
    return total


def largest_part(seed: int, graph: Graph | None = None) -> tuple[Blocks, list[int]]:
    layered = layer(wire(graph or plant(30, seed, shared=0.2, back=0.1)))
    blocks, numbering = blocks_of(layered)
    part, members = parts_of(blocks)[0]
    return part, [layered.layers[numbering.nodes[b]] for b in members[: part.boxes]]


def an_order(count: int, chance: random.Random) -> list[int]:
    places = list(range(count))
    chance.shuffle(places)
    return places


@pytest.mark.parametrize("seed", range(6))
def test_crossings_are_those_of_every_pair(seed: int) -> None:
    part, layers = largest_part(seed)
    rows = strand_rows(part, layers)
    terms = terms_of(part.count, rows, ports_free=False)
    chance = random.Random(seed)
    places = [an_order(part.count, chance) for _ in range(5)]
    orders = Orders(terms, places, each_alone(terms))
    # The two counts differ by what no order changes: the same for every order.
    differences = {
        counted(rows, own) - found for own, found in zip(places, orders.crossings(), strict=True)
    }
    assert len(differences) == 1


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("free", [False, True])
def test_steps_are_what_a_move_changes(seed: int, free: bool) -> None:
    part, layers = largest_part(seed)
    terms = terms_of(part.count, strand_rows(part, layers), free)
    chance = random.Random(seed)
    for _ in range(20):
        orders = Orders(terms, [an_order(part.count, chance)], each_alone(terms))
        block, slot = chance.randrange(part.count), chance.randrange(part.count + 1)
        costs = orders.costs(block)[0]
        here = int(orders.places[0, block])
        (before,) = orders.crossings()
        orders.move(block, np.array([slot]))
        (after,) = orders.crossings()
        assert after - before == costs[slot] - costs[here]
        assert sorted(orders.places[0].tolist()) == list(range(part.count))


@pytest.mark.parametrize("seed", range(3))
def test_sifting_never_costs(seed: int) -> None:
    part, layers = largest_part(seed)
    terms = terms_of(part.count, strand_rows(part, layers), ports_free=False)
    chance = random.Random(seed)
    places = [an_order(part.count, chance) for _ in range(4)]
    orders = Orders(terms, places, crews_of(terms))
    before = orders.crossings()
    sift(orders, chance, 5)
    sifted = orders.crossings()
    assert all(b <= a for a, b in zip(before, sifted, strict=True))
    anneal(orders, chance, 10, (8.0, 0.5))
    assert min(orders.crossings()) <= min(before)


@pytest.mark.parametrize("seed", range(3))
def test_easing_weighs_crossings_against_neighbours(seed: int) -> None:
    part, layers = largest_part(seed)
    rows = strand_rows(part, layers)
    chance = random.Random(seed)
    places = an_order(part.count, chance)
    by_place = sorted(range(part.boxes), key=lambda box: places[box])
    pairs = [(one, two) for one, two in pairwise(by_place) if layers[one] == layers[two]]

    def cost(own: list[int]) -> int:
        return counted(rows, own) + PRICE * sum(own[one] > own[two] for one, two in pairs)

    assert ease(part, layers, places, [], pairs, ports_free=False) == places
    eased = ease(part, layers, places, [0], pairs, ports_free=False)
    assert sorted(eased) == list(range(part.count))
    assert cost(eased) < cost(places)


def test_steps_of_the_same_place_add_up_the_same_in_any_order() -> None:
    """Sorting need not keep the order of equal places, which differs between processors."""
    chance = np.random.default_rng(5)
    table = chance.integers(0, 6, (5, 3_000))
    table[2] -= 3
    merged = steps_added_up(table, 6)
    assert merged.dtype == np.int64
    assert 0 < merged.shape[1] < 3_000
    for _ in range(20):
        assert np.array_equal(steps_added_up(table[:, chance.permutation(3_000)], 6), merged)
