"""The finder of a chart on one sheet: equipment by name and positions bay by bay, with their zones.

Lengths in micrometres.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from slinediag.address import Jack, PortAddress, natural
from slinediag.chart.bay_grid import NOT_DRAWN, Run, grid, joined, state_at
from slinediag.chart.blocks import FIRST_BASELINE, Block, Item, prose
from slinediag.chart.equipment import HEAD_GAP, BoxPlan
from slinediag.chart.lettering import LABEL, LEADING, letter, width, wrap
from slinediag.chart.onward import Place, Whereabouts, draw_onward
from slinediag.chart.overlay import outcome_of
from slinediag.chart.paths import Slot
from slinediag.chart.points import PointPlan
from slinediag.chart.ranges import compressed
from slinediag.chart.subject import Position, Subject
from slinediag.drawing import styles
from slinediag.drawing.marks import Group, Mark, Ref
from slinediag.geometry import Box, Point
from slinediag.model.equipment import Equipment
from slinediag.model.facility import Facility
from slinediag.text import printable
from slinediag.tracing.values import Answer

MANY = 80
"""Pieces of equipment and positions from which a chart is not taken in at a look."""
LISTED = "listed"
"""Where a thing stands that is not drawn."""
LABELS = 36_000
"""The most that the column of labels takes; longer ones take several lines."""
COLUMN_GAP = 2_000
SAID = "Positions, and in bold their zone."
SHEET = ("sheet", "1")
"""The sheet that every entry leads to."""

Zoner = Callable[[Point], str]
"""The zone in which a point of the chart lies on the sheet."""


@dataclass(frozen=True, slots=True)
class Spots:
    """What is drawn on one sheet and where, about the layout's own origin.

    ``subject``: what the lists tell of.
    """

    subject: Subject
    boxes: tuple[tuple[BoxPlan, Box], ...] = ()
    points: tuple[tuple[PointPlan, Box], ...] = ()

    @classmethod
    def of(
        cls,
        subject: Subject,
        boxes: Iterable[BoxPlan],
        points: Iterable[PointPlan],
        nodes: Mapping[str, Box],
    ) -> Spots:
        """These boxes and positions where the layout put them."""
        return cls(
            subject,
            tuple((box, nodes[box.id]) for box in boxes),
            tuple((point, nodes[point.id]) for point in points),
        )

    @property
    def many(self) -> bool:
        """Whether there is so much that a person has to be told where to look."""
        positions = sum(len(plan.positions) for plan, _ in self.points)
        return len(self.boxes) + positions >= MANY


def zone_finder(spots: Spots, room: int, zone: Zoner) -> tuple[Block, ...]:
    """Equipment by name, then the positions of each bay, in columns of this width."""
    lines = list(_lines(spots, zone))
    labels = min(max((width(line.label, weight="bold") for line in lines), default=0), LABELS)
    zones = max((width(line.zone) for line in lines), default=0)
    columns = (labels + COLUMN_GAP, labels + zones + 2 * COLUMN_GAP, room)
    found = Block("finder", "Finder", tuple(_item(line, columns) for line in lines))
    return tuple(block for block in (found, _positions(spots, room, zone)) if block.items)


def point_out(
    spots: Spots, answer: Answer | None, zone: Zoner, listed: Callable[[str], str]
) -> tuple[Mark, ...]:
    """The words in boxes that name zones: where ways go on, and where they are listed.

    ``listed``: the zone in which the ways of a piece of equipment are listed, by its label.
    """
    ports: dict[PortAddress, Place] = {}
    for plan, at in spots.boxes:
        for slot in plan.slots:
            x = at.x if slot.port.side == "in" else at.right
            ports[slot.port] = Place(0, zone(Point(x, at.y + slot.y)), plan.id)
    where = Whereabouts(
        ports.get,
        lambda asked: listed(_printed(spots.subject, asked)),
        outcome_of(answer).failed,
        alone=True,
    )
    return tuple(mark for plan, at in spots.boxes for mark in draw_onward(plan, at, where))


def _printed(subject: Subject, ports: Iterable[PortAddress]) -> str:
    """The label of the equipment that ports are of."""
    return next((printable(subject.facility.equipment[p.equipment].printed) for p in ports), "")


@dataclass(frozen=True, slots=True)
class _Line:
    """A line of the finder: a label, the zone, what is said of it; ``at``: what it leads to."""

    label: str
    zone: str
    words: str
    at: str


def _lines(spots: Spots, zone: Zoner) -> Iterator[_Line]:
    """A line for each piece of equipment; of one in parts one for each part, the largest first."""
    subject, parts = spots.subject, dict[str, list[tuple[BoxPlan, Box]]]()
    for plan, at in spots.boxes:
        parts.setdefault(plan.equipment.id, []).append((plan, at))
    boxes = (*subject.equipment, *subject.unwired, *subject.removed)
    for box in sorted(boxes, key=lambda box: (natural(box.printed.casefold()), natural(box.id))):
        found = parts.get(box.id, [])
        if not found:
            yield _Line(box.printed, LISTED, _name(box), "")
        label = box.printed
        for plan, at in sorted(found, key=lambda part: (-len(part[0].slots), part[0].part)):
            words = _ports(plan) if plan.parts > 1 and not label else _name(box)
            yield _Line(label, zone(label_place(plan, at)), words, plan.id)
            label = ""


def label_place(plan: BoxPlan, at: Box) -> Point:
    """Where the label of equipment stands, which the eye looks for: its middle."""
    above = HEAD_GAP + LEADING * len(plan.names) + LABEL // 2
    return Point(at.x + width(plan.equipment.printed, LABEL, "bold") // 2, at.y - above)


def _name(box: Equipment) -> str:
    return "" if box.name.casefold() == box.printed.casefold() else box.name


def _ports(plan: BoxPlan) -> str:
    """The ports of a part by their labels."""

    def told(way: str, slots: Sequence[Slot]) -> str:
        labels = [slot.label for slot in slots if slot.label]
        return f"{way if len(labels) == 1 else f'{way}s'} {compressed(labels)}" if labels else ""

    sides = (told("input", plan.inputs), told("output", plan.outputs))
    return "; ".join(filter(None, sides))


def _item(line: _Line, columns: tuple[int, int, int]) -> Item:
    zone, words, room = columns
    labels = wrap(line.label, zone - COLUMN_GAP, weight="bold")
    said = wrap(line.words, room - words)
    marks: list[Mark] = [
        letter(Point(0, FIRST_BASELINE + n * LEADING), label, weight="bold")
        for n, label in enumerate(labels)
    ]
    marks.append(letter(Point(zone, FIRST_BASELINE), line.zone))
    marks += [
        letter(Point(words, FIRST_BASELINE + n * LEADING), told, colour=styles.TEXT_GREY)
        for n, told in enumerate(said)
    ]
    data: tuple[tuple[str, str], ...] = (("label", line.label),)
    if line.at:
        data += (("at", line.at), SHEET, ("zone", line.zone))
    ref = Ref(("finder-entry",), data, title=f"{line.label or line.words}: {line.zone}")
    height = LEADING * max(len(labels), len(said), 1)
    return Item(height, (Group(tuple(marks), ref),))


def _positions(spots: Spots, room: int, zone: Zoner) -> Block:
    """Where each position is: bay by bay in a grid; those that are listed without a zone."""
    bays = spots.subject.facility.bays
    places = _places(spots, zone)
    found = sorted({place.bay for place in places}, key=natural)
    rows = [(bays[bay].printed, _runs(spots, bay, places)) for bay in found]
    items = tuple(grid(rows, room))
    said = f"{SAID} {NOT_DRAWN}." if spots.subject.listed else SAID
    return Block(
        "bay-index", "Where each position is", (prose(said, room), *items) if items else ()
    )


def _places(spots: Spots, zone: Zoner) -> dict[Position, dict[str, str]]:
    """By position, the zone of its node; of both, by row, where its jacks stand apart."""
    found: dict[Position, dict[str, str]] = {place: {} for place in spots.subject.listed}
    told = {*spots.subject.drawn}
    for plan, at in spots.points:
        rows = {spot.jack.row for r in plan.rows for spot in (r.left, r.right) if spot}
        key = "".join(sorted(rows)) if plan.half else ""
        for position in plan.positions:
            if position in told:
                found.setdefault(position, {})[key] = zone(at.centre)
    return found


def _runs(spots: Spots, bay: str, places: dict[Position, dict[str, str]]) -> list[Run]:
    """The positions of a bay in runs that stand in one zone; jacks that stand in two by row."""
    first = spots.subject.facility.bays[bay].printed_number(Jack(bay, "T", 1)) - 1
    return list(joined(_cells(spots.subject.facility, bay, first, places)))


def _cells(
    facility: Facility, bay: str, first: int, places: dict[Position, dict[str, str]]
) -> Iterable[Run]:
    for place in sorted((p for p in places if p.bay == bay), key=lambda p: p.number):
        zones, number = places[place], place.number + first
        if len(set(zones.values())) < 2:
            on = next(iter(zones.values()), "")
            state = "" if on else state_at(facility, place)
            yield Run(Jack(bay, "T", place.number), number, number, on, state=state)
            continue
        for row, on in sorted(zones.items(), reverse=True):
            yield Run(Jack(bay, "B" if row == "B" else "T", place.number), number, number, on, row)
