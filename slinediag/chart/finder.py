"""The finder: every label of the chart alphabetically, with jack, sheet and zone."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from slinediag.address import Jack, jack_order, natural
from slinediag.chart.blocks import FIRST_BASELINE, Block, Item
from slinediag.chart.lettering import LEADING, letter, width, wrap
from slinediag.chart.moving import all_moved
from slinediag.chart.pointers import Pointer, pointer_at
from slinediag.chart.subject import Position, Subject
from slinediag.drawing import styles
from slinediag.drawing.marks import Group, Line, Mark, Ref, Text
from slinediag.geometry import Point
from slinediag.model.equipment import Equipment
from slinediag.model.labels import jack_label, jack_name

LISTED = "listed"
"""Where a jack stands that no sheet draws."""
NOT_DRAWN = "see Equipment not drawn"
"""Where equipment stands that no sheet draws: by the heading of its list."""
HEADS = ("Label", "Jack", "Sheet and zone")
SHORT_HEAD = "Sheet"
RULED = 1_000
"""Below a rule, before the letters."""
GAP = 1_500
"""On either side of a rule between columns."""
NARROWEST = 0.7
"""Share of its width to which a label may be squeezed to stand beside its jack: its capitals are
still 0.65 of their height wide, where human-factors guides want three fifths (MIL-STD-1472 and
NUREG-0700, from memory)."""


_PLAIN = re.compile(r"[\W_]+")


@dataclass(frozen=True, slots=True)
class Place:
    """Where a thing is drawn."""

    sheet: int
    zone: str

    def __str__(self) -> str:
        return f"{self.sheet} {self.zone}"


@dataclass(frozen=True, slots=True)
class Entry:
    """A line of the finder: the label, the jack that bears it, and where that is drawn.

    Of equipment ``jack`` is empty, and it is drawn in as many places as it has parts. ``at``: the
    id of jack or equipment; ``name``: what equipment is called, where its label says less.
    """

    label: str
    jack: str
    places: tuple[Place, ...]
    at: str
    name: str = ""


def entries(
    subject: Subject, jacks: Mapping[Jack, Place], boxes: Mapping[str, Iterable[Place]]
) -> tuple[Entry, ...]:
    """All labels; equipment with every sheet and zone that it is drawn in.

    Of a part of the chart, those of what is drawn and of what its lists tell of.
    """
    facility = subject.facility
    told = {*subject.drawn, *subject.listed}
    listed = {box.id for box in (*subject.equipment, *subject.unwired, *subject.removed)}
    found = [
        Entry(label, jack_name(facility, jack), _only(jacks.get(jack)), str(jack))
        for jack in sorted(facility.jacks, key=jack_order)
        if Position(jack.bay, jack.position) in told and (label := jack_label(facility, jack))
    ]
    found += [
        Entry(
            box.printed,
            "",
            tuple(sorted({*boxes.get(box.id, ())}, key=_place_order)),
            box.id,
            _name(box),
        )
        for box in facility.equipment.values()
        if box.id in listed
    ]
    return tuple(sorted(found, key=_order))


def _name(box: Equipment) -> str:
    """The name of equipment where it is more than its label, by letters and numbers."""
    label, name = (_PLAIN.sub("", words.casefold()) for words in (box.printed, box.name))
    return "" if name == label else box.name


def _only(place: Place | None) -> tuple[Place, ...]:
    return (place,) if place is not None else ()


def _place_order(place: Place) -> tuple[object, ...]:
    return place.sheet, natural(place.zone)


def _order(entry: Entry) -> tuple[object, ...]:
    first = _place_order(entry.places[0]) if entry.places else (0, natural(""))
    return (natural(entry.label.casefold()), entry.label, natural(entry.jack), first, entry.at)


@dataclass(frozen=True, slots=True)
class _Columns:
    """Where jack and place stand in a column so wide, and the rules before them."""

    room: int
    jack: int
    place: int

    @classmethod
    def of(cls, found: Sequence[Entry], room: int) -> _Columns:
        """Places as narrow as they let them be; jacks so that entries take few lines, and few are
        squeezed."""
        places = [width(str(place)) for entry in found if entry.jack for place in entry.places]
        heads = [width(head, weight="bold") for head in (HEADS[1], SHORT_HEAD)]
        place = room - max(*places, width(LISTED), heads[1])
        wide = [(width(entry.label), width(entry.jack)) for entry in found if entry.jack]
        ways = [
            cls(room, place - 2 * GAP - jack, place)
            for jack in sorted({heads[0], *(jack for _, jack in wide if jack > heads[0])})
        ]
        return min(ways, key=lambda way: sum(way.cost(*pair) for pair in wide))

    def cost(self, label: int, jack: int) -> int:
        """What an entry of these widths costs: most one that takes a line more, a tenth of that one
        that is squeezed."""
        if not self.beside(label, jack):
            return 10
        return int(label > self.label)

    @property
    def label(self) -> int:
        """How wide a label beside its jack may be."""
        return self.jack - 2 * GAP

    def beside(self, label: int, jack: int) -> bool:
        """Whether a label and a jack of these widths fit side by side, the label squeezed if need
        be."""
        fits = label * NARROWEST <= self.label
        return fits and jack <= self.place - 2 * GAP - self.jack

    @property
    def before_place(self) -> int:
        """How wide a jack on a line without its label may be."""
        return self.place - 2 * GAP

    def rules(self, top: int, foot: int, jack: int = 0) -> Line:
        """The rules between the columns down an item, or a part of it; ``jack``: how wide that is
        there, if it may be too wide for its column."""
        fits = jack <= self.before_place - self.jack
        xs = (self.jack - GAP, self.place - GAP) if fits else (self.place - GAP,)
        runs = tuple((Point(x, top), Point(x, foot)) for x in xs)
        return Line(runs, styles.PATH_RULE)


def finder(found: Iterable[Entry], room: int) -> Block:
    """The finder in a column of this width; a rule where the first letter changes."""
    lines = tuple(found)
    columns = _Columns.of(lines, room)
    items = [_heading(columns)] if lines else []
    changes = [True, *(one.label[:1] != other.label[:1] for one, other in pairwise(lines))]
    made = [_item(entry, columns, ruled=new) for entry, new in zip(lines, changes, strict=False)]
    for number, item in enumerate(made):
        # Equipment reads as a heading over its jacks: it does not end a column without one of them.
        heads = number + 1 < len(made) and not lines[number].jack and lines[number + 1].jack
        items.append(replace(item, group=item.height + made[number + 1].height) if heads else item)
    return Block("finder", "Finder", tuple(items))


def _heading(columns: _Columns) -> Item:
    wide = columns.room - columns.place >= width(HEADS[2], weight="bold")
    heads = (HEADS[0], HEADS[1], HEADS[2] if wide else SHORT_HEAD)
    words = [
        letter(Point(x, FIRST_BASELINE), head, weight="bold")
        for x, head in zip((0, columns.jack, columns.place), heads, strict=True)
    ]
    return Item(LEADING + 800, (*words, columns.rules(0, LEADING + 800)))


def _item(entry: Entry, columns: _Columns, *, ruled: bool) -> Item:
    marks, lines = _of_jack(entry, columns) if entry.jack else _of_box(entry, columns)
    height, down = LEADING * lines, RULED if ruled else 0
    beside: tuple[Mark, ...] = ()
    if ruled:
        beside = (Line(((Point(0, 0), Point(columns.room, 0)),), styles.TABLE_RULE),)
    data: tuple[tuple[str, str], ...] = (("label", entry.label), ("jack", entry.jack))
    if entry.jack:
        # No rule through a label that is too wide to stand beside its jack.
        top = height - LEADING if lines > 1 else 0
        beside = (*beside, columns.rules(top, height + down, width(entry.jack)))
        for place in entry.places:
            data += (("at", entry.at), ("sheet", str(place.sheet)), ("zone", place.zone))
    ref = Ref(("finder-entry",), data, title=entry.label)
    return Item(height + down, (*beside, Group(all_moved(marks, 0, down), ref)))


def _of_jack(entry: Entry, columns: _Columns) -> tuple[list[Mark], int]:
    """The label, its jack and where that is; below the label where it is too wide to be beside."""
    beside = columns.beside(width(entry.label), width(entry.jack))
    labels = [entry.label] if beside else wrap(entry.label, columns.room)
    foot = FIRST_BASELINE + (0 if beside else len(labels) * LEADING)
    room = columns.label if beside else columns.room
    marks: list[Mark] = [
        _squeezed(Point(0, FIRST_BASELINE + number * LEADING), line, room)
        for number, line in enumerate(labels)
    ]
    jacks = [entry.jack]
    if width(entry.jack) * NARROWEST > columns.before_place:
        jacks = wrap(entry.jack, columns.before_place)
    for number, line in enumerate(jacks):
        words = _squeezed(Point(0, foot + number * LEADING), line, columns.before_place)
        x = min(columns.jack, columns.before_place - words.width)
        marks.append(replace(words, at=Point(x, words.at.y)))
    place = str(entry.places[0]) if entry.places else LISTED
    marks.append(letter(Point(columns.place, foot + (len(jacks) - 1) * LEADING), place))
    return marks, len(labels) + len(jacks) - beside


def _squeezed(foot: Point, words: str, room: int) -> Text:
    """Words no wider than a room."""
    found = letter(foot, words)
    return replace(found, width=min(found.width, room))


def _of_box(entry: Entry, columns: _Columns) -> tuple[list[Mark], int]:
    """The label in bold and behind it all places, each of which leads there."""
    labels = wrap(entry.label, columns.room, weight="bold") or [""]
    marks: list[Mark] = [
        letter(Point(0, FIRST_BASELINE + n * LEADING), line, weight="bold")
        for n, line in enumerate(labels)
    ]
    x = width(labels[-1], weight="bold") + 2 * GAP
    y = FIRST_BASELINE + (len(labels) - 1) * LEADING
    for one in _pointers(entry):
        across = width(one.words)
        if x + across > columns.room:
            x, y = 2 * GAP, y + LEADING
        marks.append(pointer_at(Point(x, y), one))
        x += across + GAP
    if entry.name and x + GAP + width(entry.name) <= columns.room:
        marks.append(letter(Point(x + GAP, y), entry.name, colour=styles.TEXT_GREY))
    return marks, (y - FIRST_BASELINE) // LEADING + 1


def _pointers(entry: Entry) -> Iterator[Pointer]:
    if not entry.places:
        yield Pointer(NOT_DRAWN)
    for number, place in enumerate(entry.places, 1):
        comma = "," if number < len(entry.places) else ""
        yield Pointer(f"{place}{comma}", place.sheet, at=entry.at)
