"""Divides a planned chart over sheets of one size, measured by laying each of them out."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from slinediag.address import Side, natural
from slinediag.chart.company import companies
from slinediag.chart.division import Bench
from slinediag.chart.earlier import Earlier
from slinediag.chart.enlarging import enlarged_box
from slinediag.chart.equipment import BoxPlan
from slinediag.chart.fitting import Fitting
from slinediag.chart.inking import Inked, blank, ink, references, tag_hides
from slinediag.chart.laying import MOST_RUNS, Face, Laid, faces_of
from slinediag.chart.moving import into
from slinediag.chart.onward import WIDEST
from slinediag.chart.own_room import OwnRoom
from slinediag.chart.planning import CORD_ASIDE, CORD_ROOM
from slinediag.chart.request import Request
from slinediag.chart.shares import namer, shares
from slinediag.chart.signs import OF_CORDS, Sign, signs_of, signs_on
from slinediag.chart.standing import NOTHING
from slinediag.chart.staying import Part, Staying
from slinediag.chart.ties import rows, ties_of
from slinediag.chart.ways import ways
from slinediag.drawing.marks import Mark
from slinediag.drawing.query import ink_box
from slinediag.geometry import Box, Point, union
from slinediag.layout.sheets import Division
from slinediag.problems import SheetTooSmall
from slinediag.progress import Tell, rounds, silent, stages, through

FILL = 0.5
"""How much of a sheet's room nodes and the lines beside them take, at about the most."""
ROUNDS = 12
TWO_DIGITS = 80
"""Sheets up to which their numbers, those of pages before and behind them among them, have two
digits at most."""
MANY_CORDS = 12
"""Of more cords than this on the whole chart, those of a sheet are hung once it is drawn."""
CORD_TAKES = 1200.0
"""The room that is kept for each of them and its tag, square millimetres."""
INK = 400
"""How far strokes may reach beyond what is laid out."""


@dataclass(frozen=True, slots=True)
class Placing:
    """A sheet's drawing with its place: layout points are enlarged, then moved.

    ``fits``: whether the sheet has room for it.
    """

    laid: Laid
    inked: Inked
    extent: Box
    scale: Fraction
    dx: int
    dy: int
    fits: bool

    def at(self, point: Point) -> Point:
        """Where a point of the layout lies on the sheet."""
        return Point(round(point.x * self.scale) + self.dx, round(point.y * self.scale) + self.dy)


class Dividing:
    """Divides one chart: measures parts by laying them out in the room of a sheet.

    ``keep``: an earlier set, whose sheets keep their numbers, their units and their order.
    """

    def __init__(
        self, request: Request, bench: Bench, room: Box, keep: Earlier | None = None
    ) -> None:
        self._request, self._bench, self._room = request, bench, room
        self._own = OwnRoom(request, room)
        self._name = namer(bench)
        across, down = self._within(self._own.most)
        capacity = FILL * across * down / 1e6
        self._sheets = math.ceil(sum(unit.size for unit in bench.units) / capacity)
        fitting = Fitting(bench, (across, down), self._has_room, self._likely_sheets, keep)
        self._fitting, self.fits = fitting, fitting.fits
        ties = ties_of(bench)
        self._division = Division(
            bench.units, ties, capacity, fitting.fits, fitting.joins, fitting.adds, rows(bench)
        )
        self._keep = keep
        self._before = {n: one.standing for n, one in keep.sheets.items()} if keep else {}
        self.staying = Staying(bench, keep.units, self._division, self.fits) if keep else None
        self.afresh: set[int] = set()
        """Sheets of which nothing but number and units could be kept."""
        self._as_measured: set[Part] = set()
        """Units that are arranged as quickly as they were measured: arranged thoroughly they have
        no room."""
        self._size = {unit.id: unit.size for unit in bench.units}
        cords = bench.plan.subject.plugs.cords
        self._hung = {bench.node_of_jack[jack] for cord in cords for jack in cord.ends}
        self._companies = companies(bench)

    def fits_alone(self, unit: str) -> bool:
        """Whether a unit fits a sheet of its own, where there are many cords with those hung that
        may have no room."""
        if not self._many_cords or not self.hung_at(unit):
            return self.fits([unit])
        laid = self._fitting.alone(unit)
        return self._surely_has_room(laid) or self._placing(laid).fits

    def hung_at(self, unit: str) -> bool:
        """Whether a cord hangs from a unit."""
        return unit in self._hung

    def needed(self, unit: str) -> tuple[Box, Box]:
        """What a unit takes on a sheet of its own, its cords hung, and the room for it there."""
        _, marks, extent = self._inked(self._fitting.alone(unit))
        return enlarged_box(extent, self._request.scale), self._room_for(extent, marks)

    def parts(self, tell: Tell = silent) -> Sequence[Part]:
        """The parts in the order of the bays, each as its units."""
        found = self._division.parts([unit.id for unit in self._bench.units], tell)
        return self._in_order(found)

    def sheets_kept(self) -> dict[int, Part]:
        """All units by sheets, as far as may be where the earlier set had them."""
        assert self.staying is not None
        return self.staying.sheets(self._in_order)

    def placed(self, sheets: Mapping[int, Part], tell: Tell = silent) -> list[Placing]:
        """Every part on its sheet; divided further where it has to be."""
        now = dict(sheets)
        for _, telling in zip(range(ROUNDS), rounds(tell), strict=False):
            placings = self._laid(now, telling)
            large = [p.laid.share.number for p in placings if not p.fits]
            if not large:
                return placings
            moved = [number for number in large if number in self._before]
            hasty = {now[number] for number in large} - self._as_measured
            if moved:
                self._arrange_afresh(moved)
            elif hasty and self._request.effort != "quick":
                self._as_measured |= hasty
            else:
                now = self._relieved(now, large)
        raise SheetTooSmall(self._request.sheet.name, None)

    def _arrange_afresh(self, numbers: Iterable[int]) -> None:
        """Keep no order on sheets on which that takes more room than there is."""
        for number in numbers:
            del self._before[number]
            self.afresh.add(number)

    def _relieved(self, sheets: Mapping[int, Part], large: Sequence[int]) -> dict[int, Part]:
        """The sheets with those that are too large divided further."""
        if any(len(sheets[number]) == 1 for number in large):
            raise SheetTooSmall(self._request.sheet.name, None)
        if self.staying is not None:
            return self.staying.relieved(sheets, large, self._in_order)
        pieces = [
            piece
            for number, part in sheets.items()
            for piece in (self._division.halves(part) if number in large else [part])
        ]
        return dict(enumerate(self._in_order(pieces), min(sheets)))

    def _laid(self, parts: Mapping[int, Part], tell: Tell) -> list[Placing]:
        bench, request = self._bench, self._request
        found = shares(bench, parts, self._name, groups=self._fitting.groups(parts))
        sheets: dict[Face, list[int]] = {}
        for share in found:
            for face in faces_of(share):
                sheets.setdefault(face, []).append(share.number)
        laid = []
        laying, inking = stages(tell, (1, 1))
        for share in through(found, laying, "sheets"):
            before = self._before.get(share.number, NOTHING)
            effort = "quick" if parts[share.number] in self._as_measured else request.effort
            laid.append(self._fitting.lay_out(share, effort, sheets, before))
        return [self._placing(one) for one in through(_numbered(laid), inking, "sheets")]

    def _placing(self, laid: Laid) -> Placing:
        """The drawing in the middle of the room, nearer its top than its foot; or where it was."""
        inked, marks, extent = self._inked(laid)
        scale = self._request.scale
        left, top = round(extent.x * scale), round(extent.y * scale)
        width, height = round(extent.width * scale), round(extent.height * scale)
        room = self._room_for(extent, marks)
        middle = Point((room.width - width) // 2, (room.height - height) * 2 // 5)
        shift = self._shift(laid.share.number) or middle.moved(room.x - left, room.y - top)
        drawn = Box(left, top, width, height).moved(*shift)
        shift = shift.moved(*into(room, drawn))
        return Placing(laid, inked, extent, scale, *shift, self._holds(extent, room))

    def _inked(self, laid: Laid) -> tuple[Inked, tuple[Mark, ...], Box]:
        """What is drawn, its marks and their extent: cords hang freely where the sheet has room for
        that, else within its room."""
        flags = references(laid, blank, WIDEST)

        def hung(within: tuple[int, int] | None) -> tuple[Inked, tuple[Mark, ...], Box]:
            inked = ink(self._bench, laid, self._request.answer, within)
            marks = (*inked.below, *inked.cords, *flags)
            return inked, marks, union(map(ink_box, marks))

        freely = inked, _, extent = hung(None)
        if not inked.cords or self._holds(extent, self._room):
            return freely
        room = self._own.beside(signs_on(freely[1])) if self._own.scarce else self._room
        closely = hung(self._within(room))
        return freely if tag_hides(closely[0].cords, (*inked.below, *flags)) else closely

    def _room_for(self, extent: Box, marks: Sequence[Mark]) -> Box:
        """The room beside the legend with every sign; of a larger sheet that is kept, so that it
        need not change for signs on others, or is small, the room beside its own."""
        own = self._keep is not None or self._own.scarce
        if not own or self._holds(extent, self._room):
            return self._room
        return self._own.beside(signs_on(marks))

    def _shift(self, number: int) -> Point | None:
        """How far the earlier set moved the chart of a sheet that is kept."""
        sheet = self._request.sheet
        if self._keep is None or number not in self._before:
            return None
        return self._keep.shift(number, (sheet.width, sheet.height), self._request.scale)

    def _holds(self, extent: Box, room: Box) -> bool:
        across, down = self._within(room)
        return extent.width <= across and extent.height <= down

    def _within(self, room: Box) -> tuple[int, int]:
        """The width and height of a room in the units of the layout."""
        return int(room.width / self._request.scale), int(room.height / self._request.scale)

    def _likely_sheets(self, box: str, side: Side) -> Sequence[int]:
        """Numbers as many and as wide as those of the sheets with ports of large equipment may be:
        a sheet for all that lines hold together, but no more than there will be."""
        most = min(self._bench.held_apart[box, side], self._sheets, MOST_RUNS)
        first = 10 if self._sheets < TWO_DIGITS else 100
        return range(first, first + 2 * max(2, most), 2)

    def _has_room(self, laid: Laid, hang: bool) -> bool:
        """Whether what is laid out fits a sheet, its cords too; in doubt they are hung, or taken
        not to fit. Many are not hung before the sheet is drawn: there they take what room is left.
        """
        extent, cords, room = laid.extent.grown(INK), laid.cords_on(self._bench), self._room
        if not self._holds(extent, self._own.most):
            return False
        if not cords:
            return self._holds(extent, room) or self._placing(laid).fits
        if self._surely_has_room(laid):
            return True
        if self._many_cords:
            if self._own.scarce and not self._holds(extent, room):
                room = self._own.beside(self._signs(laid))
            across, down = self._within(room)
            left = across * down / 1e6 - laid.area
            return self._holds(extent, room) and cords * CORD_TAKES <= left
        return hang and self._fits(laid)

    def _surely_has_room(self, laid: Laid) -> bool:
        """Whether a sheet has room for what is laid out, however its cords hang."""
        extent, cords = laid.extent.grown(INK), laid.cords_on(self._bench)
        aside, below = 2 * CORD_ASIDE, CORD_ROOM * (1 + cords)
        roomy = Box(0, 0, extent.width + aside, extent.height + below)
        return self._holds(roomy, self._room)

    @property
    def _many_cords(self) -> bool:
        return len(self._bench.plan.subject.plugs.cords) > MANY_CORDS

    def _signs(self, laid: Laid) -> frozenset[Sign]:
        """The signs of what is laid out; of its cords, which are not hung, all of the chart."""
        request = self._request
        drawn = ink(self._bench, laid, request.answer, hang=False).below
        of_cords = OF_CORDS & signs_of(request.plan, request.answer)
        return of_cords.union(signs_on((*drawn, *references(laid, blank, WIDEST))))

    def _fits(self, laid: Laid) -> bool:
        """Whether a sheet has room for what is laid out, cords hung; on small ones beside its own
        signs."""
        placing = self._placing(laid)
        return placing.fits if self._own.scarce else self._holds(placing.extent, self._room)

    def _in_order(self, parts: Sequence[Part]) -> list[Part]:
        """Of a part around a thing what is nearest to that first; by companies, of each by their
        first positions, bay by bay; ways in a row; what is nothing but lines between bays last.

        So that a sheet keeps its number where little changes: what stands first on it hangs on
        nothing else of the chart.
        """
        points = self._bench.points
        order = {unit.id: number for number, unit in enumerate(self._bench.units)}

        def rank(part: Part) -> tuple[object, ...]:
            company = self._companies.main(part, self._size)
            places = [points[unit].position for unit in part if unit in points]
            first = min(((natural(place.bay), place.number) for place in places), default=())
            least = min(order[unit] for unit in part)
            near = self._bench.nearness(part)
            return (near, company is None, company or 0, not places, first, least)

        return self._ways_in_a_row(sorted(parts, key=rank))

    def _ways_in_a_row(self, parts: list[Part]) -> list[Part]:
        """The sheets of each way to an input of the highest priority one after the other in order
        of flow, from where the first of them stood."""
        found, settled = list(parts), set[Part]()
        for way in ways(self._bench):
            depth = {unit: number for number, unit in enumerate(way)}
            on = [p for p in found if p not in settled and not depth.keys().isdisjoint(p)]
            if len(on) > 1:
                at = found.index(on[0])
                on.sort(key=lambda p: min(depth[unit] for unit in p if unit in depth))
                rest = [p for p in found if p not in on]
                found = [*rest[:at], *on, *rest[at:]]
            settled.update(on)
        return found


def _numbered(laid: Sequence[Laid]) -> list[Laid]:
    """The parts of equipment counted through all sheets, on each as one reads them."""
    count: dict[str, int] = {}
    for one in laid:
        for box in one.boxes:
            count[box.equipment.id] = count.get(box.equipment.id, 0) + 1
    number: dict[str, int] = {}
    found = []
    for one in laid:
        part = {}
        for box in _as_read(one):
            name = box.equipment.id
            part[box.id] = number[name] = number.get(name, 0) + 1
        own = {box.id for box in one.boxes}
        nodes = {name: at for name, at in one.there.nodes.items() if name not in own}
        boxes = []
        for box in one.boxes:
            renamed = replace(box, part=part[box.id], parts=count[box.equipment.id])
            nodes[renamed.id] = one.there.nodes[box.id]
            boxes.append(renamed)
        found.append(replace(one, boxes=tuple(boxes), there=replace(one.there, nodes=nodes)))
    return found


def _as_read(laid: Laid) -> list[BoxPlan]:
    """The boxes of a sheet in rows from its top, each from left to right: what begins above the
    middle of the highest box that is left stands in its row."""
    left = sorted(laid.boxes, key=lambda box: (laid.there.nodes[box.id].y, box.id))
    found: list[BoxPlan] = []
    while left:
        middle = laid.there.nodes[left[0].id].centre.y
        row = [box for box in left if laid.there.nodes[box.id].y <= middle]
        found += sorted(row, key=lambda box: (laid.there.nodes[box.id].x, box.id))
        left = left[len(row) :]
    return found
