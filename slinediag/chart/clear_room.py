"""Room inside a box that is clear of its labels, its rules and the words at its ports.

All places are about the box's own top left corner, in micrometres.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from slinediag.chart.equipment import MARGIN, STATE_ROOM, BoxPlan
from slinediag.chart.lettering import SMALL, width
from slinediag.geometry import Box, Point

CLEARANCES = (3500, 2000, 1100)
"""Between words and whatever else stands in a box: as wished, and where room is short."""
PATH_SPACE = 1500
"""Between a label and a rule, as boxes are drawn."""
DESCENT = 700
"""From the baseline of small lettering to the lowest of its ink."""
RULE = 400
"""Taken for a rule, to either side of its middle."""


def clear_spot(
    plan: BoxPlan,
    size: tuple[int, int],
    taken: Sequence[Box],
    wish: Point,
    *,
    rightmost: bool = True,
    clearances: Sequence[int] = CLEARANCES,
) -> Point | None:
    """The top left corner of room of a width and height clear of all that is taken, as near to a
    wish as may be; None where a box has no such room.

    ``rightmost``: whether it may stand at the right edge, too.
    """
    across, down = size
    left, right = MARGIN, plan.width - MARGIN - across
    if right < left:
        return None
    wished = (wish.x, left, plan.words_x, *((right,) if rightmost else ()))
    xs = sorted({min(max(x, left), right) for x in wished})
    for clear in clearances:
        rooms = [box.grown(clear) for box in taken]
        top, foot = clear, plan.height - clear - down
        found = []
        for x in xs:
            spans = [(r.y - down, r.bottom) for r in rooms if r.x < x + across and x < r.right]
            found += [Point(x, y) for y in _nearest(spans, top, foot, wish.y)]
        if found:
            return min(found, key=lambda p: (_far(p, wish), p.y, p.x))
    return None


def _far(spot: Point, wish: Point) -> int:
    return abs(spot.y - wish.y) + abs(spot.x - wish.x) // 2


def _nearest(spans: Iterable[tuple[int, int]], top: int, foot: int, wish: int) -> Iterator[int]:
    """From each gap that spans leave between a top and a foot the place next to a wish."""
    low = top
    for start, end in sorted([*spans, (foot, foot)]):
        if start >= low:
            yield min(max(wish, low), min(start, foot))
        low = max(low, end)
        if low > foot:
            return


def taken_in(plan: BoxPlan) -> list[Box]:
    """What labels, the room kept for a trial's marks, and rules take; all but words at ports."""
    return [*_labels(plan), *_rules(plan)]


def line_room(x: int, foot: int, across: int) -> Box:
    """What a line of small lettering takes from an x on, above and below its foot."""
    return Box(x, foot - SMALL, across, SMALL + DESCENT)


def _labels(plan: BoxPlan) -> Iterator[Box]:
    half = SMALL // 2
    for slot in plan.inputs:
        yield line_room(0, slot.y + half, plan.words_x)
    for slot in plan.outputs:
        across = MARGIN + width(slot.label)
        yield line_room(plan.width - across, slot.y + half, across)
    for idle in plan.idle_inputs:
        yield line_room(0, idle.y + half, MARGIN + width(idle.words))
    for idle in plan.idle_outputs:
        across = MARGIN + width(idle.words)
        yield line_room(plan.width - across, idle.y + half, across)


def _rules(plan: BoxPlan) -> Iterator[Box]:
    """Level rules from edge to bar; uprights between the outermost places that a trial's marks
    move a bar to."""
    left, right = plan.bar_room
    labels = max((width(slot.label) for slot in plan.outputs), default=0)
    end = min(right, plan.width - MARGIN - labels - PATH_SPACE)
    low = (max(left, plan.words_x - STATE_ROOM - PATH_SPACE) + end) // 2
    high = (max(left, plan.words_x) + end) // 2 + PATH_SPACE
    for group in plan.paths:
        ys = sorted({*group.inputs, *group.outputs})
        if len(ys) > 1:
            yield Box(low - RULE, ys[0], high - low + 2 * RULE, ys[-1] - ys[0])
        yield from _level(group.inputs, 0, high if len(ys) > 1 else plan.width)
        yield from _level(group.outputs, low if len(ys) > 1 else 0, plan.width)


def _level(ys: Iterable[int], left: int, right: int) -> Iterator[Box]:
    for y in ys:
        yield Box(left, y - RULE, right - left, 2 * RULE)
