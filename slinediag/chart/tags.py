"""Where the tag of a hung cord goes: on a straight piece of it, else against it from outside, so
that every bend is seen. Lengths in micrometres.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slinediag.chart.cordroom import CordRoom
from slinediag.chart.hanging import FINE
from slinediag.chart.occupancy import STEP, Samples
from slinediag.geometry import Box, Point

TAG_HALF = 2_700
STRAIGHT = 0.3
"""By how much, in radians, a cord may turn under its tag: a bend is seen whole."""
HIDDEN = 0.35
"""How much of a cord its tag may lie on."""
TOUCH = 500
"""From the middle of a cord to a tag against it: half its width."""
SPACED = 1_300
"""Left free beside a tag where there is so much, half a letter: it does not read on from a text."""
ROOMY = 2_500
"""Free above and below a tag against a cord, where there is so much."""
TRIED = 64
"""Points of a cord at which its tag is tried, about."""
STRIDE = 2_000
"""From point to point on a cord where its direction is told."""


@dataclass(frozen=True)
class TagRoom:
    """Where the middle of one cord's tag may lie, by node: ``on`` the cord, where its plugs must be
    seen on either side, and ``against`` it; ``spaced`` and ``roomy``: the same with nothing else
    near.

    ``half``: half the tag's width.
    """

    half: int
    on: NDArray[np.bool_]
    against: NDArray[np.bool_]
    spaced: NDArray[np.bool_]
    roomy: NDArray[np.bool_]
    room: CordRoom

    @classmethod
    def of(cls, half: int, ends: tuple[Point, Point], room: CordRoom) -> TagRoom:
        """The room for the tag of a cord with these ends."""
        on = room.room_for_tag(half, TAG_HALF)
        against = room.room_for_tag(half, TAG_HALF, ends)
        spaced = room.room_for_tag(half + SPACED, TAG_HALF)
        roomy = room.room_for_tag(half + SPACED, TAG_HALF + ROOMY, ends)
        return cls(half, on, against, spaced, roomy, room)

    @property
    def reach(self) -> tuple[int, int]:
        """How many nodes either side of its middle it covers of a level and of an upright way."""
        return -(-self.half // STEP) + 1, -(-TAG_HALF // STEP) + 1

    def box(self, middle: Point) -> Box:
        """The tag."""
        return Box(middle.x - self.half, middle.y - TAG_HALF, 2 * self.half, 2 * TAG_HALF)

    def place(self, samples: Samples, near: Point | None = None) -> Box | None:
        """The tag of a way where there is room that leaves its bends free; None without.

        On a straight piece nearest the lowest point, or one told, else against the way there; where
        either leaves it space from all else, if there is such a place.
        """
        samples = evenly(samples)
        aim = near or Point(*samples[int(samples[:, 1].argmax())].tolist())
        tags = [*self._straight(samples, aim)]
        against = self._against(samples, aim)
        spaced = [tag for tag in tags if self.spaced[self.room.covered.nearest(tag.centre)]]
        if against and self.roomy[self.room.covered.nearest(against.centre)]:
            spaced.append(against)
        return next(iter((*spaced, *tags)), against)

    def anywhere(self, samples: Samples, near: Point) -> Box:
        """The tag on the way over as little of a bend as may be, nearest to a point."""
        samples = evenly(samples)
        tags = [self.box(middle) for middle in self._on(_some(samples), near)]
        turns = [round(turning(samples[under(samples, tag)]), 2) for tag in tags]
        return tags[turns.index(min(turns))] if tags else self.box(near)

    def _on(self, samples: Samples, aim: Point) -> Iterator[Point]:
        """Points of a way with room for the tag, the nearest to an aim first."""
        away = np.abs(samples - np.array(aim)).sum(axis=1)
        for number in np.lexsort((np.arange(len(samples)), away)).tolist():
            at = Point(*samples[number].tolist())
            if self.on[self.room.covered.nearest(at)]:
                yield at

    def _straight(self, samples: Samples, aim: Point) -> Iterator[Box]:
        """The tag on straight pieces of a way, nearest to an aim first."""
        nearest = np.abs(samples - np.array(aim)).sum(axis=1).argmin()
        for middle in self._on(np.vstack([samples[nearest], _some(samples)]), aim):
            tag = self.box(middle)
            hidden = under(samples, tag)
            if hidden.mean() <= HIDDEN and turning(samples[hidden]) <= STRAIGHT:
                yield tag

    def _against(self, samples: Samples, aim: Point) -> Box | None:
        """The tag under, beside or over a way, where little else is near."""
        found = []
        for number, tag in enumerate(self._touching(samples)):
            node = self.room.covered.nearest(tag.centre)
            if self.against[node]:
                away = abs(tag.centre.x - aim.x) + abs(tag.centre.y - aim.y)
                found.append((not self.roomy[node], away, number, tag))
        return min(found)[-1] if found else None

    def _touching(self, samples: Samples) -> Iterator[Box]:
        """The tags that touch a way from below, from either side and from above."""
        x, y = samples[:, 0], samples[:, 1]
        for at_x, at_y in _some(samples).tolist():
            over, beside = np.abs(x - at_x) <= self.half, np.abs(y - at_y) <= TAG_HALF
            yield self.box(Point(at_x, int(y[over].max()) + TOUCH + TAG_HALF))
            yield self.box(Point(int(x[beside].max()) + TOUCH + self.half, at_y))
            yield self.box(Point(int(x[beside].min()) - TOUCH - self.half, at_y))
            yield self.box(Point(at_x, int(y[over].min()) - TOUCH - TAG_HALF))


def _some(samples: Samples) -> Samples:
    """So many points of a way that its tag is tried at."""
    return samples[:: max(1, len(samples) // TRIED)]


def under(samples: Samples, tag: Box) -> NDArray[np.bool_]:
    """Which points of a way lie under a tag."""
    x, y = samples[:, 0], samples[:, 1]
    found: NDArray[np.bool_] = (x > tag.x) & (x < tag.right) & (y > tag.y) & (y < tag.bottom)
    return found


def evenly(samples: Samples) -> Samples:
    """Points along the same way, ``FINE`` apart."""
    far = np.concatenate([[0.0], np.hypot(*np.diff(samples, axis=0).T).cumsum()])
    marks = np.linspace(0.0, far[-1], int(far[-1] // FINE) + 2)
    even = np.stack([np.interp(marks, far, samples[:, axis]) for axis in (0, 1)], axis=1)
    found: Samples = np.rint(even).astype(np.int64)
    return found


def turning(samples: Samples) -> float:
    """How far the directions lie apart in which points lead that are ``FINE`` apart, in radians.

    Seen over ``STRIDE``: a cord that steps aside by less than it is wide looks straight.
    """
    stride = STRIDE // FINE
    steps = samples[stride:] - samples[:-stride]
    if len(steps) < 2:
        return 0.0
    return float(np.ptp(np.unwrap(np.arctan2(steps[:, 1], steps[:, 0]))))
