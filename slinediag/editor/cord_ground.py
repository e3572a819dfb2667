"""What cords that are tried keep clear of on the chart on screen, and their ways about it.

Both are found in back rooms: the ground with the chart, packed, since the window only hands it on;
the ways when a trial asks for them. All lies on the sheet, in micrometres.
"""

from __future__ import annotations

import pickle
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from slinediag.address import Jack
from slinediag.chart.cords import Hung, hang_cords
from slinediag.chart.planning import COVERABLE, cord_area, run_boxes
from slinediag.chart.plugs import HungCord
from slinediag.drawing import styles
from slinediag.drawing.marks import Curve, Drawing, Rect
from slinediag.drawing.query import Placed
from slinediag.editor.hanging import hung_groups
from slinediag.geometry import Box, Point, union

APART = 1_500
"""What cords keep from lists, title block and frame."""


@dataclass(frozen=True, slots=True)
class Ground:
    """Where jacks are; the room of lettering and symbols, of equipment and of lines; where cords
    may hang at all, and what hangs there as filed."""

    jacks: Mapping[Jack, Point]
    taken: tuple[Box, ...]
    boxes: tuple[Box, ...]
    lines: tuple[Box, ...]
    area: Box
    hung: tuple[Hung, ...]


def packed_ground(
    drawing: Drawing,
    placed: Sequence[Placed],
    jacks: Mapping[Jack, Point],
    boxes: Iterable[Box],
    cords: Iterable[HungCord],
) -> bytes:
    """The ground of a chart on one sheet; nothing where it has no jacks.

    ``placed``: the leaves of the drawing; ``boxes``: its equipment; ``cords``: as filed.
    """
    ours = [each for each in placed if _within(each, "chart")]
    fixed = [each for each in ours if not _within(each, "hung")]
    if not jacks:
        return b""
    ground = Ground(
        jacks=dict(jacks),
        taken=tuple(each.box for each in fixed if not _may_be_covered(each)),
        boxes=tuple(boxes),
        lines=tuple(run_boxes([each.mark for each in fixed])),
        area=_area(placed, ours, fixed),
        hung=tuple(hung_on(drawing, cords)),
    )
    return pickle.dumps(ground, pickle.HIGHEST_PROTOCOL)


def _within(placed: Placed, kind: str) -> bool:
    return any(kind in ref.classes for ref in placed.refs)


def _may_be_covered(placed: Placed) -> bool:
    """As ``planning.taken_boxes`` has it: lines, and equipment, which is looked at apart."""
    mark = placed.mark
    equipment = isinstance(mark, Rect) and mark.style == styles.EQUIPMENT
    return equipment or (mark.ref is not None and not COVERABLE.isdisjoint(mark.ref.classes))


def _area(placed: Sequence[Placed], ours: Sequence[Placed], fixed: Sequence[Placed]) -> Box:
    """Where cords may hang: as on paper, but off the lists and within the frame as they are."""
    extent = union(each.box for each in ours)
    area = cord_area([each.mark for each in fixed], 1)
    left, top, right, bottom = area.x, area.y, area.right, area.bottom
    for each in placed:
        box = each.box
        if _within(each, "frame"):
            left, top = max(left, box.x + APART), max(top, box.y + APART)
            right, bottom = min(right, box.right - APART), min(bottom, box.bottom - APART)
        elif box.y >= extent.bottom and not _within(each, "chart"):
            bottom = min(bottom, box.y - APART)
        elif box.x >= extent.right and not _within(each, "chart"):
            right = min(right, box.x - APART)
    return Box(left, top, max(0, right - left), max(0, bottom - top))


def ways_of(
    packed: bytes, cords: Sequence[HungCord], signs: Sequence[Box], beside: Sequence[Hung]
) -> tuple[Hung, ...]:
    """Each cord on a way on which it covers nothing.

    ``signs``: what the trial draws besides; ``beside``: cords of it that hang already.
    """
    ground: Ground = pickle.loads(packed)
    taken = (*ground.taken, *signs)
    hanging = (*ground.hung, *beside)
    jacks, boxes, lines = ground.jacks, ground.boxes, ground.lines
    return hang_cords(cords, jacks, taken, boxes, lines, ground.area, hanging)


def hung_on(drawing: Drawing, cords: Iterable[HungCord]) -> Iterator[Hung]:
    """Those of the cords that hang on a drawing, as they hang there."""
    named = {str(cord): cord for cord in cords}
    for name, group in hung_groups(drawing):
        way = next(mark for mark in group.marks if isinstance(mark, Curve))
        tag = next(mark for mark in group.marks if isinstance(mark, Rect))
        if name in named:
            yield Hung(named[name], (way.start, way.pieces), tag.box)
