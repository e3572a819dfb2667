"""Where every cell of a table went: into the model, or into the report; and what was guessed.

The ledger is written while a table is read; the report is what it comes to.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from slinediag.file.tables.cells import CellRef
from slinediag.file.tables.meanings import Certainty


@dataclass(frozen=True, slots=True)
class Reading:
    """A text of the table and what it was read as, in all its cells."""

    text: str
    meaning: str
    certainty: Certainty
    cells: tuple[CellRef, ...]


@dataclass(frozen=True, slots=True)
class Guess:
    """Something the table does not say in so many words: what, how sure, why."""

    what: str
    certainty: Certainty
    why: str


@dataclass(frozen=True, slots=True)
class Mark:
    """Something for a person to look at: the cell, its text, and what became of it."""

    cell: CellRef | None
    text: str
    what: str


@dataclass(frozen=True, slots=True)
class Report:
    """What became of a table; ``fates`` holds every cell with what it was read as."""

    table: str
    how: str
    layouts: tuple[str, ...]
    headings: tuple[Reading, ...]
    readings: tuple[Reading, ...]
    guesses: tuple[Guess, ...]
    marks: tuple[Mark, ...]
    fates: Mapping[CellRef, str]


class Ledger:
    """Takes down what becomes of each cell."""

    def __init__(self) -> None:
        self.fates: dict[CellRef, str] = {}
        self.layouts: list[str] = []
        self._headings: dict[tuple[str, str, Certainty], list[CellRef]] = {}
        self._readings: dict[tuple[str, str, Certainty], list[CellRef]] = {}
        self._guesses: dict[Guess, None] = {}
        self._marks: dict[Mark, None] = {}

    def take(self, cell: CellRef, fate: str) -> None:
        """A cell was understood; its first meaning stays."""
        self.fates.setdefault(cell, fate)

    def heading(self, cell: CellRef, text: str, meaning: str, certainty: Certainty) -> None:
        """A cell is the heading of a column or row."""
        self.take(cell, "heading")
        self._headings.setdefault((text, meaning, certainty), []).append(cell)

    def read(
        self, cell: CellRef, text: str, meaning: str, certainty: Certainty, fate: str = "word"
    ) -> None:
        """A cell holds a word that was translated."""
        self.take(cell, fate)
        cells = self._readings.setdefault((text, meaning, certainty), [])
        if cell not in cells[-1:]:
            cells.append(cell)

    def guess(self, what: str, certainty: Certainty, why: str) -> None:
        """Something was guessed."""
        self._guesses.setdefault(Guess(what, certainty, why))

    def mark(self, cell: CellRef | None, text: str, what: str) -> None:
        """Something is for a person to look at."""
        self._marks.setdefault(Mark(cell, text, what))

    def remark(self, cell: CellRef, text: str, what: str) -> None:
        """Something is for a person to look at, unless its cell is marked already."""
        if not any(mark.cell == cell for mark in self._marks):
            self.mark(cell, text, what)

    def report(self, table: str, how: str) -> Report:
        """All that was taken down."""
        return Report(
            table,
            how,
            tuple(self.layouts),
            tuple(Reading(*key, tuple(cells)) for key, cells in self._headings.items()),
            tuple(Reading(*key, tuple(cells)) for key, cells in self._readings.items()),
            tuple(self._guesses),
            tuple(self._marks),
            dict(self.fates),
        )
