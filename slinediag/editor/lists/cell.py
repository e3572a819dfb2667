"""A cell that is being typed in: checked at every key, completed by address and by label."""

# ruff: noqa: N802 (event handlers bear Qt's names)

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import (
    QAbstractItemModel,
    QEvent,
    QModelIndex,
    QObject,
    QPersistentModelIndex,
    QRect,
    QSize,
    Qt,
    Signal,
)
from PySide6.QtGui import QColor, QFontMetrics, QKeyEvent, QPainter, QPen
from PySide6.QtWidgets import (
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QWidget,
)

from slinediag.editor import looks
from slinediag.editor.lists.completed_field import CompletedField, edge_style
from slinediag.editor.lists.listing import Name
from slinediag.editor.lists.table_model import TableModel
from slinediag.problems import Problem

Index = QModelIndex | QPersistentModelIndex
ENDS = (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Tab, Qt.Key.Key_Backtab)
WIDEST = 320
"""Pixels that a narrow cell may grow to while one types."""


class CellField(CompletedField):
    """The text of one cell while one types."""

    ended = Signal(object)
    """Typing has ended by a key. Carries the key and whether Ctrl was held."""
    given_up = Signal()
    """Esc: what was typed is not wanted."""

    def __init__(self, known: Sequence[Name], parent: QWidget, *, several: bool) -> None:
        super().__init__(known, parent, several=several)
        self.problem: Problem | None = None
        """What is wrong with the text as it is."""
        own = (
            f"QLineEdit {{ border: 2px solid {looks.inks().accent}; border-radius: 0; "
            "margin: 0; padding: 0 1px; }"
        )
        self.setStyleSheet(edge_style("QLineEdit", own))

    def event(self, event: QEvent) -> bool:
        """Tab ends the cell, where Qt would go to another control."""
        if isinstance(event, QKeyEvent) and event.type() == QEvent.Type.KeyPress:
            if event.key() in ENDS:
                self._end(event)
                return True
            if event.key() == Qt.Key.Key_Escape:
                self._give_up()
                event.accept()
                return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Alt with the arrow down shows what the cell may be."""
        alt = event.modifiers() & Qt.KeyboardModifier.AltModifier
        if event.key() == Qt.Key.Key_Down and (alt or not self._popup_shown()):
            self.offer_all()
            return
        super().keyPressEvent(event)

    def _popup_shown(self) -> bool:
        return self.popup.isVisible()

    def _end(self, event: QKeyEvent) -> None:
        self.popup.hide()
        ctrl = bool(event.modifiers() & Qt.KeyboardModifier.ControlModifier)
        event.accept()
        self.ended.emit((Qt.Key(event.key()), ctrl))

    def _give_up(self) -> None:
        if self._popup_shown():
            self.popup.hide()
        else:
            self.given_up.emit()


class CellDelegate(QStyledItemDelegate):
    """Makes the field of a cell, and paints what waits to be corrected with an edge."""

    judged = Signal(object)
    """What is wrong with what is being typed: a Problem, or None."""
    ended = Signal(object)
    """Typing in a cell has ended by a key. Carries the key and whether Ctrl was held."""

    def __init__(self, model: TableModel, parent: QWidget) -> None:
        super().__init__(parent)
        self._model = model
        self.field: CellField | None = None

    def createEditor(self, parent: QWidget, _option: QStyleOptionViewItem, index: Index) -> QWidget:
        """A field that knows what its cell may be."""
        key, column = self._model.cell(index).key, self._model.column_of(index)
        known = column.names(self._model.facility, key)
        field = CellField(known, parent, several=column.several)
        field.setAccessibleName(self._model.name(index))
        field.setProperty("cell", True)
        at = QPersistentModelIndex(index)
        field.textChanged.connect(lambda text: self._judge(field, at, text))
        field.ended.connect(lambda how: self._end(field, how))
        field.given_up.connect(lambda: self._give_up(field, at))
        self.field = field
        return field

    def setEditorData(self, editor: QWidget, index: Index) -> None:
        """Begin with what is filed, or was typed before; data that changes meanwhile waits."""
        if isinstance(editor, CellField) and not editor.property("begun"):
            editor.setProperty("begun", True)
            editor.setText(self._model.text(index))
            editor.selectAll()
            self._judge(editor, index, editor.text())

    def setModelData(self, editor: QWidget, _model: QAbstractItemModel, index: Index) -> None:
        """Put the text in; what cannot be stays as a draft."""
        if isinstance(editor, CellField) and not editor.property("dropped"):
            self._model.put_text(index, editor.text())

    def updateEditorGeometry(
        self, editor: QWidget, option: QStyleOptionViewItem, _index: Index
    ) -> None:
        """Over its cell, wider where that is narrow."""
        cell: QRect = option.rect
        parent = editor.parentWidget()
        room = parent.width() - cell.left() if parent else cell.width()
        width = max(cell.width(), min(WIDEST, room, cell.width() + 60))
        editor.setGeometry(QRect(cell.left(), cell.top() - 1, width, cell.height() + 2))

    def destroyEditor(self, editor: QWidget, index: Index) -> None:
        """The field is gone, by whatever way typing has ended."""
        if editor is self.field:
            self.field = None
        super().destroyEditor(editor, index)
        self.judged.emit(None)

    def eventFilter(self, editor: QObject, event: QEvent) -> bool:
        """Keys are the field's own affair."""
        if event.type() in (QEvent.Type.KeyPress, QEvent.Type.ShortcutOverride):
            return False
        return super().eventFilter(editor, event)

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        """The text; an edge about what waits, and about the cell that keys go to."""
        state: QStyle.StateFlag = option.state
        draft, ink = self._model.draft(index), looks.inks()
        focused = bool(state & QStyle.StateFlag.State_HasFocus)
        option.state = state & ~QStyle.StateFlag.State_HasFocus
        if draft is not None or focused:
            option.state = option.state & ~QStyle.StateFlag.State_Selected
            # The table has painted what is selected already.
            painter.fillRect(option.rect, QColor(ink.field))
        super().paint(painter, option, index)
        cell: QRect = option.rect
        if draft is not None:
            style = Qt.PenStyle.DashLine if draft.waits else Qt.PenStyle.SolidLine
            edge(painter, cell, ink.accent if draft.waits else ink.danger, style, 2 + focused)
        elif focused:
            edge(painter, cell, ink.accent, Qt.PenStyle.SolidLine)

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:
        """All rows are of one height, so that nothing is measured."""
        height = row_height(option.fontMetrics)
        return QSize(super().sizeHint(option, index).width(), height)

    def _judge(self, field: CellField, index: Index, text: str) -> None:
        """Say what is wrong; a text that may still become a name is not wrong yet."""
        if not index.isValid():
            return
        problem: Problem | None = self._model.check(index, text)
        field.problem = problem
        field.mark(problem is not None and not field.may_become(text))
        field.setAccessibleDescription(problem.text() if problem else "")
        self.judged.emit(problem if field.property("wrong") else None)

    def _end(self, field: CellField, how: tuple[Qt.Key, bool]) -> None:
        key, ctrl = how
        stays = key in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and not ctrl
        if stays and field.problem is not None:
            field.mark(True)
            self.judged.emit(field.problem)
            return
        if not ctrl:
            self.commitData.emit(field)
        text = field.text()
        field.setProperty("dropped", True)
        self.closeEditor.emit(field, QStyledItemDelegate.EndEditHint.NoHint)
        self.field = None
        self.ended.emit((key, ctrl, text))

    def _give_up(self, field: CellField, index: Index) -> None:
        field.setProperty("dropped", True)
        self.closeEditor.emit(field, QStyledItemDelegate.EndEditHint.NoHint)
        self.field = None
        if index.isValid():
            self._model.give_up([self._model.cell(index)])
        self.judged.emit(None)


def row_height(metrics: QFontMetrics) -> int:
    """The height of a row in pixels: a line of text, with room for a field's edges."""
    return metrics.height() + 11


def edge(painter: QPainter, cell: QRect, colour: str, style: Qt.PenStyle, width: int = 2) -> None:
    """An edge within a cell, of some pixels."""
    painter.save()
    painter.setPen(QPen(QColor(colour), width, style))
    painter.drawRect(cell.adjusted(1, 1, -2, -2))
    painter.restore()
