"""Pages as they will be printed: one at a time, whole or at real size, beside a rule of 100 mm."""

# ruff: noqa: N802 (event handlers bear Qt's names)

from __future__ import annotations

from collections.abc import Iterable

from PySide6.QtCore import QPointF, QRectF, Qt, QTimer, Signal
from PySide6.QtGui import (
    QColor,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QResizeEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QWidget

from slinediag.editor import looks
from slinediag.editor.printing.making import Page
from slinediag.editor.tiled_sheet import TiledSheet
from slinediag.editor.view import View, fitted
from slinediag.geometry import Box, to_mm

RULE_MM = 100
"""What one holds a ruler to."""
RULE_ROOM = 46
"""Pixels below the page that the rule takes."""
MM_TO_THE_INCH = 25.4
KEY_MOVE = 60
TICK = 7
SMALLEST = 0.5
"""Pixels of capitals that are still painted: a page is seen as full as it is."""
NOTHING = Box(0, 0, 1, 1)


class Preview(QWidget):
    """The pages of one paper; ``turned`` tells that another is shown, or how it is looked at."""

    turned = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.pages: tuple[Page, ...] = ()
        self.index = 0
        self.view = View()
        self.correction = 1.0
        """How many times longer than Qt believes a millimetre is on this screen."""
        self.real = False
        self.seen_whole = True
        self._last: QPointF | None = None
        self._sheet = TiledSheet(self, SMALLEST)
        self._sheet.painted.connect(self.update)
        self._settle = QTimer(self, singleShot=True, interval=40)
        self._settle.timeout.connect(lambda: self._sheet.want(self.view, *self._extent()))
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMinimumSize(320, 240)
        self.setAccessibleName("Preview")
        self._tell()

    # ---- pages

    def clear(self) -> None:
        """Show nothing."""
        self.pages = ()
        self.index = 0
        self.seen_whole, self.real = True, False
        self._sheet.take(NOTHING, None)
        self._tell()

    def add(self, pages: Iterable[Page]) -> None:
        """More pages, after those that there are; the first is shown at once."""
        first = not self.pages
        self.pages = (*self.pages, *pages)
        if first and self.pages:
            self.turn_to(0)
        self._tell()

    def turn_to(self, index: int) -> None:
        """Show another page; the nearest where there is none of that number."""
        if not self.pages:
            return
        before = self._page_box()
        self.index = max(0, min(index, len(self.pages) - 1))
        page = self.pages[self.index]
        self._sheet.take(self._page_box(), page.spread)
        if self.seen_whole or before != self._page_box():
            self.see_real() if self.real else self.see_whole()
        self._settle.start()
        self._tell()

    @property
    def ready(self) -> bool:
        """Whether all that is seen is painted."""
        return not self._settle.isActive() and not self._sheet.busy

    def _page_box(self) -> Box:
        if not self.pages:
            return NOTHING
        drawing = self.pages[self.index].drawing
        return Box(0, 0, drawing.width, drawing.height)

    # ---- how it is looked at

    @property
    def real_scale(self) -> float:
        """Pixels to a millimetre of this screen, as Qt knows it and as somebody put it right."""
        return self.screen().physicalDotsPerInchX() / MM_TO_THE_INCH * self.correction

    def see_whole(self) -> None:
        """The whole page."""
        self._look(fitted(self._page_box(), self.width(), self.height() - RULE_ROOM))
        self.seen_whole, self.real = True, False
        self.turned.emit()

    def see_real(self) -> None:
        """The page as large as it is printed, from its top left."""
        margin = 14 / self.real_scale
        self._look(View(self.real_scale, -margin, -margin))
        self.seen_whole, self.real = False, True
        self.turned.emit()

    def correct(self, factor: float) -> None:
        """Take a millimetre of this screen to be this many times longer than Qt believes."""
        self.correction = factor
        if self.real:
            self._look(View(self.real_scale, self.view.left, self.view.top))
        self.update()

    def zoom(self, steps: float, at: QPointF | None = None) -> None:
        """Nearer, or farther where negative, about a pixel."""
        about = at or QPointF(self.width() / 2, self.height() / 2)
        self._look(self.view.stepped(steps, about.x(), about.y()))
        self.seen_whole = self.real = False
        self.turned.emit()

    def _look(self, view: View) -> None:
        self.view = view
        self._settle.start()
        self.update()

    def _move(self, dx: float, dy: float) -> None:
        self._look(self.view.moved(dx, dy))
        self.seen_whole = False

    def _extent(self) -> tuple[int, int, float]:
        return self.width(), self.height(), self.devicePixelRatioF()

    def _tell(self) -> None:
        words = "No pages yet"
        if self.pages:
            drawing = self.pages[self.index].drawing
            size = f"{to_mm(drawing.width):.0f} by {to_mm(drawing.height):.0f} mm"
            words = f"Page {self.index + 1} of {len(self.pages)}, {size}: {drawing.title}"
        self.setAccessibleDescription(words)
        self.turned.emit()
        self.update()

    # ---- events

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Take hold of the page."""
        self.setFocus(Qt.FocusReason.MouseFocusReason)
        self._last = event.position()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Move it."""
        if self._last is not None:
            step = event.position() - self._last
            self._move(step.x(), step.y())
            self._last = event.position()

    def mouseReleaseEvent(self, _event: QMouseEvent) -> None:
        """Let it go."""
        self._last = None

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Zoom about the pointer."""
        self.zoom(event.angleDelta().y() / 120, event.position())
        event.accept()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Page up and down turn, arrows move, plus and minus zoom, Home sees the whole page."""
        key = event.key()
        steps = {
            Qt.Key.Key_Left: (KEY_MOVE, 0),
            Qt.Key.Key_Right: (-KEY_MOVE, 0),
            Qt.Key.Key_Up: (0, KEY_MOVE),
            Qt.Key.Key_Down: (0, -KEY_MOVE),
        }
        if key in steps:
            self._move(*steps[Qt.Key(key)])
        elif key == Qt.Key.Key_PageDown:
            self.turn_to(self.index + 1)
        elif key == Qt.Key.Key_PageUp:
            self.turn_to(self.index - 1)
        elif key in (Qt.Key.Key_Plus, Qt.Key.Key_Equal):
            self.zoom(1)
        elif key == Qt.Key.Key_Minus:
            self.zoom(-1)
        elif key == Qt.Key.Key_Home:
            self.see_whole()
        else:
            super().keyPressEvent(event)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """A whole page stays whole."""
        super().resizeEvent(event)
        if self.seen_whole:
            self.see_whole()
        self._settle.start()

    # ---- painting

    def paintEvent(self, _event: QPaintEvent) -> None:
        """The page on the table, and the rule below it."""
        painter = QPainter(self)
        painter.fillRect(self.rect(), QColor(looks.inks().table))
        if self.pages:
            self._sheet.paint(painter, self.view, *self._extent())
            self._paint_rule(painter)
        if self.hasFocus():
            painter.setPen(QPen(QColor(looks.inks().accent), 2))
            painter.drawRect(self.rect().adjusted(1, 1, -1, -1))
        painter.end()

    @property
    def rule_length(self) -> float:
        """Pixels that the rule is long: 100 mm at the scale at which the page is seen."""
        return RULE_MM * self.view.scale

    def _paint_rule(self, painter: QPainter) -> None:
        """A rule with a tick at every 10 mm, on a slip at the foot."""
        ink = looks.inks()
        length = self.rule_length
        foot = float(self.height())
        painter.fillRect(QRectF(0, foot - RULE_ROOM, self.width(), RULE_ROOM), QColor(ink.ground))
        painter.setPen(QPen(QColor(ink.text), 1))
        painter.setFont(looks.font(9))
        left, y = 14.0, foot - 13.0
        painter.drawLine(QPointF(left, y), QPointF(left + length, y))
        for number in range(11):
            tall = 2 * TICK if number in (0, 5, 10) else TICK
            if length / 10 >= 4 or number in (0, 10):
                x = left + length * number / 10
                painter.drawLine(QPointF(x, y), QPointF(x, y - tall))
        words = f"{RULE_MM} mm" + (" – hold a ruler to it" if self.real else " on the page")
        at = QPointF(left + length + 8, y)
        if at.x() > self.width() - 200:
            at = QPointF(left + 8, y - 2 * TICK)
        painter.drawText(at, words)
