"""What can be done with the cells and rows that are selected in a table, each one step to undo."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Protocol

from PySide6.QtCore import (
    QItemSelection,
    QItemSelectionModel,
    QModelIndex,
    QObject,
    Qt,
    Signal,
)
from PySide6.QtGui import QGuiApplication

from slinediag.editor.lists import tab_text
from slinediag.editor.lists.block import block_of, fill_down, paste_into
from slinediag.editor.lists.table_model import TableModel
from slinediag.editor.lists.trying import Cell, NewRow
from slinediag.problems import RequestError


class Cursor(Protocol):
    """What a table lets its commands know and do of where one is."""

    def cells(self) -> list[QModelIndex]:
        """The selected cells, else the current one."""

    def go_to(self, cell: Cell | None, row: int = 0) -> None:
        """Put the cursor into a cell, or the one in its place."""

    def take_keys(self) -> None:
        """Let the keys go to the table."""

    def currentIndex(self) -> QModelIndex:  # noqa: N802 (Qt's name)
        """The cell that the cursor is in."""

    def selectionModel(self) -> QItemSelectionModel:  # noqa: N802 (Qt's name)
        """What is selected."""


class Commands(QObject):
    """The commands of one table."""

    told = Signal(str)
    """What a command did, or why it cannot be, in words."""

    def __init__(self, table: Cursor, model: TableModel) -> None:
        super().__init__(model)
        self._table = table
        self._model = model

    # ---- several cells at once

    def copy(self) -> None:
        """The selected cells as text that spreadsheets take."""
        picked = {(index.row(), index.column()) for index in self._table.cells()}
        block = block_of(list(picked))
        if block is None:
            return
        rows = [
            [
                self._model.text(self._model.index(row, column)) if (row, column) in picked else ""
                for column in block.columns
            ]
            for row in block.rows
        ]
        QGuiApplication.clipboard().setText(tab_text.written(rows))
        count = len(block.rows) * len(block.columns)
        self.told.emit(f"{counted(count, 'cell')} copied.")

    def cut(self) -> None:
        """Copy the selected cells and clear them."""
        self.copy()
        self.clear_cells()

    def clear_cells(self) -> None:
        """Clear the selected cells; what cannot be empty says so."""
        cells = {self._model.cell(i): "" for i in self._typed_cells() if self._model.text(i)}
        self._put(cells, "Clear", "of")

    def fill(self) -> None:
        """Fill the selected cells down from the first ones, counting."""
        self._put(fill_down(self._model, self._table.cells()), "Fill", "of")

    def paste(self) -> None:
        """Put the clipboard's cells in from the selection's first cell on."""
        text = QGuiApplication.clipboard().text()
        if not text:
            self.told.emit("There is no text to paste.")
            return
        try:
            cells = paste_into(self._model, self._table.cells(), tab_text.read(text))
        except RequestError as error:
            self.told.emit(error.problems[0].text())
            return
        row = self._table.cells()[0].row()
        self._put(cells, "Paste", "into")
        if cells:
            self._select_from(row, cells)

    def _put(self, cells: dict[Cell, str], verb: str, of: str) -> None:
        """Put texts into several cells, one step; say how many went in."""
        changed = {
            cell: text
            for cell, text in cells.items()
            if cell in self._model.drafts or text.strip() != self._filed(cell)
        }
        if not changed:
            return
        count = counted(len(changed), "cell")
        title = self._model.listing.title.casefold()
        tried = self._model.put(changed, f"{verb} {count} {of} {title}")
        left = sum(not draft.waits for draft in tried.drafts.values())
        done = {"Paste": "pasted", "Clear": "cleared", "Fill": "filled"}[verb]
        words = f"{counted(len(tried.taken), 'cell')} {done}."
        if left:
            words += f" {counted(left, 'cell')} cannot be so; Ctrl+J goes to the next."
        self.told.emit(words)

    def _filed(self, cell: Cell) -> str:
        if isinstance(cell.key, NewRow):
            return ""
        return self._model.listing.column(cell.title).text(self._model.facility, cell.key)

    def _select_from(self, top: int, cells: Mapping[Cell, str]) -> None:
        """Select the rows and columns of what was pasted, from a row on."""
        titles = [column.title for column in self._model.listing.columns]
        columns = [titles.index(title) for title in dict.fromkeys(cell.title for cell in cells)]
        rows = len({cell.key for cell in cells})
        last = self._model.index(top + rows - 1, max(columns))
        picked = QItemSelection(self._model.index(top, min(columns)), last)
        flag = QItemSelectionModel.SelectionFlag.ClearAndSelect
        self._table.selectionModel().select(picked, flag)

    # ---- rows

    def add_row(self) -> None:
        """Go to the new row at the end."""
        if not self._model.listing.own_rows:
            self.told.emit(f"{self._model.listing.title} come with their bays.")
            return
        (row,) = self._model.new_rows(1)
        self._table.go_to(Cell(row, self._model.listing.columns[self._model.first_typed].title))
        self._table.take_keys()

    def remove_rows(self) -> None:
        """Take the selected rows out of the facility."""
        listing = self._model.listing
        keys = list(dict.fromkeys(self._model.cell(index).key for index in self._table.cells()))
        old = [key for key in keys if not isinstance(key, NewRow)]
        new = [cell for cell in self._model.drafts if cell.key in keys]
        if not listing.own_rows:
            self.told.emit(f"{listing.title} go with their bays; Delete clears cells.")
            return
        if new:
            self._model.give_up(new)
        if not old:
            return
        facility = self._model.facility
        try:
            left = listing.remove(facility, old)
        except RequestError as error:
            self.told.emit(error.problems[0].text())
            return
        faults = self._model.judge.faults(left)
        if faults:
            self.told.emit(faults[0].text())
            return
        row = self._table.currentIndex().row()
        name = listing.removal_name(facility, old)
        self._model.workplace.change(name, left)
        self._table.go_to(None, row)
        self.told.emit(f"{name}: done. Undo brings it back.")

    def fill_with(self, text: str) -> None:
        """Put one text into all selected cells."""
        self._put({self._model.cell(i): text for i in self._typed_cells()}, "Fill", "of")

    def _typed_cells(self) -> list[QModelIndex]:
        return [i for i in self._table.cells() if i.flags() & Qt.ItemFlag.ItemIsEditable]


def counted(count: int, word: str) -> str:
    """A number of things, in words."""
    return f"{count:,} {word}{'' if count == 1 else 's'}"
