"""The table of a list: keys, clipboard, filling, rows, and the way from a cell to its thing."""

# ruff: noqa: N802 (event handlers bear Qt's names)

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtCore import (
    QModelIndex,
    QPersistentModelIndex,
    Qt,
    QTimer,
    Signal,
)
from PySide6.QtGui import (
    QContextMenuEvent,
    QKeyEvent,
    QKeySequence,
    QResizeEvent,
)
from PySide6.QtWidgets import QAbstractItemView, QHeaderView, QMenu, QTableView, QWidget

from slinediag.editor.lists.cell import CellDelegate, row_height
from slinediag.editor.lists.commands import Commands
from slinediag.editor.lists.table_model import TableModel
from slinediag.editor.lists.trying import Cell, NewRow
from slinediag.editor.things import Thing

SELECTS_AFTER = 60
"""Milliseconds that the cursor stays before what it is on is selected, so that it runs freely."""
CONTROL = Qt.KeyboardModifier.ControlModifier
CHARACTER = 8
"""Pixels: about the width of a character, for first column widths."""


class ListTable(QTableView):
    """A list on screen."""

    chosen = Signal(object)
    """The cursor rests on something. Carries a Thing."""
    wanted_on_chart = Signal(object)
    """Something is wanted on the chart. Carries a Thing."""
    told = Signal(str)
    """What a command did, or why it cannot be, in words."""
    filter_wanted = Signal()
    """The keys are to go to the filter."""
    moved = Signal()
    """The cursor is in another cell."""

    def __init__(self, model: TableModel, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.table = model
        self._following = False
        self.commands = Commands(self, model)
        self.commands.told.connect(self.told)
        self.setModel(model)
        self.setAccessibleName(model.listing.title)
        self.delegate = CellDelegate(model, self)
        self.delegate.ended.connect(self._after_typing)
        self.setItemDelegate(self.delegate)
        triggers = QAbstractItemView.EditTrigger
        self.setEditTriggers(triggers.AnyKeyPressed | triggers.DoubleClicked)
        self.setSelectionMode(QAbstractItemView.SelectionMode.ExtendedSelection)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setHorizontalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setTabKeyNavigation(False)
        self.setWordWrap(False)
        self.setCornerButtonEnabled(False)
        self._make_headers()
        self._rests = QTimer(self, singleShot=True, interval=SELECTS_AFTER)
        self._rests.timeout.connect(self._choose)
        model.modelReset.connect(self._come_back)
        model.modelAboutToBeReset.connect(self._remember)
        self._was: tuple[Cell, int] | None = None

    def _make_headers(self) -> None:
        down = self.verticalHeader()
        down.hide()
        down.setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        down.setDefaultSectionSize(row_height(self.fontMetrics()))
        across = self.horizontalHeader()
        across.setSectionsClickable(True)
        across.setHighlightSections(False)
        across.setDefaultAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
        across.setMinimumSectionSize(40)
        across.setStretchLastSection(True)
        across.sectionClicked.connect(self.order_by)
        for number, column in enumerate(self.table.listing.columns):
            widest = max(column.width, len(column.title) + 2)
            across.resizeSection(number, widest * CHARACTER)

    @property
    def widths(self) -> tuple[int, ...]:
        """Pixels of the columns."""
        across = self.horizontalHeader()
        return tuple(across.sectionSize(number) for number in range(across.count()))

    def widen(self, widths: Sequence[int]) -> None:
        """Make the columns as wide as they were; those of another list are let alone."""
        across = self.horizontalHeader()
        if len(widths) == across.count():
            for number, width in enumerate(widths):
                across.resizeSection(number, width)

    # ---- where one is

    def cells(self) -> list[QModelIndex]:
        """The selected cells, else the current one; row by row."""
        found = self.selectionModel().selectedIndexes() or [self.currentIndex()]
        return sorted(
            (index for index in found if index.isValid()), key=lambda i: (i.row(), i.column())
        )

    def go_to(self, cell: Cell | None, row: int = 0) -> None:
        """Put the cursor into a cell, or the one in its place."""
        at = self.table.row(cell.key) if cell is not None else None
        titles = [column.title for column in self.table.listing.columns]
        column = titles.index(cell.title) if cell is not None else self.table.first_free
        last = self.table.rowCount() - 1
        if last >= 0:
            index = self.table.index(at if at is not None else min(row, last), column)
            self.setCurrentIndex(index)
            self.scrollTo(index)

    def take_keys(self) -> None:
        """Let the keys go to the table."""
        self.setFocus()

    def follow(self, thing: Thing | None) -> None:
        """Go to the row of what has been selected elsewhere."""
        if thing is None:
            return
        key = self.table.listing.key_of(self.table.facility, thing)
        row = self.table.row(key) if key is not None else None
        if row is None or row in {index.row() for index in self.cells()}:
            return
        self._following = True
        column = max(self.currentIndex().column(), 0)
        index = self.table.index(row, column)
        self.setCurrentIndex(index)
        self.scrollTo(index, QAbstractItemView.ScrollHint.PositionAtCenter)
        self._following = False

    def currentChanged(
        self,
        current: QModelIndex | QPersistentModelIndex,
        previous: QModelIndex | QPersistentModelIndex,
    ) -> None:
        """What the cursor comes to is selected once it rests."""
        super().currentChanged(current, previous)
        self.moved.emit()
        if not self._following and self.isVisible() and self.hasFocus():
            self._rests.start()

    def _choose(self) -> None:
        thing = self.thing()
        if thing is not None:
            self.chosen.emit(thing)

    def thing(self) -> Thing | None:
        """What the cursor is on."""
        index = self.currentIndex()
        if not index.isValid():
            return None
        cell = self.table.cell(index)
        if not self.table.is_filed(cell.key):
            return None
        column = self.table.column_of(index)
        return self.table.listing.thing(self.table.facility, cell.key, column)

    def _remember(self) -> None:
        index = self.currentIndex()
        self._was = (self.table.cell(index), index.row()) if index.isValid() else None

    def _come_back(self) -> None:
        if self._was is not None:
            self.go_to(*self._was)

    def order_here(self) -> None:
        """Order by the column that the cursor is in."""
        if self.currentIndex().isValid():
            self.order_by(self.currentIndex().column())

    def order_by(self, column: int) -> None:
        """Order by a column, then the other way, then as filed."""
        self.table.order_by(column)
        way = self.table.sorted_by
        across = self.horizontalHeader()
        across.setSortIndicatorShown(way is not None)
        if way is not None:
            down = Qt.SortOrder.DescendingOrder if way[1] else Qt.SortOrder.AscendingOrder
            across.setSortIndicator(way[0], down)

    # ---- keys

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """What the keys do while nobody types."""
        commands = {
            QKeySequence.StandardKey.Copy: self.commands.copy,
            QKeySequence.StandardKey.Cut: self.commands.cut,
            QKeySequence.StandardKey.Paste: self.commands.paste,
        }
        for keys, do in commands.items():
            if event.matches(keys):
                do()
                return
        held = event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier
        do_own = self._own_keys().get((Qt.Key(event.key()), held))
        if do_own is not None:
            do_own()
            event.accept()
            return
        if event.key() == Qt.Key.Key_Escape and not self.give_up():
            event.ignore()
            return
        super().keyPressEvent(event)

    def _own_keys(self) -> dict[tuple[Qt.Key, Qt.KeyboardModifier], Callable[[], object]]:
        none = Qt.KeyboardModifier.NoModifier
        alt = Qt.KeyboardModifier.AltModifier
        key = Qt.Key
        return {
            (key.Key_Return, none): self.type_in,
            (key.Key_Enter, none): self.type_in,
            (key.Key_Return, CONTROL): self.to_chart,
            (key.Key_Enter, CONTROL): self.to_chart,
            (key.Key_Delete, none): self.commands.clear_cells,
            (key.Key_Backspace, none): self.commands.clear_cells,
            (key.Key_D, CONTROL): self.commands.fill,
            (key.Key_Insert, alt): self.commands.add_row,
            (key.Key_Delete, alt): self.commands.remove_rows,
            (key.Key_J, CONTROL): self.to_next_draft,
            (key.Key_O, CONTROL | Qt.KeyboardModifier.ShiftModifier): self.order_here,
            (key.Key_F, CONTROL | Qt.KeyboardModifier.ShiftModifier): self.filter_wanted.emit,
        }

    def type_in(self) -> None:
        """Type in the current cell, with what is there."""
        index = self.currentIndex()
        if index.isValid() and index.flags() & Qt.ItemFlag.ItemIsEditable:
            self.edit(index)

    def _after_typing(self, how: tuple[Qt.Key, bool, str]) -> None:
        key, ctrl, text = how
        if ctrl:
            self.commands.fill_with(text)
        index = self.currentIndex()
        waits = self.table.draft(index)
        row, column = index.row(), index.column()
        if key == Qt.Key.Key_Backtab:
            column -= 1
        elif key == Qt.Key.Key_Tab or (waits is not None and waits.waits):
            column += 1
        else:
            row += 1
        if not ctrl and 0 <= column < self.table.columnCount() and 0 <= row < self.table.rowCount():
            self.setCurrentIndex(self.table.index(row, column))
        self.setFocus()

    def give_up(self) -> bool:
        """Forget what waits in the selected cells; False where nothing does."""
        cells = [self.table.cell(index) for index in self.cells()]
        rows = {cell.key for cell in cells if isinstance(cell.key, NewRow)}
        waiting = [c for c in self.table.drafts if c in cells or c.key in rows]
        if waiting:
            self.table.give_up(waiting)
            self.moved.emit()
        return bool(waiting)

    def to_next_draft(self) -> None:
        """Go to the next cell that waits to be corrected."""
        index = self.currentIndex()
        titles = [column.title for column in self.table.listing.columns]
        places = sorted(
            (row, titles.index(cell.title))
            for cell in self.table.drafts
            if (row := self.table.row(cell.key)) is not None
        )
        if places:
            here = (index.row(), index.column())
            row, column = next((place for place in places if place > here), places[0])
            self.setCurrentIndex(self.table.index(row, column))
            self.setFocus()

    def to_chart(self) -> None:
        """Show what the cursor is on on the chart."""
        thing = self.thing()
        if thing is not None:
            self.wanted_on_chart.emit(thing)

    def contextMenuEvent(self, event: QContextMenuEvent) -> None:
        """What can be done here, with its keys."""
        self.menu().exec(event.globalPos())

    def menu(self) -> QMenu:
        """The commands of the table."""
        menu = QMenu(self)
        own_rows = self.table.listing.own_rows
        for words, keys, do, possible in (
            ("Show on the chart", "Ctrl+Return", self.to_chart, self.thing() is not None),
            ("Copy", "Ctrl+C", self.commands.copy, True),
            ("Cut", "Ctrl+X", self.commands.cut, True),
            ("Paste", "Ctrl+V", self.commands.paste, True),
            ("Clear", "Del", self.commands.clear_cells, True),
            ("Fill down, counting", "Ctrl+D", self.commands.fill, True),
            ("Order by this column", "Ctrl+Shift+O", self.order_here, True),
            (f"Add {self.table.listing.a_one}", "Alt+Ins", self.commands.add_row, own_rows),
            ("Remove", "Alt+Del", self.commands.remove_rows, own_rows),
        ):
            if possible:
                action = menu.addAction(words)
                action.setShortcut(QKeySequence(keys))
                action.triggered.connect(do)
        return menu

    def resizeEvent(self, event: QResizeEvent) -> None:
        """The cursor stays in sight."""
        super().resizeEvent(event)
        if self.currentIndex().isValid():
            self.scrollTo(self.currentIndex())
