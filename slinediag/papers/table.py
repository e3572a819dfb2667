"""Tables: named columns and rows of text and numbers, as pages and spreadsheets show them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from slinediag.chart.lettering import LEADING, SMALL, letter, width, wrap
from slinediag.drawing import styles
from slinediag.drawing.marks import Anchor, Line, Mark, Ref, Style, Weight
from slinediag.geometry import Point
from slinediag.papers.page import WIDTH, Section, Slab

Value = str | int | float | None
PADDING = 900
ROW_AIR = 900


@dataclass(frozen=True, slots=True)
class Table:
    """A table: its short name for file and sheet, its title, its columns and its rows."""

    name: str
    title: str
    columns: tuple[str, ...]
    rows: tuple[tuple[Value, ...], ...]


def without(table: Table, column: str) -> Table:
    """The table without one of its columns."""
    at = table.columns.index(column)
    return replace(
        table,
        columns=(*table.columns[:at], *table.columns[at + 1 :]),
        rows=tuple((*row[:at], *row[at + 1 :]) for row in table.rows),
    )


def shown(value: Value) -> str:
    """A value as a page prints it: nothing for None, figures as short as they are exact."""
    if value is None:
        return ""
    if isinstance(value, float):
        return f"{value:.2f}".rstrip("0").rstrip(".")
    return str(value)


def table_section(table: Table, *, fresh: bool = False, anchor: str = "") -> Section:
    """A table as a section of a page: its head again on every page, long texts wrapped."""
    cells = [[shown(value) for value in row] for row in table.rows]
    widths = column_widths([list(table.columns), *cells], WIDTH)
    numbers = [_numeric(table, n) for n in range(len(table.columns))]
    head = _row(table.columns, widths, numbers, head=True)
    rows = tuple(_row(row, widths, numbers) for row in cells)
    return Section(table.title, rows, head=head, fresh=fresh, anchor=anchor)


def _numeric(table: Table, column: int) -> bool:
    """Whether a column holds figures only, which stand at its right."""
    values = [row[column] for row in table.rows if row[column] is not None]
    return bool(values) and not any(isinstance(value, str) for value in values)


def column_widths(rows: Sequence[Sequence[str]], room: int) -> list[int]:
    """Widths that fill no more than a room: each as its longest text wants, the widest wrapped.

    No column is narrower than its longest word, unless even that is more than the room.
    """
    wanted, least = [], []
    for column in zip(*rows, strict=True):
        wanted.append(max(width(text, SMALL, "bold") for text in column) + 2 * PADDING)
        words = [word for text in column for word in text.split()]
        longest = max((width(word, SMALL, "bold") for word in words), default=0)
        least.append(longest + 2 * PADDING)
    if sum(wanted) <= room:
        return wanted
    cap = next(
        (cap for cap in range(max(wanted), 0, -500) if sum(_capped(wanted, least, cap)) <= room),
        0,
    )
    widths = _capped(wanted, least, cap)
    total = sum(widths)
    return widths if total <= room else [one * room // total for one in widths]


def _capped(wanted: Sequence[int], least: Sequence[int], cap: int) -> list[int]:
    return [min(want, max(cap, floor)) for want, floor in zip(wanted, least, strict=True)]


def _row(
    cells: Sequence[str], widths: Sequence[int], numbers: Sequence[bool], *, head: bool = False
) -> Slab:
    """A row with a rule below it; a figure at the right of its column, all else at the left."""
    marks: list[Mark] = []
    depth, x = 1, 0
    weight: Weight = "bold" if head else "regular"
    for cell, room, number in zip(cells, widths, numbers, strict=True):
        lines = wrap(cell, room - 2 * PADDING, SMALL, weight)
        depth = max(depth, len(lines))
        for n, line in enumerate(lines):
            y = ROW_AIR + SMALL + n * LEADING
            at = Point(x + room - PADDING if number else x + PADDING, y)
            anchor: Anchor = "end" if number else "start"
            marks.append(letter(at, line, weight=weight, anchor=anchor, ref=Ref(("cell",))))
        x += room
    height = 2 * ROW_AIR + SMALL + (depth - 1) * LEADING + 200
    ink = Style(width=styles.W35) if head else Style(stroke=styles.LINE_GREY, width=styles.W13)
    rule = Line(((Point(0, height - 200), Point(sum(widths), height - 200)),), ink)
    return Slab(height, (*marks, rule))
