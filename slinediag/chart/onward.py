"""Prints in equipment in parts where its ways go on: sheet and zone of the ports of other parts.

Lengths in micrometres.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Set
from dataclasses import dataclass
from itertools import chain
from typing import NamedTuple

from slinediag.address import PortAddress
from slinediag.chart.equipment import MARGIN, BoxPlan, listed_words
from slinediag.chart.fars import (
    WIDEST_SHEET,
    WORD_GAP,
    Onward,
    cites_list,
    line_width,
    lines_at,
)
from slinediag.chart.lettering import LEADING, SMALL, letter, width
from slinediag.chart.paths import Slot
from slinediag.drawing.marks import Group, Mark, Ref
from slinediag.drawing.styles import TEXT_GREY
from slinediag.geometry import Box, Point
from slinediag.model.equipment import Equipment

ABOVE, BELOW = -1000, 3500
"""From the level of a row to the baselines of its two lines, which clear a rule between them."""


class Place(NamedTuple):
    """Where a port is drawn; ``sheet`` is 0 on a chart of one sheet, ``part`` the node of its
    box."""

    sheet: int
    zone: str
    part: str = ""


@dataclass(frozen=True, slots=True)
class Whereabouts:
    """Where ports are drawn; on which sheet the ways through a piece of equipment are listed, or in
    which zone where the chart is ``alone`` on one sheet, empty for none; and which equipment passes
    nothing on."""

    place: Callable[[PortAddress], Place | None]
    listed: Callable[[Equipment], str]
    failed: Set[str] = frozenset()
    alone: bool = False


def draw_onward(plan: BoxPlan, at: Box, where: Whereabouts) -> tuple[Group, ...]:
    """The words at the ports of a part; none where it has failed."""
    if plan.equipment.id in where.failed:
        return ()
    if plan.cited and not plan.onward:
        return (_where_listed(plan, at, where),) if where.alone else ()
    if not plan.onward:
        return ()
    rows = {row.port: row for row in plan.onward}
    found = [
        group
        for slot in plan.slots
        if slot.port in rows
        for group in _at_port(plan, slot, rows[slot.port], at, where)
    ]
    return (*found, *_note(plan, at, where))


def _at_port(
    plan: BoxPlan, slot: Slot, row: Onward, at: Box, where: Whereabouts
) -> Iterator[Group]:
    """The lines of a row, above and below its level; a single one on it where no rule runs."""
    lines = lines_at(row, alone=where.alone)
    own = {s.port for s in plan.slots}
    ruled = any(slot.y in (*group.inputs, *group.outputs) for group in plan.paths)
    level = at.y + slot.y
    feet = (level + ABOVE, level + BELOW)
    if len(lines) == 1 and not ruled:
        feet = (level + SMALL // 2, level)
    for (words, far), foot in zip(lines, feet, strict=False):
        named = where.place(far.port) if far and far.port not in own else None
        place = _called(named) if far else where.listed(plan.equipment)
        across = line_width(words, place)
        inward = slot.port.side == "in"
        x = at.x + plan.words_x if inward else at.right - plan.words_back - across
        ref = _ref(slot, words, place, named, listed=far is None)
        yield Group(tuple(_line(Point(x, foot), words, place)), ref)


def _called(place: Place | None) -> str:
    """Sheet and zone, or of a chart on one sheet the zone."""
    if place is None:
        return ""
    return f"{place.sheet} {place.zone}" if place.sheet else place.zone


def _ref(slot: Slot, words: str, place: str, named: Place | None, *, listed: bool) -> Ref:
    """What a line stands for; it names the sheet that it leads to, and on one sheet the part."""
    data = [("port", str(slot.port))]
    if named and named.part:
        data += [("at", named.part), ("sheet", str(named.sheet or 1))]
    elif place.split(" ")[0].isdecimal():
        data.append(("sheet", place.split(" ")[0]))
    title = f"{slot.label or slot.port.port}: {words} {place}".rstrip()
    return Ref(("onward", "listed") if listed else ("onward",), tuple(data), title=title)


def _line(at: Point, words: str, place: str) -> Iterator[Mark]:
    yield letter(at, words, colour=TEXT_GREY)
    if place:
        yield letter(at.moved(width(words) + WORD_GAP, 0), place, weight="bold")


def _note_level(plan: BoxPlan, height: int) -> int:
    """The middle of a box, or of the widest room that rules and words at ports leave there."""
    spans = [(min(ys), max(ys)) for g in plan.paths for ys in [(*g.inputs, *g.outputs)]]
    middle = height // 2
    near = 2 * LEADING
    if not any(low - near < middle < high + near for low, high in spans):
        return middle
    told = {row.port for row in plan.onward}
    spans += [(slot.y, slot.y) for slot in plan.slots if slot.port in told]
    best, foot = (0, middle), 0
    for low, high in sorted([*spans, (height, height)]):
        best = max(best, (low - foot, (low + foot) // 2))
        foot = max(foot, high)
    return best[1]


def _note(plan: BoxPlan, at: Box, where: Whereabouts) -> Iterator[Group]:
    """On which sheet the ways are listed, where no row says so though not all are told."""
    if not cites_list(plan.onward, listed=plan.style == "listed"):
        return
    told = where.listed(plan.equipment)
    labels = max(chain((width(s.label) for s in plan.outputs), plan.idle_widths), default=0)
    right = min(plan.width - 3 * MARGIN - labels, plan.bar_room[1] - MARGIN)
    x = at.x + right - listed_words(WIDEST_SHEET)
    y = at.y + _note_level(plan, at.height) + SMALL // 2
    first = letter(Point(x, y - LEADING // 2), "paths:", colour=TEXT_GREY)
    below = Point(x, y + LEADING // 2)
    if where.alone:
        yield Group((first, letter(below, told, weight="bold")), _listed_ref(told, where))
    else:
        yield Group((first, *_line(below, "sheet", told)), _listed_ref(told, where))


def _listed_ref(told: str, where: Whereabouts) -> Ref:
    """What a note on listed paths stands for; it leads to the sheet with the list."""
    data = (("sheet", told),) if told.isdecimal() else ()
    title = f"Paths listed {'in zone' if where.alone else 'on sheet'} {told}"
    return Ref(("onward", "listed"), data, title=title)


def _where_listed(plan: BoxPlan, at: Box, where: Whereabouts) -> Group:
    """Where the paths of a box are listed, between its inputs and its outputs."""
    told = where.listed(plan.equipment)
    labels = max(chain((width(s.label) for s in plan.outputs), plan.idle_widths), default=0)
    foot = Point(at.right - 3 * MARGIN - labels, at.y + plan.height // 2 + SMALL // 2)
    marks = (
        letter(foot.moved(0, -LEADING // 2), "paths:", anchor="end", colour=TEXT_GREY),
        letter(foot.moved(0, LEADING // 2), told, anchor="end", weight="bold"),
    )
    return Group(marks, _listed_ref(told, where))
