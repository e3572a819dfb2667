"""Composes a sheet: the drawing, and beside or below it legend, lists, revisions, title block."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from fractions import Fraction
from typing import NamedTuple

from slinediag.chart.behind import sheets_behind, told_behind
from slinediag.chart.enlarging import SCALES, enlarged
from slinediag.chart.frame import frame, zone_at
from slinediag.chart.lettering import SMALL, letter
from slinediag.chart.moving import all_moved
from slinediag.chart.one_sheet import (
    COLUMN,
    GUTTER,
    HEAD,
    INSET,
    Arrangement,
    Content,
    arrange,
    zoner,
)
from slinediag.chart.page import TITLE_ROOM, first_whole, supplements
from slinediag.chart.path_list import list_places
from slinediag.chart.sheet import (
    ISO_SIZES,
    Sheet,
    custom,
    larger_in_series,
    sheet_named,
    sheet_of_size,
)
from slinediag.chart.titleblock import revision_table, title_block, title_block_size
from slinediag.drawing import styles
from slinediag.drawing.marks import Drawing, Group, Mark, Ref
from slinediag.geometry import Box, Point
from slinediag.problems import SheetTooSmall

FILLING = (SCALES[1],)
"""How much a chart may be enlarged, largest first, only to fill its sheet."""


class Composed(NamedTuple):
    """A sheet, how many times as large as it was laid out its chart is, and how far it was moved
    after that; and the pages behind it."""

    drawing: Drawing
    scale: Fraction
    shift: Point
    behind: tuple[Drawing, ...] = ()


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
    content = told_behind(content, asked)
    for told in _with_finder_or_without(content):
        if fitting := arrange(told, asked):
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
        found = arrange(larger, fitting.sheet)
        if found is not None:
            return larger, found
    return content, fitting


def _first_fitting(content: Content, sheets: Iterable[Sheet]) -> Arrangement | None:
    for sheet in sheets:
        found = arrange(content, sheet)
        if found is not None:
            return found
    return None


def _as_large_as_needed(content: Content) -> Arrangement:
    """One sheet as wide as the drawing and as high as drawing and blocks need."""
    width = max(content.extent.width, 2 * COLUMN + GUTTER) + 2 * INSET + 30_000
    width = max(width, ISO_SIZES[1].width)
    height = content.extent.height + HEAD + 20_000 + 60_000
    while True:
        found = arrange(content, custom(width, height), around=False)
        if found is not None:
            return found
        height += 10_000


def _finished(content: Content, arranged: Arrangement) -> Composed:
    sheet, facility = arranged.sheet, content.facility
    behind = sheets_behind(content, sheet)
    framed, area = frame(sheet)
    corner = Point(area.right, area.bottom)
    title = facility.name
    told = supplements(facility, content.heading, content.under)
    block = title_block(
        facility,
        title=title,
        sheet_number=1,
        sheet_count=1 + len(behind),
        right_bottom=corner,
        tried=content.tried,
        subject=first_whole(told, SMALL, TITLE_ROOM),
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
    return Composed(drawing, content.scale, Point(dx, dy), behind)


def _pointing(content: Content, arranged: Arrangement) -> tuple[Mark, ...]:
    """The words of the drawing that name zones, as large as all else of it."""
    if content.pointing is None:
        return ()
    sheet, corner = arranged.sheet, Point(arranged.drawing.x, arranged.drawing.y)
    lists = {label: zone_at(sheet, at) for label, at in list_places(arranged.blocks)}
    words = content.pointing(zoner(content, sheet, corner), lambda label: lists.get(label, ""))
    return enlarged(words, content.scale)


def _head(content: Content, area: Box) -> tuple[Mark, ...]:
    at = Point(area.x + INSET, area.y + INSET + styles.H50)
    return (
        letter(at, content.heading, height=styles.H50, weight="bold", ref=Ref(("heading",))),
        letter(at.moved(0, SMALL + 3000), content.subheading, colour=styles.TEXT_GREY),
    )
