"""The title block by ISO 7200:2004 (from memory), and the revision table above it."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import partial
from typing import NamedTuple

from slinediag import text
from slinediag.chart.lettering import wrap
from slinediag.drawing import styles
from slinediag.drawing.marks import Group, Line, Mark, Rect, Ref, Text, Weight
from slinediag.geometry import Box, Point, Run
from slinediag.model.facility import Facility, Practice, Revision

WIDTH = 180_000
DOCUMENT_TYPE = "Single-line diagram"
TRIAL = "TRIAL"
BLOCK = "title-block"
"""What the group of a title block is known by."""

PADDING = 1_500
CAPTION_BASELINE = 3_700  # from the top of a field
VALUE_RISE = 2_200  # a value's baseline above the bottom of its field
FURTHER_BASELINE = 1_300  # the same of a second value below the first
FURTHER_RISE = 4_400  # from there to the baseline of the first
ROW = 12_000
TITLE_ROW = 14_000

REVISION_ROW = 6_000
REVISION_RISE = 1_700
REVISION_COLUMNS = (("Revision", 22_000), ("Date", 28_000), ("By", 38_000), ("What", 92_000))


class Field(NamedTuple):
    """One field of the block: its key, caption and value, its width and its value's height."""

    key: str
    caption: str
    value: str
    width: int
    height: int = styles.H35
    weight: Weight = "regular"
    further: str = ""
    """A second value below the first, which then stands a step smaller above it."""


def title_block_size() -> tuple[int, int]:
    """Width and height of the title block."""
    return WIDTH, 2 * ROW + TITLE_ROW


def title_block(
    facility: Facility,
    *,
    title: str,
    sheet_number: int,
    sheet_count: int,
    right_bottom: Point,
    tried: bool = False,
    subject: str = "",
) -> Group:
    """The title block with its right bottom corner at this point; unset fields are left blank.

    ``tried``: whether the sheet shows a trial, which the block says in bold. ``subject``: what the
    sheet shows of what the title names (a supplementary title).
    """
    width, height = title_block_size()
    box = Box(right_bottom.x - width, right_bottom.y - height, width, height)
    rows = _rows(facility.practice, title, subject, sheet_words(sheet_number, sheet_count))
    marks: list[Mark] = []
    rules: list[Run] = []
    top = box.y
    for depth, fields in rows:
        row = Box(box.x, top, width, depth)
        rules += _row_rules(row, [field.width for field in fields], first=top == box.y)
        left = box.x
        for field in fields:
            marks.append(_field(field, Box(left, top, field.width, depth)))
            left += field.width
        top += depth
    block = _table(box, rules, marks, Ref((BLOCK,), title="Title block"))
    return under_trial(block) if tried else block


def sheet_words(number: int, count: int) -> str:
    """A sheet's number. How many there are only the first says: the others stay as they are on the
    wall where a sheet is added or left out (the number of sheets is optional in ISO 7200:2004).
    """
    return f"{number} of {count}" if number == 1 else str(number)


def under_trial(block: Group) -> Group:
    """A title block with the word that tells a sheet under a trial from one as filed."""
    (box,) = (mark.box for mark in block.marks if isinstance(mark, Rect))
    foot = Point(box.right - PADDING, box.y + ROW - VALUE_RISE)
    room = text.width(TRIAL, styles.H50, "bold")
    ref = Ref(("trial",), title="Shown under a trial, not as filed")
    word = Text(foot, TRIAL, styles.H50, room, "end", "bold", styles.BLACK, ref)
    return replace(block, marks=(*block.marks, word))


def _rows(
    practice: Practice, title: str, subject: str, sheet: str
) -> tuple[tuple[int, tuple[Field, ...]], ...]:
    """The block's rows, top first: depth and fields. Each row's widths come to the block's."""
    people = (
        Field("created-by", "Created by", practice.drawn_by or "", 36_000),
        Field("checked-by", "Checked by", practice.checked_by or "", 36_000),
        Field("approved-by", "Approved by", practice.approved_by or "", 36_000),
        Field("document-type", "Document type", DOCUMENT_TYPE, 72_000),
    )
    names = (
        Field("owner", "Owner", practice.owner or "", 72_000, styles.H50),
        Field("title", "Title", title, 108_000, styles.H50, "bold", subject),
    )
    numbers = (
        Field("number", "Identification number", practice.drawing or "", 72_000),
        Field("revision", "Revision", practice.revision or "", 30_000),
        Field("date", "Date of issue", _day(practice.date), 42_000),
        Field("sheet", "Sheet", sheet, 36_000),
    )
    return (ROW, people), (TITLE_ROW, names), (ROW, numbers)


def _field(field: Field, box: Box) -> Group:
    at = Point(box.x + PADDING, box.y + CAPTION_BASELINE)
    caption = _fitted(field.caption, at, box.width, styles.H25, colour=styles.TEXT_GREY)
    at = Point(box.x + PADDING, box.bottom - VALUE_RISE)
    height, below = field.height, None
    lines = _two_lines(field, box)
    if lines:
        foot = Point(at.x, box.bottom - FURTHER_BASELINE)
        below = _fitted(lines[1], foot, box.width, styles.H25, field.weight)
        if below is not None and below.ref is not None:
            below = replace(below, ref=replace(below.ref, title=field.value))
        field, height = field._replace(value=lines[0]), styles.H25
        at = foot.moved(0, -FURTHER_RISE)
    elif field.further:
        foot = Point(at.x, box.bottom - FURTHER_BASELINE)
        below = _fitted(field.further, foot, box.width, styles.H25)
        at, height = foot.moved(0, -FURTHER_RISE), styles.H35
    value = _fitted(field.value, at, box.width, height, field.weight)
    marks = tuple(mark for mark in (caption, value, below) if mark is not None)
    return Group(marks, Ref(("field",), (("field", field.key),), title=field.caption))


def _two_lines(field: Field, box: Box) -> tuple[str, str] | None:
    """A value that is too long for one line at the least height, in two; what comes below it stands
    behind its end, of names as many as have room. None where one line will do."""
    room = box.width - 2 * PADDING
    across = partial(text.width, height=styles.H25, weight=field.weight)
    if box.height < TITLE_ROW or across(field.value) <= room:
        return None
    first, *others = wrap(field.value, room, weight=field.weight)
    rest = " ".join(others)
    names = field.further.split(", ") if field.further else []
    tries = [f"{rest}: {field.further}"] if names else []
    tries += [f"{rest}: {', '.join(names[:n])} and more" for n in range(len(names) - 1, 0, -1)]
    return first, next((words for words in tries if across(words) <= room), rest)


def _fitted(
    words: str,
    at: Point,
    width: int,
    height: int,
    weight: Weight = "regular",
    colour: str = styles.BLACK,
) -> Text | None:
    """The words in a field of this width, as high as fits; shortened only at the least height.

    Where they are shortened, the mark's title says them in full. None where there are none.
    """
    room = width - 2 * PADDING
    heights = [h for h in (styles.H50, styles.H35, styles.H25) if h <= height]
    fitting = (h for h in heights if text.width(words, h, weight) <= room)
    chosen = next(fitting, heights[-1])
    shown = text.shorten(words, chosen, room, weight)
    if not shown:
        return None
    ref = None if shown == text.printable(words) else Ref(("shortened",), title=words)
    taken = text.width(shown, chosen, weight)
    return Text(at, shown, chosen, taken, weight=weight, colour=colour, ref=ref)


def _row_rules(row: Box, widths: Sequence[int], *, first: bool) -> Iterator[Run]:
    """The rule above a row, which the outline draws for the first, and those between its fields."""
    if not first:
        yield Point(row.x, row.y), Point(row.right, row.y)
    left = row.x
    for width in widths[:-1]:
        left += width
        yield Point(left, row.y), Point(left, row.bottom)


def _table(box: Box, rules: Sequence[Run], marks: Sequence[Mark], ref: Ref) -> Group:
    outline = Rect(box, styles.TABLE_OUTLINE)
    return Group((outline, Line(tuple(rules), styles.TABLE_RULE), *marks), ref)


def _day(date: datetime.date | None) -> str:
    return date.isoformat() if date else ""


def revision_table_height(facility: Facility, room: int) -> int:
    """The height the revision table takes where it has this much room; 0 where it is left out."""
    rows = _revision_rows(facility.practice.revisions, room)
    return (1 + len(rows)) * REVISION_ROW if rows else 0


def revision_table(facility: Facility, *, right_bottom: Point, room: int) -> Group | None:
    """The revisions, newest first, as many as fit a height; None where there are or fit none.

    Its right bottom corner is at this point: the title block's right top corner. Where some do
    not fit, the last row says how many; the newest is always told.
    """
    rows = _revision_rows(facility.practice.revisions, room)
    if not rows:
        return None
    height = revision_table_height(facility, room)
    box = Box(right_bottom.x - WIDTH, right_bottom.y - height, WIDTH, height)
    marks: list[Mark] = []
    rules: list[Run] = []
    heading = tuple(caption for caption, _ in REVISION_COLUMNS)
    for i, cells in enumerate((heading, *rows)):
        row = Box(box.x, box.y + i * REVISION_ROW, WIDTH, REVISION_ROW)
        widths = [width for _, width in REVISION_COLUMNS] if len(cells) > 1 else [WIDTH]
        rules += _row_rules(row, widths, first=i == 0)
        marks.append(_revision_row(cells, widths, row, styles.BLACK if i else styles.TEXT_GREY))
    return _table(box, rules, marks, Ref(("revisions",), title="Revisions"))


def _revision_rows(revisions: tuple[Revision, ...], room: int) -> list[tuple[str, ...]]:
    """The rows below the heading, newest first; the last counts those that do not fit, the only one
    behind what the newest did."""
    rows: list[tuple[str, ...]] = [
        (r.revision, _day(r.date), r.by or "", r.what or "") for r in _newest_first(revisions)
    ]
    fitting = max(0, room // REVISION_ROW - 1)
    if len(rows) <= fitting or fitting == 0:
        return rows[:fitting]
    if fitting == 1:
        *cells, what = rows[0]
        return [(*cells, "; ".join(filter(None, (what, _earlier(len(rows) - 1)))))]
    left_out = len(rows) - (fitting - 1)
    return [*rows[: fitting - 1], (f"and {_earlier(left_out)}",)]


def _earlier(count: int) -> str:
    """How many revisions are told of in the file alone."""
    return f"{count} earlier, in the file"


def _newest_first(revisions: tuple[Revision, ...]) -> list[Revision]:
    """By date where every revision has one, else the reverse of the order filed."""
    latest = list(reversed(revisions))
    dated = [(r.date, r) for r in latest if r.date is not None]
    if len(dated) < len(latest):
        return latest
    return [r for _, r in sorted(dated, key=lambda pair: pair[0], reverse=True)]


def _revision_row(cells: tuple[str, ...], widths: Sequence[int], row: Box, colour: str) -> Group:
    marks: list[Mark] = []
    left = row.x
    for cell, width in zip(cells, widths, strict=True):
        at = Point(left + PADDING, row.bottom - REVISION_RISE)
        words = _fitted(cell, at, width, styles.H25, colour=colour)
        if words is not None:
            marks.append(words)
        left += width
    return Group(tuple(marks), Ref(("revision",), title=", ".join(cell for cell in cells if cell)))
