"""The finder: every label of the chart alphabetically, with jack, sheet and zone."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from slinediag.address import Jack, jack_order, natural
from slinediag.chart.blocks import FIRST_BASELINE, Block, Item, prose
from slinediag.chart.lettering import LEADING, letter, width, wrap
from slinediag.chart.subject import Position, Subject
from slinediag.drawing.marks import Group, Ref, Weight
from slinediag.geometry import Point
from slinediag.model.labels import jack_label, jack_name

PLACE_ROOM = width("888 W88") + 1500
LISTED = "listed"
"""Where a thing stands that no sheet draws."""


@dataclass(frozen=True, slots=True)
class Place:
    """Where a thing is drawn."""

    sheet: int
    zone: str

    def __str__(self) -> str:
        return f"{self.sheet} {self.zone}"


@dataclass(frozen=True, slots=True)
class Entry:
    """A line of the finder: the label, the jack it stands at, and where that is drawn."""

    label: str
    jack: str
    place: Place | None


def entries(
    subject: Subject, jacks: Mapping[Jack, Place], boxes: Mapping[str, Iterable[Place]]
) -> tuple[Entry, ...]:
    """All labels; of equipment a line for each sheet and zone it is drawn in.

    Of a part of the chart, those of what is drawn and of what its lists tell of.
    """
    facility = subject.facility
    told = {*subject.drawn, *subject.listed}
    listed = {box.id for box in (*subject.equipment, *subject.unwired, *subject.removed)}
    found = [
        Entry(label, jack_name(facility, jack), jacks.get(jack))
        for jack in sorted(facility.jacks, key=jack_order)
        if Position(jack.bay, jack.position) in told and (label := jack_label(facility, jack))
    ]
    for box in (box for box in facility.equipment.values() if box.id in listed):
        places: list[Place | None] = [*boxes.get(box.id, ())] or [None]
        found += [Entry(box.printed, "", place) for place in dict.fromkeys(places)]
    return tuple(sorted(found, key=_order))


def _order(entry: Entry) -> tuple[object, ...]:
    place = (entry.place.sheet, natural(entry.place.zone)) if entry.place else (0, natural(""))
    return (natural(entry.label.casefold()), entry.label, natural(entry.jack), *place)


def finder(found: Iterable[Entry], room: int) -> Block:
    """The finder in a column of this width."""
    lines = tuple(found)
    jack_room = max((width(entry.jack) for entry in lines), default=0) + 2500
    told = prose("Label, jack, sheet and zone. Equipment in bold.", room)
    return Block("finder", "Finder", (told, *(_item(entry, room, jack_room) for entry in lines)))


def _item(entry: Entry, room: int, jack_room: int) -> Item:
    jack_x = room - PLACE_ROOM - jack_room
    weight: Weight = "regular" if entry.jack else "bold"
    words = wrap(entry.label, jack_x - 1500, weight=weight) or [""]
    marks = [
        letter(Point(0, FIRST_BASELINE + number * LEADING), line, weight=weight)
        for number, line in enumerate(words)
    ]
    marks.append(letter(Point(jack_x, FIRST_BASELINE), entry.jack))
    place = str(entry.place) if entry.place else LISTED
    marks.append(letter(Point(room - PLACE_ROOM, FIRST_BASELINE), place))
    data: tuple[tuple[str, str], ...] = (("label", entry.label), ("jack", entry.jack))
    if entry.place:
        data += (("sheet", str(entry.place.sheet)), ("zone", entry.place.zone))
    return Item(
        LEADING * len(words),
        (Group(tuple(marks), Ref(("finder-entry",), data, title=entry.label)),),
    )
