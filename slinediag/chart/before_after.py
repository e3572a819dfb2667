"""A trial's chart before and after on one page: twice the same places, one above the other."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from slinediag.chart.lettering import letter
from slinediag.chart.moving import all_moved
from slinediag.chart.planning import Plan
from slinediag.chart.plugs import plugs_of
from slinediag.drawing import styles
from slinediag.drawing.marks import Group, Mark, Ref
from slinediag.drawing.query import ink_box
from slinediag.geometry import Box, Point, union

BEFORE, AFTER = "Before: as filed", "After: with the trial"
HEADING = 9_000
"""From a heading's foot to the highest mark under it."""
APART = 16_000
"""Between the foot of one and the heading of the other."""


def as_filed(plan: Plan) -> Plan:
    """The same things in the same places, plugged as filed."""
    filed = plugs_of(plan.subject.facility, None)
    return replace(plan, subject=replace(plan.subject, plugs=filed))


def before_and_after(before: Sequence[Mark], after: Sequence[Mark]) -> tuple[Mark, ...]:
    """Both under a heading each: one above the other, or side by side where they are high.

    Both must stand about one origin; they keep their places to each other in one direction, so
    that the eye finds a thing of one in the other by going straight down, or straight across.
    """
    extent = union(map(ink_box, (*before, *after)))
    first = _headed(BEFORE, before, extent, "before")
    second = _headed(AFTER, after, extent, "after")
    if extent.width >= extent.height:
        dx, dy = 0, extent.height + HEADING + styles.H50 + APART
    else:
        dx, dy = extent.width + APART, 0
    return (first, *all_moved((second,), dx, dy))


def _headed(words: str, marks: Sequence[Mark], extent: Box, name: str) -> Group:
    """Marks under their heading, named in the drawing."""
    at = Point(extent.x, extent.y - HEADING)
    heading = letter(at, words, height=styles.H50, weight="bold", ref=Ref(("heading",)))
    return Group((heading, *marks), Ref((name,), title=words))
