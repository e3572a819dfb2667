"""Holds still what one looks at while another drawing of the chart comes."""

from __future__ import annotations

from slinediag.address import Address
from slinediag.editor.charting import Chart
from slinediag.editor.lighting import place_of
from slinediag.editor.things import Thing
from slinediag.geometry import Box, Point


def drift(before: Chart, after: Chart, selected: Thing | None, seen: Box) -> Point:
    """How far on the sheet what one looks at has moved, micrometres.

    That is the selection where it is in sight; otherwise what most of the jacks and ports in sight
    do. ``seen``: the part of the sheet that is in sight.
    """
    if selected is not None:
        old, new = place_of(before, selected), place_of(after, selected)
        if old is not None and new is not None and seen.holds(old.centre):
            return Point(new.x - old.x, new.y - old.y)
    was, now = _ends(before), _ends(after)
    steps = [
        (now[end].x - at.x, now[end].y - at.y)
        for end, at in was.items()
        if end in now and seen.holds(at)
    ]
    if not steps:
        return Point(0, 0)
    middle = (len(steps) - 1) // 2
    return Point(sorted(x for x, _ in steps)[middle], sorted(y for _, y in steps)[middle])


def _ends(chart: Chart) -> dict[Address, Point]:
    found: dict[Address, Point] = {}
    found.update(chart.jacks.items())
    found.update(chart.ports.items())
    return found
