"""The bundles on either side of each box, as arrays, with those that fork from them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slinediag.layout.blocks import Blocks, Bundle

Ints = NDArray[np.int64]

LEFT, RIGHT = 0, 1


@dataclass(frozen=True, slots=True)
class Side:
    """The bundles on one side of a box, by number.

    ``forks``: columns (which of these, a bundle of another box that it meets at its far end,
    their crossings with this one's near end above the other's, below it).
    """

    bundles: Ints
    forks: Ints


class Lines:
    """Bundles as arrays, and per box block those on its left and those on its right."""

    def __init__(self, blocks: Blocks, ports_free: bool) -> None:
        bundles = blocks.bundles
        self.boxes = blocks.boxes
        self.tail = np.array([b.tail for b in bundles], np.int64)
        self.head = np.array([b.head for b in bundles], np.int64)
        self.lane = np.array([b.lane for b in bundles], np.int64)
        self.weight = np.array([b.weight for b in bundles], np.int64)
        self.need = np.array([b.need for b in bundles], np.int64)
        self.back = np.array([b.back for b in bundles], bool)
        own: list[tuple[list[int], list[int]]] = [([], []) for _ in range(blocks.boxes)]
        for number, bundle in enumerate(bundles):
            if bundle.tail != bundle.head:
                own[bundle.head][LEFT].append(number)
                own[bundle.tail][RIGHT].append(number)
        forks = [(_none(), _none()) for _ in own] if ports_free else self._forks(bundles, own)
        self.sides = [
            (Side(np.array(lefts, np.int64), left), Side(np.array(rights, np.int64), right))
            for (lefts, rights), (left, right) in zip(own, forks, strict=True)
        ]

    def _forks(
        self, bundles: Sequence[Bundle], own: Sequence[tuple[list[int], list[int]]]
    ) -> list[tuple[Ints, Ints]]:
        found: list[tuple[list[Ints], list[Ints]]] = [([_none()], [_none()]) for _ in own]
        for sides in own:
            for side in (LEFT, RIGHT):
                numbers = [number for number in sides[side] if not bundles[number].back]
                for number, forks in self._forks_at(bundles, numbers, side):
                    far = bundles[number].tail if side == LEFT else bundles[number].head
                    rank = own[far][1 - side].index(number)
                    ranked = np.concatenate([np.full((1, forks.shape[1]), rank), forks])
                    found[far][1 - side].append(ranked)
        return [(np.concatenate(a, axis=1), np.concatenate(b, axis=1)) for a, b in found]

    def _forks_at(
        self, bundles: Sequence[Bundle], numbers: Sequence[int], side: int
    ) -> Iterator[tuple[int, Ints]]:
        """Each bundle on a side of a box with the rest there: columns (other, above, below)."""
        if len(numbers) < 2:
            return
        ports = [bundles[k].ends if side == LEFT else bundles[k].starts for k in numbers]
        inverted = _inversions(ports)
        all_ = np.array(numbers, np.int64)
        beyond = (self.tail if side == LEFT else self.head)[all_]
        for rank, number in enumerate(numbers):
            others = (beyond != beyond[rank]) & (self.lane[all_] != self.lane[number])
            above = inverted[rank, others]
            products = self.weight[number] * self.weight[all_[others]]
            yield number, np.stack([all_[others], above, products - above])


def _none() -> Ints:
    return np.zeros((4, 0), np.int64)


def _inversions(ports: Sequence[Sequence[int]]) -> Ints:
    """Entry [i, j]: pairs in which a port of group i is greater than one of group j."""
    every = np.array([port for group in ports for port in group], np.int64)
    begins = np.cumsum([0, *(len(group) for group in ports[:-1])])
    greater = (every[:, None] > every).astype(np.int64)
    found: Ints = np.add.reduceat(np.add.reduceat(greater, begins, axis=0), begins, axis=1)
    return found
