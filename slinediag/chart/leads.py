"""Where a chart's sheets lead: bookmarks by sheet and bay, what names a sheet or a mate."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from slinediag.address import natural
from slinediag.chart.ranges import number_ranges
from slinediag.drawing.marks import Drawing, Group, Mark
from slinediag.drawing.query import groups_to_sheets, ink_box
from slinediag.geometry import Box
from slinediag.model.facility import Facility

AROUND = 45_000
"""How much is shown around what is led to, micrometres: lines and labels beside it."""


class SheetMark(NamedTuple):
    """A bookmark: how deep it stands, its words, its sheet from 0, and the room to show there."""

    depth: int
    title: str
    sheet: int
    room: Box | None


class SheetLink(NamedTuple):
    """A box on a sheet that leads to another sheet, and the room to show there; sheets from 0."""

    sheet: int
    box: Box
    target: int
    room: Box | None


@dataclass(frozen=True, slots=True)
class Leads:
    """The bookmarks and links of a set of sheets; ``title`` is that of the whole."""

    title: str
    marks: tuple[SheetMark, ...]
    links: tuple[SheetLink, ...]


def chart_leads(facility: Facility, sheets: Sequence[Drawing]) -> Leads:
    """Bookmarks and links of a chart, which may be one sheet or a set."""
    title = sheets[0].title.partition(", sheet ")[0] if sheets else ""
    return Leads(title, tuple(_marks(facility, sheets)), tuple(_links(sheets)))


def _marks(facility: Facility, sheets: Sequence[Drawing]) -> Iterator[SheetMark]:
    """A bookmark a sheet, and below it one for each bay that is drawn there."""
    for number, sheet in enumerate(sheets):
        whole, _, words = sheet.title.partition(", sheet ")
        yield SheetMark(0, f"Sheet {words}" if words else whole, number, None)
        for bay, points in sorted(_bays_on(sheet).items(), key=lambda found: natural(found[0])):
            printed = facility.bays[bay].printed if bay in facility.bays else bay
            first = points[min(points)]
            yield SheetMark(1, f"{printed}  {number_ranges(points)}", number, _shown(first, sheet))


def _bays_on(sheet: Drawing) -> dict[str, dict[int, Box]]:
    """The positions drawn on a sheet, with the room each takes, by bay."""
    found: dict[str, dict[int, Box]] = {}
    for group in _groups(sheet.marks, "point"):
        bay, _, jack = dict(group.ref.data).get("top", "").rpartition(".")
        if bay and jack[1:].isdecimal():
            found.setdefault(bay, {}).setdefault(int(jack[1:]), ink_box(group))
    return found


def _links(sheets: Sequence[Drawing]) -> Iterator[SheetLink]:
    """What names a sheet leads there; the flag of an interrupted line to the flag of its mate."""
    mates = _mates(sheets)
    for number, sheet in enumerate(sheets):
        for group, named in groups_to_sheets(sheet.marks):
            if not 0 < named <= len(sheets):
                continue
            mate = mates.get((named - 1, *_joins(group, number)))
            room = _shown(mate, sheets[named - 1]) if mate is not None else None
            yield SheetLink(number, ink_box(group), named - 1, room)


def _mates(sheets: Sequence[Drawing]) -> Mapping[tuple[int, str, int], Box]:
    """Flags by their own sheet, their net, and the sheet that they name."""
    found: dict[tuple[int, str, int], Box] = {}
    for number, sheet in enumerate(sheets):
        for group in _groups(sheet.marks, "reference"):
            data = dict(group.ref.data)
            if data.get("sheet", "").isdecimal():
                key = (number, data.get("net", ""), int(data["sheet"]) - 1)
                found.setdefault(key, ink_box(group))
    return found


def _joins(group: Group, sheet: int) -> tuple[str, int]:
    """The net of a flag and its own sheet, by which its mate is found; of no flag, nothing's."""
    net = dict(group.ref.data).get("net", "") if "reference" in group.ref.classes else ""
    return net, sheet


def _shown(box: Box, sheet: Drawing) -> Box:
    """What to show around a box, within its sheet."""
    grown = box.grown(AROUND)
    x, y = max(0, grown.x), max(0, grown.y)
    return Box(x, y, min(grown.right, sheet.width) - x, min(grown.bottom, sheet.height) - y)


def _groups(marks: Sequence[Mark], name: str) -> Iterator[Group]:
    for mark in marks:
        if isinstance(mark, Group):
            if name in mark.ref.classes:
                yield mark
            yield from _groups(mark.marks, name)
