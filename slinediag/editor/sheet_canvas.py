"""A sheet on screen, chart or bay faces: moves, zooms, selects, and takes trial cords."""

# ruff: noqa: N802 (event handlers bear Qt's names)

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from PySide6.QtCore import QEvent, QPointF, QRectF, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QCursor,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QShowEvent,
)
from PySide6.QtWidgets import QWidget

from slinediag.address import Jack
from slinediag.drawing.marks import Drawing, Mark
from slinediag.editor import canvas_ink as ink
from slinediag.editor import looks
from slinediag.editor.canvas_access import tell_of_canvases
from slinediag.editor.canvas_keys import act_of
from slinediag.editor.drawn import Drawn
from slinediag.editor.far_names import NAMES_FROM
from slinediag.editor.in_hand import Weighed, paint_in_hand
from slinediag.editor.lighting import traced
from slinediag.editor.naming import thing_name
from slinediag.editor.on_canvas import OnCanvas
from slinediag.editor.pointing import nearest
from slinediag.editor.seen_sheet import SeenSheet
from slinediag.editor.things import Thing
from slinediag.editor.view import View, fitted
from slinediag.editor.workplace import Workplace
from slinediag.geometry import Box, Point
from slinediag.tracing.values import Answer

REACH_PIXELS = 9
REACH_MM = 2.2
DRAG_FROM = 5
"""Pixels that the pointer moves before a press becomes a drag."""
CORDS_FROM = 0.7
"""Pixels to the millimetre under which a drag always moves the sheet."""
NEAR = 4.0
"""Pixels to the millimetre at which one reads a jack."""


class SheetCanvas(SeenSheet):
    """A drawing of the workplace's facility, with its trial and its selection.

    What is drawn, what is meant by a place and what is painted over it is for kinds of it to say:
    :meth:`find_thing`, :meth:`place`, :meth:`tried` and :meth:`paint_over`.
    """

    pointed = Signal(object)
    """The thing under the pointer, or None."""
    weighed = Signal(object)
    """What dropping the cord in hand here would do: an Answer, problems, or None."""

    def __init__(self, workplace: Workplace, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.workplace = workplace
        self.over: Thing | None = None
        self._drawn: Drawn | None = None
        self._tried: tuple[Mark, ...] = ()
        self._pressed: QPointF | None = None
        self.last = QPointF()
        self.moving = False
        self._from: Jack | None = None
        self._holds = False
        self._weighed: Weighed | None = None
        self._lit_late = True
        self.told = OnCanvas(self, self)
        self.setMouseTracking(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self.setMinimumSize(240, 180)
        self.setAccessibleName(name)
        workplace.trial_changed.connect(self._take_trial)
        workplace.selection_changed.connect(self._take_selection)

    # ---- what kinds of it say

    def find_thing(self, at: Point, reach: int) -> Thing | None:
        """What is drawn at a place on the sheet."""
        raise NotImplementedError

    def place(self, thing: Thing) -> Box | None:
        """Where a thing is on the sheet; None where it is not drawn."""
        raise NotImplementedError

    def tried(self, answer: Answer) -> tuple[Mark, ...]:
        """The marks that lay a trial over the drawing."""
        raise NotImplementedError

    def places(self) -> Mapping[Thing, Point]:
        """Everything on it that can be selected, with the middle of where it is drawn."""
        raise NotImplementedError

    def take_hold(self, _at: QPointF) -> bool:
        """Take hold of something other than a jack or the sheet; False where there is nothing."""
        return False

    def let_go(self, _at: QPointF) -> None:
        """Drop what was taken hold of, at a pixel."""

    def give_up(self) -> None:
        """Let go of it where it was."""

    def light(self) -> None:
        """What is lit may be another: the selection or what is pointed at has changed."""

    def paint_over(self, painter: QPainter, room: QRectF) -> None:
        """Paint what lies over the sheet and the trial."""

    def selected_room(self) -> Box | None:
        """The part of the sheet that the selection takes; None where it is not drawn."""
        thing = self.workplace.selection
        return self.place(thing) if thing is not None else None

    # ---- what is shown

    def drawn_with_trial(self) -> Drawing | None:
        """The drawing with the trial on it; None where none is there yet."""
        if self._drawn is None:
            return None
        drawing = self._drawn.drawing
        return replace(drawing, marks=(*drawing.marks, *self._tried))

    def show_drawn(self, drawn: Drawn | None) -> None:
        """Another drawing; where one looks stays, unless all was seen before."""
        first = self._drawn is None
        self._drawn = drawn
        size = drawn.drawing if drawn else None
        box = Box(0, 0, size.width, size.height) if size else Box(0, 0, 1, 1)
        self.lay(box, drawn.spread if drawn else None, afresh=first)
        self._take_trial(self.workplace.answer)
        self._take_selection(self.workplace.selection)

    @property
    def shown(self) -> Drawn | None:
        """The drawing that is shown."""
        return self._drawn

    def show_thing(self, thing: Thing) -> None:
        """Bring a thing to the middle, near enough to read."""
        place = self.place(thing)
        if place is None:
            return
        near = self.view.scale >= NAMES_FROM
        if near and self.view.sees(place, self.width(), self.height()):
            return
        wide = fitted(place, self.width(), self.height()).scale
        view = self.view if near else View(min(NEAR, wide))
        self.look(view.centred(place.centre, self.width(), self.height()))

    def step(self, dx: int, dy: int) -> None:
        """Select what is next to the selection in a direction."""
        self.told.step(dx, dy)

    def _take_trial(self, answer: Answer) -> None:
        self._tried = self.tried(answer) if self._drawn else ()
        self._light_if_seen()

    def _take_selection(self, thing: Thing | None) -> None:
        name = thing_name(self.workplace.facility, thing) if thing is not None else "nothing"
        self.setAccessibleDescription(f"Selected: {name}")
        self._light_if_seen()

    def _light_if_seen(self) -> None:
        """Light what is to be lit; a canvas behind another does so when it comes to the front."""
        self._lit_late = not self.isVisible()
        if not self._lit_late:
            self.light()
        self.update()

    # ---- pointing

    def thing_under(self, at: QPointF) -> Thing | None:
        """What is drawn at a pixel, if the facility still has it."""
        if self._drawn is None:
            return None
        found = self.find_thing(self.on_sheet(at), self.reach())
        if found is None or traced(self.workplace.facility, found) is None:
            return None
        return found

    def jack_under(self, at: QPointF) -> Jack | None:
        """The jack at a pixel."""
        return nearest(self._drawn.jacks, self.on_sheet(at), self.reach()) if self._drawn else None

    def screen_place(self, jack: Jack) -> QPointF | None:
        """The pixel at which a jack is seen; None where the chart does not draw it."""
        at = self._drawn.jacks.get(jack) if self._drawn else None
        return self.screen_point(at) if at is not None else None

    def reach(self) -> int:
        """How far off a thing is still meant, micrometres on the sheet."""
        return round(1000 * max(REACH_MM, min(REACH_PIXELS / self.view.scale, 4 * REACH_MM)))

    def _point_at(self, at: QPointF) -> None:
        over = self.thing_under(at)
        if over == self.over:
            return
        self.over = over
        self.light()
        shape = Qt.CursorShape.PointingHandCursor if over else Qt.CursorShape.ArrowCursor
        self.setCursor(QCursor(shape))
        self.pointed.emit(over)
        self.update()

    # ---- events

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Take hold: of a jack with a cord, of the sheet elsewhere."""
        self._pressed = self.last = event.position()
        self.moving = False
        left = event.button() == Qt.MouseButton.LeftButton
        near = self.view.scale >= CORDS_FROM
        self._from = self.jack_under(event.position()) if left and near else None
        self._holds = left and near and self._from is None and self.take_hold(event.position())

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Move the sheet or the cord in hand; light what is under the pointer."""
        at = event.position()
        if self._pressed is None:
            self._point_at(at)
            return
        if not self.moving:
            self.moving = (at - self._pressed).manhattanLength() > DRAG_FROM
        if self.moving and self._holds:
            self.update()
        elif self.moving and self._from is None:
            step = at - self.last
            self.look(self.view.moved(step.x(), step.y()))
        elif self.moving:
            self._weigh(at)
        self.last = at

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """Drop the cord on a jack, or select what was clicked."""
        at, start, moved = event.position(), self._from, self.moving
        held, self._holds = self._holds, False
        self.drop_hold()
        if held and moved:
            self.let_go(at)
        elif start is not None and moved:
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

    def drop_hold(self) -> None:
        """Drop the cord in hand, or what was taken hold of, where it came from."""
        self._pressed = self._from = None
        self.moving = False
        if self._holds:
            self._holds = False
            self.give_up()
        if self._weighed is not None:
            self._weighed = None
            self.weighed.emit(None)
        self.update()

    def leaveEvent(self, event: QEvent) -> None:
        """Light nothing when the pointer has gone."""
        self.over = None
        self.light()
        self.pointed.emit(None)
        self.update()
        super().leaveEvent(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """The keys of a drawing; Esc drops what is in hand."""
        act = act_of(event)
        if act is not None:
            act(self)
        elif event.key() == Qt.Key.Key_Escape and (self._from is not None or self._holds):
            self.drop_hold()
        else:
            super().keyPressEvent(event)

    def showEvent(self, event: QShowEvent) -> None:
        """What was to be lit meanwhile is."""
        super().showEvent(event)
        if self._lit_late:
            self._light_if_seen()

    # ---- painting

    def paintEvent(self, _event: QPaintEvent) -> None:
        """The table, the sheet's tiles, and over them what is lit and what is tried."""
        painter = QPainter(self)
        room = QRectF(self.rect())
        painter.fillRect(self.rect(), QColor(looks.inks().table))
        if self._drawn is not None:
            self.paint_sheet(painter)
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            painter.save()
            painter.setClipRect(self.sheet_on_screen())
            ink.marks_at(self.view, self._tried, painter)
            painter.restore()
            self.paint_over(painter, room)
            self._paint_cord(self._drawn, painter, room)
        if self.hasFocus():
            painter.setPen(QColor(looks.inks().accent))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRect(self.rect().adjusted(0, 0, -1, -1))
        painter.end()

    def _paint_cord(self, drawn: Drawn, painter: QPainter, room: QRectF) -> None:
        """The cord in hand, over all else."""
        start = drawn.jacks.get(self._from) if self._from is not None else None
        if start is None or not self.moving:
            return
        end = self.jack_under(self.last)
        ends = start, drawn.jacks[end] if end is not None else None
        paint_in_hand(self.view, ends, self.last, self._weighed, painter, room)


tell_of_canvases(SheetCanvas)
