"""The wall in a box between inputs and outputs that no way joins, so that no row is read as one.

Lengths in micrometres.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from slinediag.chart.equipment import MARGIN, BoxPlan
from slinediag.chart.lettering import width
from slinediag.drawing import styles
from slinediag.drawing.marks import Group, Line, Mark, Ref, Text
from slinediag.drawing.query import text_box
from slinediag.geometry import Box, Point, Run

CLEAR = 1200
"""Left free about words."""
LEAST = 2000
"""Shorter pieces are not drawn."""
TITLE = "Nothing passes from these inputs to these outputs"


def draw_wall(plan: BoxPlan, at: Box, inside: Iterable[Mark]) -> tuple[Group, ...]:
    """The wall of a box, where it has one, interrupted where words inside lie across it."""
    if not plan.walled:
        return ()
    words = [box.moved(-at.x, -at.y).grown(CLEAR) for box in _text_boxes(inside)]
    left, right = _room(plan)
    middle = (left + right) // 2
    beside = {x for box in words for x in (box.x, box.right) if left <= x <= right}
    x = min({middle, *beside}, key=lambda x: (_crossed(words, x), abs(x - middle), x))
    runs: list[Run] = []
    top = 0
    spans = sorted((box.y, box.bottom) for box in words if box.x < x < box.right)
    for start, end in (*spans, (plan.height, plan.height)):
        if start - top >= LEAST:
            runs.append((Point(at.x + x, at.y + top), Point(at.x + x, at.y + start)))
        top = max(top, end)
    if not runs:
        return ()
    return (
        Group((Line(tuple(runs), styles.LINE, Ref(("wall",))),), Ref(("nothing",), title=TITLE)),
    )


def _crossed(words: Iterable[Box], x: int) -> int:
    """How much of a wall words lie across."""
    return sum(box.height for box in words if box.x < x < box.right)


def _room(plan: BoxPlan) -> tuple[int, int]:
    """How far from the left edge the wall may stand: between labels, and the words at ports."""
    left, right = plan.bar_room
    labels = [width(slot.label) for slot in plan.outputs]
    idle = [MARGIN + width(words.words) for words in plan.idle_inputs]
    left = max(left, plan.words_x, *idle)
    return left, min(right, plan.width - 2 * MARGIN - max(*labels, *plan.idle_widths, 0))


def _text_boxes(marks: Iterable[Mark]) -> Iterator[Box]:
    for mark in marks:
        if isinstance(mark, Group):
            yield from _text_boxes(mark.marks)
        elif isinstance(mark, Text):
            yield text_box(mark)
