"""Room in the columns: where a column's boxes are narrow, uprights may stand beside them."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Sequence
from dataclasses import dataclass

Rooms = Callable[[int, int], tuple[int, int]]
"""How many tracks an upright from one level to another may stand left and right of its channel."""


def no_rooms(_low: int, _high: int) -> tuple[int, int]:
    """The rooms of a channel that must hold all its uprights."""
    return 0, 0


@dataclass(frozen=True, slots=True)
class Obstacle:
    """A box in its column: from top to bottom, clearances included; free room on either side."""

    top: int
    bottom: int
    left: int
    right: int


class Column:
    """The boxes of one layer, from top to bottom, in a column ``width`` wide."""

    def __init__(self, width: int, obstacles: Sequence[Obstacle], spacing: int) -> None:
        spacing = max(1, spacing)
        self.tops = [obstacle.top for obstacle in obstacles]
        self.bottoms = [obstacle.bottom for obstacle in obstacles]
        # The first track off the channel stands on the column's edge; those from both sides
        # keep to their half.
        half = (width + spacing) // 2
        self.half = half // spacing if width else 0
        self.left = [min(half, obstacle.left) // spacing for obstacle in obstacles]
        self.right = [min(half, obstacle.right) // spacing for obstacle in obstacles]

    def beside(self, low: int, high: int, sides: Sequence[int]) -> int:
        """Tracks free from ``low`` to ``high``; ``sides`` is ``left`` or ``right``."""
        first, last = bisect_right(self.bottoms, low), bisect_left(self.tops, high)
        return min(sides[first:last], default=self.half)


def rooms_between(left: Column | None, right: Column | None) -> Rooms:
    """The rooms of the channel between two columns."""

    def rooms(low: int, high: int) -> tuple[int, int]:
        return (
            left.beside(low, high, left.right) if left else 0,
            right.beside(low, high, right.left) if right else 0,
        )

    return rooms
