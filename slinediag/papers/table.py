"""Tables: named columns and rows of text and numbers, as pages and spreadsheets show them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from slinediag.chart.lettering import LEADING, SMALL, letter, width, wrap
from slinediag.drawing import styles
from slinediag.drawing.marks import Anchor, Line, Mark, Ref, Style, Weight
from slinediag.geometry import Point
from slinediag.papers.page import WIDTH, Section, Slab, held

Value = str | int | float | None
PADDING = 900
ROW_AIR = 900
STEP = 2_000
"""What a column is narrowed by at a time."""


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


def table_section(table: Table, *, anchor: str = "") -> Section:
    """A table as a section: its head again on every page, long texts wrapped.

    It begins a page, unless what is left of one holds all of it.
    """
    cells = [[shown(value) for value in row] for row in table.rows]
    widths = column_widths([list(table.columns), *cells], WIDTH)
    numbers = [_numeric(table, n) for n in range(len(table.columns))]
    head = _row(table.columns, widths, numbers, head=True)
    rows = tuple(_row(row, widths, numbers) for row in cells)
    return Section(table.title, rows, head=head, whole=True, anchor=anchor)


def _numeric(table: Table, column: int) -> bool:
    """Whether a column holds figures only, which stand at its right."""
    values = [row[column] for row in table.rows if row[column] is not None]
    return bool(values) and not any(isinstance(value, str) for value in values)


def column_widths(rows: Sequence[Sequence[str]], room: int) -> list[int]:
    """Widths that fill no more than a room: each as its longest text wants, where that fits.

    Else columns are narrowed where it costs the fewest lines, no word broken; where even the words
    are too wide, all are narrowed alike.
    """
    by_column = list(zip(*rows, strict=True))
    columns = [[width(text, SMALL, "bold") for text in column] for column in by_column]
    wanted = [max(column) + 2 * PADDING for column in columns]
    if sum(wanted) <= room:
        return wanted
    words = [[word for text in column for word in text.split()] for column in by_column]
    least = [
        max((width(word, SMALL, "bold") for word in column), default=0) + 2 * PADDING
        for column in words
    ]
    if sum(least) > room:
        return [one * room // sum(least) for one in least]
    return _shared(wanted, least, columns, room)


def _shared(
    wanted: Sequence[int], least: Sequence[int], columns: Sequence[Sequence[int]], room: int
) -> list[int]:
    """Widths narrowed to a room, step by step the column where that costs the fewest lines.

    ``columns``: the width of every text on one line. Of columns that cost alike the widest gives.
    """
    widths = list(wanted)
    lines = [[1] * len(column) for column in columns]
    while (over := sum(widths) - room) > 0:
        tried = {}
        for n in range(len(widths)):
            step = min(STEP, over, widths[n] - least[n])
            if step > 0:
                narrowed = [_lines(cell, widths[n] - step) for cell in columns[n]]
                total = sum(map(max, zip(*lines[:n], narrowed, *lines[n + 1 :], strict=True)))
                tried[n] = (total, -widths[n], n), step, narrowed
        best = min(tried, key=lambda n: tried[n][0])
        _, step, lines[best] = tried[best]
        widths[best] -= step
    return widths


def _lines(cell: int, column: int) -> int:
    """About how many lines a text takes in a column: lines break at words, before their end."""
    room = max(1, column - 2 * PADDING)
    return -(-cell * 11 // (10 * room)) if cell > room else 1


def _row(
    cells: Sequence[str], widths: Sequence[int], numbers: Sequence[bool], *, head: bool = False
) -> Slab:
    """A row with a rule below it; a figure at the right of its column, all else at the left."""
    marks: list[Mark] = []
    depth, x = 1, 0
    weight: Weight = "bold" if head else "regular"
    for cell, room, number in zip(cells, widths, numbers, strict=True):
        lines = held(wrap(cell, room - 2 * PADDING, SMALL, weight))
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
