"""A table in which one jots things down: words, and choices from lists; by keyboard alone too."""

# ruff: noqa: N802 (event handlers bear Qt's names)

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from PySide6.QtCore import QAbstractItemModel, QModelIndex, QPersistentModelIndex, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QComboBox,
    QHeaderView,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QTableWidget,
    QTableWidgetItem,
    QWidget,
)

Index = QModelIndex | QPersistentModelIndex


@dataclass(frozen=True, slots=True)
class Column:
    """A column: its heading, what it is for, and what may be chosen in it; any words if nothing.

    ``width`` are characters; ``assumed`` is shown where nothing is typed.
    """

    heading: str
    hint: str
    width: int = 10
    choices: Callable[[], Sequence[str]] | None = None
    only: bool = True


class Chooser(QStyledItemDelegate):
    """Edits cells of columns with choices by a list of them."""

    def __init__(self, columns: Sequence[Column], parent: QWidget) -> None:
        super().__init__(parent)
        self._columns = columns

    def createEditor(self, parent: QWidget, option: QStyleOptionViewItem, index: Index) -> QWidget:
        """A field, or a list where there is something to choose."""
        column = self._columns[index.column()]
        if column.choices is None:
            made = super().createEditor(parent, option, index)
            made.setAccessibleName(column.heading)
            return made
        box = QComboBox(parent)
        box.setEditable(not column.only)
        box.setInsertPolicy(QComboBox.InsertPolicy.NoInsert)
        box.addItems(["", *column.choices()])
        box.setAccessibleName(column.heading)
        box.activated.connect(lambda _row: self.commitData.emit(box))
        return box

    def setEditorData(self, editor: QWidget, index: Index) -> None:
        """What stands in the cell."""
        if isinstance(editor, QComboBox):
            text = str(index.data(Qt.ItemDataRole.EditRole) or "")
            editor.setCurrentIndex(max(0, editor.findText(text)))
            if editor.isEditable():
                editor.setEditText(text)
        else:
            super().setEditorData(editor, index)

    def setModelData(self, editor: QWidget, model: QAbstractItemModel, index: Index) -> None:
        """What was chosen or typed."""
        if isinstance(editor, QComboBox):
            model.setData(index, editor.currentText().strip())
        else:
            super().setModelData(editor, model, index)


class DraftTable(QTableWidget):
    """Rows of words; Delete clears cells, typing begins to edit, Tab goes on."""

    edited = Signal()
    """Some cell is another."""

    def __init__(self, name: str, columns: Sequence[Column], parent: QWidget | None = None) -> None:
        super().__init__(0, len(columns), parent)
        self.columns = tuple(columns)
        self.setAccessibleName(name)
        self.setHorizontalHeaderLabels([column.heading for column in columns])
        for number, column in enumerate(columns):
            item = self.horizontalHeaderItem(number)
            if item is not None:
                item.setToolTip(column.hint)
        self.setItemDelegate(Chooser(self.columns, self))
        begin = QAbstractItemView.EditTrigger
        self.setEditTriggers(
            begin.DoubleClicked | begin.SelectedClicked | begin.EditKeyPressed | begin.AnyKeyPressed
        )
        self.verticalHeader().setVisible(False)
        self.verticalHeader().setDefaultSectionSize(32)
        letter = self.fontMetrics().horizontalAdvance("n")
        for number, column in enumerate(columns):
            self.setColumnWidth(number, letter * column.width + 24)
        self.horizontalHeader().setSectionResizeMode(
            len(columns) - 1, QHeaderView.ResizeMode.Stretch
        )
        self.horizontalHeader().setDefaultAlignment(
            Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
        )
        self.horizontalHeader().setHighlightSections(False)
        self.horizontalHeader().setFixedHeight(28)
        self.cellChanged.connect(lambda _row, _column: self.edited.emit())

    def rows(self) -> list[tuple[str, ...]]:
        """The words of all rows."""
        return [
            tuple(self.words(row, column) for column in range(self.columnCount()))
            for row in range(self.rowCount())
        ]

    def words(self, row: int, column: int) -> str:
        """The words of a cell."""
        item = self.item(row, column)
        return item.text().strip() if item is not None else ""

    def fill(self, rows: Sequence[Sequence[str]]) -> None:
        """Show these rows."""
        self.blockSignals(True)
        self.setRowCount(0)
        for row in rows:
            self._append(row)
        self.blockSignals(False)
        self.edited.emit()

    def add(self, row: Sequence[str], *, edit: int | None = None) -> None:
        """One row more, the cell of a column under one's hands."""
        self.blockSignals(True)
        self._append(row)
        self.blockSignals(False)
        self.setFocus()
        self.setCurrentCell(self.rowCount() - 1, edit or 0)
        self.edited.emit()

    def take_out(self) -> None:
        """Take the current row out."""
        if self.currentRow() >= 0:
            self.removeRow(self.currentRow())
            self.edited.emit()

    def _append(self, words: Sequence[str]) -> None:
        row = self.rowCount()
        self.insertRow(row)
        for column, text in enumerate(words):
            self.setItem(row, column, QTableWidgetItem(text))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Delete clears what is selected; Tab behind the last cell leaves the table."""
        if event.key() in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace):
            for item in self.selectedItems():
                item.setText("")
            return
        last = (self.rowCount() - 1, self.columnCount() - 1)
        at = (self.currentRow(), self.currentColumn())
        forward = event.key() == Qt.Key.Key_Tab and at == last
        back = event.key() == Qt.Key.Key_Backtab and at <= (0, 0)
        if forward or back:
            self.focusNextPrevChild(forward)
            return
        super().keyPressEvent(event)
