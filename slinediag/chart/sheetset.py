"""A chart on several sheets: divided, laid out, referred to and fro, with index, finder and lists.

The first sheet holds the overview and the index, the last ones finder and lists.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from slinediag.address import PortAddress
from slinediag.chart.beginning import at_rest, begun
from slinediag.chart.borne import overview_borne, sheet_borne, whole_borne
from slinediag.chart.dividing import Dividing, Placing
from slinediag.chart.division import Bench
from slinediag.chart.earlier import Earlier, Say, Sheetful, unsaid
from slinediag.chart.endpages import Ends, end_pages
from slinediag.chart.enlarging import enlarged
from slinediag.chart.footing import notes_sheets, sheet_foot
from slinediag.chart.frame import zone_at
from slinediag.chart.inking import references
from slinediag.chart.moving import all_moved
from slinediag.chart.onward import Place, Whereabouts
from slinediag.chart.overlay import outcome_of
from slinediag.chart.overview import contents
from slinediag.chart.page import Band, Page, drawing_room, finished
from slinediag.chart.path_list import listed_ports
from slinediag.chart.ranges import number_ranges
from slinediag.chart.references import flag_middle
from slinediag.chart.request import Request
from slinediag.chart.shares import ELSEWHERE
from slinediag.chart.sheet import Sheet
from slinediag.chart.staying import things_in
from slinediag.drawing.marks import Drawing, Group, Ref
from slinediag.geometry import Point
from slinediag.problems import SheetTooSmall
from slinediag.progress import Tell, rounds, silent, stages

LEAST_POINTS = 4
"""A set whose sheets hold fewer positions than this on average is for leafing, not for looking."""
MEASURING, LISTING = "measuring", "lists"
LAID_AND_LISTED = (2, 1)
"""What it takes to lay out the sheets, and to set the pages before and behind them."""
SURELY = 0.7
"""Nodes and lines that take more of a sheet than this leave no way to lay it out."""


def draw_set(
    request: Request,
    least_points: int = 0,
    tell: Tell = silent,
    keep: Earlier | None = None,
    say: Say = unsaid,
) -> tuple[Drawing, ...]:
    """All sheets; SheetTooSmall where one unit alone has no room, or the sheets of the set would
    hold fewer positions on average than ``least_points``. That comes without what would do, for
    which see ``slinediag.chart.beginning.too_small``.

    The pages before the first drawing are counted first, since they move every number after them.
    ``keep``: an earlier set, whose sheets keep their numbers and what stands on them as far as it
    fits; ``say`` takes what could not be kept. Under a trial that is the set without it.
    """
    tell(0.0, MEASURING)
    begun = _begun(request, kept=keep is not None)
    if keep is None and request.tried:
        dividing, tell = stages(tell, (2, 1))
        keep, say = _at_rest(request, least_points, dividing), unsaid
    if keep is not None:
        return _bound(begun, _kept(begun, keep, tell, say))
    return _bound(begun, _divided(begun, least_points, tell))


@dataclass(frozen=True, slots=True)
class _Pages:
    """Drawings in place, the pages before and behind them, the number of the first drawing."""

    bench: Bench
    placings: Sequence[Placing]
    ends: Ends
    first: int


class _Begun(NamedTuple):
    """A chart taken apart, the legend on its sheets, and what measures them."""

    request: Request
    bench: Bench
    band: Band
    dividing: Dividing


def _begun(request: Request, *, kept: bool = False) -> _Begun:
    """The chart taken apart; SheetTooSmall where something has no room on a sheet of its own.

    ``kept``: after an earlier set, whose sheets may have had more room.
    """
    found = begun(request)
    if found.dividing is None or found.band is None or (found.large and not kept):
        raise SheetTooSmall(request.sheet.name, None)
    return _Begun(found.request, found.bench, found.band, found.dividing)


def _kept(begun: _Begun, keep: Earlier, tell: Tell, say: Say = unsaid) -> _Pages:
    """The sheets of an earlier set, with what is drawn now."""
    request, bench, band, _ = begun
    dividing = Dividing(request, bench, drawing_room(request.sheet, band), keep)
    placing, listing = stages(tell, LAID_AND_LISTED)
    placings = dividing.placed(dividing.sheets_kept(), placing)
    listing(0.0, LISTING)
    ends = end_pages(request, bench, placings, keep.first, keep.overview)
    if dividing.afresh:
        say(f"Arranged afresh for want of room: sheet {number_ranges(dividing.afresh)}")
    return _Pages(bench, placings, ends, keep.first)


def _at_rest(request: Request, least_points: int, tell: Tell) -> Earlier:
    """The set as it is without its trial: under one, everything is to be found where it was."""
    resting = _begun(at_rest(request))
    return _stood(resting.request, _divided(resting, least_points, tell))


def _divided(begun: _Begun, least_points: int, tell: Tell) -> _Pages:
    """A new set, its parts numbered by the pages that come before them."""
    request, bench, _, dividing = begun
    measuring, laying = stages(tell, (4, 3))
    parts = dividing.parts(measuring)
    if leafed(request, len(parts), least_points):
        raise SheetTooSmall(request.sheet.name, None)
    first, trying = 2, rounds(laying)
    while True:
        placing, listing = stages(next(trying), LAID_AND_LISTED)
        placings = dividing.placed(dict(enumerate(parts, first)), placing)
        listing(0.0, LISTING)
        ends = end_pages(request, bench, placings, first)
        if len(ends.front) < first:
            return _Pages(bench, placings, ends, first)
        first = len(ends.front) + 1
        parts = [placing.laid.share.units for placing in placings]


def leafed(request: Request, sheets: int, least_points: int) -> bool:
    """Whether so many sheets hold fewer positions on average than they should."""
    return sheets > 1 and len(request.plan.points) < least_points * sheets


def shows_chart(drawing: Drawing) -> bool:
    """Whether a sheet of a set shows a part of the chart, not only lists."""
    return any(isinstance(mark, Group) and "chart" in mark.ref.classes for mark in drawing.marks)


def too_large(request: Request, sheet: Sheet, times: int = 1) -> bool:
    """Whether a chart, drawn so many times, need not be laid out to see that it has no room on one
    sheet."""
    size = times * sum(unit.size for unit in Bench(request.plan).units) * float(request.scale) ** 2
    return size > SURELY * sheet.width * sheet.height / 1e6


def _bound(begun: _Begun, made: _Pages) -> tuple[Drawing, ...]:
    """All pages as sheets with their numbers, in that order; each bears how it stands."""
    request, band = begun.request, begun.band
    facility, sheet = request.facility, request.sheet
    stood, ends = _stood(request, made), made.ends.pages
    drawn = _drawn(request, made.placings, _whereabouts(request, made.placings, ends))
    listed = notes_sheets(ends)
    pages = {**ends, **drawn}
    found = []
    for number, page in sorted(pages.items()):
        below = sheet_foot(request, page, band, listed) if number in drawn else None
        whole = finished(
            facility,
            sheet,
            page,
            number,
            max(pages),
            below,
            tried=request.tried,
            under=request.under if number == 1 else "",
        )
        bears = whole_borne(stood)
        if number in drawn:
            bears += sheet_borne(stood, number)
        elif number == 1:
            bears += overview_borne(stood)
        found.append(replace(whole, bears=bears))
    return tuple(found)


def _stood(request: Request, made: _Pages) -> Earlier:
    """How everything stands on the set."""
    sheets, units = {}, {}
    for placing in made.placings:
        share = placing.laid.share
        sheets[share.number] = Sheetful(placing.laid.standing, Point(placing.dx, placing.dy))
        units[share.number] = tuple(t for unit in share.units for t in things_in(made.bench, unit))
    return Earlier(
        part=request.plan.excerpt is not None,
        folded=request.folded,
        size=(request.sheet.width, request.sheet.height),
        scale=request.scale,
        sheets=sheets,
        first=made.first,
        units=units,
        overview=made.ends.overview,
    )


def _whereabouts(
    request: Request, placings: Sequence[Placing], ends: Mapping[int, Page]
) -> Whereabouts:
    """Where each port is drawn, and on which of the pages before and behind ways are listed."""
    ports: dict[PortAddress, Place] = {}
    for placing in placings:
        for box in placing.laid.boxes:
            at = placing.laid.there.nodes[box.id]
            for slot in box.slots:
                x = at.x if slot.port.side == "in" else at.right
                zone = zone_at(request.sheet, placing.at(Point(x, at.y + slot.y)))
                ports[slot.port] = Place(placing.laid.share.number, zone, box.id)
    listed: dict[PortAddress, set[int]] = {}
    for number, page in ends.items():
        for port in listed_ports(page.marks):
            listed.setdefault(port, set()).add(number)

    def sheets(asked: Iterable[PortAddress]) -> str:
        return number_ranges({n for port in asked for n in listed.get(port, ())})

    return Whereabouts(ports.get, sheets, outcome_of(request.answer).failed)


def _drawn(request: Request, placings: Sequence[Placing], where: Whereabouts) -> dict[int, Page]:
    """The pages with drawings, by number."""
    zones = _zones(request.sheet, placings)
    pages = {}
    for placing in placings:
        told = contents(request.facility, placing.laid)

        def zone(name: str, own: int = told.number) -> str:
            return zones[name, own]

        marks = (*placing.inked.below, *references(placing.laid, zone, where), *placing.inked.cords)
        inside = all_moved(enlarged(marks, placing.scale), placing.dx, placing.dy)
        under = f"{told.positions}. {request.flow}" if told.positions else request.flow
        group = Group(inside, Ref(("chart",), title="Chart", desc=under))
        pages[told.number] = Page(told.heading, under, (group,))
    return pages


def _zones(sheet: Sheet, placings: Sequence[Placing]) -> dict[tuple[str, int], str]:
    """By reference and the sheet it stands on, the zone of what it points to."""
    lies: dict[tuple[str, int], Point] = {}
    for placing in placings:
        share = placing.laid.share
        for reference in share.references:
            at = placing.laid.there.nodes[reference.name]
            lies[reference.name, share.number] = placing.at(flag_middle(reference, at))
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
