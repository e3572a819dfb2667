"""The pages of a set before and behind its drawings: overview, index, what must be read; then the
finder and all lists."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from slinediag.address import Jack, PortAddress, natural
from slinediag.chart.blocks import Block, indent_for, prose
from slinediag.chart.dividing import Placing
from slinediag.chart.division import Bench
from slinediag.chart.finder import Place, entries, finder
from slinediag.chart.frame import drawing_area, zone_at
from slinediag.chart.laying import Laid
from slinediag.chart.lists import lists
from slinediag.chart.moving import all_moved
from slinediag.chart.overview import Contents, bay_index, contents, index, overview
from slinediag.chart.page import HEAD, INSET, Page, revision_room, text_pages
from slinediag.chart.ranges import compressed
from slinediag.chart.request import Request
from slinediag.chart.standing import NOTHING, Standing
from slinediag.drawing.marks import Group, Mark, Ref
from slinediag.geometry import Box

TEXT_COLUMN = 70_000
INDEX_COLUMN = 90_000
BACK = "Finder and lists"
FRONT = ("words", "cautions", "facility-notes")
"""The lists that stand on the first sheet; all others stand on the last."""


@dataclass(frozen=True, slots=True)
class Front:
    """The pages with the overview and the index, by number, and how the overview's cards stand.

    ``next``: the number that follows those of all drawings and of these pages.
    """

    pages: Mapping[int, Page]
    overview: Standing
    next: int


def front_pages(
    request: Request, laid: Sequence[Laid], first: int, before: Standing = NOTHING
) -> Front:
    """The pages before the first drawing: the whole at a glance, the index, what must be read.

    Pages for which there is no number before ``first`` come after the last drawing; cautions stand
    before the index then.
    ``before``: how the cards of an earlier overview stood, which stay.
    """
    facility, sheet = request.facility, request.sheet
    found = [contents(facility, one) for one in laid]
    room = drawing_area(sheet).grown(-INSET)
    top, marks, cards = _overview(found, laid, room, before)
    table = revision_room(facility, sheet)
    last = max((one.number for one in found), default=first - 1)

    def flowed(numbers: Sequence[int]) -> tuple[tuple[Mark, ...], ...]:
        behind = [n for n in numbers if n > last]
        told = [*((n, "Index, continued") for n in behind), (max(last, *numbers) + 1, BACK)]
        gone = sorted({*range(1, last + 1)} - {*numbers} - {one.number for one in found})

        def blocks(width: int) -> list[Block]:
            said = _lists(request, laid, width)
            places = bay_index(facility, laid, request.plan.told.listed, width)
            listed = index(found, width, told, gone)
            made = [listed, places, *(b for b in said if b.name in FRONT)]
            return sorted(made, key=lambda block: block.name != "cautions") if behind else made

        return text_pages(sheet, blocks, max(1, room.width // INDEX_COLUMN), top, table)

    count = 1
    while len(pages := flowed(numbers := _numbers(count, first, last))) > count:
        count = len(pages)
    made = [
        Page(
            request.heading if not number else f"{request.heading}, continued",
            f"{len(laid)} sheets of drawing, finder and lists. {request.flow}",
            (*(marks if not number else ()), *page),
            revisions=not number,
        )
        for number, page in enumerate(pages)
    ]
    return Front(dict(zip(numbers, made, strict=False)), cards, max(last, *numbers) + 1)


def _numbers(count: int, first: int, last: int) -> list[int]:
    """Numbers for so many pages: those before the first drawing, then those behind the last."""
    before = range(1, min(first, count + 1))
    return [*before, *range(last + 1, last + 1 + count - len(before))]


def _overview(
    found: Sequence[Contents], laid: Sequence[Laid], room: Box, before: Standing
) -> tuple[int, tuple[Mark, ...], Standing]:
    """The sheets at a glance, where they have room, the top of what follows below them, and how
    they stand: as before unless that takes more room than there is."""
    top = room.y + HEAD
    for stood in (before, NOTHING) if found else ():
        shares, aspect = [one.share for one in laid], 2 * room.width / room.height
        marks, extent, cards = overview(found, shares, aspect, stood)
        if extent.width <= room.width and extent.height <= room.height // 2:
            dx = room.x + (room.width - extent.width) // 2 - extent.x
            ref = Ref(("overview",), title="Overview of the sheets")
            group = Group(all_moved(marks, dx, top - extent.y), ref)
            return top + extent.height + 2 * INSET, (group,), cards
    return top, (), NOTHING


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


def back_pages(request: Request, bench: Bench, placings: Sequence[Placing]) -> list[Page]:
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
    return [Page(BACK, request.heading, page) for page in pages]


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
