"""Composes a sheet: the drawing, and beside or below it legend, lists, revisions, title block."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache
from itertools import product
from typing import NamedTuple

from slinediag.chart.blocks import Block
from slinediag.chart.earlier import Earlier
from slinediag.chart.enlarging import SCALES, enlarged, enlarged_box
from slinediag.chart.flowing import Column, flow
from slinediag.chart.frame import drawing_area, frame, zone_at
from slinediag.chart.lettering import SMALL, letter
from slinediag.chart.moving import all_moved, into
from slinediag.chart.page import TITLE_ROOM, cut_at_commas, supplement
from slinediag.chart.path_list import list_places
from slinediag.chart.sheet import (
    ISO_SIZES,
    Sheet,
    custom,
    larger_in_series,
    sheet_named,
    sheet_of_size,
)
from slinediag.chart.titleblock import (
    revision_table,
    revision_table_height,
    title_block,
    title_block_size,
)
from slinediag.chart.zone_finder import Zoner
from slinediag.drawing import styles
from slinediag.drawing.marks import Drawing, Group, Mark, Ref
from slinediag.geometry import Box, Point
from slinediag.model.facility import Facility
from slinediag.problems import SheetTooSmall

INSET = 7_000
"""From the frame to anything within it, title block apart."""
GUTTER = 7_000
COLUMN = 82_000
"""Least width of a column of blocks; two of them and the gutter fill a title block's width."""
HEAD = 14_000
BAND_GAP = 6_000
BAND_STEP = 2_000
FILLING = (SCALES[1],)
"""How much a chart may be enlarged, largest first, only to fill its sheet."""
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


class Composed(NamedTuple):
    """A sheet, how many times as large as it was laid out its chart is, and how far it was moved
    after that."""

    drawing: Drawing
    scale: Fraction
    shift: Point


def compose(content: Content, sheet: str, least: Fraction = SCALES[0]) -> Drawing:
    """The content on a sheet as ``composed`` puts it there."""
    return composed(content, sheet, least).drawing


def composed(content: Content, sheet: str, least: Fraction = SCALES[0]) -> Composed:
    """The content on a sheet: ``auto``, ``one`` or a name; SheetTooSmall where it does not fit it,
    or fits no standard one.

    The drawing is enlarged at least as told, and a step further where its sheet has room.
    """
    content = content.enlarged(least)
    if sheet == "one":
        return _finished(content, _as_large_as_needed(content))
    if sheet == "auto":
        for told in _with_finder_or_without(content):
            if found := _first_fitting(told, _sizes(content)):
                return _finished(*_filling(told, found))
        raise SheetTooSmall(sheet, None)
    asked = sheet_named(sheet)
    for told in _with_finder_or_without(content):
        if fitting := _arrange(told, asked):
            return _finished(*_filling(told, fitting))
    larger = _first_fitting(replace(content, finder=None), larger_in_series(asked))
    raise SheetTooSmall(asked.name, larger.sheet.name if larger else None)


def _with_finder_or_without(content: Content) -> Sequence[Content]:
    return [content, replace(content, finder=None)] if content.finder else [content]


def _sizes(content: Content) -> Sequence[Sheet]:
    """Standard sheets from the smallest on, or from that of the earlier drawing."""
    keep = content.keep
    kept = sheet_of_size(*keep.size) if keep and not keep.shrinks else None
    return ISO_SIZES[ISO_SIZES.index(kept) :] if kept in ISO_SIZES else ISO_SIZES


def _filling(content: Content, fitting: Arrangement) -> tuple[Content, Arrangement]:
    """The content enlarged where the sheet that it fits has room for that, unless the earlier
    drawing had it at this scale."""
    if content.kept_on(fitting.sheet) is not None:
        return content, fitting
    for scale in FILLING:
        larger = content.enlarged(scale)
        found = _arrange(larger, fitting.sheet)
        if found is not None:
            return larger, found
    return content, fitting


def _first_fitting(content: Content, sheets: Iterable[Sheet]) -> Arrangement | None:
    for sheet in sheets:
        found = _arrange(content, sheet)
        if found is not None:
            return found
    return None


def _as_large_as_needed(content: Content) -> Arrangement:
    """One sheet as wide as the drawing and as high as drawing and blocks need."""
    width = max(content.extent.width, 2 * COLUMN + GUTTER) + 2 * INSET + 30_000
    width = max(width, ISO_SIZES[1].width)
    height = content.extent.height + HEAD + 20_000 + 60_000
    while True:
        found = _arrange(content, custom(width, height))
        if found is not None:
            return found
        height += 10_000


def _arrange(content: Content, sheet: Sheet) -> Arrangement | None:
    """Blocks below the drawing, or else beside it; None where neither fits."""
    area = drawing_area(sheet).grown(-INSET)
    return _below(content, sheet, area) or _beside(content, sheet, area)


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

    # Where the drawing is put tells the zones, and so how high the blocks are: with those of where
    # it is put at last, a lower band may do, which a drawing that stays there would find.
    there = _kept(content, sheet)
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
        return [*first, *finder(column, _zoner(content, sheet, Point(x, y))), *rest]

    return made


def _zoner(content: Content, sheet: Sheet, corner: Point) -> Zoner:
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
    column = min((left - (count - 1) * GUTTER) // count, 100_000)
    start = area.right - count * column - (count - 1) * GUTTER
    inner = Box(start, area.y, area.right - start, area.height)
    top = area.y + HEAD
    table = _table_room(content.facility, sheet, top)
    columns = _columns(sheet, inner, column, top, count, table)
    room = Box(area.x, area.y + HEAD, start - BAND_GAP - area.x, area.height - HEAD)
    there = _placed(content.extent, room, _kept(content, sheet))
    made = _evenly(_maker(content, sheet, column)(there.x, there.y), columns)
    return Arrangement(sheet, there, made, table) if made is not None else None


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


def _finished(content: Content, arranged: Arrangement) -> Composed:
    sheet, facility = arranged.sheet, content.facility
    framed, area = frame(sheet)
    corner = Point(area.right, area.bottom)
    title = facility.name
    part = content.heading if content.heading != title else ""
    told = supplement(facility, content.heading, content.under) if content.under else part
    block = title_block(
        facility,
        title=title,
        sheet_number=1,
        sheet_count=1,
        right_bottom=corner,
        tried=content.tried,
        subject=cut_at_commas(told, SMALL, TITLE_ROOM),
    )
    above = corner.moved(0, -title_block_size()[1])
    table = revision_table(facility, right_bottom=above, room=arranged.table_room)
    dx, dy = arranged.drawing.x - content.extent.x, arranged.drawing.y - content.extent.y
    inside = all_moved((*content.marks, *_pointing(content, arranged)), dx, dy)
    chart = Group(inside, Ref(("chart",), title="Chart", desc=content.subheading))
    marks = (
        *framed,
        *_head(content, area),
        chart,
        *arranged.blocks,
        *((table,) if table else ()),
        block,
    )
    named = f"{title}; {content.under}" if content.under else title
    drawing = Drawing(sheet.width, sheet.height, marks, named, content.subheading)
    return Composed(drawing, content.scale, Point(dx, dy))


def _pointing(content: Content, arranged: Arrangement) -> tuple[Mark, ...]:
    """The words of the drawing that name zones, as large as all else of it."""
    if content.pointing is None:
        return ()
    sheet, corner = arranged.sheet, Point(arranged.drawing.x, arranged.drawing.y)
    lists = {label: zone_at(sheet, at) for label, at in list_places(arranged.blocks)}
    words = content.pointing(_zoner(content, sheet, corner), lambda label: lists.get(label, ""))
    return enlarged(words, content.scale)


def _head(content: Content, area: Box) -> tuple[Mark, ...]:
    at = Point(area.x + INSET, area.y + INSET + styles.H50)
    return (
        letter(at, content.heading, height=styles.H50, weight="bold", ref=Ref(("heading",))),
        letter(at.moved(0, SMALL + 3000), content.subheading, colour=styles.TEXT_GREY),
    )
