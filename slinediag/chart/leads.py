"""Where a chart's sheets lead: bookmarks by sheet and bay, what names a sheet or a mate."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from slinediag.address import natural
from slinediag.drawing.marks import Drawing, Group, Mark
from slinediag.drawing.query import groups_to_sheets, ink_box
from slinediag.geometry import Box

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


def chart_leads(sheets: Sequence[Drawing], bays: Mapping[str, str]) -> Leads:
    """Bookmarks and links of a chart, one sheet or a set; ``bays``: what is printed, by id."""
    title = sheets[0].title.partition(", sheet ")[0] if sheets else ""
    return Leads(title, tuple(_marks(sheets, bays)), tuple(_links(sheets)))


def _marks(sheets: Sequence[Drawing], bays: Mapping[str, str]) -> Iterator[SheetMark]:
    """A bookmark a sheet, and below it one for each bay that is drawn there."""
    for number, sheet in enumerate(sheets):
        whole, _, words = sheet.title.partition(", sheet ")
        yield SheetMark(0, f"Sheet {words}" if words else whole, number, None)
        for bay, points in sorted(_bays_on(sheet).items(), key=lambda found: natural(found[0])):
            first = min(points)
            words = f"{bays.get(bay, bay)}  from {first}"
            yield SheetMark(1, words, number, _shown(points[first], sheet))


def _bays_on(sheet: Drawing) -> dict[str, dict[int, Box]]:
    """The positions drawn on a sheet, with the room each takes, by bay."""
    found: dict[str, dict[int, Box]] = {}
    for group in _groups(sheet.marks, "point"):
        bay, _, jack = dict(group.ref.data).get("top", "").rpartition(".")
        if bay and jack[1:].isdecimal():
            found.setdefault(bay, {}).setdefault(int(jack[1:]), ink_box(group))
    return found


def _links(sheets: Sequence[Drawing]) -> Iterator[SheetLink]:
    """What names a sheet leads there: a flag to its mate, or to the jack that its cord is in; what
    says at which jack or equipment, to that."""
    places = _places(sheets)
    called = {sheet.number or at + 1: at for at, sheet in enumerate(sheets)}
    for number, sheet in enumerate(sheets):
        for group, named in groups_to_sheets(sheet.marks):
            if named not in called:
                continue
            target = called[named]
            place = places.get((target, _led_to(group)))
            room = _shown(place, sheets[target]) if place is not None else None
            yield SheetLink(number, ink_box(group), target, room)


def _led_to(group: Group) -> str:
    """The name of an interruption, which its mate bears as well, a jack or equipment; empty of all
    else."""
    data = dict(group.ref.data)
    if "at" in data:
        return data["at"]
    if "reference" in group.ref.classes:
        return data.get("reference", "")
    return data.get("jack", "") if "cord-reference" in group.ref.classes else ""


def _places(sheets: Sequence[Drawing]) -> Mapping[tuple[int, str], Box]:
    """Where flags, jacks and equipment are, by their sheet and the name of the interruption, jack
    or equipment; of equipment in parts each by its number too."""
    found: dict[tuple[int, str], Box] = {}
    for number, sheet in enumerate(sheets):
        for group in _groups(sheet.marks, "reference"):
            found[number, dict(group.ref.data).get("reference", "")] = ink_box(group)
        for group in _groups(sheet.marks, "equipment"):
            data, box = dict(group.ref.data), ink_box(group)
            name = data.get("id", "")
            found.setdefault((number, name), box)
            found[number, f"{name}:{data.get('part', '').split(' ')[0]}"] = box
        for group in _groups(sheet.marks, "point"):
            data, box = dict(group.ref.data), ink_box(group)
            for key in ("top", "bottom"):
                found[number, data.get(key, "")] = box
            found.update(((number, name), box) for name in data.get("members", "").split())
    return {key: box for key, box in found.items() if key[1]}


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
