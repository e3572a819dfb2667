"""The legend of a set: only what its chart shows, so that it has room on every sheet."""

from __future__ import annotations

from collections.abc import Iterator

from slinediag.chart import legend as full
from slinediag.chart.blocks import Block, Item
from slinediag.chart.planning import Plan
from slinediag.chart.references import draw_flag
from slinediag.chart.subject import swapped_ports
from slinediag.drawing import styles
from slinediag.drawing.marks import Line
from slinediag.geometry import Point
from slinediag.tracing.values import Answer

HALF_FLAG = 3_000


def brief_legend(plan: Plan, answer: Answer | None, room: int, *, alone: bool = False) -> Block:
    """The symbols that a chart holds, or may hold where its lines run back, in a column's width.

    ``alone``: on one sheet, where no line leads to another.
    """
    items = [
        *_normals(plan, room),
        *_references(plan, room, alone=alone),
        *_lines(plan, room),
        *((full.slash_item(room),) if plan.folds.nodes else ()),
        *_plugs(plan, room),
        *(full.trial_items(room) if answer and not answer.trial.empty else ()),
    ]
    return Block("legend", "Legend", tuple(items))


def _normals(plan: Plan, room: int) -> Iterator[Item]:
    kinds = {row.normal.kind for point in plan.points for row in point.rows if row.normal}
    kinds |= {"none" for point in plan.points for row in point.rows if not row.normal}
    for (kind, _), item in zip(full.NORMALS, full.normal_items(room), strict=True):
        if kind in kinds:
            yield item


def _references(plan: Plan, room: int, *, alone: bool) -> Iterator[Item]:
    at = Point(full.LEFT, full.MIDDLE + 600)
    foot = at.moved(HALF_FLAG, 0)
    line = Line(((at, foot),), styles.LINE)
    if not alone:
        marks = (line, *draw_flag(foot, "3 C4"))
        yield full.legend_item(marks, "goes on at sheet 3, zone C4", room, least=6_600)
    if plan.excerpt is not None:
        marks = (line, *draw_flag(foot, "PB2 T3"))
        yield full.legend_item(marks, "goes on there, not drawn here", room, least=6_600)


def _lines(plan: Plan, room: int) -> Iterator[Item]:
    rows = [row for point in plan.points for row in point.rows]
    at_ports = swapped_ports(plan.subject.facility)
    swapped = any(spot.swapped for row in rows for spot in (row.left, row.right) if spot)
    swapped = swapped or any(
        box.equipment.id == p.equipment for box in plan.boxes for p in at_ports
    )
    priority = any(slot.priority for box in plan.boxes for slot in box.inputs)
    wanted = (True, True, swapped, priority, bool(plan.notes.words))
    for shown, item in zip(wanted, full.line_items(room), strict=True):
        if shown:
            yield item


def _plugs(plan: Plan, room: int) -> Iterator[Item]:
    plugs = plan.subject.plugs
    normals = [row.normal for point in plan.points for row in point.rows if row.normal]
    wanted = (
        any(cord.standing == "standing" for cord in plugs.cords),
        any(dummy.standing == "standing" for dummy in plugs.dummies),
        any(plugs.breaking(normal) for normal in normals),
        any(plugs.tapping(normal) for normal in normals),
    )
    for shown, item in zip(wanted, full.plug_items(room), strict=True):
        if shown:
            yield item
