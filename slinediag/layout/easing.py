"""A kept order eased where what is new presses on it: fewer crossings for few neighbours parted.

Beside the crossings each pair of boxes that stood one above the other in a layer has its price:
it is paid when they change sides. So what stood together moves together, at the price of its rim.
"""

from __future__ import annotations

import random
from collections.abc import Sequence

import numpy as np

from slinediag.layout.blocks import Blocks, strand_rows
from slinediag.layout.crews import crews_of
from slinediag.layout.sifting import Orders, anneal
from slinediag.layout.terms import terms_of

# Crossings that a pair of neighbours is worth. At 2 more is moved for hardly fewer crossings.
PRICE = 3

# How many steps from what is new a block may stand and still move, and the heats in crossings.
STEPS = 4
SWEEPS = 6
HEATS = (2.0, 0.5)


def ease(
    blocks: Blocks,
    layers: Sequence[int],
    places: list[int],
    fresh: Sequence[int],
    pairs: Sequence[tuple[int, int]],
    ports_free: bool,
) -> list[int]:
    """Better places for the ``fresh`` blocks and those near them.

    ``layers`` per box block, ``places`` per block; ``pairs`` are blocks that stood one above
    the other, upper first, once for each layer they did so in.
    """
    if not fresh:
        return places
    stiff = [(upper, lower, 0, PRICE) for upper, lower in pairs]
    terms = terms_of(blocks.count, strand_rows(blocks, layers), ports_free, stiff)
    copies = 8 if blocks.count < 330 else 4
    orders = Orders(terms, [places] * copies, crews_of(terms, _near(blocks, fresh)))
    anneal(orders, random.Random(blocks.count), SWEEPS, HEATS)
    met: list[list[int]] = [places, *orders.places.tolist()]
    costs = [terms.pairs.crossings(np.array(own, np.int64)) for own in met]
    return met[costs.index(min(costs))]


def _near(blocks: Blocks, fresh: Sequence[int]) -> list[int]:
    """The blocks at most STEPS bundles or boxes away from the fresh ones, those included."""
    beside: list[set[int]] = [set() for _ in range(blocks.count)]
    for bundle in blocks.bundles:
        for end in (bundle.tail, bundle.head):
            beside[bundle.lane].add(end)
            beside[end].add(bundle.lane)
    found, rim = set(fresh), set(fresh)
    for _ in range(STEPS):
        rim = {other for block in rim for other in beside[block]} - found
        found |= rim
    return sorted(found)
