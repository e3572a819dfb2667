"""A list as a table on screen: a view of the workplace's facility, with what is being typed."""

# ruff: noqa: N802 (methods bear Qt's names)

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from PySide6.QtCore import (
    QAbstractTableModel,
    QModelIndex,
    QObject,
    QPersistentModelIndex,
    Qt,
    Signal,
)
from PySide6.QtGui import QColor

from slinediag.editor import looks
from slinediag.editor.lists.chosen_rows import Choice, chosen_rows
from slinediag.editor.lists.judge import Judge
from slinediag.editor.lists.listing import Column, Key, Listing
from slinediag.editor.lists.trying import Cell, Draft, NewRow, Tried, check_cell, put_cells
from slinediag.editor.workplace import Workplace
from slinediag.model.facility import Facility
from slinediag.problems import Problem

Index = QModelIndex | QPersistentModelIndex
ROLE = Qt.ItemDataRole
MOST_ONE_BY_ONE = 100
"""Rows that come or go one by one; more, and the table is shown anew."""


class TableModel(QAbstractTableModel):
    """The rows of a list that pass its filter, in its order; texts that wait are kept as drafts.

    The facility is the workplace's; nothing of it is copied here but the keys of the rows.
    """

    drafts_changed = Signal()
    """What waits to be corrected is another."""

    def __init__(
        self, workplace: Workplace, listing: Listing, judge: Judge, parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self.workplace = workplace
        self.listing = listing
        self.judge = judge
        self.drafts: dict[Cell, Draft] = {}
        self.filter = ""
        self.part = ""
        self.sorted_by: tuple[int, bool] | None = None
        """The column and whether the last is first; None for the order of the file."""
        self._numbered = 0
        self._keys = listing.keys(workplace.facility)
        self._there = frozenset(self._keys)
        self._rows: list[Key] = []
        self._arrange()
        self._seen = workplace.facility
        workplace.document_changed.connect(self._take_document)
        workplace.facility_changed.connect(self._take_facility)

    # ---- what there is

    @property
    def facility(self) -> Facility:
        """The facility as it is."""
        return self.workplace.facility

    def key(self, row: int) -> Key:
        """The key of a row."""
        return self._rows[row]

    def is_filed(self, key: Key) -> bool:
        """Whether the facility has what a row is about; not so while the row is being taken out."""
        return key in self._there

    def row(self, key: Key) -> int | None:
        """The row of a key; None where it is not shown."""
        try:
            return self._rows.index(key)
        except ValueError:
            return None

    def column_of(self, index: Index) -> Column:
        """The column of a cell."""
        return self.listing.columns[index.column()]

    def cell(self, index: Index) -> Cell:
        """A cell by key and title."""
        return Cell(self._rows[index.row()], self.column_of(index).title)

    def text(self, index: Index) -> str:
        """What is filed in a cell, or typed and waiting."""
        cell = self.cell(index)
        draft = self.drafts.get(cell)
        if draft is not None:
            return draft.text
        if not self.is_filed(cell.key):
            return ""
        return self.column_of(index).text(self.facility, cell.key)

    def assumed(self, index: Index) -> str:
        """What holds where a cell is empty."""
        cell = self.cell(index)
        if isinstance(cell.key, NewRow):
            return f"New {self.listing.one} …" if index.column() == self.first_typed else ""
        if not self.is_filed(cell.key):
            return ""
        return self.column_of(index).assumed(self.facility, cell.key)

    @property
    def first_typed(self) -> int:
        """The first column that can be typed in in a new row."""
        columns = enumerate(self.listing.columns)
        return next(n for n, column in columns if column.needed or not column.fixed)

    @property
    def first_free(self) -> int:
        """The first column that can be typed in in every row."""
        columns = enumerate(self.listing.columns)
        return next(n for n, column in columns if not column.fixed)

    def can_type(self, row: int, column: int) -> bool:
        """Whether a cell can be typed in: in a new row, all that the row needs."""
        typed = self.listing.columns[column]
        return not typed.fixed or (typed.needed and isinstance(self._rows[row], NewRow))

    def name(self, index: Index) -> str:
        """A cell as messages name it."""
        key = self._rows[index.row()]
        title = self.column_of(index).title
        if isinstance(key, NewRow):
            return f"New {self.listing.one}, {title}"
        if not self.is_filed(key):
            return title
        return f"{self.listing.name(self.facility, key)}, {title}"

    def draft(self, index: Index) -> Draft | None:
        """What waits in a cell."""
        return self.drafts.get(self.cell(index)) if index.isValid() else None

    def help(self, index: Index) -> str:
        """What a cell is for."""
        column, key = self.column_of(index), self._rows[index.row()]
        if column.help_for is None or not self.is_filed(key):
            return column.help
        return column.help_for(self.facility, key)

    @property
    def filed_rows(self) -> int:
        """How many rows are shown that are in the facility."""
        return sum(not isinstance(key, NewRow) for key in self._rows)

    @property
    def waiting(self) -> dict[Cell, Draft]:
        """What waits in rows that there are; a row that was undone may come back with its own."""
        return {
            cell: draft
            for cell, draft in self.drafts.items()
            if isinstance(cell.key, NewRow) or self.is_filed(cell.key)
        }

    def row_draft(self, index: Index) -> Draft | None:
        """What keeps the new row of a cell from being in."""
        if not index.isValid() or not isinstance(self._rows[index.row()], NewRow):
            return None
        key = self._rows[index.row()]
        return next((draft for cell, draft in self.drafts.items() if cell.key == key), None)

    # ---- Qt's questions

    def rowCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008
        """Rows shown."""
        return 0 if parent.isValid() else len(self._rows)

    def columnCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008
        """Columns."""
        return 0 if parent.isValid() else len(self.listing.columns)

    def headerData(
        self, section: int, orientation: Qt.Orientation, role: int = ROLE.DisplayRole
    ) -> Any:
        """The titles."""
        if orientation != Qt.Orientation.Horizontal or section >= len(self.listing.columns):
            return None
        column = self.listing.columns[section]
        if role in (ROLE.DisplayRole, ROLE.AccessibleTextRole):
            return column.title
        if role == ROLE.ToolTipRole:
            return column.help
        return None

    def flags(self, index: Index) -> Qt.ItemFlag:
        """Whether a cell can be typed in."""
        if not index.isValid():
            return Qt.ItemFlag.NoItemFlags
        flags = Qt.ItemFlag.ItemIsSelectable | Qt.ItemFlag.ItemIsEnabled
        if self.can_type(index.row(), index.column()):
            flags |= Qt.ItemFlag.ItemIsEditable
        return flags

    def data(self, index: Index, role: int = ROLE.DisplayRole) -> Any:
        """A cell's text, colour and words."""
        if not index.isValid() or index.row() >= len(self._rows):
            return None
        if role == ROLE.DisplayRole:
            return " ".join((self.text(index) or self.assumed(index)).splitlines())
        if role == ROLE.EditRole:
            return self.text(index)
        if role == ROLE.ForegroundRole:
            draft = self.draft(index)
            if draft is not None and not draft.waits:
                return QColor(looks.inks().danger)
            quiet = self.column_of(index).fixed or not self.text(index)
            return QColor(looks.inks().quiet) if quiet else None
        if role == ROLE.AccessibleTextRole:
            return f"{self.name(index)}: {self.text(index) or self.assumed(index) or 'empty'}"
        if role in (ROLE.ToolTipRole, ROLE.AccessibleDescriptionRole):
            draft = self.draft(index)
            return draft.problem.text() if draft else None
        return None

    # ---- typing

    def check(self, index: Index, text: str) -> Problem | None:
        """What is wrong with a text in a cell; None also where it only waits for more."""
        if text == self.text(index) and self.draft(index) is None:
            return None
        cell = self.cell(index)
        others = {c: d.text for c, d in self.drafts.items() if c.key == cell.key}
        tried = put_cells(self.judge, self.listing, self.facility, {**others, cell: text})
        draft = tried.drafts.get(cell)
        if draft is None or draft.waits:
            return None
        if others or not self.drafts:
            return draft.problem
        # What waits elsewhere may make room for it.
        every = {**{c: d.text for c, d in self.waiting.items()}, cell: text}
        return check_cell(self.judge, self.listing, every, cell)

    def put(self, texts: Mapping[Cell, str], name: str) -> Tried:
        """Put texts into cells, one step of the history; what cannot be waits as a draft."""
        waiting = {c: d.text for c, d in self.waiting.items() if c not in texts}
        tried = put_cells(self.judge, self.listing, self.facility, {**texts, **waiting})
        gone = {c: d for c, d in self.drafts.items() if c not in waiting and c not in texts}
        self.drafts = gone | {tried.now(cell): draft for cell, draft in tried.drafts.items()}
        self._rekey(tried.keys)
        self.workplace.change(name, tried.facility)
        self._take_facility(self.facility)
        self.drafts_changed.emit()
        return tried

    def put_text(self, index: Index, text: str) -> None:
        """Put one text into one cell."""
        if text == self.text(index) and self.draft(index) is None:
            return
        cell = self.cell(index)
        if isinstance(cell.key, NewRow):
            name = f"Add {self.listing.a_one}"
        else:
            name = self.listing.edit_name(self.facility, cell.key, self.column_of(index))
        self.put({cell: text}, name)

    def give_up(self, cells: Sequence[Cell]) -> None:
        """Forget what waits in some cells; a new row with nothing left is gone."""
        for cell in cells:
            self.drafts.pop(cell, None)
        self._take_facility(self.facility)
        self.drafts_changed.emit()

    def new_rows(self, count: int) -> list[NewRow]:
        """The keys of so many new rows at the end, made where there are fewer."""
        found = [key for key in self._rows if isinstance(key, NewRow)]
        empty = [key for key in found if not self._typed(key)]
        while len(empty) < count:
            row = self._new_row()
            at = len(self._rows)
            self.beginInsertRows(QModelIndex(), at, at)
            self._rows.append(row)
            self.endInsertRows()
            empty.append(row)
        return empty[:count]

    def _typed(self, key: Key) -> bool:
        return any(cell.key == key for cell in self.drafts)

    def _new_row(self) -> NewRow:
        self._numbered += 1
        return NewRow(self._numbered)

    # ---- filter and order

    def narrow(self, text: str, part: str) -> None:
        """Show only the rows that have a cell with a text in it, and belong to a part."""
        self.filter, self.part = text, part
        self._anew()

    def order_by(self, column: int) -> None:
        """Order by a column, then the other way, then as filed."""
        was = self.sorted_by
        if was is None or was[0] != column:
            self.sorted_by = (column, False)
        else:
            self.sorted_by = None if was[1] else (column, True)
        self._anew()

    def _anew(self) -> None:
        self.beginResetModel()
        self._arrange()
        self.endResetModel()

    def _arrange(self) -> None:
        new = [key for key in self._rows if isinstance(key, NewRow) and self._typed(key)]
        choice = Choice(self.filter, self.part, self.sorted_by)
        self._rows = chosen_rows(self.listing, self.facility, self.drafts, self._keys, choice)
        if self.listing.own_rows:
            self._rows += [*new, self._new_row()]

    # ---- following the facility

    def _rekey(self, keys: Mapping[Key, Key]) -> None:
        """Let rows bear their new keys, where they stand."""
        if keys:
            self._rows = [keys.get(key, key) for key in self._rows]

    def _take_document(self) -> None:
        """What waits in the cells of one file is nothing to another."""
        if self._seen is not self.facility:
            self.drafts.clear()
            self.drafts_changed.emit()

    def _take_facility(self, facility: Facility) -> None:
        """Show another facility; rows that stay keep their places."""
        self._seen = facility
        self.judge.follow(facility)
        keys = self.listing.keys(facility)
        if keys != self._keys:
            known, self._keys, self._there = self._there, keys, frozenset(keys)
            self._sync(known)
        self._sweep_new_rows()
        if self._rows:
            last = self.index(len(self._rows) - 1, len(self.listing.columns) - 1)
            self.dataChanged.emit(self.index(0, 0), last)

    def _sync(self, known: frozenset[Key]) -> None:
        """Take away rows that are gone and put in those that have come, after their forerunner.

        What has come is shown whatever the filter says, so that nobody looks for it in vain.
        """
        there, shown = self._there, {*known, *self._rows}
        gone = [n for n, k in enumerate(self._rows) if not isinstance(k, NewRow) and k not in there]
        come = [key for key in self._keys if key not in shown]
        if len(gone) + len(come) > MOST_ONE_BY_ONE:
            self._anew()
            return
        for row in reversed(gone):
            self.beginRemoveRows(QModelIndex(), row, row)
            del self._rows[row]
            self.endRemoveRows()
        for key in come:
            row = self._place_of(key)
            self.beginInsertRows(QModelIndex(), row, row)
            self._rows.insert(row, key)
            self.endInsertRows()

    def _place_of(self, key: Key) -> int:
        """Where a row that has come goes: behind the one it follows in the file."""
        before = self._keys[: self._keys.index(key)]
        for other in reversed(before):
            row = self.row(other)
            if row is not None:
                return row + 1
        return 0

    def _sweep_new_rows(self) -> None:
        """One empty new row stands at the end, and no other."""
        if not self.listing.own_rows:
            return
        empty = [
            n for n, k in enumerate(self._rows) if isinstance(k, NewRow) and not self._typed(k)
        ]
        last = len(self._rows) - 1
        for row in reversed(empty):
            if row != last:
                self.beginRemoveRows(QModelIndex(), row, row)
                del self._rows[row]
                self.endRemoveRows()
        if not self._rows or last not in empty:
            at = len(self._rows)
            self.beginInsertRows(QModelIndex(), at, at)
            self._rows.append(self._new_row())
            self.endInsertRows()
