"""Points, boxes and runs in whole micrometres, so that equal means equal.

A sheet is at most 1,189 mm long: 1,189,000 of these units. x runs to the right, y downwards.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import NamedTuple

MICROMETRES_PER_MM = 1000


def from_mm(value: float) -> int:
    """Millimetres as whole micrometres, to the nearest."""
    return round(value * MICROMETRES_PER_MM)


def to_mm(value: int) -> float:
    """Micrometres as millimetres."""
    return value / MICROMETRES_PER_MM


class Point(NamedTuple):
    """A place on a sheet, micrometres from its top left corner."""

    x: int
    y: int

    def moved(self, dx: int, dy: int) -> Point:
        """The point this far to the right and down."""
        return Point(self.x + dx, self.y + dy)


Run = tuple[Point, ...]
"""A line as its corners, first end to last."""


@dataclass(frozen=True, slots=True)
class Box:
    """An upright rectangle: left, top, width and height in micrometres."""

    x: int
    y: int
    width: int
    height: int

    @property
    def right(self) -> int:
        """The x of its right edge."""
        return self.x + self.width

    @property
    def bottom(self) -> int:
        """The y of its bottom edge."""
        return self.y + self.height

    @property
    def centre(self) -> Point:
        """Its middle, rounded down to whole micrometres."""
        return Point(self.x + self.width // 2, self.y + self.height // 2)

    def moved(self, dx: int, dy: int) -> Box:
        """The box this far to the right and down."""
        return Box(self.x + dx, self.y + dy, self.width, self.height)

    def grown(self, by: int) -> Box:
        """The box with this much more on every side; less where negative."""
        return Box(self.x - by, self.y - by, self.width + 2 * by, self.height + 2 * by)

    def meets(self, other: Box) -> bool:
        """Whether the two share more than an edge."""
        return (
            self.x < other.right
            and other.x < self.right
            and self.y < other.bottom
            and other.y < self.bottom
        )

    def holds(self, point: Point) -> bool:
        """Whether the point lies in the box or on its edge."""
        return self.x <= point.x <= self.right and self.y <= point.y <= self.bottom

    def contains(self, other: Box) -> bool:
        """Whether the other box lies wholly in this one, edges included."""
        return (
            self.x <= other.x
            and self.y <= other.y
            and other.right <= self.right
            and other.bottom <= self.bottom
        )


def around(points: Iterable[Point]) -> Box:
    """The smallest box that holds all points; at least one is needed."""
    xs, ys = zip(*points, strict=True)
    return Box(min(xs), min(ys), max(xs) - min(xs), max(ys) - min(ys))


def union(boxes: Iterable[Box]) -> Box:
    """The smallest box that holds all boxes; at least one is needed."""
    corners = [c for b in boxes for c in (Point(b.x, b.y), Point(b.right, b.bottom))]
    return around(corners)
