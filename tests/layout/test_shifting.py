"""The price of a box's layers, against counting its lines with each other line."""

from __future__ import annotations

import random
from dataclasses import replace

import numpy as np
import pytest

from slinediag.layout.blocks import Blocks, strand_rows
from slinediag.layout.shifting import SPAN_PRICE, Lattice, shift
from slinediag.layout.sides import Lines
from tests.layout.graphs import plant
from tests.layout.test_terms import an_order, counted, largest_part


def price(blocks: Blocks, box: int, layers: list[int], places: list[int]) -> float:
    """Crossings of the box's lines with those of other boxes, and the price of their span."""
    own = [b for b in blocks.bundles if box in (b.tail, b.head)]
    total = sum(SPAN_PRICE * b.weight * (layers[b.head] - layers[b.tail]) for b in own)
    for bundle in own:
        for other in blocks.bundles:
            if box not in (other.tail, other.head):
                two = replace(blocks, bundles=(bundle, other), fans=())
                total += counted(strand_rows(two, layers), places)
    return total


def spread_part(seed: int) -> tuple[Blocks, list[int]]:
    """Blocks without nets that are no chains, in layers with room between."""
    part, layers = largest_part(seed, plant(30, seed, shared=0.0, back=0.0))
    assert not part.fans
    return part, [2 * layer for layer in layers]


@pytest.mark.parametrize("seed", range(4))
def test_layers_cost_what_their_lines_cross(seed: int) -> None:
    part, layers = spread_part(seed)
    places = an_order(part.count, random.Random(seed))
    tried = 0
    for box in range(part.boxes):
        lattice = Lattice(
            Lines(part, ports_free=False), np.array(layers), np.array(places, np.float64)
        )
        low, high = lattice.window(box)
        if low >= high:
            continue
        found = lattice.costs(box, low, high)
        counts = []
        for layer in range(low, high + 1):
            moved = list(layers)
            moved[box] = layer
            counts.append(price(part, box, moved, places))
        # What is the same in all layers may be left out.
        assert np.ptp(found - np.array(counts)) == 0
        tried += 1
    assert tried > 3


def test_what_is_moved_costs_what_it_would_there_from_the_start() -> None:
    part, layers = spread_part(1)
    lines = Lines(part, ports_free=False)
    places = np.array(an_order(part.count, random.Random(1)), np.float64)
    lattice = Lattice(lines, np.array(layers), places)
    shift(lattice, random.Random(1), 2)
    assert lattice.layers.tolist() != layers
    fresh = Lattice(lines, lattice.layers.copy(), places)
    for box in range(part.boxes):
        low, high = lattice.window(box)
        assert (low, high) == fresh.window(box)
        assert lattice.costs(box, low, high).tolist() == fresh.costs(box, low, high).tolist()
