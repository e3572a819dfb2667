"""Prints in equipment in parts where its ways go on: sheet and zone of the ports of other parts.

Lengths in micrometres.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Sequence, Set
from dataclasses import dataclass, replace
from itertools import chain
from typing import NamedTuple

from slinediag.address import PortAddress
from slinediag.chart.clear_room import clear_spot, line_room, taken_in
from slinediag.chart.equipment import MARGIN, BoxPlan
from slinediag.chart.fars import (
    WIDEST_SHEET,
    WORD_GAP,
    Line,
    Onward,
    cites_list,
    line_width,
    lines_at,
)
from slinediag.chart.further import draw_shared, place_shared, shared_ways
from slinediag.chart.lettering import LEADING, SMALL, letter, width
from slinediag.chart.paths import Slot
from slinediag.chart.points import PITCH
from slinediag.chart.walls import draw_wall
from slinediag.drawing.marks import Group, Mark, Ref, Text
from slinediag.drawing.query import text_box
from slinediag.drawing.styles import TEXT_GREY
from slinediag.geometry import Box, Point

ABOVE, BELOW = -1000, 3500
"""From the level of a row to the baselines of its two lines, which clear a rule between them."""
APART = 1500
"""How much more room, as wished, is left between what rows share and what others share."""
SHEET = " sheet"
"""The noun at the end of words that name a list."""
NUMBER = re.compile(r"[0-9]+", re.ASCII)


class Place(NamedTuple):
    """Where a port is drawn; ``sheet`` is 0 on a chart of one sheet, ``part`` the node of its
    box."""

    sheet: int
    zone: str
    part: str = ""


@dataclass(frozen=True, slots=True)
class Whereabouts:
    """Where ports are drawn; on which sheets their ways are listed, or in which zone where the
    chart is ``alone`` on one sheet, empty for none; and which equipment passes nothing on."""

    place: Callable[[PortAddress], Place | None]
    listed: Callable[[Iterable[PortAddress]], str]
    failed: Set[str] = frozenset()
    alone: bool = False


WIDEST = Whereabouts(lambda _: Place(88, "W8"), lambda _: WIDEST_SHEET)
"""Places as wide as any, while it is not known where ports are drawn."""


def draw_onward(plan: BoxPlan, at: Box, where: Whereabouts) -> tuple[Group, ...]:
    """The words at the ports of a part, and the wall that they leave room for; none where it has
    failed."""
    if plan.equipment.id in where.failed:
        return ()
    if plan.cited and not plan.onward:
        return _where_listed(plan, at, where)
    if not plan.onward:
        return ()
    brief, further = _further(plan, at, where)
    found = list(_at_ports(plan, at, where, brief))
    note = _note(plan, at, [*found, *further], where, brief)
    if note is None and brief:
        further, found = [], list(_at_ports(plan, at, where))
        note = _note(plan, at, found, where)
    words = (*found, *further, *(note or ()))
    return (*words, *draw_wall(plan, at, words))


def _further(
    plan: BoxPlan, at: Box, where: Whereabouts
) -> tuple[frozenset[PortAddress], list[Group]]:
    """What rows have in common, as far as it has room; and the rows that need not say it then."""

    def called(port: PortAddress) -> str:
        place = where.place(port)
        return (str(place.sheet) if place.sheet else place.zone) if place else ""

    brief: frozenset[PortAddress] = frozenset()
    made: list[Group] = []
    rooms: list[Box] = []
    for shared in shared_ways(plan, called) if where is not WIDEST else ():
        fewer = brief | {*shared.rows}
        taken = _taken(plan, at, _at_ports(plan, at, where, fewer))
        wide = [room.grown(APART) for room in rooms]
        found = place_shared(plan, shared, taken + wide) or place_shared(
            plan, shared, taken + rooms
        )
        if found is not None:
            room, lines = found
            rooms.append(room)
            corner = Point(at.x + room.x, at.y + room.y)
            made.append(draw_shared(plan.equipment.id, corner, lines))
            brief = fewer
    return brief, made


def _taken(plan: BoxPlan, at: Box, found: Iterable[Group]) -> list[Box]:
    """What is taken in a box by all that is drawn, and by words that are drawn on top."""
    return taken_in(plan) + [box.moved(-at.x, -at.y) for box in _text_boxes(found)]


def _text_boxes(found: Iterable[Mark]) -> Iterator[Box]:
    for mark in found:
        if isinstance(mark, Group):
            yield from _text_boxes(mark.marks)
        elif isinstance(mark, Text):
            yield text_box(mark)


def with_room_for_note(plan: BoxPlan) -> BoxPlan:
    """The part as it is, or a row higher where nothing else leaves room to say where its ways are
    listed."""
    if not plan.onward or not cites_list(plan.onward):
        return plan
    at = Box(0, 0, plan.width, plan.height)
    taken = _taken(plan, at, _at_ports(plan, at, WIDEST))
    if _note_spot(plan, taken, WIDEST_SHEET) is not None:
        return plan
    return replace(plan, height=plan.height + PITCH)


def _at_ports(
    plan: BoxPlan, at: Box, where: Whereabouts, brief: Set[PortAddress] = frozenset()
) -> Iterator[Group]:
    """The words at all rows; of those that are to be ``brief`` only where the first way leads."""
    rows = {row.port: row for row in plan.onward}
    for slot in plan.slots:
        if slot.port in rows:
            lines = lines_at(rows[slot.port], alone=where.alone)
            lines = lines[:1] if slot.port in brief else lines
            yield from _at_port(plan, slot, rows[slot.port], lines, at, where)


def _at_port(
    plan: BoxPlan, slot: Slot, row: Onward, lines: Sequence[Line], at: Box, where: Whereabouts
) -> Iterator[Group]:
    """The lines of a row, above and below its level; a single one on it where no rule runs."""
    ruled = any(slot.y in (*group.inputs, *group.outputs) for group in plan.paths)
    level = at.y + slot.y
    feet = (level + ABOVE, level + BELOW)
    if len(lines) == 1 and not ruled:
        feet = (level + SMALL // 2, level)
    inward = slot.port.side == "in"
    for (words, far, listed), foot in zip(lines, feet, strict=False):
        named = where.place(far.port) if far and far.port not in row.own else None
        place = where.listed(slot.ports) if listed else _called(named)
        if listed:
            room = plan.width - MARGIN - plan.words_x if inward and not plan.outputs else 0
            words, place = _fitting(words, place, room)
        across = line_width(words, place)
        x = at.x + plan.words_x if inward else at.right - plan.words_back - across
        ref = _ref(slot, words, place, named, listed=listed)
        yield Group(tuple(_line(Point(x, foot), words, place)), ref)


def _called(place: Place | None) -> str:
    """Sheet and zone, or of a chart on one sheet the zone."""
    if place is None:
        return ""
    return f"{place.sheet} {place.zone}" if place.sheet else place.zone


def _fitting(words: str, sheets: str, room: int) -> tuple[str, str]:
    """Words that end in a noun for it, and all sheets, as far as they have room; without the noun
    where it would take the room of a sheet, and then the first sheet."""
    first = NUMBER.match(sheets)
    if first is None or first[0] == sheets:
        return words, sheets
    stem = words.removesuffix(SHEET)
    room = max(room, line_width(words, WIDEST_SHEET))
    tries = ((f"{stem}{SHEET}s", sheets), (stem, sheets))
    fitting = (each for each in tries if line_width(*each) <= room)
    return next(fitting, (words, first[0]))


def _leads(sheets: str) -> tuple[tuple[str, str], ...]:
    """The sheet that words lead to, of several the first; none where they name zones."""
    first = NUMBER.match(sheets)
    return (("sheet", first[0]),) if first else ()


def _ref(slot: Slot, words: str, place: str, named: Place | None, *, listed: bool) -> Ref:
    """What a line stands for; it names the sheet that it leads to, and on one sheet the part."""
    data: tuple[tuple[str, str], ...] = (("port", str(slot.port)),)
    if listed:
        data += (("ports", " ".join(map(str, slot.ports))),)
    if named and named.part:
        data += (("at", named.part), ("sheet", str(named.sheet or 1)))
    else:
        data += _leads(place)
    title = f"{slot.label or slot.port.port}: {words} {place}".rstrip()
    return Ref(("onward", "listed") if listed else ("onward",), data, title=title)


def _line(at: Point, words: str, place: str) -> Iterator[Mark]:
    if words:
        yield letter(at, words, colour=TEXT_GREY)
        at = at.moved(width(words) + WORD_GAP, 0)
    if place:
        yield letter(at, place, weight="bold")


def _note(
    plan: BoxPlan,
    at: Box,
    found: Sequence[Group],
    where: Whereabouts,
    brief: Set[PortAddress] = frozenset(),
) -> tuple[Group, ...] | None:
    """Where the ways are listed, where no row says so though not all are told: nothing where it
    need not be said, None where it should be and has no room."""
    if not cites_list([row for row in plan.onward if row.port not in brief]):
        return ()
    untold = {row.port for row in plan.onward if row.untold and row.port not in brief}
    ports = [port for slot in plan.slots if slot.port in untold for port in slot.ports]
    told = where.listed(ports)
    if not told:
        return ()
    taken = _taken(plan, at, found)
    first = NUMBER.match(told)
    place = _note_spot(plan, taken, told) or _note_spot(plan, taken, first[0] if first else told)
    if place is None:
        return None
    spot, lines = place
    corner = Point(at.x + spot.x, at.y + spot.y)
    return (Group(_set_down(lines, corner), _listed_ref(ports, told, where)),)


def _set_down(lines: Iterable[tuple[str, str]], corner: Point) -> tuple[Mark, ...]:
    """The lines of a note from its top left corner on."""
    return tuple(
        mark
        for number, (words, sheets) in enumerate(lines)
        for mark in _line(corner.moved(0, SMALL + number * LEADING), words, sheets)
    )


_Lines = tuple[tuple[str, str], ...]


def _note_spot(plan: BoxPlan, taken: Sequence[Box], told: str) -> tuple[Point, _Lines] | None:
    """Where the note has room clear of all that is taken, and its lines."""
    labels = max(chain((width(s.label) for s in plan.outputs), plan.idle_widths), default=0)
    right = min(plan.width - 3 * MARGIN - labels, plan.bar_room[1] - MARGIN)
    for lines in _note_lines(told):
        across = max(line_width(*line) for line in lines)
        down = line_room(0, 0, 0).height + LEADING * (len(lines) - 1)
        wish = Point(right - across, (plan.height - down) // 2)
        spot = clear_spot(plan, (across, down), taken, wish)
        if spot is not None:
            return spot, lines
    return None


def _note_lines(told: str) -> Iterator[_Lines]:
    """The note in two lines, in one, and with each of several sheets in its own; ``told``: sheets,
    or a zone."""
    noun = "" if NUMBER.match(told) is None else "sheet" if told.isdecimal() else "sheets"
    yield ("paths:", ""), (noun, told)
    yield ((f"paths: {noun}".rstrip(), told),)
    if noun == "sheets":
        yield ("paths:", ""), ("", told)
        first, *rest = told.replace(", ", ",\n").split("\n")
        yield ("paths:", ""), (noun, first), *(("", sheet) for sheet in rest)


def _listed_ref(ports: Iterable[PortAddress], told: str, where: Whereabouts) -> Ref:
    """What a note on listed paths of ports stands for; it leads to the sheet with the list."""
    title = f"Paths listed {'in zone' if where.alone else 'on sheet'} {told}"
    data = (("ports", " ".join(map(str, ports))), *_leads(told))
    return Ref(("onward", "listed"), data, title=title)


def _where_listed(plan: BoxPlan, at: Box, where: Whereabouts) -> tuple[Group, ...]:
    """Where the paths of a box are listed, between its inputs and its outputs; nothing where none
    leads to a port of it."""
    ports = [port for slot in plan.slots for port in slot.ports]
    told = where.listed(ports)
    if not told:
        return ()
    lines, *_, stacked = _note_lines(told)
    if NUMBER.match(told) and not told.isdecimal():
        lines = stacked if len(stacked) * LEADING <= plan.height else lines
    labels = max(chain((width(s.label) for s in plan.outputs), plan.idle_widths), default=0)
    x = at.right - 3 * MARGIN - labels - max(line_width(*line) for line in lines)
    y = at.y + (plan.height - SMALL - LEADING * (len(lines) - 1)) // 2
    return (Group(_set_down(lines, Point(x, y)), _listed_ref(ports, told, where)),)
