"""Several cells of a table at once: the block they make, what is pasted into it, and filling."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QModelIndex

from slinediag.editor.lists.counting import filled_down
from slinediag.editor.lists.table_model import TableModel
from slinediag.editor.lists.trying import Cell
from slinediag.problems import RequestError, problem

MOST_PASTED = 100_000
"""Cells that are pasted at once; more is some other text."""


@dataclass(frozen=True, slots=True)
class Block:
    """The rows and columns that some cells span."""

    rows: range
    columns: range


def block_of(places: Sequence[tuple[int, int]]) -> Block | None:
    """The block that cells at (row, column) span; None where there are none."""
    if not places:
        return None
    rows, columns = [row for row, _ in places], [column for _, column in places]
    return Block(range(min(rows), max(rows) + 1), range(min(columns), max(columns) + 1))


def paste_into(
    table: TableModel, cells: Sequence[QModelIndex], pasted: Sequence[Sequence[str]]
) -> dict[Cell, str]:
    """The texts of the cells that pasted ones go to; RequestError where there is no room.

    From the selection's first cell on; where the selection is one block, and a multiple of what is
    pasted, again and again over all of it.
    """
    block = block_of([(index.row(), index.column()) for index in cells])
    if block is None:
        raise RequestError([problem("", "no cell is selected", "Select where to paste")])
    height, width = len(pasted), len(pasted[0])
    if height * width > MOST_PASTED:
        what = f"{height * width:,} cells are too many at once"
        raise RequestError([problem("", what, f"Paste at most {MOST_PASTED:,}")])
    whole = len(cells) == len(block.rows) * len(block.columns)
    down = turns(len(block.rows) if whole else 1, height) * height
    across = turns(len(block.columns) if whole else 1, width) * width
    rows = _rows_for(table, block.rows.start, down)
    columns = _columns_for(table, block.columns.start, across)
    found: dict[Cell, str] = {}
    for r, key in enumerate(rows):
        for c, column in enumerate(columns):
            text = pasted[r % height][c % width]
            title = table.listing.columns[column].title
            if not table.can_type(block.rows.start + r, column):
                _refuse_over_fixed(table, block.rows.start + r, column, text)
                continue
            found[Cell(key, title)] = text
    return found


def turns(selected: int, pasted: int) -> int:
    """How often what is pasted goes into what is selected: a whole number of times, at least 1."""
    return selected // pasted if selected % pasted == 0 else 1


def _rows_for(table: TableModel, first: int, count: int) -> list[object]:
    """The keys of rows from one on, with new ones where the list has rows of its own."""
    there = table.rowCount() - first
    if count <= there:
        return [table.key(row) for row in range(first, first + count)]
    if not table.listing.own_rows:
        what = f"{count} rows are pasted where {there} are left"
        hint = "Begin higher, or copy fewer; nothing was pasted"
        if table.filter.strip() or table.part:
            hint = "The filter hides rows: take it off, or begin higher; nothing was pasted"
        raise RequestError([problem(_last(table), what, hint)])
    table.new_rows(count - there + 1)
    return [table.key(row) for row in range(first, first + count)]


def _last(table: TableModel) -> str:
    last = table.rowCount() - 1
    return table.listing.name(table.facility, table.key(last)) if last >= 0 else ""


def _columns_for(table: TableModel, first: int, count: int) -> range:
    there = table.columnCount() - first
    if count > there:
        what = f"{count} columns are pasted where {there} are left"
        title = table.listing.columns[first].title
        hint = "Begin further left, or copy fewer; nothing was pasted"
        raise RequestError([problem(title, what, hint)])
    return range(first, first + count)


def _refuse_over_fixed(table: TableModel, row: int, column: int, text: str) -> None:
    """RequestError where a fixed cell would have to say something else."""
    here = table.text(table.index(row, column))
    if text.strip() != here:
        what = f"{text.strip() or 'nothing'} cannot be pasted over {here}"
        title = table.listing.columns[column].title
        raise RequestError([problem(title, what, "Paste beside it; nothing was pasted")])


def fill_down(table: TableModel, cells: Sequence[QModelIndex]) -> dict[Cell, str]:
    """What the selected cells become when each column goes on from its first ones.

    The cells down to the first empty one are the pattern; where none is empty, the first one is.
    A lone cell goes on from the one above it.
    """
    columns: dict[int, list[int]] = {}
    for index in cells:
        if not table.listing.columns[index.column()].fixed:
            columns.setdefault(index.column(), []).append(index.row())
    found: dict[Cell, str] = {}
    for column, rows in columns.items():
        if len(cells) == 1 and rows[0] > 0:
            rows = [rows[0] - 1, *rows]
        texts = [table.text(table.index(row, column)) for row in rows]
        empty = next((n for n, text in enumerate(texts) if not text), None)
        count = 1 if empty is None else empty
        if count == 0:
            continue
        made = filled_down(texts[:count], len(rows) - count)
        title = table.listing.columns[column].title
        for row, text in zip(rows[count:], made, strict=True):
            found[Cell(table.key(row), title)] = text
    return found
