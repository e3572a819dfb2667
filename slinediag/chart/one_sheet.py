"""Where a chart and its blocks go on one sheet: blocks below it, beside it, or both.

Lengths in micrometres.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache
from itertools import product

from slinediag.chart.blocks import Block
from slinediag.chart.earlier import Earlier
from slinediag.chart.enlarging import SCALES, enlarged, enlarged_box
from slinediag.chart.flowing import Column, flow
from slinediag.chart.frame import drawing_area, zone_at
from slinediag.chart.moving import into
from slinediag.chart.sheet import Sheet
from slinediag.chart.titleblock import revision_table_height, title_block_size
from slinediag.chart.zone_finder import Zoner
from slinediag.drawing.marks import Mark
from slinediag.geometry import Box, Point
from slinediag.model.facility import Facility

INSET = 7_000
"""From the frame to anything within it, title block apart."""
GUTTER = 7_000
COLUMN = 82_000
"""Least width of a column of blocks; two of them and the gutter fill a title block's width."""
WIDEST = 100_000
"""Most of a column beside the drawing."""
HEAD = 14_000
BAND_GAP = 6_000
BAND_STEP = 2_000
TABLE = 66_000
"""Most that the revision table takes above the title block."""
WHOLE = 45_000
"""Blocks no higher than this are kept in one piece where the sheet has room."""
LEAST_OF_FINDER = 0.95
"""How little of the height of all blocks these take, wherever the drawing is put: with its zones
only the rows of a few runs change."""
FIRST = ("cautions", "words", "outages")
"""The blocks that stand before the finder."""

BlockMaker = Callable[[int], Sequence[Block]]
FinderMaker = Callable[[int, Zoner], Sequence[Block]]
Pointing = Callable[[Zoner, Callable[[str], str]], tuple[Mark, ...]]
"""Words of the drawing that name zones, by the zone of a point and by that of a list of ways."""


@dataclass(frozen=True, slots=True)
class Content:
    """What goes on a sheet: the drawing's marks and their extent, and its blocks by width.

    ``scale``: how many times as large as it was laid out the drawing is. ``keep``: an earlier
    drawing of one sheet, whose size and place on it this one takes where they will do. ``tried``:
    whether it shows a trial. ``complete``: whether nothing is left out for want of room.
    ``behind``: blocks that stand on pages of their own behind the sheet.
    ``finder``: blocks that say in which zones things are; left out where a sheet has room for all
    else. ``pointing``: what else of the drawing names zones. ``under``: the trial in short.
    """

    facility: Facility
    marks: tuple[Mark, ...]
    extent: Box
    blocks: BlockMaker
    heading: str
    subheading: str
    scale: Fraction = SCALES[0]
    keep: Earlier | None = None
    tried: bool = False
    complete: bool = True
    behind: BlockMaker | None = None
    finder: FinderMaker | None = None
    pointing: Pointing | None = None
    under: str = ""

    def enlarged(self, scale: Fraction) -> Content:
        """The same with its drawing this many times as large."""
        if scale == 1:
            return self
        marks = enlarged(self.marks, scale)
        extent = enlarged_box(self.extent, scale)
        return replace(self, marks=marks, extent=extent, scale=self.scale * scale)

    def kept_on(self, sheet: Sheet) -> Point | None:
        """How far the earlier drawing moved the chart on such a sheet at this scale."""
        return self.keep.shift(1, (sheet.width, sheet.height), self.scale) if self.keep else None


@dataclass(frozen=True, slots=True)
class Arrangement:
    """A sheet on which everything fits: where the drawing goes, the blocks in place, and the height
    the revision table may take."""

    sheet: Sheet
    drawing: Box
    blocks: tuple[Mark, ...]
    table_room: int


def arrange(content: Content, sheet: Sheet, *, around: bool = True) -> Arrangement | None:
    """Blocks below the drawing, else beside it, else both if ``around``; None where they do not
    fit."""
    area = drawing_area(sheet).grown(-INSET)
    found = _below(content, sheet, area) or _beside(content, sheet, area)
    return found or (_around(content, sheet, area) if around else None)


def _below(content: Content, sheet: Sheet, area: Box) -> Arrangement | None:
    """The drawing across the sheet, the blocks in a band under it, no higher than they need."""
    width, height = content.extent.width, content.extent.height
    highest = area.height - HEAD - height - BAND_GAP
    if width > area.width or highest < title_block_size()[1]:
        return None
    count = max(2, (area.width + GUTTER) // (COLUMN + GUTTER))
    column = (area.width - (count - 1) * GUTTER) // count
    make = _maker(content, sheet, column)
    least = _about(make(area.x, area.y + HEAD)) * LEAST_OF_FINDER

    def lowest(there: Box | None) -> Arrangement | None:
        """The lowest band with room for the blocks; ``there``: where the drawing is to stay."""
        for whole, band in product((WHOLE, 0), _heights(highest)):
            top = area.bottom - band
            table = _table_room(content.facility, sheet, top)
            columns = _columns(sheet, area, column, top, count, table)
            if least > sum(column.bottom - column.top for column in columns):
                continue
            room = Box(area.x, area.y + HEAD, area.width, top - BAND_GAP - area.y - HEAD)
            at = _placed(content.extent, room, there)
            made = flow(make(at.x, at.y), columns, whole=whole)
            if made is not None:
                return Arrangement(sheet, at, made, table)
        return None

    return _settled(lowest, _kept(content, sheet))


def _settled(
    lowest: Callable[[Box | None], Arrangement | None], there: Box | None
) -> Arrangement | None:
    """The arrangement with the lowest band where the drawing is put at last.

    That tells the zones, and so how high the blocks are: with those a lower band may do than with
    the first, which a drawing that stays there would find.
    """
    while (found := lowest(there)) and found.drawing != there:
        there = found.drawing
    return found


def _about(blocks: Sequence[Block]) -> int:
    """The height of all blocks in one column."""
    return sum(block.height for block in blocks)


def _maker(content: Content, sheet: Sheet, column: int) -> Callable[[int, int], Sequence[Block]]:
    """The blocks in a column of this width, by where the drawing is put: the finder behind those
    that come first."""
    blocks, finder = content.blocks(column), content.finder
    first = [block for block in blocks if block.name in FIRST]
    rest = [block for block in blocks if block.name not in FIRST]

    @cache
    def made(x: int, y: int) -> Sequence[Block]:
        if finder is None:
            return blocks
        return [*first, *finder(column, zoner(content, sheet, Point(x, y))), *rest]

    return made


def zoner(content: Content, sheet: Sheet, corner: Point) -> Zoner:
    """The zone of a point of the chart, where the drawing's corner is put at a point."""
    dx, dy = corner.x - content.extent.x, corner.y - content.extent.y

    def zone(point: Point) -> str:
        x, y = round(point.x * content.scale), round(point.y * content.scale)
        return zone_at(sheet, Point(x + dx, y + dy))

    return zone


def _heights(highest: int) -> Iterable[int]:
    lowest = min(title_block_size()[1], highest)
    return (*range(lowest, highest, BAND_STEP), highest)


def _beside(content: Content, sheet: Sheet, area: Box) -> Arrangement | None:
    """The drawing at the left, the blocks in columns at the right, above the title block."""
    width, height = content.extent.width, content.extent.height
    left = area.width - width - BAND_GAP
    if left < title_block_size()[0] - INSET or height > area.height - HEAD:
        return None
    count = (left + GUTTER) // (COLUMN + GUTTER)
    column = min((left - (count - 1) * GUTTER) // count, WIDEST)
    start = area.right - count * column - (count - 1) * GUTTER
    inner = Box(start, area.y, area.right - start, area.height)
    top = area.y + HEAD
    table = _table_room(content.facility, sheet, top)
    columns = _columns(sheet, inner, column, top, count, table)
    room = Box(area.x, area.y + HEAD, start - BAND_GAP - area.x, area.height - HEAD)
    there = _placed(content.extent, room, _kept(content, sheet))
    made = _evenly(_maker(content, sheet, column)(there.x, there.y), columns)
    return Arrangement(sheet, there, made, table) if made is not None else None


def _around(content: Content, sheet: Sheet, area: Box) -> Arrangement | None:
    """The drawing at the upper left, the blocks in columns at its right, above the title block, and
    then below it."""
    width, height = content.extent.width, content.extent.height
    right = area.width - width - BAND_GAP
    highest = area.height - HEAD - height - BAND_GAP
    if right < COLUMN or highest < title_block_size()[1]:
        return None
    count = (right + GUTTER) // (COLUMN + GUTTER)
    column = min((right - (count - 1) * GUTTER) // count, WIDEST)
    start = area.right - count * column - (count - 1) * GUTTER
    top = area.y + HEAD
    table = _table_room(content.facility, sheet, top)
    inner = Box(start, area.y, area.right - start, area.height)
    beside = _columns(sheet, inner, column, top, count, table)
    under = (start - area.x) // (column + GUTTER)
    make = _maker(content, sheet, column)

    def lowest(there: Box | None) -> Arrangement | None:
        for whole, band in product((WHOLE, 0), _heights(highest)):
            foot = area.bottom - band
            below = _columns(sheet, area, column, foot, under, table)
            room = Box(area.x, top, start - BAND_GAP - area.x, foot - BAND_GAP - top)
            at = _placed(content.extent, room, there)
            made = flow(make(at.x, at.y), [*beside, *below], whole=whole)
            if made is not None:
                return Arrangement(sheet, at, made, table)
        return None

    return _settled(lowest, _kept(content, sheet))


def _evenly(blocks: Sequence[Block], columns: Sequence[Column]) -> tuple[Mark, ...] | None:
    """The blocks through columns of one height, the least at which they fit."""
    top, lowest = columns[0].top, max(column.bottom for column in columns)
    for bottom in range(top, lowest + BAND_STEP, BAND_STEP):
        shorter = [Column(c.x, c.top, min(c.bottom, bottom)) for c in columns]
        made = flow(blocks, shorter, whole=WHOLE)
        if made is not None:
            return made
    return None


def _columns(
    sheet: Sheet, area: Box, column: int, top: int, count: int, table: int
) -> list[Column]:
    """Columns of one width from a top; those over the title block end above it."""
    frame_box = drawing_area(sheet)
    width, height = title_block_size()
    block_left, block_top = frame_box.right - width, frame_box.bottom - height
    block_top -= table
    columns = []
    for number in range(count):
        x = area.x + number * (column + GUTTER)
        over = x + column > block_left - INSET // 2
        columns.append(Column(x, top, block_top - INSET // 2 if over else area.bottom))
    return columns


def _table_room(facility: Facility, sheet: Sheet, top: int) -> int:
    """The height of the revision table above the title block, below the top of the columns."""
    above = drawing_area(sheet).bottom - title_block_size()[1]
    return revision_table_height(facility, max(0, min(above - top, TABLE)))


def _kept(content: Content, sheet: Sheet) -> Box | None:
    """Where the drawing was on the earlier one, if it was on such a sheet."""
    shift = content.kept_on(sheet)
    return content.extent.moved(*shift) if shift is not None else None


def _placed(extent: Box, room: Box, there: Box | None) -> Box:
    """The drawing's extent in the middle of its room, nearer its top than its foot; or ``there``,
    moved no further than it takes."""
    if there is not None:
        return there.moved(*into(room, there))
    return Box(
        room.x + (room.width - extent.width) // 2,
        room.y + (room.height - extent.height) * 2 // 5,
        extent.width,
        extent.height,
    )
