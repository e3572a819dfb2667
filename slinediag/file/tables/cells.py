"""The cells of a table as text, whatever file they come from."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

from slinediag.file.scalars import FORBIDDEN

LETTERS = 26
REPLACEMENT = "�"
QUOTED = 60
"""Characters of a cell that a message quotes."""


class CellRef(NamedTuple):
    """The place of a cell: its sheet, its row and its column, from 1."""

    sheet: str
    row: int
    column: int

    def __str__(self) -> str:
        place = f"{column_letters(self.column)}{self.row}"
        return f"{self.sheet}!{place}" if self.sheet else place


def column_letters(column: int) -> str:
    """The letters over a column: A for 1, AA for 27."""
    letters = ""
    while column > 0:
        column, rest = divmod(column - 1, LETTERS)
        letters = chr(ord("A") + rest) + letters
    return letters


class Span(NamedTuple):
    """Merged cells: first and last row and column, from 1."""

    top: int
    left: int
    bottom: int
    right: int


@dataclass(frozen=True)
class Sheet:
    """One sheet as text. ``rows`` may differ in length; ``remarks`` are the comments on cells.

    The text of merged cells stands in the upper left one; ``merged`` leads from every cell of
    such a span to the span.
    """

    name: str
    rows: tuple[tuple[str, ...], ...]
    merged: Mapping[tuple[int, int], Span] = field(default_factory=dict)
    remarks: Mapping[tuple[int, int], str] = field(default_factory=dict)
    warnings: tuple[str, ...] = ()
    """What a person should know who sees the sheet otherwise: hidden parts, stale formulas."""

    @property
    def width(self) -> int:
        """Columns up to the last one that holds a cell."""
        return max((len(row) for row in self.rows), default=0)

    def raw(self, row: int, column: int) -> str:
        """The text of a cell as it stands; empty outside the sheet."""
        if not 1 <= row <= len(self.rows):
            return ""
        cells = self.rows[row - 1]
        return cells[column - 1] if 1 <= column <= len(cells) else ""

    def text(self, row: int, column: int) -> str:
        """The text of a cell with its spaces and line ends as single spaces."""
        return clean(self.raw(row, column))

    def ref(self, row: int, column: int) -> CellRef:
        """The place of a cell."""
        return CellRef(self.name, row, column)

    def filled(self, row: int) -> list[int]:
        """The columns of a row that hold text."""
        return [c for c in range(1, len(self.rows[row - 1]) + 1) if self.text(row, c)]

    def cells(self) -> Iterator[tuple[CellRef, str]]:
        """Every cell that holds text, row by row."""
        for row in range(1, len(self.rows) + 1):
            for column in self.filled(row):
                yield self.ref(row, column), self.text(row, column)


def clean(text: str) -> str:
    """A text on one line, single-spaced, without characters that nothing can print."""
    return " ".join(FORBIDDEN.sub(REPLACEMENT, text).split())


def quoted(text: str) -> str:
    """A cell's text as messages show it."""
    short = text if len(text) <= QUOTED else text[: QUOTED - 1] + "…"
    return f'"{short}"'
