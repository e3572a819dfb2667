"""A chart on several sheets: divided, laid out, referred to and fro, with index, finder and lists.

The first sheet holds the overview and the index, the last ones finder and lists.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from slinediag.address import Jack, PortAddress, natural
from slinediag.chart.blocks import Block, indent_for, prose
from slinediag.chart.brief_legend import brief_legend
from slinediag.chart.division import ELSEWHERE, Bench, namer, shares, ties_of
from slinediag.chart.enlarging import enlarged
from slinediag.chart.finder import Place, entries, finder
from slinediag.chart.frame import drawing_area, zone_at
from slinediag.chart.inking import Inked, blank, ink, references
from slinediag.chart.laying import SIDES, Face, Laid, faces_of, lay_out
from slinediag.chart.lists import lists
from slinediag.chart.moving import all_moved
from slinediag.chart.overview import Contents, bay_index, contents, index, overview
from slinediag.chart.page import (
    HEAD,
    INSET,
    Band,
    Page,
    drawing_room,
    finished,
    legend_band,
    revision_room,
    text_pages,
)
from slinediag.chart.planning import CORD_ASIDE, CORD_ROOM, FLOW, UNDER_TRIAL, Plan
from slinediag.chart.ranges import compressed
from slinediag.chart.references import FLAG
from slinediag.chart.said import Said
from slinediag.chart.sheet import Sheet, larger_in_series
from slinediag.drawing.marks import Drawing, Group, Mark, Ref
from slinediag.drawing.query import ink_box
from slinediag.geometry import Box, Point, union
from slinediag.layout.settings import Effort
from slinediag.layout.sheets import Division
from slinediag.model.facility import Facility
from slinediag.problems import SheetTooSmall
from slinediag.progress import Tell, silent, stages, through
from slinediag.tracing.values import Answer

FILL = 0.5
"""How much of a sheet's room nodes and the lines beside them take, at about the most."""
LEAST_POINTS = 4
"""A set whose sheets hold fewer positions than this on average is for leafing, not for looking."""
SURELY = 0.7
"""Nodes and lines that take more of a sheet than this leave no way to lay it out."""
ROUNDS = 12
INK = 400
"""How far strokes may reach beyond what is laid out."""
TEXT_COLUMN = 70_000
INDEX_COLUMN = 90_000
FRONT = ("words", "cautions", "facility-notes")
"""The lists that stand on the first sheet; all others stand on the last."""


@dataclass(frozen=True, slots=True)
class Request:
    """What is to be drawn, on what, how large, and with how much effort."""

    facility: Facility
    answer: Answer | None
    plan: Plan
    sheet: Sheet
    effort: Effort
    said: Said
    scale: Fraction

    def legend(self, width: int) -> Block:
        """The legend in a column of this width."""
        return brief_legend(self.plan, self.answer, width)

    @property
    def heading(self) -> str:
        """The facility, and the part of it that is drawn."""
        excerpt = self.plan.excerpt
        return f"{self.facility.name}: {excerpt.name}" if excerpt else self.facility.name

    @property
    def flow(self) -> str:
        """What is said under the headings."""
        return UNDER_TRIAL if self.answer and not self.answer.trial.empty else FLOW


@dataclass(frozen=True, slots=True)
class Placing:
    """A sheet's drawing with its place: layout points are enlarged, then moved."""

    laid: Laid
    inked: Inked
    extent: Box
    scale: Fraction
    dx: int
    dy: int

    def at(self, point: Point) -> Point:
        """Where a point of the layout lies on the sheet."""
        return Point(round(point.x * self.scale) + self.dx, round(point.y * self.scale) + self.dy)


def draw_set(request: Request, least_points: int = 0, tell: Tell = silent) -> tuple[Drawing, ...]:
    """All sheets; SheetTooSmall, with the smallest that would do, where one unit alone has no room
    or the sheets of the set would hold fewer positions on average than ``least_points``.

    The pages before the first drawing are counted first, since they move every number after them.
    """
    bench = Bench(request.plan)
    band = legend_band(request.sheet, request.legend)
    if band is None:
        raise SheetTooSmall(request.sheet.name, smallest_for_units(request, bench))
    dividing = Dividing(request, bench, drawing_room(request.sheet, band))
    measuring, laying = stages(tell, (1, 1))
    parts = dividing.parts(measuring)
    if len(parts) > 1 and len(request.plan.points) < least_points * len(parts):
        raise SheetTooSmall(request.sheet.name, smallest_for_parts(request, bench, least_points))
    first = 2
    while True:
        placings = dividing.placed(parts, first, laying)
        front = _front(request, [p.laid for p in placings], first)
        if len(front) < first:
            return _bound(request, bench, placings, front, band)
        first = len(front) + 1


def too_large(request: Request, sheet: Sheet) -> bool:
    """Whether a chart need not be laid out to see that it has no room on one sheet."""
    size = sum(unit.size for unit in Bench(request.plan).units) * float(request.scale) ** 2
    return size > SURELY * sheet.width * sheet.height / 1e6


def smallest_for_units(request: Request, bench: Bench) -> str | None:
    """The smallest larger sheet that has room for every unit by itself."""
    for sheet in larger_in_series(request.sheet):
        band = legend_band(sheet, request.legend)
        if band is None:
            continue
        dividing = Dividing(replace(request, sheet=sheet), bench, drawing_room(sheet, band))
        if all(dividing.fits([unit.id]) for unit in bench.units):
            return sheet.name
    return None


def smallest_for_parts(request: Request, bench: Bench, least_points: int) -> str | None:
    """The smallest larger sheet that holds all, or that many positions on average in a set."""
    for sheet in larger_in_series(request.sheet):
        band = legend_band(sheet, request.legend)
        if band is not None:
            dividing = Dividing(replace(request, sheet=sheet), bench, drawing_room(sheet, band))
            parts = len(dividing.parts())
            if parts == 1 or len(request.plan.points) >= least_points * parts:
                return sheet.name
    return None


class Dividing:
    """Divides one chart: measures parts by laying them out in the room of a sheet."""

    def __init__(self, request: Request, bench: Bench, room: Box) -> None:
        self._request, self._bench, self._room = request, bench, room
        self._name = namer(bench)
        self._across = int(room.width / request.scale)
        self._down = int(room.height / request.scale)
        self._aspect = room.width / room.height
        self._known: dict[tuple[str, ...], bool] = {}
        capacity = FILL * self._across * self._down / 1e6
        self._division = Division(bench.units, ties_of(bench), capacity, self.fits)

    def parts(self, tell: Tell = silent) -> list[tuple[str, ...]]:
        """The parts in the order of the bays, each as its units."""
        found = self._division.parts([unit.id for unit in self._bench.units], tell)
        return self._in_order(found)

    def placed(
        self, parts: Sequence[tuple[str, ...]], first: int, tell: Tell = silent
    ) -> list[Placing]:
        """Every part on its sheet, numbered from ``first``; divided further where it has to be."""
        now = list(parts)
        for _ in range(ROUNDS):
            placings = self._laid(now, first, tell)
            large = [n for n, placing in enumerate(placings) if not self._holds(placing.extent)]
            if not large:
                return placings
            pieces = [self._less(part, n in large) for n, part in enumerate(now)]
            now = self._in_order([piece for found in pieces for piece in found])
        raise self._too_small()

    def _less(self, part: tuple[str, ...], too_large: bool) -> Sequence[tuple[str, ...]]:
        if not too_large:
            return [part]
        if len(part) == 1:
            raise self._too_small()
        return self._division.halves(part)

    def _laid(self, parts: Sequence[tuple[str, ...]], first: int, tell: Tell) -> list[Placing]:
        bench, request = self._bench, self._request
        found = shares(bench, parts, self._name, first=first)
        sheets: dict[Face, list[int]] = {}
        for share in found:
            for face in faces_of(share):
                sheets.setdefault(face, []).append(share.number)
        laid = [
            lay_out(bench, share, request.effort, sheets, self._aspect)
            for share in through(found, tell, "sheets")
        ]
        return [self._placing(one) for one in _numbered(laid)]

    def _placing(self, laid: Laid) -> Placing:
        """The drawing in the middle of the room, nearer its top than its foot."""
        inked = ink(self._bench, laid, self._request.answer)
        scale, room = self._request.scale, self._room
        extent = union(map(ink_box, (*inked.below, *inked.cords, *references(laid, blank))))
        left, top = round(extent.x * scale), round(extent.y * scale)
        width, height = round(extent.width * scale), round(extent.height * scale)
        dx = room.x + (room.width - width) // 2 - left
        dy = room.y + (room.height - height) * 2 // 5 - top
        return Placing(laid, inked, extent, scale, dx, dy)

    def _holds(self, extent: Box) -> bool:
        return extent.width <= self._across and extent.height <= self._down

    def _too_small(self) -> SheetTooSmall:
        request = self._request
        return SheetTooSmall(request.sheet.name, smallest_for_units(request, self._bench))

    def fits(self, part: Sequence[str]) -> bool:
        """Whether some units fit one sheet, all others being on another."""
        key = tuple(part)
        if key not in self._known:
            inside = set(part)
            rest = [unit.id for unit in self._bench.units if unit.id not in inside]
            share = shares(self._bench, (part, rest), self._name, only=1)[0]
            sheets = {(box, side): (88, 99) for box in share.ports for side in SIDES}
            laid = lay_out(self._bench, share, "quick", sheets, self._aspect)
            self._known[key] = self._has_room(laid)
        return self._known[key]

    def _has_room(self, laid: Laid) -> bool:
        """Whether what is laid out fits a sheet, its cords too; these are hung only in doubt."""
        extent, cords = laid.extent.grown(INK), laid.cords_on(self._bench)
        if not cords or not self._holds(extent):
            return self._holds(extent)
        aside, below = 2 * CORD_ASIDE, CORD_ROOM * (1 + cords)
        roomy = Box(0, 0, extent.width + aside, extent.height + below)
        return self._holds(roomy) or self._holds(self._placing(laid).extent)

    def _in_order(self, parts: Sequence[tuple[str, ...]]) -> list[tuple[str, ...]]:
        """By their first positions, bay by bay; parts without a position last.

        So that a sheet keeps its number where little changes: what stands first on it hangs on
        nothing else of the chart.
        """
        points = self._bench.points
        order = {unit.id: number for number, unit in enumerate(self._bench.units)}

        def rank(part: tuple[str, ...]) -> tuple[object, ...]:
            places = [points[unit].position for unit in part if unit in points]
            first = min(((natural(place.bay), place.number) for place in places), default=())
            return (not places, first, min(order[unit] for unit in part))

        return sorted(parts, key=rank)


def _numbered(laid: Sequence[Laid]) -> list[Laid]:
    """The parts of equipment counted through all sheets."""
    count: dict[str, int] = {}
    for one in laid:
        for box in one.boxes:
            count[box.equipment.id] = count.get(box.equipment.id, 0) + 1
    number: dict[str, int] = {}
    found = []
    for one in laid:
        own = {box.id for box in one.boxes}
        nodes = {name: at for name, at in one.there.nodes.items() if name not in own}
        boxes = []
        for box in one.boxes:
            name = box.equipment.id
            number[name] = number.get(name, 0) + 1
            renamed = replace(box, part=number[name], parts=count[name])
            nodes[renamed.id] = one.there.nodes[box.id]
            boxes.append(renamed)
        found.append(replace(one, boxes=tuple(boxes), there=replace(one.there, nodes=nodes)))
    return found


def _front(request: Request, laid: Sequence[Laid], first: int) -> list[Page]:
    """The pages before the first drawing: the whole at a glance, the index, what must be read."""
    facility, sheet = request.facility, request.sheet
    found = [contents(facility, one) for one in laid]
    room = drawing_area(sheet).grown(-INSET)
    top, marks = _overview(found, laid, room)
    table = revision_room(facility, sheet)

    def blocks(width: int) -> list[Block]:
        said = _lists(request, laid, width)
        after = (first + len(laid), "Finder and lists")
        places = bay_index(facility, laid, request.plan.told.listed, width)
        return [index(found, width, [after]), places, *(b for b in said if b.name in FRONT)]

    count = max(1, room.width // INDEX_COLUMN)
    pages = text_pages(sheet, blocks, count, top, table)
    return [
        Page(
            request.heading if not number else f"{request.heading}, continued",
            f"{len(laid)} sheets of drawing, finder and lists. {request.flow}",
            (*(marks if not number else ()), *page),
            revisions=not number,
        )
        for number, page in enumerate(pages)
    ]


def _overview(
    found: Sequence[Contents], laid: Sequence[Laid], room: Box
) -> tuple[int, tuple[Mark, ...]]:
    """The sheets at a glance, where they have room, and the top of what follows below them."""
    top = room.y + HEAD
    if not found:
        return top, ()
    marks, extent = overview(found, [one.share for one in laid], 2 * room.width / room.height)
    if extent.width > room.width or extent.height > room.height // 2:
        return top, ()
    dx = room.x + (room.width - extent.width) // 2 - extent.x
    group = Group(
        all_moved(marks, dx, top - extent.y), Ref(("overview",), title="Overview of the sheets")
    )
    return top + extent.height + 2 * INSET, (group,)


def _lists(request: Request, laid: Sequence[Laid], width: int) -> list[Block]:
    """All lists of the chart; paths of a box once, whose parts stand on several sheets."""
    boxes = {}
    for one in laid:
        for box in one.boxes:
            if box.equipment.id not in boxes or box.style == "listed":
                boxes[box.equipment.id] = box
    subject, notes = request.plan.told, request.plan.notes
    points = request.plan.points
    return list(lists(subject, list(boxes.values()), notes, request.said, width, points))


def _bound(
    request: Request, bench: Bench, placings: Sequence[Placing], front: Sequence[Page], band: Band
) -> tuple[Drawing, ...]:
    """All pages as sheets with their numbers."""
    facility, sheet = request.facility, request.sheet
    pages = [*front, *_drawn(request, placings)]
    bands: list[Band | None] = [None] * len(front) + [band] * len(placings)
    back = _back(request, bench, placings)
    pages += back
    bands += [None] * len(back)
    return tuple(
        finished(facility, sheet, page, number, len(pages), below)
        for number, (page, below) in enumerate(zip(pages, bands, strict=True), 1)
    )


def _drawn(request: Request, placings: Sequence[Placing]) -> list[Page]:
    zones = _zones(request.sheet, placings)
    pages = []
    for placing in placings:
        told = contents(request.facility, placing.laid)

        def zone(name: str, own: int = told.number) -> str:
            return zones[name, own]

        marks = (*placing.inked.below, *references(placing.laid, zone), *placing.inked.cords)
        inside = all_moved(enlarged(marks, placing.scale), placing.dx, placing.dy)
        under = f"{told.positions}. {request.flow}" if told.positions else request.flow
        pages.append(
            Page(told.heading, under, (Group(inside, Ref(("chart",), title="Chart", desc=under)),))
        )
    return pages


def _zones(sheet: Sheet, placings: Sequence[Placing]) -> dict[tuple[str, int], str]:
    """By reference and the sheet it stands on, the zone of what it points to."""
    lies: dict[tuple[str, int], Point] = {}
    for placing in placings:
        share = placing.laid.share
        for reference in share.references:
            at = placing.laid.there.nodes[reference.name]
            x = at.x + FLAG // 2 if reference.way == "to" else at.right - FLAG // 2
            lies[reference.name, share.number] = placing.at(Point(x, at.centre.y))
        for jack, place in placing.inked.jacks.items():
            lies[f"cord {jack}", share.number] = placing.at(place)
    found = {}
    for placing in placings:
        share = placing.laid.share
        mates = [(r.name, r.mate) for r in share.references]
        mates += [(r.name, r.mate) for r in share.cords]
        for name, mate in [pair for pair in mates if pair[1] != ELSEWHERE]:
            found[name, share.number] = zone_at(sheet, lies[name, mate])
    return found


def _back(request: Request, bench: Bench, placings: Sequence[Placing]) -> list[Page]:
    """The pages behind the drawings: the finder, then all lists."""
    sheet = request.sheet
    jacks: dict[Jack, Place] = {}
    boxes: dict[str, list[Place]] = {}
    for placing in placings:
        number = placing.laid.share.number
        for jack, at in placing.inked.jacks.items():
            jacks[jack] = Place(number, zone_at(sheet, placing.at(at)))
        for box in placing.laid.boxes:
            at = placing.at(placing.laid.there.nodes[box.id].centre)
            boxes.setdefault(box.equipment.id, []).append(Place(number, zone_at(sheet, at)))
    found = entries(request.plan.told, jacks, boxes)

    def blocks(width: int) -> list[Block]:
        said = _lists(request, [p.laid for p in placings], width)
        later = [b for b in said if b.name not in FRONT]
        return [finder(found, width), *later, *idle_ports(bench, width)]

    count = max(1, drawing_area(sheet).grown(-INSET).width // TEXT_COLUMN)
    pages = text_pages(sheet, blocks, count)
    return [Page("Finder and lists", request.heading, page) for page in pages]


def idle_ports(bench: Bench, room: int) -> list[Block]:
    """The ports of equipment in parts that no line reaches: no part draws them."""
    facility = bench.plan.subject.facility
    rows = []
    for name in sorted(bench.large, key=natural):
        box = facility.equipment[name]
        labels = [
            box.facts[port.id, port.side].label
            for port in box.ports
            if PortAddress(name, port.id, port.side) not in bench.wired
        ]
        if labels:
            rows.append((box.printed, compressed(labels)))
    if not rows:
        return []
    indent = min(indent_for(label for label, _ in rows), room // 2)
    items = tuple(prose(words, room, label, indent) for label, words in rows)
    return [Block("idle-ports", "Ports without a line", items)]
