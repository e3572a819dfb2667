"""Crews: what they cost and where they go when all their blocks move at once."""

from __future__ import annotations

import random

import numpy as np
import pytest

from slinediag.layout.blocks import strand_rows
from slinediag.layout.crews import crews_of
from slinediag.layout.sifting import Orders, anneal, sift
from slinediag.layout.terms import Terms, terms_of
from tests.layout.test_terms import an_order, largest_part

COPIES = 3


def some_terms(seed: int, free: bool = False) -> Terms:
    part, layers = largest_part(seed)
    return terms_of(part.count, strand_rows(part, layers), free)


def some_orders(terms: Terms, chance: random.Random) -> Orders:
    places = [an_order(terms.count, chance) for _ in range(COPIES)]
    return Orders(terms, places, crews_of(terms))


@pytest.mark.parametrize("seed", range(4))
def test_every_block_is_in_one_crew(seed: int) -> None:
    terms = some_terms(seed)
    crews = crews_of(terms)
    assert sorted(block for crew in crews.members for block in crew) == list(range(terms.count))
    assert len(crews.members) < terms.count
    some = range(0, terms.count, 2)
    assert sorted(b for crew in crews_of(terms, some).members for b in crew) == list(some)


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("free", [False, True])
def test_a_crews_moves_cost_what_each_costs_alone(seed: int, free: bool) -> None:
    terms = some_terms(seed, free)
    chance = random.Random(seed)
    orders = some_orders(terms, chance)
    for number, crew in enumerate(orders.crews.members):
        costs = orders.costs(number).reshape(COPIES, len(crew), -1)
        here = orders.places[:, crew]
        slots = np.array([[chance.randrange(terms.count + 1) for _ in crew] for _ in here])
        before = np.array(orders.crossings())
        orders.move(number, slots.ravel())
        change = np.array(orders.crossings()) - before
        for copy in range(COPIES):
            assert sorted(orders.places[copy].tolist()) == list(range(terms.count))
            assert change[copy] == sum(
                costs[copy, k, slots[copy, k]] - costs[copy, k, here[copy, k]]
                for k in range(len(crew))
            )


@pytest.mark.parametrize("seed", range(4))
def test_blocks_that_are_moved_stand_above_what_stood_at_their_slots(seed: int) -> None:
    terms = some_terms(seed)
    chance = random.Random(seed)
    orders = some_orders(terms, chance)
    for number, crew in enumerate(orders.crews.members):
        before = orders.places
        slots = np.array([[chance.randrange(terms.count + 1) for _ in crew] for _ in before])
        orders.move(number, slots.ravel())
        others = [block for block in range(terms.count) if block not in crew]
        for copy, after in enumerate(orders.places):
            for block, slot in zip(crew, slots[copy], strict=True):
                for other in others:
                    assert (after[other] < after[block]) == (before[copy, other] < slot)


@pytest.mark.parametrize("seed", range(4))
def test_sifted_to_the_end_no_block_saves_anything(seed: int) -> None:
    terms = some_terms(seed)
    chance = random.Random(seed)
    orders = some_orders(terms, chance)
    anneal(orders, chance, 3, (8.0, 0.5))
    sift(orders, chance, 200)
    for number, crew in enumerate(orders.crews.members):
        costs = orders.costs(number).reshape(COPIES, len(crew), -1)
        for copy, places in enumerate(orders.places):
            assert all(costs[copy, k, places[block]] == 0 for k, block in enumerate(crew))
