"""Hangs a cord at once, as one curve: while a better way is still looked for, and for a trial."""

from __future__ import annotations

from collections.abc import Mapping

from slinediag.address import Jack
from slinediag.chart.cords import Hung, draw_cord, tag_words
from slinediag.chart.lettering import letter
from slinediag.chart.plugs import HungCord
from slinediag.drawing.marks import Mark
from slinediag.geometry import Box, Point

LEAST_SAG = 9_000
MOST_SAG = 60_000


def hung_cord(places: Mapping[Jack, Point], cord: HungCord) -> Mark | None:
    """A cord as it hangs from jack to jack; None where one of them has no place."""
    one, other = (places.get(jack) for jack in cord.ends)
    if one is None or other is None:
        return None
    return draw_cord(_hung(cord, one, other))


def _hung(cord: HungCord, one: Point, other: Point) -> Hung:
    """One curve that sags with its span, its tag at its lowest point."""
    span = abs(other.x - one.x) + abs(other.y - one.y)
    sag = max(LEAST_SAG, min(MOST_SAG, span // 5))
    low = max(one.y, other.y) + sag
    way = (one, ((Point(one.x, low), Point(other.x, low), other),))
    words = letter(Point(0, 0), tag_words(cord), weight="bold")
    # A cubic with both handles at one depth is three quarters of the way down in its middle.
    foot = Point((one.x + other.x) // 2, (one.y + other.y + 6 * low) // 8)
    half = words.width // 2 + 1800
    return Hung(cord, way, Box(foot.x - half, foot.y - 2700, 2 * half, 5400))
