"""Uprights on the fewest tracks, given which must stand left of which.

The left edge algorithm with constraints (Hashimoto, Stevens, "Wire routing by optimizing channel
assignment within large apertures", 1971; constraints common practice since), tried from either
side, and with those first that most others wait for or those from the top.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Matrix = NDArray[np.int64]
Relation = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Task:
    """Uprights to be put on tracks.

    ``spans``: (low, high) of each. ``order``: all of them, left to right; ``before[i, j]``: i
    must stand left of j. ``rooms``: how many tracks each may stand left and right of the channel.
    """

    spans: Sequence[tuple[int, int]]
    order: Sequence[int]
    before: Relation
    rooms: Sequence[tuple[int, int]]
    clearance: int


@dataclass(frozen=True, slots=True)
class Tracks:
    """The track of each upright, and how many tracks the channel must have.

    Tracks count from 0, the first of the channel; less than 0 or no less than ``width`` are
    those off the channel on the left and right.
    """

    of: tuple[int, ...]
    width: int


def pack(task: Task) -> Tracks:
    """The narrowest channel found."""
    found = [_filled(task, by_length) for by_length in (True, False)]
    mirrored = Task(
        task.spans,
        task.order[::-1],
        task.before.T,
        [(right, left) for left, right in task.rooms],
        task.clearance,
    )
    for by_length in (True, False):
        other = _filled(mirrored, by_length)
        found.append(Tracks(tuple(other.width - 1 - track for track in other.of), other.width))
    return min(found, key=lambda tracks: tracks.width)


def _filled(task: Task, by_length: bool) -> Tracks:
    """Track by track from the left, as many uprights as fit; each waits for those before it."""
    spans, clearance = task.spans, task.clearance
    count = len(spans)
    length = _longest(task) if by_length else [0] * count
    key = [(-length[k], spans[k][0], k) for k in range(count)]
    waits = task.before.sum(axis=0)
    left = set(range(count))
    of = [0] * count
    track = -max((room for room, _ in task.rooms), default=0)
    while left:
        taken: list[int] = []
        ready = [k for k in left if not waits[k] and -task.rooms[k][0] <= track]
        for k in sorted(ready, key=key.__getitem__):
            low, high = spans[k]
            if all(
                spans[other][1] + clearance <= low or high + clearance <= spans[other][0]
                for other in taken
            ):
                taken.append(k)
                of[k] = track
        left.difference_update(taken)
        for k in taken:
            waits -= task.before[k]
        track += 1
    width = max((of[k] + 1 - task.rooms[k][1] for k in range(count)), default=0)
    return Tracks(tuple(of), max(0, width))


def _longest(task: Task) -> list[int]:
    """Per upright how many must follow it one after the other."""
    length = np.zeros(len(task.order), np.int64)
    for k in reversed(task.order):
        after = length[task.before[k]]
        length[k] = after.max() + 1 if len(after) else 0
    return [int(value) for value in length]
