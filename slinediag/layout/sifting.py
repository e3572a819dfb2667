"""Better linear orders of blocks: each block in turn is taken out and put where it costs least.

Several orders of the same blocks are changed side by side, each on its own: the arrays of one
alone are too short to be worth their calls.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from slinediag.layout.terms import Terms

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

# What is sure to be drawn has this weight; what is so unlikely that it has none never is.
SURE = 2**30


class Orders:
    """Orders under change, all kept in one row of numbers, since few long arrays are the fastest.

    ``count`` blocks have ``count`` + 1 slots to go to. Slot k of order r is number
    r * (count + 1) + k of all, and a block at place k has the number of the slot below it. Two
    more numbers of each order stand for places below and above all. Per block: ``meets`` tells
    where the numbers of the blocks are that its steps ask after (low, high, step), ``rises`` and
    ``falls`` what each step costs the one way round and the other.
    """

    def __init__(self, terms: Terms, places: Sequence[Sequence[int]]) -> None:
        self.terms = terms
        self.copies, self._width = len(places), terms.count + 1
        self._first = np.arange(self.copies) * self._width
        ends = [[terms.count, -1]] * self.copies
        spots = np.concatenate([np.array(places, np.int64), np.array(ends)], axis=1)
        self._spots = (spots + self._first[:, None] + 1).ravel()
        self._unmoved = np.arange(self.copies * self._width + 1)
        table = np.stack([terms.lows, terms.highs, terms.steps])
        lines = np.arange(self.copies)[:, None] * (terms.count + 2)
        parts = [slice(*pair) for pair in pairwise(terms.starts)]
        self._meets = [(table[:, None, part] + lines).reshape(3, -1) for part in parts]
        self._rises = [np.tile(terms.jumps[part], self.copies) for part in parts]
        self._falls = [-rises for rises in self._rises]
        self._turns = [one < other for one, other in pairwise(terms.pairs.arcs.starts)]

    @property
    def places(self) -> Ints:
        """Entry [r, x]: where block x stands in order r, 0 on top."""
        spots = self._spots.reshape(self.copies, -1)[:, : self.terms.count]
        found: Ints = spots - self._first[:, None] - 1
        return found

    def crossings(self) -> list[int]:
        """Of each order."""
        return [self.terms.pairs.crossings(places) for places in self.places]

    def costs(self, block: int) -> Ints:
        """Entry [r, k]: the cost with ``block`` just above place k, less the least of its order."""
        low, high, step = self._spots.take(self._meets[block])
        # The same as np.where, in a third of its time.
        jumps = self._falls[block].copy()
        np.putmask(jumps, low > high, self._rises[block])
        size = self.copies * self._width
        found = np.bincount(step, jumps, size).astype(np.int64)
        if self._turns[block]:
            spots = self._spots.reshape(self.copies, -1)
            steps, turns = self.terms.pairs.arcs.jumps(block, spots)
            found += np.bincount(steps.ravel(), turns.ravel(), size).astype(np.int64)
        # Whole numbers add up faster; what one order adds to the next goes with its least.
        costs: Ints = found.cumsum().reshape(self.copies, -1)
        costs -= np.minimum.reduce(costs, axis=1, keepdims=True)
        return costs

    def move(self, block: int, slots: Ints) -> None:
        """In order r put ``block`` just above what now stands at place ``slots[r]``."""
        here = self._spots[block :: self.terms.count + 2].tolist()
        there = (self._first + slots + 1).tolist()
        moved = self._unmoved.copy()
        for old, new in zip(here, there, strict=True):
            if new > old + 1:
                moved[old + 1 : new] -= 1
                moved[old] = new - 1
            elif new < old:
                moved[new:old] += 1
                moved[old] = new
        self._spots = moved.take(self._spots)

    def sift(self, block: int) -> bool:
        """Put ``block`` where it costs least; whether that saves anything in any order."""
        costs = self.costs(block)
        here = self._spots[block :: self.terms.count + 2] - 1
        saves = costs.ravel().take(here) > 0
        if not saves.any():
            return False
        self.move(block, np.where(saves, costs.argmin(axis=1), here - self._first))
        return True

    def shake(self, block: int, odds: Ints, chances: Floats) -> None:
        """Put ``block`` by chance, cheaper places more likely (heat bath)."""
        drawn = odds.take(self.costs(block).ravel(), mode="clip").cumsum()
        ends = drawn[self._width - 1 :: self._width]
        begins = np.concatenate(([0], ends[:-1]))
        limits = begins + (chances * (ends - begins)).astype(np.int64)
        self.move(block, drawn.searchsorted(limits, "right") - self._first)


def odds_at(heat: float) -> Ints:
    """How likely a place is drawn, by what it costs more than the cheapest; the last is 0.

    Whole numbers, so that the last bits of exp on another machine cannot matter.
    """
    most = int(heat * np.log(SURE)) + 2
    found: Ints = (np.exp(np.arange(most) * (-1 / heat)) * SURE).astype(np.int64)
    return found


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
    count = orders.copies
    for sweep in range(sweeps):
        odds = odds_at(hot * (cold / hot) ** (sweep / max(1, sweeps - 1)))
        chance.shuffle(blocks)
        chances = np.array([chance.random() for _ in range(len(blocks) * count)])
        for block, drawn in zip(blocks, chances.reshape(-1, count), strict=True):
            orders.shake(block, odds, drawn)
    sift(orders, chance, sweeps, only)
