"""The cost of an order and its steps, against counting every pair."""

from __future__ import annotations

import random
from itertools import combinations

import numpy as np
import pytest

from slinediag.layout.blocks import Blocks, Strand, blocks_of, parts_of, strand_rows
from slinediag.layout.layers import layer
from slinediag.layout.nets import wire
from slinediag.layout.sifting import Orders, anneal, sift
from slinediag.layout.terms import terms_of
from tests.layout.graphs import plant


def counted(rows: list[tuple[Strand, ...]], places: list[int]) -> int:
    """Crossings of all lines, one by one: a line is a pair of (place, port) at its two ends.

    Lines within one bundle are left out, and so are those of one trunk.
    """
    total = 0
    for row in rows:
        for a, b in combinations(row, 2):
            if (a.net >= 0 and a.net == b.net) or (a.left == b.left and a.right == b.right):
                continue
            ends = [
                [
                    ((places[s.left], p), (places[s.right], q))
                    for p, q in zip(
                        s.lefts or [0] * s.weight, s.rights or [0] * s.weight, strict=True
                    )
                ]
                for s in (a, b)
            ]
            for left_a, right_a in ends[0]:
                for left_b, right_b in ends[1]:
                    total += (left_a < left_b) != (right_a < right_b)
    return total


def largest_part(seed: int) -> tuple[Blocks, list[int]]:
    layered = layer(wire(plant(30, seed, shared=0.2, back=0.1)))
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
    orders = Orders.of(terms, places)
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
        orders = Orders.of(terms, [an_order(part.count, chance)])
        block, slot = chance.randrange(part.count), chance.randrange(part.count + 1)
        costs = orders.costs(block)[0]
        here = int(orders.places[0, block])
        (before,) = orders.crossings()
        orders.move(block, np.array([slot]))
        (after,) = orders.crossings()
        assert after - before == costs[slot] - costs[here]
        assert sorted(orders.places[0, : part.count].tolist()) == list(range(part.count))


@pytest.mark.parametrize("seed", range(3))
def test_sifting_never_costs(seed: int) -> None:
    part, layers = largest_part(seed)
    terms = terms_of(part.count, strand_rows(part, layers), ports_free=False)
    chance = random.Random(seed)
    orders = Orders.of(terms, [an_order(part.count, chance) for _ in range(4)])
    before = orders.crossings()
    sift(orders, chance, 5)
    sifted = orders.crossings()
    assert all(b <= a for a, b in zip(before, sifted, strict=True))
    anneal(orders, chance, 10, (8.0, 0.5))
    assert min(orders.crossings()) <= min(before)
