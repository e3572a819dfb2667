"""Layers with fewer crossings: single boxes moved left or right within what their lines allow.

Layers of least span are not those of fewest crossings. For one box, and each layer it may take,
the crossings of its own lines with all others are counted, gap by gap.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slinediag.layout.sides import LEFT, RIGHT, Lines

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]

# How far a box may move at once; more did not pay.
REACH = 3

# Crossings that a line may cost to be one layer shorter: short lines where nothing is lost.
SPAN_PRICE = 0.25


@dataclass(frozen=True, slots=True)
class Near:
    """Bundles of other boxes in a box's gaps, once for each gap: their number and gap, counted
    from ``first``, and where they stand on the gap's left and right."""

    first: int
    bundle: Ints
    gap: Ints
    ends: tuple[Floats, Floats]


class Lattice:
    """Bundles with the layers and places of their blocks; layers change.

    ``layers`` per box block, ``places`` per block. Bundle k runs from gap ``span[0][k]`` to gap
    ``span[1][k]``; ``ends[0][k]`` and ``ends[1][k]`` are its places at its first gap's left and at
    its last gap's right, ``lane[k]`` that between.
    """

    def __init__(self, lines: Lines, layers: Ints, places: Floats) -> None:
        self.lines, self.layers, self.places = lines, layers, places
        self.span = layers[lines.tail], layers[lines.head] - 1
        self.lane = places[lines.lane]
        # A bundle that runs back turns outside its gaps, and is a lane in all of them.
        self.ends = (
            np.where(lines.back, self.lane, places[lines.tail]),
            np.where(lines.back, self.lane, places[lines.head]),
        )

    def window(self, box: int) -> tuple[int, int]:
        """The layers a box may take, as its lines' other ends stand now."""
        need, here = self.lines.need, int(self.layers[box])
        left, right = (side.bundles for side in self.lines.sides[box])
        low = int((self.span[0][left] + need[left]).max(initial=0))
        top = int(self.layers.max())
        high = int((self.span[1][right] + 1 - need[right]).min(initial=top))
        return max(low, here - REACH), min(high, here + REACH)

    def put(self, box: int, layer: int) -> None:
        """Move a box to a layer of its window."""
        self.layers[box] = layer
        left, right = (side.bundles for side in self.lines.sides[box])
        self.span[1][left] = layer - 1
        self.span[0][right] = layer

    def costs(self, box: int, low: int, high: int) -> Floats:
        """Crossings of the box's lines, and the price of their span, for each layer of a window.

        What is the same for all layers may be left out.
        """
        near = self._near(box, low - 1, high)
        total = np.zeros(high - low + 1)
        for side in (LEFT, RIGHT):
            bundles = self.lines.sides[box][side].bundles
            if not len(bundles):
                continue
            passing, ending = self._gap_costs(box, side, near, high - low + 2)
            # Lines on the left end in the gap before the layer, those on the right begin behind.
            if side == LEFT:
                total += (ending + passing.cumsum() - passing)[:-1]
            else:
                total += (ending + passing.sum() - passing.cumsum())[1:]
            weight = int(self.lines.weight[bundles].sum())
            total += SPAN_PRICE * weight * np.arange(len(total)) * (1 if side == LEFT else -1)
        return total

    def _near(self, box: int, first: int, last: int) -> Near:
        """The bundles of other boxes in the gaps from the first to the last."""
        begin, end = self.span
        gaps = np.arange(first, last + 1)[:, None]
        inside = (begin <= gaps) & (gaps <= end)
        for side in self.lines.sides[box]:
            inside[:, side.bundles] = False
        gap, bundle = inside.nonzero()
        lane = self.lane[bundle]
        lefts = np.where(begin[bundle] == gap + first, self.ends[0][bundle], lane)
        rights = np.where(end[bundle] == gap + first, self.ends[1][bundle], lane)
        return Near(first, bundle, gap, (lefts, rights))

    def _gap_costs(self, box: int, side: int, near: Near, gaps: int) -> tuple[Floats, Floats]:
        """Per gap the crossings of one side's bundles where they pass it, and where they end at
        the box there."""
        lines, far = self.lines, 1 - side
        bundles = lines.sides[box][side].bundles
        # Of a bundle on the left, the left end is the far one, and it moves at its right.
        turn = self.span[side][bundles][:, None] - near.first
        lane, end = self.lane[bundles][:, None], self.ends[far][bundles][:, None]
        here = np.where(turn == near.gap, self.ends[side][bundles][:, None], lane)
        order = np.sign(here - near.ends[side])
        within = turn <= near.gap if side == LEFT else turn >= near.gap
        weights = lines.weight[bundles][:, None] * within
        found = []
        for moving in (lane, end):
            crossed = order * np.sign(moving - near.ends[far]) < 0
            counts = (crossed * weights).sum(axis=0) * lines.weight[near.bundle]
            forked = self._forked(box, side, near.first, gaps, moving[:, 0])
            found.append(np.bincount(near.gap, counts, gaps) + forked)
        return found[0], found[1]

    def _forked(self, box: int, side: int, first: int, gaps: int, moving: Floats) -> Floats:
        """Per gap the crossings of bundles that meet another one's at their far end."""
        own, other, above, below = self.lines.sides[box][side].forks
        far = 1 - side
        gap = self.span[side][self.lines.sides[box][side].bundles][own]
        at_end = self.span[far][other] == gap
        order = moving[own] - np.where(at_end, self.ends[far][other], self.lane[other])
        counts = np.where(order > 0, below, np.where(order < 0, above, 0))
        inside = (first <= gap) & (gap < first + gaps)
        found = np.bincount((gap - first)[inside], counts[inside], gaps)
        return found.astype(np.float64)


def shift(lattice: Lattice, chance: random.Random, passes: int) -> None:
    """Move every box to the layer that costs least, in turns by chance; equals half of the time."""
    boxes = list(range(lattice.lines.boxes))
    for _ in range(passes):
        chance.shuffle(boxes)
        for box in boxes:
            low, high = lattice.window(box)
            if low >= high:
                continue
            costs = lattice.costs(box, low, high)
            least = costs.min()
            if costs[lattice.layers[box] - low] > least or chance.random() < 0.5:
                equal = np.flatnonzero(costs == least).tolist()
                lattice.put(box, low + chance.choice(equal))


def without_empty(layers: Sequence[int]) -> list[int]:
    """The same layers numbered without those that hold nothing."""
    number = {layer: k for k, layer in enumerate(sorted(set(layers)))}
    return [number[layer] for layer in layers]
