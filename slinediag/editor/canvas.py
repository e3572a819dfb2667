"""The chart on screen: moves and zooms, lights what is pointed at, and takes trial cords."""

# ruff: noqa: N802 (event handlers bear Qt's names)

from __future__ import annotations

from PySide6.QtCore import QEvent, QPointF, QRectF, Qt, QTimer, Signal
from PySide6.QtGui import (
    QColor,
    QCursor,
    QKeyEvent,
    QMouseEvent,
    QNativeGestureEvent,
    QPainter,
    QPaintEvent,
    QPixmap,
    QResizeEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QWidget

from slinediag.address import Jack
from slinediag.drawing.marks import Mark
from slinediag.editor import canvas_ink as ink
from slinediag.editor import looks
from slinediag.editor.charting import Chart
from slinediag.editor.lighting import lit_runs, place_of, way_to_light
from slinediag.editor.naming import thing_name
from slinediag.editor.overlay import overlay
from slinediag.editor.pointing import jack_at, thing_at
from slinediag.editor.tiles import EDGE, Key, Tiles
from slinediag.editor.view import View, fitted, fitted_width
from slinediag.editor.workplace import Net, Thing, Workplace
from slinediag.geometry import Box, Point, Run
from slinediag.problems import Problem
from slinediag.tracing.values import Answer
from slinediag.tracing.words import plug_sentences, verdict

Weighed = Answer | tuple[Problem, ...]
"""What a cord would do, or why it cannot be."""

REACH_PIXELS = 9
REACH_MM = 2.2
DRAG_FROM = 5
"""Pixels that the pointer moves before a press becomes a drag."""
KEY_MOVE = 80
CORDS_FROM = 0.7
"""Pixels to the millimetre under which a drag always moves the sheet."""
NEAR = 4.0
"""Pixels to the millimetre at which one reads a jack."""
HELD, POINTED = 70, 50
"""How strongly a selection and what is pointed at are lit, of 255."""


class ChartCanvas(QWidget):
    """The chart of the workplace's facility; shows, selects, and takes trial cords."""

    pointed = Signal(object)
    """The thing under the pointer, or None."""
    weighed = Signal(object)
    """What dropping the cord in hand here would do: an Answer, problems, or None."""

    def __init__(self, workplace: Workplace, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.workplace = workplace
        self.chart: Chart | None = None
        self.view = View()
        self.over: Thing | None = None
        self._tiles = Tiles(self)
        self._tiles.painted.connect(self.update)
        self._overlay: tuple[Mark, ...] = ()
        self._lit_held: tuple[Run, ...] = ()
        self._lit_over: tuple[Run, ...] = ()
        self._pressed: QPointF | None = None
        self._last = QPointF()
        self._moving = False
        self._from: Jack | None = None
        self._weighed: Weighed | None = None
        self._untouched = True
        self._settle = QTimer(self, singleShot=True, interval=40)
        self._settle.timeout.connect(self._want_tiles)
        self.setMouseTracking(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self.setMinimumSize(240, 180)
        self.setAccessibleName("Chart")
        workplace.trial_changed.connect(self._take_trial)
        workplace.selection_changed.connect(self._take_selection)
        workplace.shown.connect(self.show_thing)

    # ---- what is shown

    def show_chart(self, chart: Chart | None) -> None:
        """Another chart; where one looks stays, but for the first, which is fitted."""
        first = self.chart is None
        self.chart = chart
        self._tiles.show(chart.spread if chart else None)
        if chart is not None and (first or self._untouched):
            self.fit()
        self._take_trial(self.workplace.answer)
        self._take_selection(self.workplace.selection)

    @property
    def sheet(self) -> Box:
        """The sheet, micrometres."""
        drawing = self.chart.drawing if self.chart else None
        return Box(0, 0, drawing.width, drawing.height) if drawing else Box(0, 0, 1, 1)

    def fit(self) -> None:
        """See the whole sheet."""
        self._look(fitted(self.sheet, self.width(), self.height()))
        self._untouched = True

    def fit_width(self) -> None:
        """See the whole width of the sheet, from its top."""
        self._look(fitted_width(self.sheet, self.width(), self.height()))

    def zoom(self, steps: float, at: QPointF | None = None) -> None:
        """Nearer, or farther where negative, about a pixel; about the middle unless said."""
        about = at or QPointF(self.width() / 2, self.height() / 2)
        self._look(self.view.stepped(steps, about.x(), about.y()))

    def show_thing(self, thing: Thing) -> None:
        """Bring a thing to the middle, near enough to read."""
        place = place_of(self.chart, thing) if self.chart else None
        if place is None:
            return
        if self.view.scale >= ink.NAMES_FROM and self.view.sees(place, self.width(), self.height()):
            return
        wide = fitted(place, self.width(), self.height()).scale
        view = View(min(NEAR, wide) if self.view.scale < ink.NAMES_FROM else self.view.scale)
        self._look(view.centred(place.centre, self.width(), self.height()))

    def _look(self, view: View) -> None:
        self.view = view
        self._untouched = False
        self._settle.start()
        self.update()

    def _take_trial(self, answer: Answer) -> None:
        self._overlay = overlay(self.chart, answer) if self.chart else ()
        self._light()
        self.update()

    def _take_selection(self, thing: Thing | None) -> None:
        name = thing_name(self.workplace.facility, thing) if thing is not None else "nothing"
        self.setAccessibleDescription(f"Selected: {name}")
        self._light()
        self.update()

    def _light(self) -> None:
        self._lit_held = self._runs(self.workplace.selection)
        self._lit_over = self._runs(self.over)

    def _runs(self, thing: Thing | None) -> tuple[Run, ...]:
        if thing is None or self.chart is None:
            return ()
        way = way_to_light(self.workplace.facility, thing)
        return lit_runs(self.chart, way) if way is not None else ()

    # ---- pointing

    def thing_under(self, at: QPointF) -> Thing | None:
        """What is drawn at a pixel."""
        if self.chart is None:
            return None
        facility = self.workplace.facility
        return thing_at(self.chart, facility, self._on_sheet(at), self._reach())

    def jack_under(self, at: QPointF) -> Jack | None:
        """The jack at a pixel."""
        if self.chart is None:
            return None
        return jack_at(self.chart, self._on_sheet(at), self._reach())

    def screen_place(self, jack: Jack) -> QPointF | None:
        """The pixel at which a jack is seen; None where the chart does not draw it."""
        at = self.chart.jacks.get(jack) if self.chart else None
        return QPointF(*self.view.to_screen(at)) if at is not None else None

    def _on_sheet(self, at: QPointF) -> Point:
        return self.view.to_sheet(at.x(), at.y())

    def _reach(self) -> int:
        return round(1000 * max(REACH_MM, min(REACH_PIXELS / self.view.scale, 4 * REACH_MM)))

    def _point_at(self, at: QPointF) -> None:
        over = self.thing_under(at)
        if over == self.over:
            return
        self.over = over
        self._lit_over = self._runs(over)
        shape = Qt.CursorShape.PointingHandCursor if over else Qt.CursorShape.ArrowCursor
        self.setCursor(QCursor(shape))
        self.pointed.emit(over)
        self.update()

    # ---- events

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Take hold: of a jack with a cord, of the sheet elsewhere."""
        self._pressed = self._last = event.position()
        self._moving = False
        left = event.button() == Qt.MouseButton.LeftButton
        near = self.view.scale >= CORDS_FROM
        self._from = self.jack_under(event.position()) if left and near else None

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Move the sheet or the cord in hand; light what is under the pointer."""
        at = event.position()
        if self._pressed is None:
            self._point_at(at)
            return
        if not self._moving:
            self._moving = (at - self._pressed).manhattanLength() > DRAG_FROM
        if self._moving and self._from is None:
            step = at - self._last
            self._look(self.view.moved(step.x(), step.y()))
        elif self._moving:
            self._weigh(at)
        self._last = at

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """Drop the cord on a jack, or select what was clicked."""
        at, start, moved = event.position(), self._from, self._moving
        self._drop_hold()
        if start is not None and moved:
            end = self.jack_under(at)
            if end is not None and end != start:
                self.workplace.put_cord(start, end)
        elif not moved and event.button() == Qt.MouseButton.LeftButton:
            self.setFocus(Qt.FocusReason.MouseFocusReason)
            self.workplace.select(self.thing_under(at))
        self._point_at(at)

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        """Go near to what is clicked."""
        thing = self.thing_under(event.position())
        if thing is None:
            self.zoom(4, event.position())
        else:
            self.workplace.select(thing, show=True)

    def _weigh(self, at: QPointF) -> None:
        """What dropping the cord in hand here would do."""
        end = self.jack_under(at)
        weighed = None
        if self._from is not None and end is not None and end != self._from:
            weighed = self.workplace.would((self._from, end))
        if weighed != self._weighed:
            self._weighed = weighed
            self.weighed.emit(weighed)
        self.update()

    def _drop_hold(self) -> None:
        self._pressed = self._from = None
        self._moving = False
        if self._weighed is not None:
            self._weighed = None
            self.weighed.emit(None)
        self.update()

    def leaveEvent(self, event: QEvent) -> None:
        """Light nothing when the pointer has gone."""
        self.over, self._lit_over = None, ()
        self.pointed.emit(None)
        self.update()
        super().leaveEvent(event)

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Zoom about the pointer; with Shift move across, with Alt or a touchpad move freely."""
        pixels = event.pixelDelta()
        plain = event.modifiers() == Qt.KeyboardModifier.NoModifier
        if plain and not pixels.isNull() and event.phase() != Qt.ScrollPhase.NoScrollPhase:
            self._look(self.view.moved(pixels.x(), pixels.y()))
        elif event.modifiers() & Qt.KeyboardModifier.ShiftModifier:
            turn = event.angleDelta().y() or event.angleDelta().x()
            self._look(self.view.moved(turn, 0))
        else:
            self.zoom(event.angleDelta().y() / 120, event.position())
        event.accept()

    def event(self, event: QEvent) -> bool:
        """Pinching zooms about the fingers."""
        if isinstance(event, QNativeGestureEvent):
            if event.gestureType() == Qt.NativeGestureType.ZoomNativeGesture:
                at = event.position()
                self._look(self.view.zoomed(1 + event.value(), at.x(), at.y()))
                return True
            return False
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Arrows move the sheet, plus and minus zoom, Home fits, End fits the width."""
        key = Qt.Key(event.key())
        steps = {
            Qt.Key.Key_Left: (KEY_MOVE, 0),
            Qt.Key.Key_Right: (-KEY_MOVE, 0),
            Qt.Key.Key_Up: (0, KEY_MOVE),
            Qt.Key.Key_Down: (0, -KEY_MOVE),
        }
        if key in steps:
            self._look(self.view.moved(*steps[key]))
        elif key in (Qt.Key.Key_Plus, Qt.Key.Key_Equal):
            self.zoom(1)
        elif key == Qt.Key.Key_Minus:
            self.zoom(-1)
        elif key == Qt.Key.Key_Home:
            self.fit()
        elif key == Qt.Key.Key_End:
            self.fit_width()
        elif key == Qt.Key.Key_Escape and self._from is not None:
            self._drop_hold()
        else:
            super().keyPressEvent(event)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """A fitted sheet stays fitted."""
        super().resizeEvent(event)
        if self._untouched:
            self.fit()
        self._settle.start()

    # ---- painting

    def paintEvent(self, _event: QPaintEvent) -> None:
        """The table, the sheet's tiles, and over them what is lit and what is tried."""
        painter = QPainter(self)
        room = QRectF(self.rect())
        painter.fillRect(self.rect(), QColor(looks.inks().table))
        if self.chart is not None:
            self._paint_sheet(painter)
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            painter.save()
            painter.setClipRect(self._sheet_on_screen())
            ink.marks_at(self.view, self._overlay, painter)
            ink.lit(self.view, self._lit_held, painter, HELD)
            ink.lit(self.view, self._lit_over, painter, POINTED)
            painter.restore()
            ink.far_names(self.view, self.chart, self.workplace.facility, painter, room)
            self._paint_selection(painter)
            self._paint_cord(painter, room)
        if self.hasFocus():
            painter.setPen(QColor(looks.inks().accent))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRect(self.rect().adjusted(0, 0, -1, -1))
        painter.end()

    def _sheet_on_screen(self) -> QRectF:
        left, top = self.view.to_screen(Point(0, 0))
        scale = self.view.scale / 1000
        return QRectF(left, top, self.sheet.width * scale, self.sheet.height * scale)

    def _tile_scale(self) -> float:
        return self.view.scale * self.devicePixelRatioF()

    def _keys(self) -> list[Key]:
        """The tiles that are seen, from the middle outwards."""
        scale = self._tile_scale()
        edge = EDGE / scale
        left, top = max(0.0, self.view.left), max(0.0, self.view.top)
        right = min(self.sheet.width / 1000, self.view.left + self.width() / self.view.scale)
        bottom = min(self.sheet.height / 1000, self.view.top + self.height() / self.view.scale)
        middle = (left + right) / 2 / edge - 0.5, (top + bottom) / 2 / edge - 0.5
        keys = [
            Key(scale, column, row)
            for column in range(int(left // edge), int(right // edge) + 1)
            for row in range(int(top // edge), int(bottom // edge) + 1)
            if right > left and bottom > top
        ]
        return sorted(keys, key=lambda k: abs(k.column - middle[0]) + abs(k.row - middle[1]))

    def _want_tiles(self) -> None:
        self._tiles.want(self._keys())

    def _paint_sheet(self, painter: QPainter) -> None:
        sheet = self._sheet_on_screen()
        painter.save()
        painter.fillRect(sheet, QColor("#ffffff"))
        painter.setClipRect(sheet)
        ratio = self.devicePixelRatioF()
        left = round(-self.view.left * self._tile_scale())
        top = round(-self.view.top * self._tile_scale())
        edge = EDGE / ratio
        for key in self._keys():
            at = QRectF(
                (left + key.column * EDGE) / ratio, (top + key.row * EDGE) / ratio, edge, edge
            )
            tile = self._tiles.get(key)
            if tile is not None:
                painter.drawPixmap(at, tile, QRectF(tile.rect()))
                continue
            for other, picture in self._tiles.nearest(key):
                self._paint_stand_in(painter, at, other, picture)
        painter.restore()

    def _paint_stand_in(self, painter: QPainter, at: QRectF, other: Key, picture: QPixmap) -> None:
        """A tile of another scale, stretched, for as long as the right one is not ready."""
        painter.save()
        painter.setClipRect(at, Qt.ClipOperation.IntersectClip)
        box = other.box
        x, y = self.view.to_screen(Point(box.x, box.y))
        size = box.width / 1000 * self.view.scale
        painter.drawPixmap(QRectF(x, y, size, size), picture, QRectF(picture.rect()))
        painter.restore()

    def _paint_selection(self, painter: QPainter) -> None:
        thing = self.workplace.selection
        if self.chart is None or thing is None:
            return
        if isinstance(thing, Jack):
            at = self.chart.jacks.get(thing)
            if at is not None:
                ink.dotted_jack(self.view, at, painter)
            return
        if isinstance(thing, Net):
            return
        place = place_of(self.chart, thing)
        if place is not None:
            ink.ringed(self.view, place, painter)

    def _paint_cord(self, painter: QPainter, room: QRectF) -> None:
        if self.chart is None or self._from is None or not self._moving:
            return
        answer = self._weighed
        harmful = answer is not None and not (isinstance(answer, Answer) and answer.harmless)
        start = self.chart.jacks[self._from]
        ink.dotted_jack(self.view, start, painter)
        end = self.jack_under(self._last)
        if end is not None:
            ink.dotted_jack(self.view, self.chart.jacks[end], painter)
        ink.cord_in_hand(self.view, start, self._last, painter, harmful=harmful)
        if answer is not None:
            words = weighed_words(answer)
            ink.words_beside(self._last, words, painter, room, harmful=harmful)


def weighed_words(weighed: Weighed) -> list[str]:
    """The first words on what a cord would do: the verdict and the plugs, or why it cannot be."""
    if isinstance(weighed, Answer):
        return [verdict(weighed), *plug_sentences(weighed)[-2:]]
    return [problem.text() for problem in weighed]
