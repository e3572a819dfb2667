"""The pages of a set before and behind its drawings: overview, index, what must be read; then the
finder and all lists."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from itertools import chain

from slinediag.address import Address
from slinediag.chart.blocks import Block
from slinediag.chart.chains import chains_of
from slinediag.chart.dividing import Placing
from slinediag.chart.division import Bench
from slinediag.chart.endlists import finder_entries, idle_ports
from slinediag.chart.finder import finder
from slinediag.chart.frame import drawing_area
from slinediag.chart.glancing import Placed as Glanced
from slinediag.chart.glancing import place_glance
from slinediag.chart.joints import sheets_of_jacks, sheets_of_ports
from slinediag.chart.lists import CAUTIONS, lists
from slinediag.chart.manners import MANNERS, Manner
from slinediag.chart.overview import bay_index, contents, index
from slinediag.chart.page import (
    GUTTER,
    HEAD,
    INSET,
    Page,
    revision_room,
    text_pages,
)
from slinediag.chart.page_names import (
    FED,
    FINDER,
    GRID,
    INDEX,
    OUTAGES,
    SPARES,
    called,
    held_by,
    index_words,
    sheets_of,
)
from slinediag.chart.priority_ways import priority_ways
from slinediag.chart.request import Request
from slinediag.chart.signposts import caution_strip, find_height, find_line
from slinediag.chart.standing import NOTHING, Standing
from slinediag.chart.titleblock import title_block_size
from slinediag.chart.trial_tags import flow_under, tagged
from slinediag.drawing.marks import Mark
from slinediag.drawing.query import ink_box
from slinediag.geometry import Box, Point, union
from slinediag.tracing.phrases import counted

TEXT_COLUMNS = (70_000, 58_000)
"""Of the finder and the lists, narrower ones where that saves a page."""
INDEX_COLUMN = 90_000
CAUTIONED = "cautions"
"""What stands across the first page, and in no column."""
FRONT = ("remedy", "words", "facility-notes")
"""The lists that stand on the first sheet; all others stand on the last."""
MORE = "Lists"
"""What a page is called that holds now this, now that."""
TRIES = 4
"""How often an index is made anew because its own words have moved what it names."""
ABOVE, BELOW = 3_000, 3_500
"""Free between the cautions and what follows below them, and below the overview."""


@dataclass(frozen=True, slots=True)
class Ends:
    """The pages before the drawings, by number, and those behind them; how the overview's cards
    stand.

    ``next``: the number that follows those of all drawings and of the pages before them.
    ``left``: how many numbers before the first drawing no page has.
    """

    front: Mapping[int, Page]
    back: Sequence[Page]
    overview: Standing
    next: int
    left: int = 0

    @property
    def cost(self) -> tuple[int, int, bool, bool, bool]:
        """How many numbers no page has, how many pages there are, whether positions are looked up
        on another than the first, whether what to patch stands behind the drawings, and whether
        the first page does not tell of all priority inputs what feeds them."""
        first, fed = (sheets_of(name, self.pages) in ([], [1]) for name in (GRID, FED))
        early = sheets_of(OUTAGES, self.pages) in ([], sheets_of(OUTAGES, self.front))
        return self.left, len(self.front) + len(self.back), not first, not early, not fed

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
        if (
            len(best.front) == 1
            and not any((best.left, *best.cost[2:]))
            and not manner.lists_before
        ):
            continue  # One page before the drawings is as few as may be.
        found = making.made(manner)
        if found.cost < best.cost:
            chosen, best = manner, found
    if best.cost[-1]:
        # What feeds all priority inputs is seen at once, if that takes fewer words.
        for manner in (replace(one, terse=True) for one in MANNERS):
            if manner.small and not making.smaller:
                break
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
            tagged(contents(request.facility, one), one, request) for one in self._laid
        ]
        self._first = first
        self._last = max((one.number for one in self._contents), default=first - 1)
        room = drawing_area(request.sheet).grown(-INSET)
        below = Box(room.x, room.y + HEAD, room.width, room.height - HEAD)
        self._columns, self._area = max(1, room.width // INDEX_COLUMN), room
        names = [GRID, FINDER, *([OUTAGES] if request.said.outages else [])]
        at = Point(room.x, below.y + find_height(request.heading, room, names))
        self._strip = caution_strip("Cautions", CAUTIONS, at, room.width)
        self._top = union(map(ink_box, self._strip)).bottom + ABOVE
        found, facility = self._contents, request.facility
        across, down = title_block_size()
        corner = (across - INSET + GUTTER, down)
        above = self._top - below.y
        table = revision_room(facility, request.sheet)
        self._seen = place_glance(facility, found, self._laid, below, above, corner, table, before)
        self._found = finder_entries(request, placings)
        chains = chains_of(request.plan.told, request.left or request.answer)
        ports, jacks = sheets_of_ports(self._laid), sheets_of_jacks(self._laid)
        drawn: dict[Address, int] = dict(chain(ports.items(), jacks.items()))
        self._fed = chains, drawn
        self._spares: Sequence[int] = ()
        self._backs: dict[tuple[bool, int], list[Page]] = {}
        self._said: dict[int, list[Block]] = {}
        self._finders: dict[int, Block] = {}

    @property
    def smaller(self) -> bool:
        """Whether the overview is drawn larger than it need be."""
        return len(self._seen) > 1

    def with_list_named(self, manner: Manner, ends: Ends) -> Ends:
        """The same pages, with the sheets that list the positions not drawn in the grid of them."""
        listed = sheets_of(SPARES, ends.pages)
        if not listed:
            return ends
        self._spares = listed
        self._backs.clear()
        again = self.made(manner)
        same = again.cost == ends.cost and sheets_of(SPARES, again.pages) == listed
        return again if same else ends

    def made(self, manner: Manner) -> Ends:
        """The pages in a manner."""
        seen = self._seen[-1 if manner.small else 0] if self._seen else None
        back = [] if INDEX in manner.behind else self._back(manner, 0)
        front, moved = self._front(manner, seen, 0, back), 0
        if manner.lists_before:
            moved = self._lists_with_room(manner, seen, len(front))
            while moved:
                back = self._back(manner, moved)
                more = self._front(manner, seen, moved, back)
                if len(more) <= len(front):
                    front = more
                    break
                moved -= 1
            if not moved and self._request.said.outages:
                front, back, moved = self._with_patches(manner, seen, front, back)
        behind = INDEX in manner.behind
        back = self._indexed(manner, front) if behind else self._back(manner, moved)
        cards = seen.standing if seen is not None else NOTHING
        left = max(0, self._first - 1 - len(front))
        ends = Ends(front, back, cards, max(self._last, *front) + 1, left)
        return replace(ends, front={**front, 1: self._signed(front[1], ends.pages)})

    def _with_patches(
        self,
        manner: Manner,
        seen: Glanced | None,
        front: dict[int, Page],
        back: list[Page],
    ) -> tuple[dict[int, Page], list[Page], int]:
        """The pages with what to patch, the first of the lists, before the drawings, where that
        takes no more of them; and how many lists stand there."""
        fewer = self._back(manner, 1)
        more = self._front(manner, seen, 1, fewer)
        if len(more) + len(fewer) > len(front) + len(back):
            return front, back, 0
        return more, fewer, 1

    def _signed(self, first: Page, pages: Mapping[int, Page]) -> Page:
        """The first page with what says where to look."""
        listed = {name: sheets_of(name, pages) for name in (GRID, FINDER, OUTAGES)}
        found = {name: sheets for name, sheets in listed.items() if sheets}
        return replace(first, marks=(*find_line(first.heading, self._area, found), *first.marks))

    def _lists_with_room(self, manner: Manner, seen: Glanced | None, most: int) -> int:
        """About how many lists have room on so many pages before the drawings."""
        back = self._back(manner, 0)
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
        top = seen.foot + BELOW if seen is not None and shared else self._top
        table = revision_room(request.facility, sheet)
        extra = 0 if seen is None or shared else 1
        count, told = 1, dict[int, str]()
        for tried in range(TRIES + 1):
            numbers = _numbers(count + extra, self._first, self._last)
            blocks = partial(self._front_blocks, manner, numbers, told, back, moved)
            pages = text_pages(sheet, blocks, (self._columns,), top, table)
            made = self._with_overview([*pages, *[()] * (count - len(pages))], seen)
            now = index_words(dict(zip(numbers, made, strict=False)))
            if len(pages) <= count and (now == told or tried == TRIES):
                break
            count = max(count, len(pages))
            # What does not come to rest is named in words that are true in any case.
            told = now if tried < TRIES - 1 else dict.fromkeys(now, MORE)
        # Fewer than counted where the index of fewer is longer: it names the numbers that none has.
        overview = numbers[1] if extra else 0
        titled = [self._titled(page, n, overview) for n, page in enumerate(made)]
        return dict(zip(numbers, titled, strict=False))

    def _with_overview(
        self, pages: Sequence[tuple[Mark, ...]], seen: Glanced | None
    ) -> list[tuple[Mark, ...]]:
        """The pages with the cautions, and with the overview on the first or one of its own."""
        made = [(*self._strip, *pages[0]), *pages[1:]]
        if seen is not None and seen.alone:
            made.insert(1, seen.marks)
        elif seen is not None:
            made[0] = (*self._strip, *seen.marks, *pages[0])
        return made

    def _titled(self, page: tuple[Mark, ...], number: int, overview: int) -> Page:
        """A page before the drawings, by its place from 0; ``overview``: on which sheet that is, 0
        for the first."""
        request = self._request
        if number:
            return Page(called(page) or f"{request.heading}, continued", request.heading, page)
        drawn = f"{counted(len(self._laid), 'sheet')} of drawing"
        if overview:
            drawn = f"Overview on sheet {overview}. {drawn}"
        words = flow_under(request, f"{drawn}, finder and lists.")
        return Page(request.heading, words, page, revisions=True)

    def _front_blocks(
        self,
        manner: Manner,
        numbers: Sequence[int],
        told: Mapping[int, str],
        back: Sequence[Page],
        moved: int,
        width: int,
    ) -> list[Block]:
        request = self._request
        start = max(self._last, *numbers) + 1
        behind = [(n, held_by(page.marks)) for n, page in enumerate(back, start)]
        said = {block.name: block for block in self._lists(width)}
        remedy, words, notes = ([said[name]] if name in said else [] for name in FRONT)
        ways = priority_ways(request.facility, *self._fed, width, terse=manner.terse)
        grids = [] if GRID in manner.behind else [self._grid(width)]
        sheets = self._index(manner, numbers, [*told.items(), *behind], width)
        indexes = [] if INDEX in manner.behind else [sheets]
        later = self._later(width)[:moved]
        # What is to be done may leave the grid no room on the first page, others have it.
        if remedy:
            # Torn over columns rather than on a page behind: it is what is looked for first.
            remedy, words = ([replace(b, whole=False) for b in bs] for bs in (remedy, words))
            seek = [*remedy, ways, *words, *grids]
        else:
            seek = [*words, *grids, ways]
        made = [*seek, *notes, *indexes, *later]
        return [block for block in made if block.items]

    def _index(
        self, manner: Manner, numbers: Iterable[int], further: Sequence[tuple[int, str]], width: int
    ) -> Block:
        """The index; ``numbers``: of the pages before the drawings, ``further``: what of all pages
        without a drawing it tells."""
        drawn = {one.number for one in self._contents}
        gone = sorted({*range(1, self._last + 1)} - {*numbers} - drawn)
        return index(self._contents, width, further, gone, brief=manner.brief)

    def _back(self, manner: Manner, moved: int) -> list[Page]:
        """The pages behind the drawings: the finder, then all lists but so many."""
        key = GRID in manner.behind, moved
        if key not in self._backs:
            self._backs[key] = self._pages_behind(*key)
        return self._backs[key]

    def _indexed(self, manner: Manner, front: Mapping[int, Page]) -> list[Page]:
        """The same with all lists and the index behind them."""
        before = [(number, held_by(page.marks)) for number, page in front.items()]
        told: dict[int, str] = {}
        for tried in range(TRIES + 1):
            further = [*before, *told.items()]
            pages = self._pages_behind(False, 0, partial(self._index, manner, front, further))
            marks = [page.marks for page in pages]
            now = index_words(dict(enumerate(marks, max(self._last, *front) + 1)))
            if now == told or tried == TRIES:
                break
            told = now if tried < TRIES - 1 else dict.fromkeys(now, MORE)
        return pages

    def _pages_behind(
        self, gridded: bool, moved: int, index: Callable[[int], Block] | None = None
    ) -> list[Page]:
        """Pages with the grid of positions, if it is here, the finder, all lists but so many, and
        the index, if it is here."""
        request, width = self._request, drawing_area(self._request.sheet).grown(-INSET).width

        def blocks(width: int) -> list[Block]:
            grids = [self._grid(width)] if gridded else []
            *later, labels = self._later(width)
            found = [labels, *later[moved:]] if moved <= len(later) else []
            indexes = [index(width)] if index else []
            return [block for block in (*grids, *found, *indexes) if block.items]

        counts = dict.fromkeys(max(1, width // column) for column in TEXT_COLUMNS)
        pages = text_pages(request.sheet, blocks, list(counts))
        return [Page(called(page), request.heading, page) for page in pages]

    def _finder(self, width: int) -> Block:
        if width not in self._finders:
            self._finders[width] = finder(self._found, width)
        return self._finders[width]

    def _grid(self, width: int) -> Block:
        request = self._request
        listed = request.plan.told.listed
        return bay_index(request.facility, self._laid, listed, width, self._spares)

    def _later(self, width: int) -> list[Block]:
        """The lists that stand behind the drawings, in the order in which they may go before them;
        last the finder."""
        said = (b for b in self._lists(width) if b.name not in (CAUTIONED, *FRONT))
        return [*said, *idle_ports(self._bench, width), self._finder(width)]

    def _lists(self, width: int) -> list[Block]:
        """All lists of the chart."""
        if width not in self._said:
            plan = self._request.plan
            boxes = [box for one in self._laid for box in one.boxes]
            said = self._request.said
            made = lists(plan.told, boxes, plan.notes, said, width, plan.points)
            self._said[width] = list(made)
        return self._said[width]


def _numbers(count: int, first: int, last: int) -> list[int]:
    """Numbers for so many pages: those before the first drawing, then those behind the last."""
    before = range(1, min(first, count + 1))
    return [*before, *range(last + 1, last + 1 + count - len(before))]
