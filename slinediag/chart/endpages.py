"""The pages of a set before and behind its drawings: overview, index, what must be read; then the
finder and all lists."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from slinediag.address import Jack, PortAddress, natural
from slinediag.chart.blocks import Block, indent_for, prose
from slinediag.chart.chains import chains_of
from slinediag.chart.dividing import Placing
from slinediag.chart.division import Bench
from slinediag.chart.finder import Place, entries, finder
from slinediag.chart.frame import drawing_area, zone_at
from slinediag.chart.glancing import place_glance
from slinediag.chart.joints import sheets_of_ports
from slinediag.chart.laying import Laid
from slinediag.chart.lettering import SMALL
from slinediag.chart.lists import lists
from slinediag.chart.overview import Contents, bay_index, contents, index
from slinediag.chart.page import HEAD, INSET, Page, revision_room, text_pages
from slinediag.chart.priority_ways import priority_ways
from slinediag.chart.ranges import compressed
from slinediag.chart.request import Request
from slinediag.chart.standing import NOTHING, Standing
from slinediag.chart.titleblock import TRIAL, title_block_size
from slinediag.drawing.marks import Group, Mark
from slinediag.geometry import Box
from slinediag.text import shorten

TEXT_COLUMN = 70_000
INDEX_COLUMN = 90_000
NAMED = 3
"""Blocks that the heading of a page behind the drawings names."""
LONGEST = 40_000
"""Of a label in such a heading."""
READ = ("cautions", "words")
FRONT = (*READ, "facility-notes")
"""The lists that stand on the first sheet, in this order; all others stand on the last."""


@dataclass(frozen=True, slots=True)
class Front:
    """The pages with the overview and the index, by number, and how the overview's cards stand.

    ``next``: the number that follows those of all drawings and of these pages.
    """

    pages: Mapping[int, Page]
    overview: Standing
    next: int


def front_pages(
    request: Request,
    laid: Sequence[Laid],
    first: int,
    back: Sequence[Page] = (),
    before: Standing = NOTHING,
) -> Front:
    """The pages before the first drawing: the whole at a glance, what must be read, the index.

    Pages for which there is no number before ``first`` come after the last drawing; ``back`` are
    those that follow these, which the index names.
    ``before``: how the cards of an earlier overview stood, which stay.
    """
    facility, sheet = request.facility, request.sheet
    found = [_marked(contents(facility, one), one, request) for one in laid]
    room = drawing_area(sheet).grown(-INSET)
    table = revision_room(facility, sheet)
    below = Box(room.x, room.y + HEAD, room.width, room.height - HEAD)
    alone = Box(below.x, below.y, below.width, below.height - title_block_size()[1] - INSET)
    seen = place_glance(found, laid, below, alone, before)
    shared = seen is not None and not seen.alone
    top = seen.foot + INSET if seen is not None and shared else below.y
    last = max((one.number for one in found), default=first - 1)
    fed = chains_of(request.plan.told), sheets_of_ports(laid)

    def flowed(numbers: Sequence[int]) -> tuple[tuple[Mark, ...], ...]:
        start = max(last, *numbers) + 1
        told = [(n, "Index, continued") for n in numbers[1:]]
        told += [(n, page.heading) for n, page in enumerate(back, start)]
        gone = sorted({*range(1, last + 1)} - {*numbers} - {one.number for one in found})

        def blocks(width: int) -> list[Block]:
            said = {block.name: block for block in _lists(request, laid, width)}
            read = [said[name] for name in READ if name in said]
            notes = [said[name] for name in FRONT[len(READ) :] if name in said]
            ways = priority_ways(facility, *fed, width)
            places = bay_index(facility, laid, request.plan.told.listed, width)
            made = [*read, ways, *notes, index(found, width, told, gone), places]
            return [block for block in made if block.items]

        return text_pages(sheet, blocks, max(1, room.width // INDEX_COLUMN), top, table)

    extra = 0 if seen is None or shared else 1
    count = 1
    while len(pages := flowed(numbers := _numbers(count + extra, first, last))) > count:
        count = len(pages)
    # Fewer than counted where the index of fewer is longer: it names the numbers that none has.
    made = [*pages, *[()] * (count - len(pages))]
    if seen is not None:
        if shared:
            made[0] = (*seen.marks, *made[0])
        else:
            made.insert(1, seen.marks)
    titled = [
        Page(
            request.heading if not number else f"{request.heading}, continued",
            f"{len(laid)} sheets of drawing, finder and lists. {request.flow}",
            page,
            revisions=not number,
        )
        for number, page in enumerate(made)
    ]
    cards = seen.standing if seen is not None else NOTHING
    return Front(dict(zip(numbers, titled, strict=False)), cards, max(last, *numbers) + 1)


def _marked(told: Contents, laid: Laid, request: Request) -> Contents:
    """What a sheet is about, marked where it bears a plug that a trial puts in or pulls."""
    plugs = request.plan.subject.plugs
    moved = {jack for cord in plugs.cords if cord.standing != "standing" for jack in cord.ends}
    moved |= {dummy.jack for dummy in plugs.dummies if dummy.standing != "standing"}
    here = (s for p in laid.points for row in p.rows for s in (row.left, row.right) if s)
    if moved.isdisjoint(jack for spot in here for jack in spot.jacks):
        return told
    names = (": ".join((TRIAL, *told.names[:1])), *told.names[1:])
    return replace(told, heading=f"{TRIAL}: {told.heading}", names=names)


def _numbers(count: int, first: int, last: int) -> list[int]:
    """Numbers for so many pages: those before the first drawing, then those behind the last."""
    before = range(1, min(first, count + 1))
    return [*before, *range(last + 1, last + 1 + count - len(before))]


def _lists(request: Request, laid: Sequence[Laid], width: int) -> list[Block]:
    """All lists of the chart; paths of a box once, whose parts stand on several sheets."""
    boxes = {}
    for one in laid:
        for box in one.boxes:
            if box.equipment.id not in boxes or box.style == "listed" or box.onward:
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
    return [Page(_back_heading(page), request.heading, page) for page in pages]


def _back_heading(page: Sequence[Mark]) -> str:
    """What a page behind the drawings holds: from which label to which, and the lists."""
    found = []
    for block in (mark for mark in page if isinstance(mark, Group)):
        words = block.ref.title
        if "finder" in block.ref.classes:
            entered = (mark for mark in block.marks if isinstance(mark, Group))
            labels = [e.ref.title for e in entered if "finder-entry" in e.ref.classes]
            ends = [shorten(label, SMALL, LONGEST) or label for label in (labels[0], labels[-1])]
            words = f"{words} {ends[0]} to {ends[1]}"
        found.append(words)
    told = ", ".join(found[:NAMED])
    return f"{told} and more" if len(found) > NAMED else told


def idle_ports(bench: Bench, room: int) -> list[Block]:
    """The ports of equipment in parts that no line reaches: no part draws them."""
    facility = bench.plan.subject.facility
    rows = []
    for name in sorted(bench.large, key=natural):
        box = facility.equipment[name]
        labels = [
            box.facts[port.id, port.side].label
            for port in box.ports
            if _idle(bench, PortAddress(name, port.id, port.side))
        ]
        if labels:
            rows.append((box.printed, compressed(labels)))
    if not rows:
        return []
    indent = min(indent_for(label for label, _ in rows), room // 2)
    items = tuple(prose(words, room, label, indent) for label, words in rows)
    return [Block("idle-ports", "Ports without a line", items)]


def _idle(bench: Bench, port: PortAddress) -> bool:
    """Whether no line reaches a port that is in the part of the chart that is asked for."""
    within = bench.holds(port) or not bench.shown_in_part(port.equipment)
    return within and port not in bench.wired
