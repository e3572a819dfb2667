"""Lists whose lines say something and go somewhere."""

# ruff: noqa: N802 (event handlers bear Qt's names)

from __future__ import annotations

from collections.abc import Iterable

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QRect, QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QResizeEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QListWidget,
    QListWidgetItem,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QWidget,
)

CARRIES = Qt.ItemDataRole.UserRole


PADDING = QSize(22, 12)
"""What the style sheet leaves free about the words of a line, and Qt within them."""


class WrappedLine(QStyledItemDelegate):
    """As high as its words need; Qt's own reckoning forgets the style sheet's padding."""

    def sizeHint(
        self, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> QSize:
        """The size of a line at the width of its list."""
        parent = self.parent()
        width = parent.viewport().width() if isinstance(parent, QAbstractItemView) else 200
        room = QRect(0, 0, max(60, width - PADDING.width()), 10_000)
        words = str(index.data(Qt.ItemDataRole.DisplayRole) or " ")
        wrap = int(Qt.TextFlag.TextWordWrap)
        metrics = option.fontMetrics
        height = metrics.boundingRect(room, wrap, words).height()
        return QSize(room.width(), height + PADDING.height())


class LineList(QListWidget):
    """Lines of text, wrapped; a click or Return on one says what it carries."""

    gone_to = Signal(object)
    """What the line carries, where it carries anything."""
    removed = Signal(object)
    """Delete was pressed on a line that carries this."""

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(name)
        self.setWordWrap(True)
        self.setItemDelegate(WrappedLine(self))
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setResizeMode(QListWidget.ResizeMode.Adjust)
        self.itemClicked.connect(self._go)
        self.itemActivated.connect(self._go)

    def fill(self, lines: Iterable[tuple[str, object]]) -> None:
        """Show these lines, each with what it carries; the place in the list stays."""
        row = self.currentRow()
        self.clear()
        for words, carried in lines:
            item = QListWidgetItem(words)
            item.setData(CARRIES, carried)
            if carried is None:
                item.setFlags(item.flags() & ~Qt.ItemFlag.ItemIsSelectable)
            self.addItem(item)
        if 0 <= row < self.count():
            self.setCurrentRow(row)

    def shrink_to(self, most: int) -> None:
        """Be no higher than the lines need, nor than this many of them."""
        heights = [self.sizeHintForRow(row) for row in range(min(self.count(), most))]
        self.setMaximumHeight(sum(heights) + 2 * self.frameWidth() + 10)

    @property
    def lines(self) -> list[str]:
        """The texts of the lines."""
        return [self.item(row).text() for row in range(self.count())]

    @property
    def carried(self) -> object:
        """What the current line carries."""
        item = self.currentItem()
        return item.data(CARRIES) if item is not None else None

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Delete takes the current line's thing away."""
        if event.key() in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace) and self.carried is not None:
            self.removed.emit(self.carried)
            return
        super().keyPressEvent(event)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Lines wrap anew."""
        super().resizeEvent(event)
        self.scheduleDelayedItemsLayout()

    def minimumSizeHint(self) -> QSize:
        """At least two lines."""
        return QSize(120, 58)

    def sizeHint(self) -> QSize:
        """Room for a few lines."""
        return QSize(260, 120)

    def _go(self, item: QListWidgetItem) -> None:
        carried = item.data(CARRIES)
        if carried is not None:
            self.gone_to.emit(carried)
