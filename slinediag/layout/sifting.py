"""Better linear orders of blocks: each block in turn is taken out and put where it costs least.

Several orders of the same blocks are changed side by side, each on its own: the arrays of one
alone are too short to be worth their calls.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slinediag.layout.terms import Terms

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(slots=True)
class Orders:
    """Orders under change: ``places[r, x]`` is where block x stands in order r, 0 on top.

    Two columns more stand for places below and above all.
    """

    terms: Terms
    places: Ints

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
        terms, places = self.terms, self.places
        part = slice(terms.starts[block], terms.starts[block + 1])
        jumps = terms.jumps[part]
        jumps = np.where(places[:, terms.lows[part]] > places[:, terms.highs[part]], jumps, -jumps)
        width = terms.count + 1
        steps = places[:, terms.steps[part]] + (np.arange(len(places)) * width + 1)[:, None]
        size = len(places) * width
        costs = np.bincount(steps.ravel(), jumps.ravel(), size)
        arcs = terms.pairs.arcs
        if arcs.starts[block] < arcs.starts[block + 1]:
            steps, jumps = arcs.jumps(block, places)
            steps = steps + (np.arange(len(places)) * width + 1)[:, None]
            costs += np.bincount(steps.ravel(), jumps.ravel(), size)
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
        least = costs.min(axis=1, keepdims=True)
        # Whole numbers, so that the last bits of exp on another machine cannot matter.
        odds = np.floor(np.exp((least - costs) / heat) * 2**30).cumsum(axis=1)
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


def anneal(orders: Orders, chance: random.Random, sweeps: int, heats: tuple[float, float]) -> None:
    """Shake all blocks with falling heat, then sift, at most as often again."""
    hot, cold = heats
    blocks = list(range(orders.terms.count))
    count = len(orders.places)
    for sweep in range(sweeps):
        heat = hot * (cold / hot) ** (sweep / max(1, sweeps - 1))
        chance.shuffle(blocks)
        for block in blocks:
            chances = np.array([chance.random() for _ in range(count)])
            orders.shake(block, heat, chances)
    sift(orders, chance, sweeps)
