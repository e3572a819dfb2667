"""Better linear orders of blocks: each block in turn is taken out and put where it costs least.

Several orders of the same blocks are changed side by side, each on its own: the arrays of one
alone are too short to be worth their calls.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from slinediag.layout.terms import Terms

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(slots=True)
class Orders:
    """Orders under change: ``places[r, x]`` is where block x stands in order r, 0 on top.

    Two columns more stand for places below and above all. ``meets[x]``: the blocks that the
    steps of block x ask after, lows, highs and steps in a row, so that they are read at once.
    """

    terms: Terms
    places: Ints
    meets: list[Ints] = field(init=False)
    jumps: list[Floats] = field(init=False)
    lines: Ints = field(init=False)

    def __post_init__(self) -> None:
        terms = self.terms
        parts = [slice(*pair) for pair in pairwise(terms.starts)]
        self.meets = [
            np.concatenate([terms.lows[part], terms.highs[part], terms.steps[part]])
            for part in parts
        ]
        self.jumps = [terms.jumps[part] for part in parts]
        # Where each order's entries begin when all are counted in one row, and one more.
        self.lines = np.arange(len(self.places))[:, None] * (terms.count + 1) + 1

    @classmethod
    def of(cls, terms: Terms, places: Sequence[Sequence[int]]) -> Orders:
        """Orders with these places."""
        bounds = [[terms.count, -1]] * len(places)
        return cls(terms, np.concatenate([np.array(places, np.int64), np.array(bounds)], axis=1))

    def crossings(self) -> list[int]:
        """Of each order."""
        return [self.terms.pairs.crossings(places) for places in self.places]

    def costs(self, block: int) -> Floats:
        """Entry [r, k]: the cost with ``block`` just above place k, less that on top of all."""
        jumps = self.jumps[block]
        size = len(jumps)
        met = self.places.take(self.meets[block], axis=1)
        jumps = np.where(met[:, :size] > met[:, size : 2 * size], jumps, -jumps)
        width, lines = self.terms.count + 1, self.lines
        steps = met[:, 2 * size :] + lines
        costs = np.bincount(steps.ravel(), jumps.ravel(), len(lines) * width)
        arcs = self.terms.pairs.arcs
        if arcs.starts[block] < arcs.starts[block + 1]:
            steps, jumps = arcs.jumps(block, self.places)
            turned = np.bincount((steps + lines).ravel(), jumps.ravel(), len(lines) * width)
            costs = costs + turned  # Not in place: without steps numpy counts in whole numbers.
        return costs.reshape(-1, width).cumsum(axis=1)

    def move(self, block: int, slots: Ints) -> None:
        """In order r put ``block`` just above what now stands at place ``slots[r]``."""
        places = self.places[:, : self.terms.count]
        old = places[:, block].copy()
        new = slots - (slots > old)
        places -= places > old[:, None]
        places += places >= new[:, None]
        places[:, block] = new

    def sift(self, block: int) -> bool:
        """Put ``block`` where it costs least; whether that saves anything in any order."""
        costs = self.costs(block)
        best = costs.argmin(axis=1)
        here = self.places[:, block]
        rows = np.arange(len(costs))
        saves = costs[rows, best] < costs[rows, here]
        if not saves.any():
            return False
        self.move(block, np.where(saves, best, here))
        return True

    def shake(self, block: int, heat: float, chances: Floats) -> None:
        """Put ``block`` by chance, cheaper places more likely (heat bath)."""
        costs = self.costs(block)
        costs = (costs - costs.min(axis=1, keepdims=True)) * (-1 / heat)
        # Whole numbers, so that the last bits of exp on another machine cannot matter.
        odds = (np.exp(costs) * 2**30).astype(np.int64).cumsum(axis=1)
        drawn = (odds <= chances[:, None] * odds[:, -1:]).sum(axis=1)
        self.move(block, drawn)


def sift(
    orders: Orders, chance: random.Random, sweeps: int, only: Sequence[int] | None = None
) -> None:
    """Sift all blocks, or some, until nothing is saved, at most ``sweeps`` times."""
    blocks = list(range(orders.terms.count) if only is None else only)
    for _ in range(sweeps):
        chance.shuffle(blocks)
        saved = [orders.sift(block) for block in blocks]
        if not any(saved):
            break


def anneal(
    orders: Orders,
    chance: random.Random,
    sweeps: int,
    heats: tuple[float, float],
    only: Sequence[int] | None = None,
) -> None:
    """Shake all blocks, or some, with falling heat, then sift, at most as often again."""
    hot, cold = heats
    blocks = list(range(orders.terms.count) if only is None else only)
    count = len(orders.places)
    for sweep in range(sweeps):
        heat = hot * (cold / hot) ** (sweep / max(1, sweeps - 1))
        chance.shuffle(blocks)
        chances = np.array([chance.random() for _ in range(len(blocks) * count)])
        for block, drawn in zip(blocks, chances.reshape(-1, count), strict=True):
            orders.shake(block, heat, drawn)
    sift(orders, chance, sweeps, only)
