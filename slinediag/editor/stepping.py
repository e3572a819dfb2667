"""From one thing on a drawing to the next with the arrow keys. Plain numbers, tried alone."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TypeVar

from slinediag.geometry import Point

Key = TypeVar("Key")

ASIDE = 3
"""How many times farther off a thing is for being aside than for being ahead."""


def next_towards(
    places: Mapping[Key, Point], start: Point, dx: int, dy: int, but: Key | None = None
) -> Key | None:
    """What is nearest to a place in a direction (one of dx and dy is 1 or -1, the other 0).

    Only what lies more ahead than aside; ties go to what comes first.
    """
    best: tuple[int, Key] | None = None
    for key, at in places.items():
        ahead = (at.x - start.x) * dx + (at.y - start.y) * dy
        aside = abs((at.x - start.x) * dy) + abs((at.y - start.y) * dx)
        if key == but or ahead <= 0 or aside > ahead:
            continue
        far = ahead + ASIDE * aside
        if best is None or far < best[0]:
            best = far, key
    return best[1] if best is not None else None
