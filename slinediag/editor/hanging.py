"""Hangs a cord at once, as one curve, while a better way is still looked for.

Also what hangs on a drawing already.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from slinediag.address import Jack
from slinediag.chart.cords import Hung, draw_cord, tag_words
from slinediag.chart.lettering import letter
from slinediag.chart.plugs import HungCord
from slinediag.drawing.marks import Drawing, Group, Mark
from slinediag.geometry import Box, Point

LEAST_SAG = 9_000
MOST_SAG = 60_000


def hung_cord(places: Mapping[Jack, Point], cord: HungCord, *, silent: bool = False) -> Mark | None:
    """A cord as it hangs from jack to jack; None where one of them has no place."""
    one, other = (places.get(jack) for jack in cord.ends)
    if one is None or other is None:
        return None
    return draw_cord(_hung(cord, one, other), silent=silent)


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


def hung_groups(drawing: Drawing) -> Iterator[tuple[str, Group]]:
    """Each cord that hangs on a drawing: its name, and all that is drawn of it."""
    waiting = [mark for mark in reversed(drawing.marks) if isinstance(mark, Group)]
    while waiting:
        group = waiting.pop()
        if "hung" not in group.ref.classes:
            waiting += [mark for mark in reversed(group.marks) if isinstance(mark, Group)]
            continue
        for mark in group.marks:
            if mark.ref is not None and "cord" in mark.ref.classes:
                yield dict(mark.ref.data)["cord"], group
