"""Where the tag of a hung cord goes: on a straight piece of it, else against it from outside, so
that every bend is seen. Lengths in micrometres.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slinediag.chart.cordroom import CordRoom
from slinediag.chart.occupancy import Samples
from slinediag.geometry import Box, Point

TAG_HALF = 2_700
STRAIGHT = 0.3
"""By how much, in radians, a cord may turn under its tag: a bend is seen whole."""
HIDDEN = 0.25
"""How much of a cord its tag may lie on."""
TOUCH = 500
"""From the middle of a cord to a tag against it: half its width."""
TRIED = 64
"""Points of a cord against which a tag is tried, about."""
LEAST_STEP = 200
"""What is shorter tells no direction: ways are kept in whole micrometres."""


@dataclass(frozen=True)
class TagRoom:
    """Where the middle of one cord's tag may lie, by node: ``on`` the cord, where its plugs must be
    seen on either side, and ``against`` it.

    ``half``: half the tag's width.
    """

    half: int
    on: NDArray[np.bool_]
    against: NDArray[np.bool_]
    room: CordRoom

    @classmethod
    def of(cls, half: int, ends: tuple[Point, Point], room: CordRoom) -> TagRoom:
        """The room for the tag of a cord with these ends."""
        on = room.room_for_tag(half, TAG_HALF)
        return cls(half, on, room.room_for_tag(half, TAG_HALF, ends), room)

    def box(self, middle: Point) -> Box:
        """The tag."""
        return Box(middle.x - self.half, middle.y - TAG_HALF, 2 * self.half, 2 * TAG_HALF)

    def place(self, samples: Samples, near: Point | None = None) -> Box | None:
        """The tag of a way where there is room that leaves its bends free; None without.

        On a straight piece nearest the lowest point, or one told; else against the way there.
        """
        aim = near or Point(*samples[int(samples[:, 1].argmax())].tolist())
        return self._straight(samples, aim) or self._against(samples, aim)

    def anywhere(self, samples: Samples, near: Point) -> Box:
        """The tag on the way nearest to a point, over a bend if it must be."""
        return self.box(next(self._on(samples, near), near))

    def _on(self, samples: Samples, aim: Point) -> Iterator[Point]:
        """Points of a way with room for the tag, the nearest to an aim first."""
        away = np.abs(samples - np.array(aim)).sum(axis=1)
        for number in np.lexsort((np.arange(len(samples)), away)).tolist():
            at = Point(*samples[number].tolist())
            if self.on[self.room.covered.nearest(at)]:
                yield at

    def _straight(self, samples: Samples, aim: Point) -> Box | None:
        steps = max(1, len(samples) // TRIED)
        for middle in self._on(samples[::steps], aim):
            tag = self.box(middle)
            hidden = under(samples, tag)
            if hidden.mean() <= HIDDEN and turning(samples[hidden]) <= STRAIGHT:
                return tag
        return None

    def _against(self, samples: Samples, aim: Point) -> Box | None:
        """The tag under, beside or over a way."""
        found = [
            (abs(tag.centre.x - aim.x) + abs(tag.centre.y - aim.y), number, tag)
            for number, tag in enumerate(self._touching(samples))
            if self.against[self.room.covered.nearest(tag.centre)]
        ]
        return min(found)[2] if found else None

    def _touching(self, samples: Samples) -> Iterator[Box]:
        """The tags that touch a way from below, from either side and from above."""
        x, y = samples[:, 0], samples[:, 1]
        for at_x, at_y in samples[:: max(1, len(samples) // TRIED)].tolist():
            over, beside = np.abs(x - at_x) <= self.half, np.abs(y - at_y) <= TAG_HALF
            yield self.box(Point(at_x, int(y[over].max()) + TOUCH + TAG_HALF))
            yield self.box(Point(int(x[beside].max()) + TOUCH + self.half, at_y))
            yield self.box(Point(int(x[beside].min()) - TOUCH - self.half, at_y))
            yield self.box(Point(at_x, int(y[over].min()) - TOUCH - TAG_HALF))


def under(samples: Samples, tag: Box) -> NDArray[np.bool_]:
    """Which points of a way lie under a tag."""
    x, y = samples[:, 0], samples[:, 1]
    found: NDArray[np.bool_] = (x > tag.x) & (x < tag.right) & (y > tag.y) & (y < tag.bottom)
    return found


def turning(samples: Samples) -> float:
    """How far the directions lie apart in which points following each other lead, in radians."""
    steps = np.diff(samples, axis=0).astype(float)
    steps = steps[np.abs(steps).sum(axis=1) >= LEAST_STEP]
    if not len(steps):
        return 0.0
    return float(np.ptp(np.unwrap(np.arctan2(steps[:, 1], steps[:, 0]))))
