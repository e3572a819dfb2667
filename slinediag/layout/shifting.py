"""Layers with fewer crossings: single boxes moved left or right within what their lines allow.

Layers of least span are not those of fewest crossings. For one box, and each layer it may take,
the crossings of its own lines with all others are counted, gap by gap.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from slinediag.layout.blocks import Blocks
from slinediag.layout.terms import inversions

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]

# How far a box may move at once; more did not pay.
REACH = 3

# Crossings that a line may cost to be one layer shorter: short lines where nothing is lost.
SPAN_PRICE = 0.25


@dataclass(slots=True)
class Lattice:
    """Bundles as arrays, with the layers and places of their blocks.

    ``layers`` per box block, ``places`` per block.
    """

    blocks: Blocks
    layers: Ints
    places: Floats
    ports_free: bool
    tail: Ints = field(init=False)
    head: Ints = field(init=False)
    lane: Ints = field(init=False)
    weight: Ints = field(init=False)
    need: Ints = field(init=False)
    back: NDArray[np.bool_] = field(init=False)
    own: list[Ints] = field(init=False)
    forks: tuple[dict[tuple[int, int], int], dict[tuple[int, int], int]] = field(init=False)

    def __post_init__(self) -> None:
        bundles = self.blocks.bundles
        self.tail = np.array([b.tail for b in bundles], np.int64)
        self.head = np.array([b.head for b in bundles], np.int64)
        self.lane = np.array([b.lane for b in bundles], np.int64)
        self.weight = np.array([b.weight for b in bundles], np.int64)
        self.need = np.array([b.need for b in bundles], np.int64)
        self.back = np.array([b.back for b in bundles], bool)
        own: list[list[int]] = [[] for _ in range(self.blocks.boxes)]
        for number, bundle in enumerate(bundles):
            own[bundle.tail].append(number)
            if bundle.head != bundle.tail:
                own[bundle.head].append(number)
        self.own = [np.array(numbers, np.int64) for numbers in own]
        self.forks = ({}, {})

    def window(self, box: int) -> tuple[int, int]:
        """The layers a box may take, as its lines' other ends stand now."""
        own = self.own[box]
        here = int(self.layers[box])
        ins = own[(self.head[own] == box) & (self.tail[own] != box)]
        outs = own[(self.tail[own] == box) & (self.head[own] != box)]
        low = int((self.layers[self.tail[ins]] + self.need[ins]).max(initial=0))
        top = int(self.layers.max())
        high = int((self.layers[self.head[outs]] - self.need[outs]).min(initial=top))
        return max(low, here - REACH), min(high, here + REACH)

    def costs(self, box: int, choices: Ints) -> Floats:
        """Crossings of the box's lines, and the price of their span, for each layer in choices."""
        own = self.own[box]
        others = np.ones(len(self.tail), bool)
        others[own] = False
        rest = np.flatnonzero(others)
        first, last = self.layers[self.tail[rest]], self.layers[self.head[rest]] - 1
        # Axes: choice, own bundle.
        tails = np.where(self.tail[own] == box, choices[:, None], self.layers[self.tail[own]])
        heads = np.where(self.head[own] == box, choices[:, None], self.layers[self.head[own]])
        total: Floats = SPAN_PRICE * ((heads - tails) * self.weight[own]).sum(axis=1)
        for gap in range(int(choices.min()) - 1, int(choices.max()) + 1):
            here = (first <= gap) & (gap <= last)
            near = rest[here]
            if len(near):
                total = total + self._gap_costs(own, tails, heads - 1, near, gap)
        return total

    def _gap_costs(self, own: Ints, first: Ints, last: Ints, near: Ints, gap: int) -> Floats:
        """Crossings in a gap of own bundles with those near; first and last gap per choice."""
        left_box = (first == gap) & ~self.back[own]
        right_box = (last == gap) & ~self.back[own]
        left = np.where(left_box, self.tail[own], self.lane[own])
        right = np.where(right_box, self.head[own], self.lane[own])
        starts = (self.layers[self.tail[near]] == gap) & ~self.back[near]
        ends = (self.layers[self.head[near]] - 1 == gap) & ~self.back[near]
        near_left = np.where(starts, self.tail[near], self.lane[near])
        near_right = np.where(ends, self.head[near], self.lane[near])
        places = self.places
        on_left = np.sign(places[left][:, :, None] - places[near_left])
        on_right = np.sign(places[right][:, :, None] - places[near_right])
        crossed = on_left * on_right < 0
        present = (first <= gap) & (gap <= last)
        product = np.outer(self.weight[own], self.weight[near])
        counts = crossed * present[:, :, None] * product
        total: Floats = counts.sum(axis=(1, 2)).astype(np.float64)
        if self.ports_free:
            return total
        present = present[:, :, None] & (self.lane[own][:, None] != self.lane[near])
        same = [
            (left[:, :, None] == near_left, on_right),
            (right[:, :, None] == near_right, on_left),
        ]
        for side, (shared, order) in enumerate(same):
            shared &= present & (order != 0)
            for choice, i, j in zip(*(found.tolist() for found in np.nonzero(shared)), strict=True):
                total[choice] += self._fork(side, int(own[i]), int(near[j]), order[choice, i, j])
        return total

    def _fork(self, side: int, one: int, two: int, order: float) -> int:
        """Crossings of two bundles that share a box, by the order of their other ends."""
        a, b = self.blocks.bundles[one], self.blocks.bundles[two]
        known = self.forks[side]
        if (one, two) not in known:
            pair = (a.starts, b.starts) if side == 0 else (a.ends, b.ends)
            known[one, two] = inversions(*pair)
        inverted = known[one, two]
        return inverted if order < 0 else a.weight * b.weight - inverted


def shift(lattice: Lattice, chance: random.Random, passes: int) -> None:
    """Move every box to the layer that costs least, in turns by chance; equals half of the time."""
    boxes = list(range(lattice.blocks.boxes))
    for _ in range(passes):
        chance.shuffle(boxes)
        for box in boxes:
            low, high = lattice.window(box)
            if low >= high:
                continue
            choices = np.arange(low, high + 1)
            costs = lattice.costs(box, choices)
            here = int(lattice.layers[box]) - low
            least = costs.min()
            if costs[here] > least or chance.random() < 0.5:
                equal = np.flatnonzero(costs == least).tolist()
                lattice.layers[box] = low + chance.choice(equal)


def without_empty(layers: Sequence[int]) -> list[int]:
    """The same layers numbered without those that hold nothing."""
    number = {layer: k for k, layer in enumerate(sorted(set(layers)))}
    return [number[layer] for layer in layers]
