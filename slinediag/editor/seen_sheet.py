"""A sheet as it is seen: moved and zoomed by wheel, touchpad and fingers, painted tile by tile."""

# ruff: noqa: N802 (event handlers bear Qt's names)

from __future__ import annotations

from PySide6.QtCore import QEvent, QPointF, QRectF, Qt, QTimer
from PySide6.QtGui import QNativeGestureEvent, QPainter, QResizeEvent, QWheelEvent
from PySide6.QtWidgets import QGestureEvent, QPinchGesture, QWidget

from slinediag.editor.spread import Spread
from slinediag.editor.tiled_sheet import TiledSheet
from slinediag.editor.view import View, fitted, fitted_width
from slinediag.geometry import Box, Point


class SeenSheet(QWidget):
    """A sheet, and from where one looks at it: ``view``. What is done on it is for others to say.

    Seen whole, it stays so whatever the window's size, until one looks elsewhere.
    """

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.view = View()
        self._sheet = TiledSheet(self)
        self._sheet.painted.connect(self.update)
        self._untouched = True
        self._settle = QTimer(self, singleShot=True, interval=40)
        self._settle.timeout.connect(lambda: self._sheet.want(self.view, *self._extent()))
        self.grabGesture(Qt.GestureType.PinchGesture)

    def drop_hold(self) -> None:
        """Drop what is in hand: fingers have taken the sheet."""

    def lay(self, box: Box, spread: Spread | None, *, afresh: bool) -> None:
        """Lay another sheet, seen whole where it is ``afresh``; None for a bare table."""
        self._sheet.take(box, spread)
        if spread is not None and (afresh or self._untouched):
            self.fit()
        self._settle.start()

    @property
    def sheet(self) -> Box:
        """The sheet, micrometres."""
        return self._sheet.box

    @property
    def ready(self) -> bool:
        """Whether all that is seen is painted."""
        return not self._settle.isActive() and not self._sheet.busy

    def fit(self) -> None:
        """See the whole sheet."""
        self.look(fitted(self.sheet, self.width(), self.height()))
        self._untouched = True

    def fit_width(self) -> None:
        """See the whole width of the sheet, from its top."""
        self.look(fitted_width(self.sheet, self.width(), self.height()))

    def zoom(self, steps: float, at: QPointF | None = None) -> None:
        """Nearer, or farther where negative, about a pixel; about the middle unless said."""
        about = at or QPointF(self.width() / 2, self.height() / 2)
        self.look(self.view.stepped(steps, about.x(), about.y()))

    def move_by(self, dx: float, dy: float) -> None:
        """Move the sheet this many pixels to the right and down."""
        self.look(self.view.moved(dx, dy))

    def look(self, view: View) -> None:
        """Look at another place or from another distance."""
        self.view = view
        self._untouched = False
        if not self._settle.isActive():
            self._settle.start()
        self.update()

    def _extent(self) -> tuple[int, int, float]:
        """The window's width and height, and the screen's pixels to each of its own."""
        return self.width(), self.height(), self.devicePixelRatioF()

    # ---- pixels

    def sheet_on_screen(self) -> QRectF:
        """The pixels that the sheet takes."""
        return self._sheet.on_screen(self.view)

    def paint_sheet(self, painter: QPainter) -> None:
        """Paint as much of the sheet as is there."""
        self._sheet.paint(painter, self.view, *self._extent())

    def screen_point(self, at: Point) -> QPointF:
        """The pixel at which a place on the sheet is seen."""
        return QPointF(*self.view.to_screen(at))

    def on_sheet(self, at: QPointF) -> Point:
        """The place on the sheet that is seen at a pixel."""
        return self.view.to_sheet(at.x(), at.y())

    # ---- events

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Zoom about the pointer; with Shift move across, with Alt or a touchpad move freely."""
        pixels = event.pixelDelta()
        plain = event.modifiers() == Qt.KeyboardModifier.NoModifier
        if plain and not pixels.isNull() and event.phase() != Qt.ScrollPhase.NoScrollPhase:
            self.look(self.view.moved(pixels.x(), pixels.y()))
        elif event.modifiers() & Qt.KeyboardModifier.ShiftModifier:
            turn = event.angleDelta().y() or event.angleDelta().x()
            self.look(self.view.moved(turn, 0))
        else:
            self.zoom(event.angleDelta().y() / 120, event.position())
        event.accept()

    def event(self, event: QEvent) -> bool:
        """Pinching zooms about the fingers, on a touchpad and on a screen."""
        if isinstance(event, QNativeGestureEvent):
            if event.gestureType() == Qt.NativeGestureType.ZoomNativeGesture:
                self._pinch(1 + event.value(), event.position())
                event.accept()
                return True
            return False
        if isinstance(event, QGestureEvent):
            pinch = event.gesture(Qt.GestureType.PinchGesture)
            if isinstance(pinch, QPinchGesture):
                self.drop_hold()
                at = self.mapFromGlobal(pinch.centerPoint())
                before = self.mapFromGlobal(pinch.lastCenterPoint())
                self.look(self.view.moved(at.x() - before.x(), at.y() - before.y()))
                self._pinch(pinch.scaleFactor(), at)
                event.accept(pinch)
                return True
        return super().event(event)

    def _pinch(self, factor: float, at: QPointF) -> None:
        self.look(self.view.zoomed(max(factor, 0.1), at.x(), at.y()))

    def resizeEvent(self, event: QResizeEvent) -> None:
        """A fitted sheet stays fitted."""
        super().resizeEvent(event)
        if self._untouched:
            self.fit()
        self._settle.start()
