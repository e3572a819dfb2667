"""The pages of a set before and behind its drawings: overview, index, what must be read; then the
finder and all lists."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial

from slinediag.address import Jack, PortAddress, natural
from slinediag.chart.blocks import Block, indent_for, prose
from slinediag.chart.chains import chains_of
from slinediag.chart.dividing import Placing
from slinediag.chart.division import Bench
from slinediag.chart.finder import Entry, Place, entries, finder
from slinediag.chart.frame import drawing_area, zone_at
from slinediag.chart.glancing import Placed as Glanced
from slinediag.chart.glancing import place_glance
from slinediag.chart.joints import sheets_of_ports
from slinediag.chart.laying import Laid
from slinediag.chart.lettering import SMALL
from slinediag.chart.lists import lists
from slinediag.chart.overview import Contents, bay_index, contents, index
from slinediag.chart.page import GUTTER, HEAD, INSET, Page, revision_room, text_pages
from slinediag.chart.priority_ways import priority_ways
from slinediag.chart.ranges import compressed
from slinediag.chart.request import Request
from slinediag.chart.standing import NOTHING, Standing
from slinediag.chart.titleblock import TRIAL, title_block_size
from slinediag.drawing.marks import Group, Mark
from slinediag.geometry import Box
from slinediag.text import shorten

TEXT_COLUMNS = (70_000, 58_000)
"""Of the finder and the lists, narrower ones where that saves a page."""
INDEX_COLUMN = 90_000
NAMED = 3
"""Blocks that the heading of a page behind the drawings names."""
SPARES = "spares"
"""The list of the positions not drawn."""
OVERVIEW = "Overview of the sheets"
LONGEST = 40_000
"""Of a label in such a heading."""
READ = ("cautions", "words")
FRONT = (*READ, "facility-notes")
"""The lists that stand on the first sheet, in this order; all others stand on the last."""


@dataclass(frozen=True, slots=True)
class Manner:
    """How what is said on the pages before and behind the drawings is divided over them.

    ``small``: with the overview no larger than it need be. ``brief``: the index without positions.
    ``grid_behind``: the grid of positions before the finder. ``lists_before``: as many lists as
    have room on the pages before the drawings stand there.
    """

    small: bool = False
    brief: bool = False
    grid_behind: bool = False
    lists_before: bool = False


MANNERS = tuple(
    Manner(small, brief, *rest)
    for small in (False, True)
    for brief in (False, True)
    for rest in ((False, False), (False, True), (True, False))
)
"""All manners; the first that takes the fewest pages is the one."""


@dataclass(frozen=True, slots=True)
class Ends:
    """The pages before the drawings, by number, and those behind them; how the overview's cards
    stand.

    ``next``: the number that follows those of all drawings and of the pages before them.
    """

    front: Mapping[int, Page]
    back: Sequence[Page]
    overview: Standing
    next: int

    @property
    def cost(self) -> tuple[int, int]:
        """How many pages there are, and before the drawings."""
        return len(self.front) + len(self.back), len(self.front)

    @property
    def pages(self) -> Mapping[int, Page]:
        """All of them by number."""
        return {**self.front, **dict(enumerate(self.back, self.next))}


def end_pages(
    request: Request,
    bench: Bench,
    placings: Sequence[Placing],
    first: int,
    before: Standing = NOTHING,
) -> Ends:
    """The pages before the first drawing and behind the last, as few as may be.

    Before it are the whole at a glance, what must be read, the index; those for which there is no
    number before ``first`` come after the last drawing. ``before``: how the cards of an earlier
    overview stood, which stay.
    """
    making = _Making(request, bench, placings, first, before)
    chosen, best = MANNERS[0], making.made(MANNERS[0])
    for manner in MANNERS[1:]:
        if manner.small and not making.smaller:
            break
        if len(best.front) == 1 and not manner.lists_before:
            continue  # One page before the drawings is as few as may be.
        found = making.made(manner)
        if found.cost < best.cost:
            chosen, best = manner, found
    return making.with_list_named(chosen, best)


class _Making:
    """The pages of one set in several manners; what these share is made once."""

    def __init__(
        self,
        request: Request,
        bench: Bench,
        placings: Sequence[Placing],
        first: int,
        before: Standing,
    ) -> None:
        self._request, self._bench, self._placings = request, bench, placings
        self._laid = [placing.laid for placing in placings]
        self._contents = [
            _marked(contents(request.facility, one), one, request) for one in self._laid
        ]
        self._first = first
        self._last = max((one.number for one in self._contents), default=first - 1)
        room = drawing_area(request.sheet).grown(-INSET)
        below = Box(room.x, room.y + HEAD, room.width, room.height - HEAD)
        self._columns, self._top = max(1, room.width // INDEX_COLUMN), below.y
        found, facility = self._contents, request.facility
        across, down = title_block_size()
        corner = (across - INSET + GUTTER, down)
        self._seen = place_glance(facility, found, self._laid, below, corner, before)
        self._found = finder_entries(request, placings)
        self._fed = chains_of(request.plan.told), sheets_of_ports(self._laid)
        self._spares = 0
        self._backs: dict[tuple[bool, int], list[Page]] = {}
        self._said: dict[int, list[Block]] = {}
        self._finders: dict[int, Block] = {}

    @property
    def smaller(self) -> bool:
        """Whether the overview is drawn larger than it need be."""
        return len(self._seen) > 1

    def with_list_named(self, manner: Manner, ends: Ends) -> Ends:
        """The same pages, with the sheet that lists the positions not drawn in the grid of them."""
        self._spares = _sheet_of(SPARES, ends.pages)
        if not self._spares:
            return ends
        self._backs.clear()
        again = self.made(manner)
        same = again.cost == ends.cost and _sheet_of(SPARES, again.pages) == self._spares
        return again if same else ends

    def made(self, manner: Manner) -> Ends:
        """The pages in a manner."""
        seen = self._seen[-1 if manner.small else 0] if self._seen else None
        back = self._back(manner.grid_behind, 0)
        front, moved = self._front(manner, seen, 0, back), 0
        if manner.lists_before:
            moved = self._lists_with_room(manner, seen, len(front))
            while moved:
                back = self._back(manner.grid_behind, moved)
                more = self._front(manner, seen, moved, back)
                if len(more) <= len(front):
                    front = more
                    break
                moved -= 1
        last = max(self._last, *front)
        cards = seen.standing if seen is not None else NOTHING
        return Ends(front, self._back(manner.grid_behind, moved), cards, last + 1)

    def _lists_with_room(self, manner: Manner, seen: Glanced | None, most: int) -> int:
        """About how many lists have room on so many pages before the drawings."""
        back = self._back(manner.grid_behind, 0)
        low, high = 0, len(self._later(INDEX_COLUMN))
        while low < high:
            middle = (low + high + 1) // 2
            if len(self._front(manner, seen, middle, back)) > most:
                high = middle - 1
            else:
                low = middle
        return low

    def _front(
        self, manner: Manner, seen: Glanced | None, moved: int, back: Sequence[Page]
    ) -> dict[int, Page]:
        """The pages before the drawings by number, with so many of the lists."""
        request, sheet = self._request, self._request.sheet
        shared = seen is not None and not seen.alone
        top = seen.foot + INSET if seen is not None and shared else self._top
        table = revision_room(request.facility, sheet)
        extra = 0 if seen is None or shared else 1
        count = 1
        while True:
            numbers = _numbers(count + extra, self._first, self._last)
            blocks = partial(self._front_blocks, manner, numbers, back, moved)
            pages = text_pages(sheet, blocks, (self._columns,), top, table)
            if len(pages) <= count:
                break
            count = len(pages)
        # Fewer than counted where the index of fewer is longer: it names the numbers that none has.
        made = [*pages, *[()] * (count - len(pages))]
        if seen is not None:
            if shared:
                made[0] = (*seen.marks, *made[0])
            else:
                made.insert(1, seen.marks)
        titled = [self._titled(page, n) for n, page in enumerate(made)]
        if extra:
            titled[1] = replace(titled[1], heading=OVERVIEW)
        return dict(zip(numbers, titled, strict=False))

    def _titled(self, page: tuple[Mark, ...], number: int) -> Page:
        request = self._request
        return Page(
            request.heading if not number else f"{request.heading}, continued",
            f"{len(self._laid)} sheets of drawing, finder and lists. {request.flow}",
            page,
            revisions=not number,
        )

    def _front_blocks(
        self,
        manner: Manner,
        numbers: Sequence[int],
        back: Sequence[Page],
        moved: int,
        width: int,
    ) -> list[Block]:
        request, last = self._request, self._last
        start = max(last, *numbers) + 1
        later = self._later(width)[:moved]
        told = [(n, _continued(later)) for n in numbers[1:]]
        if self._seen and self._seen[0].alone:
            told[:1] = [(numbers[1], OVERVIEW)]
        told += [(n, page.heading) for n, page in enumerate(back, start)]
        drawn = {one.number for one in self._contents}
        gone = sorted({*range(1, last + 1)} - {*numbers} - drawn)
        said = {block.name: block for block in self._lists(width)}
        read = [said[name] for name in READ if name in said]
        notes = [said[name] for name in FRONT[len(READ) :] if name in said]
        ways = priority_ways(request.facility, *self._fed, width)
        shown = [replace(one, positions="") for one in self._contents]
        sheets = index(shown if manner.brief else self._contents, width, told, gone)
        grids = [] if manner.grid_behind else [self._grid(width)]
        made = [*read, ways, *notes, sheets, *grids, *later]
        return [block for block in made if block.items]

    def _back(self, grid_behind: bool, moved: int) -> list[Page]:
        """The pages behind the drawings: the finder, then all lists but so many."""
        if (grid_behind, moved) not in self._backs:
            request, width = self._request, drawing_area(self._request.sheet).grown(-INSET).width

            def blocks(width: int) -> list[Block]:
                grids = [self._grid(width)] if grid_behind else []
                made = [*grids, self._finder(width), *self._later(width)[moved:]]
                return [block for block in made if block.items]

            counts = dict.fromkeys(max(1, width // column) for column in TEXT_COLUMNS)
            pages = text_pages(request.sheet, blocks, list(counts))
            found = [Page(_back_heading(page), request.heading, page) for page in pages]
            self._backs[grid_behind, moved] = found
        return self._backs[grid_behind, moved]

    def _finder(self, width: int) -> Block:
        if width not in self._finders:
            self._finders[width] = finder(self._found, width)
        return self._finders[width]

    def _grid(self, width: int) -> Block:
        request = self._request
        listed = request.plan.told.listed
        return bay_index(request.facility, self._laid, listed, width, self._spares)

    def _later(self, width: int) -> list[Block]:
        """The lists that stand behind the finder."""
        said = (block for block in self._lists(width) if block.name not in FRONT)
        return [*said, *idle_ports(self._bench, width)]

    def _lists(self, width: int) -> list[Block]:
        """All lists of the chart."""
        if width not in self._said:
            plan = self._request.plan
            boxes = [box for one in self._laid for box in one.boxes]
            said = self._request.said
            made = lists(plan.told, boxes, plan.notes, said, width, plan.points)
            self._said[width] = list(made)
        return self._said[width]


def _sheet_of(block: str, pages: Mapping[int, Page]) -> int:
    """The first page on which a list stands; 0 where none does."""
    for number, page in sorted(pages.items()):
        for mark in page.marks:
            if isinstance(mark, Group) and mark.ref and mark.ref.classes == ("block", block):
                return number
    return 0


def _continued(later: Sequence[Block]) -> str:
    """What the index says of a page that goes on from the first, with the lists moved there."""
    words = ["Index, continued", *(block.heading for block in later)]
    told = ", ".join(words[: NAMED + 1])
    return f"{told} and more" if len(words) > NAMED + 1 else told


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


def finder_entries(request: Request, placings: Sequence[Placing]) -> tuple[Entry, ...]:
    """All labels with the sheets and zones of what bears them."""
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
    return entries(request.plan.told, jacks, boxes)


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
