"""A sheet of a set: frame, heading, legend and title block, and the room left for what it shows.

Lengths in micrometres.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache
from typing import NamedTuple

from slinediag.chart.blocks import Block, parted
from slinediag.chart.flowing import FAR_APART, Column, Flowed, Manner, Tears, through
from slinediag.chart.frame import drawing_area, frame
from slinediag.chart.lettering import SMALL, letter, width, wrap
from slinediag.chart.sheet import Sheet
from slinediag.chart.titleblock import (
    revision_table,
    revision_table_height,
    sheet_words,
    title_block,
    title_block_size,
)
from slinediag.drawing import styles
from slinediag.drawing.marks import Drawing, Mark, Ref, Text, Weight
from slinediag.geometry import Box, Point
from slinediag.model.facility import Facility
from slinediag.text import shorten

INSET = 7_000
GUTTER = 6_000
COLUMN = 58_000
"""Least width of a column of the legend."""
HEAD = 14_000
RAISED = 1_500
CLOSE = 3_800
"""How far a heading is raised over two lines, and from one of these to the other."""
GAP = 3_000
CLEAR = 2_000
"""From what is drawn to the lines of the foot below it, which are as wide as their ink."""
STEP = 2_000
MOST_PAGES = 400
WHOLE = 45_000
"""Blocks no higher than this are kept in one piece."""
TITLE_ROOM = 105_000
"""Of what the title block names below its title."""
AND_MORE = " and more"
LEAST_COLUMN = 25_000
"""A column that is no higher than this stays empty."""
LISTED = (
    Manner(2 * WHOLE, fill=True),
    Manner(WHOLE, fill=True),
    Manner(WHOLE, together=1, grouped=False),
)
"""How lists are set on pages of their own, the best way first."""
FEET: tuple[tuple[Manner, Tears | None], ...] = (
    *((Manner(), Tears(0, torn)) for torn in (0, 1, 2, MOST_PAGES)),
    (Manner(together=1, grouped=False), None),
)
"""How blocks are set at the foot of a sheet, the best way first, and the most tears it may have."""

BlockMaker = Callable[[int], Sequence[Block]]


@dataclass(frozen=True, slots=True)
class Page:
    """What a sheet of a set shows below its heading; ``revisions`` where their table goes."""

    heading: str
    subheading: str
    marks: tuple[Mark, ...]
    revisions: bool = False


@dataclass(frozen=True, slots=True)
class Band:
    """The legend at the foot of every sheet: its marks, and the top of the room it takes."""

    marks: tuple[Mark, ...]
    top: int


def legend_band(sheet: Sheet, legend: Callable[[int], Block]) -> Band | None:
    """The legend beside the title block or above it, whichever leaves more room for the drawing.

    None where it would take more than two thirds of the height.
    """
    return foot_band(sheet, lambda width: [legend(width)])


def foot_band(
    sheet: Sheet,
    blocks: BlockMaker,
    ink: Sequence[Box] = (),
    *,
    beside: bool = False,
    at_worst: bool = True,
) -> Band | None:
    """Blocks at the foot of a sheet: beside the title block, above it, or where the ``ink`` of what
    is drawn is told, both. None where they do not fit.

    Where ink is told, what is below it is free: blocks are torn only where there is no room for
    them in one piece; columns may go up ``beside`` what is drawn lowest, and single items stand
    behind tears only ``at_worst``. Else the drawing gets most room.
    """
    area = drawing_area(sheet).grown(-INSET)
    least = area.y + HEAD + area.height // 3
    lowest = max((box.bottom for box in ink), default=least)
    highest = least if beside or not ink else max(least, lowest + CLEAR)
    tops = (area.bottom - title_block_size()[1], highest)
    made = cache(lambda width: tuple(replace(block, room=width) for block in blocks(width)))
    feet = list(_feet(area, free=bool(ink)))
    for manner, most in FEET[-1:] if at_worst else FEET[:-1]:
        found = [
            band
            for columns in feet
            if columns
            for width in [min(column.width for column in columns)]
            if (band := _band(columns, tops, made(width), ink, (manner, most)))
        ]
        if found:
            return max(found, key=lambda band: band.top)
    return None


def _feet(area: Box, *, free: bool) -> Iterator[list[Box]]:
    """The columns at the foot of a sheet that are tried, as high as it is: beside the title block
    and above it; where what is below a drawing is ``free``, also fewer and wider ones, and both."""
    across, down = title_block_size()
    left = area.right + INSET - across - INSET // 2
    above = area.bottom - down + (INSET - INSET // 2 if free else 0)
    beside = Box(area.x, area.y, left - area.x, area.height)
    over = Box(area.x, area.y, area.width, above - area.y)
    for fewer in (2, 1, 0) if free else (0,):
        yield _abreast(beside, fewer)
        yield _abreast(over, fewer)
        if free:
            yield [
                foot if foot.right <= left else replace(foot, height=over.height)
                for foot in _abreast(area, fewer)
            ]
            rest = Box(left + GUTTER, area.y, area.right - left - GUTTER, over.height)
            yield [*_abreast(beside, fewer), *_abreast(rest, 0)]


def _abreast(room: Box, fewer: int) -> list[Box]:
    """The columns of a room; ``fewer`` than it has room for."""
    count = (room.width + GUTTER) // (COLUMN + GUTTER) - fewer
    if count < 1:
        return []
    width = (room.width - (count - 1) * GUTTER) // count
    return [Box(room.x + n * (width + GUTTER), room.y, width, room.height) for n in range(count)]


def _band(
    feet: Sequence[Box],
    tops: tuple[int, int],
    blocks: Sequence[Block],
    ink: Sequence[Box],
    how: tuple[Manner, Tears | None],
) -> Band | None:
    """Blocks in columns that start no lower and no higher than told, each below the ink over it;
    ``how``: in which manner, and with how many tears at most."""
    clear = [_under(foot, ink) for foot in feet]
    height = sum(block.height for block in blocks)
    for top in range(tops[0], tops[1], -STEP):
        open_to = [
            Column(foot.x, max(top, free), foot.bottom)
            for foot, free in zip(feet, clear, strict=True)
            if max(top, free) < foot.bottom
        ]
        if sum(column.height for column in open_to) < height:
            continue
        found = through(blocks, open_to, how[0])
        if found is not None and (how[1] is None or found.tears <= how[1]):
            return Band(found.marks, top)
    return None


def _under(foot: Box, ink: Sequence[Box]) -> int:
    """From where on a column is free of ink."""
    over = (box for box in ink if box.x < foot.right + GAP and box.right > foot.x - GAP)
    return max((box.bottom + CLEAR for box in over), default=foot.y)


def columns(sheet: Sheet, count: int, top: int, table: int) -> list[Column]:
    """Columns of one width from a top down; those over the title block and table end above it."""
    framed = drawing_area(sheet)
    area = framed.grown(-INSET)
    width = (area.width - (count - 1) * GUTTER) // count
    across, down = title_block_size()
    found = []
    for number in range(count):
        x = area.x + number * (width + GUTTER)
        over = x + width > framed.right - across - INSET // 2
        bottom = framed.bottom - down - table - INSET // 2 if over else area.bottom
        if bottom - top < LEAST_COLUMN:
            bottom = top
        found.append(Column(x, top, bottom))
    return found


def drawing_room(sheet: Sheet, band: Band) -> Box:
    """What is left for the drawing between heading and legend."""
    area = drawing_area(sheet).grown(-INSET)
    top = area.y + HEAD
    return Box(area.x, top, area.width, band.top - GAP - top)


def text_pages(
    sheet: Sheet, make: BlockMaker, counts: Sequence[int], first_top: int = 0, table: int = 0
) -> tuple[tuple[Mark, ...], ...]:
    """Blocks through as many pages as they take, none where there are none, each of so many
    columns: of several counts the first with the fewest pages. A text that is longer than a column
    goes on in the next.

    ``first_top`` and ``table``: where the columns of the first page start, and the height of the
    revision table that they end above.
    """
    best: tuple[_Rank, int, Sequence[Block], Manner, list[Column]] | None = None
    for count in counts:
        highest = max(column.height for column in _further(sheet, count))
        across = _column_width(sheet, count)
        made = [replace(parted(block, highest), room=across) for block in make(across)]
        if not made:
            return ()
        for manner in LISTED:
            if best and best[0] == _Rank(1):
                break
            most = best[0].pages if best else MOST_PAGES
            found = _pages_for(sheet, made, count, manner, first_top, table, most)
            if found is None:
                continue
            along, flowed = found
            before = {column.x for column in along[:-count] if column.height}
            single, torn = flowed.tears
            rank = _Rank(len(along) // count, single, len(before - flowed.columns), torn)
            if best is None or rank < best[0]:
                best = rank, count, made, manner, along
    if best is None:
        return ()
    rank, count, blocks, manner, along = best
    return tuple(_evenly(blocks, along, count, manner).on_pages(rank.pages))


class _Rank(NamedTuple):
    """How good pages of lists are, the least best: how many there are, single items behind tears,
    columns left free before the last page, tears."""

    pages: int
    single: int = 0
    free: int = 0
    torn: int = 0


def _column_width(sheet: Sheet, count: int) -> int:
    return (drawing_area(sheet).grown(-INSET).width - (count - 1) * GUTTER) // count


def _further(sheet: Sheet, count: int) -> list[Column]:
    """The columns of a page behind the first."""
    return columns(sheet, count, drawing_area(sheet).grown(-INSET).y + HEAD, 0)


def _pages_for(
    sheet: Sheet,
    blocks: Sequence[Block],
    count: int,
    manner: Manner,
    first_top: int,
    table: int,
    most: int,
) -> tuple[list[Column], Flowed] | None:
    """The columns of as few pages as blocks take, those of each far from the last's, and the blocks
    in them; None where these are more than ``most``."""
    top = drawing_area(sheet).grown(-INSET).y + HEAD
    highest = max(column.height for column in _further(sheet, count))
    height = sum(block.height for block in blocks)
    along = columns(sheet, count, first_top or top, table)
    room = sum(column.height for column in along)
    for page in range(1, most + 1):
        if height <= room:
            found = through(blocks, along, manner)
            if found is not None and found.keeps_whole(highest):
                return along, found
        more = _further(sheet, count)
        room += sum(column.height for column in more)
        along += [replace(column, x=column.x + page * FAR_APART) for column in more]
    return None


def _evenly(blocks: Sequence[Block], along: Sequence[Column], count: int, manner: Manner) -> Flowed:
    """Blocks in these columns, of which the last so many go down no further than they must, all
    alike, so that no more is torn for it."""
    before, last = along[:-count], along[-count:]
    low, high = (0, max(column.height for column in last) // STEP + 1)
    best = whole = through(blocks, along, manner) or Flowed((), ())
    while low < high:
        deep = (low + high) // 2
        shorter = [replace(c, bottom=min(c.bottom, c.top + deep * STEP)) for c in last]
        found = through(blocks, [*before, *shorter], manner)
        if found is not None and found.tears <= whole.tears:
            high, best = deep, found
        else:
            low = deep + 1
    return best


def revision_room(facility: Facility, sheet: Sheet) -> int:
    """The height of the revision table on a sheet of a set, at most a third of it."""
    return revision_table_height(facility, sheet.height // 3)


def finished(
    facility: Facility,
    sheet: Sheet,
    page: Page,
    number: int,
    count: int,
    band: Band | None,
    *,
    tried: bool = False,
    under: str = "",
) -> Drawing:
    """The sheet with its frame, heading, legend and title block, which tells of a trial.

    ``under``: that trial in short, which the block and the drawing's title name.
    """
    framed, area = frame(sheet)
    corner = Point(area.right, area.bottom)
    named = page.heading != facility.name
    told = (page.heading,) if named and not under else supplements(facility, page.heading, under)
    block = title_block(
        facility,
        title=facility.name,
        sheet_number=number,
        sheet_count=count,
        right_bottom=corner,
        tried=tried,
        subject=first_whole(told, SMALL, TITLE_ROOM),
    )
    table = None
    if page.revisions:
        above = corner.moved(0, -title_block_size()[1])
        room = revision_room(facility, sheet)
        table = revision_table(facility, right_bottom=above, room=room)
    marks = (
        *framed,
        *_head(page, area),
        *page.marks,
        *(band.marks if band else ()),
        *((table,) if table else ()),
        block,
    )
    of = f"; {under}" if under else ""
    title = f"{facility.name}{of}, sheet {sheet_words(number, count)}: {page.heading}"
    return Drawing(sheet.width, sheet.height, marks, title, page.subheading, number)


def supplements(facility: Facility, heading: str, under: str) -> tuple[str, ...]:
    """What a title block may say below the facility's name: the part that is drawn, under what; or
    that alone, since the part is what the sheet is headed with."""
    part = heading.removeprefix(facility.name).removeprefix(": ")
    both = "; ".join(words for words in (part, under) if words)
    return (both, under) if under else (both,)


def first_whole(tries: Sequence[str], height: int, room: int) -> str:
    """The first of these that has room whole, else as much of the first of all as has."""
    whole = (words for words in tries if width(words, height) <= room)
    return next(whole, None) or cut_at_commas(tries[0], height, room)


def _head(page: Page, area: Box) -> Iterator[Mark]:
    """The heading, and below it what the sheet shows; in two lines where it is too long for one."""
    room = area.width - 2 * INSET
    first, *rest = wrap(page.subheading, room) or [""]
    lines = [first, shorten(" ".join(rest), SMALL, room) or ""] if rest else [first]
    raised = RAISED if len(lines) > 1 else 0
    at = Point(area.x + INSET, area.y + INSET + styles.H50 - raised)
    yield _heading(page.heading, at, room)
    for number, line in enumerate(lines):
        foot = at.moved(0, SMALL + 3000 - raised // 2 + number * CLOSE)
        yield letter(foot, line, colour=styles.TEXT_GREY)


def _heading(words: str, at: Point, room: int) -> Text:
    """A heading as large as it has room; shortened at the least size only."""
    for height in (styles.H50, styles.H35):
        if width(words, height, "bold") <= room:
            break
    shown = cut_at_commas(words, height, room, "bold")
    return letter(at, shown, height=height, weight="bold", ref=Ref(("heading",)))


def cut_at_commas(words: str, height: int, room: int, weight: Weight = "regular") -> str:
    """As many names, parted by commas, as have room, and that there are more; of a single one that
    has none as many words, but not a dash before what is left out, nor an open bracket."""
    if width(words, height, weight) <= room:
        return words
    names = words.removesuffix(AND_MORE).split(", ")
    for some in (names, names[0].split()):
        glue = ", " if some is names else " "
        for count in range(len(some) - 1, 0, -1):
            told = glue.join(some[:count]) + AND_MORE
            if some[count - 1] == "–" or told.count("(") > told.count(")"):
                continue
            if width(told, height, weight) <= room:
                return told
    return shorten(words, height, room, weight) or ""
