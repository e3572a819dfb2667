"""Better linear orders of blocks: each block in turn is taken out and put where it costs least."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from slinediag.layout.terms import Terms

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(slots=True)
class Row:
    """One order of blocks under change: ``places[x]`` is where block x stands, 0 on top."""

    terms: Terms
    order: Ints
    places: Ints = field(init=False)

    def __post_init__(self) -> None:
        count = self.terms.count
        self.places = np.empty(count + 2, np.int64)
        self.places[self.order] = np.arange(count)
        self.places[count], self.places[count + 1] = count, -1

    def costs(self, block: int) -> Floats:
        """Entry k: the cost with ``block`` just below place k, less that on top of all."""
        terms = self.terms
        part = slice(terms.starts[block], terms.starts[block + 1])
        places, jumps = self.places, terms.jumps[part]
        jumps = np.where(places[terms.lows[part]] > places[terms.highs[part]], jumps, -jumps)
        steps = np.bincount(places[terms.steps[part]], jumps, terms.count)
        return np.cumsum(steps)

    def move(self, block: int, below: int) -> None:
        """Put ``block`` just below the block at place ``below``; -1: on top of all."""
        place = int(self.places[block])
        if below < place:
            part = self.order[below + 1 : place + 1]
            part[1:] = part[:-1].copy()
            part[0] = block
            self.places[part] = np.arange(below + 1, place + 1)
        else:
            part = self.order[place : below + 1]
            part[:-1] = part[1:].copy()
            part[-1] = block
            self.places[part] = np.arange(place, below + 1)

    def sift(self, block: int) -> float:
        """Put ``block`` where it costs least; what that saves."""
        costs = self.costs(block)
        best = int(costs.argmin())
        least = min(0.0, float(costs[best]))
        saved = float(costs[self.places[block]]) - least
        if saved > 0:
            self.move(block, best if least < 0 else -1)
        return saved

    def shake(self, block: int, heat: float, chance: float) -> float:
        """Put ``block`` by chance, cheaper places more likely (heat bath); what that saves."""
        costs = np.concatenate(([0.0], self.costs(block)))
        # Whole numbers, so that the last bits of exp on another machine cannot matter.
        odds = np.floor(np.exp((costs.min() - costs) / heat) * 2**30).cumsum()
        drawn = int(np.searchsorted(odds, chance * odds[-1], side="right"))
        saved = float(costs[self.places[block] + 1] - costs[drawn])
        self.move(block, drawn - 1)
        return saved


def sift(row: Row, chance: random.Random, sweeps: int, blocks: Sequence[int]) -> float:
    """Sift all ``blocks`` until nothing is saved, at most ``sweeps`` times; what that saves."""
    total = 0.0
    blocks = list(blocks)
    for _ in range(sweeps):
        chance.shuffle(blocks)
        saved = sum(row.sift(block) for block in blocks)
        total += saved
        if saved <= 0:
            break
    return total


def anneal(
    row: Row, chance: random.Random, sweeps: int, blocks: Sequence[int], heats: tuple[float, float]
) -> float:
    """Shake all ``blocks`` with falling heat, then sift; what that saves."""
    hot, cold = heats
    total = 0.0
    blocks = list(blocks)
    for sweep in range(sweeps):
        heat = hot * (cold / hot) ** (sweep / max(1, sweeps - 1))
        chance.shuffle(blocks)
        for block in blocks:
            total += row.shake(block, heat, chance.random())
    return total + sift(row, chance, 12, blocks)
