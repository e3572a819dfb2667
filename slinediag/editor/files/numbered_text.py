"""Text to be edited, with line numbers and lines that are lit."""

# ruff: noqa: N802 (event handlers bear Qt's names)

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtCore import QEvent, QRect, QSize, Qt
from PySide6.QtGui import (
    QColor,
    QFontDatabase,
    QPainter,
    QPaintEvent,
    QResizeEvent,
    QTextCharFormat,
    QTextCursor,
    QTextFormat,
)
from PySide6.QtWidgets import QPlainTextEdit, QTextEdit, QWidget

from slinediag.editor import looks

PARAGRAPH = "\u2029"
"""What Qt parts lines with."""
LIT = 46
"""How strongly a line is lit, of 255."""


class Numbers(QWidget):
    """The numbers at the side of the text."""

    def __init__(self, text: NumberedText) -> None:
        super().__init__(text)
        self._text = text

    def sizeHint(self) -> QSize:
        """As wide as the last number."""
        return QSize(self._text.number_width(), 0)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint the numbers that are seen."""
        self._text.paint_numbers(self, event.rect())


class NumberedText(QPlainTextEdit):
    """Plain text with numbered lines; lines with something to say are marked."""

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(name)
        fixed = QFontDatabase.systemFont(QFontDatabase.SystemFont.FixedFont)
        fixed.setPointSizeF(looks.POINTS)
        self.setFont(fixed)
        self.setLineWrapMode(QPlainTextEdit.LineWrapMode.NoWrap)
        self.setTabChangesFocus(False)
        self.setTabStopDistance(2 * self.fontMetrics().horizontalAdvance(" "))
        self.marked: Mapping[int, str] = {}
        self._numbers = Numbers(self)
        self.blockCountChanged.connect(lambda _count: self._make_room())
        self.updateRequest.connect(self._follow)
        self.cursorPositionChanged.connect(self._light)
        self._make_room()

    # ---- the text

    @property
    def text(self) -> str:
        """The text as it is, hard spaces and all, lines parted by a line feed."""
        return self.document().toRawText().replace(PARAGRAPH, "\n")

    def replace_all(self, text: str) -> None:
        """Another text in the place of all of this, as one step that can be undone."""
        cursor = QTextCursor(self.document())
        cursor.select(QTextCursor.SelectionType.Document)
        cursor.insertText(text)

    def go_to(self, line: int, column: int = 1) -> None:
        """Put the cursor at a place, both counted from 1, and bring it into view."""
        block = self.document().findBlockByNumber(max(0, line - 1))
        if not block.isValid():
            block = self.document().lastBlock()
        cursor = QTextCursor(block)
        cursor.setPosition(block.position() + min(max(0, column - 1), block.length() - 1))
        self.setTextCursor(cursor)
        self.centerCursor()

    def mark(self, lines: Mapping[int, str]) -> None:
        """Mark these lines, each with words that are shown when one points at its number."""
        self.marked = dict(lines)
        self._light()
        self._numbers.update()

    # ---- looks

    def _light(self) -> None:
        """Light marked lines, and the line of the cursor faintly."""
        ink = looks.inks()
        here = self.textCursor().blockNumber() + 1
        lit = [
            self._line(line, ink.danger, 2 * LIT if line == here else LIT) for line in self.marked
        ]
        if here not in self.marked:
            lit.insert(0, self._line(here, ink.accent, LIT // 3))
        self.setExtraSelections([selection for selection in lit if selection is not None])

    def _line(self, line: int, colour: str, strength: int) -> QTextEdit.ExtraSelection | None:
        block = self.document().findBlockByNumber(line - 1)
        if not block.isValid():
            return None
        ground = QColor(colour)
        ground.setAlpha(strength)
        selection = QTextEdit.ExtraSelection()
        made = QTextCharFormat()
        made.setBackground(ground)
        made.setProperty(QTextFormat.Property.FullWidthSelection, True)
        selection.format = made
        selection.cursor = QTextCursor(block)
        return selection

    def number_width(self) -> int:
        """Pixels that the numbers take."""
        digits = max(3, len(str(self.blockCount())))
        return self.fontMetrics().horizontalAdvance("0") * digits + 3 * looks.GAP

    def paint_numbers(self, side: QWidget, room: QRect) -> None:
        """Paint the numbers of the lines that are seen; marked ones stand out."""
        ink = looks.inks()
        painter = QPainter(side)
        painter.fillRect(room, QColor(ink.ground))
        block = self.firstVisibleBlock()
        top = self.blockBoundingGeometry(block).translated(self.contentOffset()).top()
        width, height = side.width() - looks.GAP, self.fontMetrics().height()
        while block.isValid() and top <= room.bottom():
            number = block.blockNumber() + 1
            marked = number in self.marked
            font = self.font()
            font.setBold(marked)
            painter.setFont(font)
            painter.setPen(QColor(ink.danger if marked else ink.quiet))
            words = f"▸ {number}" if marked else str(number)
            painter.drawText(0, round(top), width, height, Qt.AlignmentFlag.AlignRight, words)
            top += self.blockBoundingRect(block).height()
            block = block.next()
        painter.end()

    def _make_room(self) -> None:
        self.setViewportMargins(self.number_width(), 0, 0, 0)
        self._lay_numbers()

    def _lay_numbers(self) -> None:
        inside = self.contentsRect()
        self._numbers.setGeometry(inside.left(), inside.top(), self.number_width(), inside.height())

    def _follow(self, rect: QRect, dy: int) -> None:
        if dy:
            self._numbers.scroll(0, dy)
        else:
            self._numbers.update(0, rect.y(), self._numbers.width(), rect.height())

    def resizeEvent(self, event: QResizeEvent) -> None:
        """The numbers are as high as the text."""
        super().resizeEvent(event)
        self._lay_numbers()

    def changeEvent(self, event: QEvent) -> None:
        """Lit lines follow the palette."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.PaletteChange:
            self._light()
