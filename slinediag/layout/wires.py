"""Nets in one channel: how often two must cross there, and how often they do."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

Matrix = NDArray[np.int64]
Ints = NDArray[np.int64]

# More than any number of crossings: what must not be.
FORBIDDEN = 1 << 20


@dataclass(frozen=True, slots=True)
class Wire:
    """A net in a channel: the levels (micrometres) at which it comes from the left and right.

    ``low`` is the topmost of them, ``high`` the lowest.
    """

    net: int
    lefts: tuple[int, ...]
    rights: tuple[int, ...]
    low: int = field(init=False)
    high: int = field(init=False)

    def __post_init__(self) -> None:
        levels = (*self.lefts, *self.rights)
        object.__setattr__(self, "low", min(levels))
        object.__setattr__(self, "high", max(levels))


def costs_of(wires: Sequence[Wire], clearance: int) -> Matrix:
    """Entry [i, j]: crossings of i and j if i is on the left, FORBIDDEN more if they would meet."""
    cost = costs_between(wires, wires, clearance)
    net = np.array([wire.net for wire in wires])
    same = net[:, None] == net[None, :]
    cost[same] = 0
    # Pieces of one net stand in the list as a signal goes through them.
    count = np.arange(len(wires))
    cost[same & (count[:, None] > count[None, :])] = FORBIDDEN
    return cost


def costs_between(ones: Sequence[Wire], others: Sequence[Wire], clearance: int) -> Matrix:
    """The same of nets on the left, [i, ], and others on the right, [, j]."""
    low, high = _extents(ones)
    top, foot = _extents(others)
    left_of, left = _ends([wire.lefts for wire in others])
    right_of, right = _ends([wire.rights for wire in ones])
    cost = np.zeros((len(ones), len(others)), np.int64)
    over_left = (low[:, None] < left[None, :]) & (left[None, :] < high[:, None])
    np.add.at(cost.T, left_of, over_left.T.astype(np.int64))
    over_right = (top[None, :] < right[:, None]) & (right[:, None] < foot[None, :])
    np.add.at(cost, right_of, over_right.astype(np.int64))
    meet = np.abs(right[:, None] - left[None, :]) < max(1, clearance // 2)
    one, other = np.nonzero(meet)
    np.add.at(cost, (right_of[one], left_of[other]), FORBIDDEN)
    return cost


def _extents(wires: Sequence[Wire]) -> tuple[Ints, Ints]:
    low, high = [wire.low for wire in wires], [wire.high for wire in wires]
    return np.array(low, np.int64), np.array(high, np.int64)


def needed_by(wires: Sequence[Wire]) -> Matrix:
    """Entry [i, j]: how often nets i and j must cross, wherever their uprights stand.

    Their ends lie on the edge of a disc. Where the ends of j are in k of the parts between those
    of i, each tree must pass between the groups of the other: k - 1 times.
    """
    count = len(wires)
    owner = np.array([k for k, wire in enumerate(wires) for _ in (*wire.lefts, *wire.rights)])
    # About the disc: down the left, up the right.
    sides = np.array([side for w in wires for side in [0] * len(w.lefts) + [1] * len(w.rights)])
    levels = np.array([y for w in wires for y in (*w.lefts, *w.rights)], np.int64)
    around = np.lexsort((np.where(sides == 1, -levels, levels), sides))
    at = np.empty(len(around), np.int64)
    at[around] = np.arange(len(around))
    by_owner = np.lexsort((at, owner))
    at, owner = at[by_owner], owner[by_owner]
    firsts = np.searchsorted(owner, np.arange(count))
    onward = np.roll(at, -1)
    lasts = np.append(firsts[1:], len(at)) - 1
    onward[lasts] = at[firsts]
    inside = (at[:, None] < at[None, :]) & (at[None, :] < onward[:, None])
    wraps = at >= onward
    inside[wraps] = (at[None, :] > at[wraps, None]) | (at[None, :] < onward[wraps, None])
    held = np.logical_or.reduceat(inside, firsts, axis=1)
    groups: Matrix = np.add.reduceat(held.astype(np.int64), firsts, axis=0)
    needed = np.maximum(0, groups - 1)
    np.fill_diagonal(needed, 0)
    return needed


def _ends(levels: Sequence[tuple[int, ...]]) -> tuple[Matrix, Matrix]:
    """(wire, level) of each end."""
    owner = [k for k, ends in enumerate(levels) for _ in ends]
    return np.array(owner, np.int64), np.array([y for ends in levels for y in ends], np.int64)
