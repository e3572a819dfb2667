"""Paints what lies over the chart on screen: what is lit, names seen from far, a cord in hand."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPainterPath, QPen

from slinediag.drawing import styles
from slinediag.drawing.marks import Drawing, Mark
from slinediag.editor import looks
from slinediag.editor.far_names import NAMES_FROM
from slinediag.editor.tiles import seen_from
from slinediag.editor.view import View
from slinediag.geometry import Box, Point, Run
from slinediag.model.facility import Facility
from slinediag.paint import qt as paint

GLOW = 4.0
"""Pixels that a lit line is at least wide."""
GLOW_MM = 2.0
HELD, POINTED = 70, 50
"""How strongly the selection and what is pointed at are lit, of 255."""


def marks_at(view: View, marks: Sequence[Mark], painter: QPainter) -> None:
    """Marks of the sheet over its tiles."""
    painter.save()
    painter.scale(view.scale, view.scale)
    painter.translate(-view.left, -view.top)
    seen = tuple(seen_from(view.scale, iter(marks)))
    paint.paint(Drawing(0, 0, seen, ""), painter)
    painter.restore()


def lit(view: View, runs: Iterable[Run], painter: QPainter, strength: int) -> None:
    """Runs lit: a broad, clear stripe under which the lines stay readable."""
    path = QPainterPath()
    for first, *others in runs:
        path.moveTo(*view.to_screen(first))
        for corner in others:
            path.lineTo(*view.to_screen(corner))
    colour = QColor(styles.BLUE)
    colour.setAlpha(strength)
    pen = QPen(colour, max(GLOW, GLOW_MM * view.scale))
    pen.setCapStyle(Qt.PenCapStyle.RoundCap)
    pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
    painter.setPen(pen)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawPath(path)


def ringed(view: View, box: Box, painter: QPainter) -> None:
    """A frame about what is selected, a little off it."""
    left, top = view.to_screen(Point(box.x, box.y))
    right, bottom = view.to_screen(Point(box.right, box.bottom))
    frame = QRectF(left, top, right - left, bottom - top).adjusted(-5, -5, 5, 5)
    painter.setPen(QPen(QColor(styles.BLUE), 2))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawRoundedRect(frame, 4, 4)


def crossed(view: View, box: Box, painter: QPainter) -> None:
    """A cross over what is dead."""
    left, top = view.to_screen(Point(box.x, box.y))
    right, bottom = view.to_screen(Point(box.right, box.bottom))
    painter.setPen(QPen(QColor(styles.VERMILION), max(1.5, 0.5 * view.scale)))
    painter.drawLine(QPointF(left, top), QPointF(right, bottom))
    painter.drawLine(QPointF(left, bottom), QPointF(right, top))


def dotted_jack(view: View, at: Point, painter: QPainter) -> None:
    """A jack that is meant: a ring about it, on screen always of a size that is seen."""
    x, y = view.to_screen(at)
    radius = max(7.0, 2.2 * view.scale)
    painter.setPen(QPen(QColor(styles.BLUE), 2.5))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawEllipse(QPointF(x, y), radius, radius)


def cord_in_hand(
    view: View, start: Point, end: QPointF, painter: QPainter, *, harmful: bool
) -> None:
    """A cord from a jack to the pointer; dashed where dropping it would harm."""
    x, y = view.to_screen(start)
    low = max(y, end.y()) + 18 + abs(end.x() - x) / 6
    path = QPainterPath(QPointF(x, y))
    path.cubicTo(QPointF(x, low), QPointF(end.x(), low), end)
    width = max(4.0, 1.4 * view.scale)
    for colour, wide in ((styles.PAPER, width + 3), (styles.BLUE, width)):
        pen = QPen(QColor(colour), wide)
        pen.setCapStyle(Qt.PenCapStyle.RoundCap)
        if harmful and colour == styles.BLUE:
            pen.setDashPattern([2.0, 1.6])
        painter.setPen(pen)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawPath(path)


def words_beside(
    at: QPointF, sentences: Sequence[str], painter: QPainter, room: QRectF, *, harmful: bool
) -> None:
    """What dropping a cord here would do, on a slip beside the pointer."""
    ink = looks.inks()
    painter.setFont(looks.font(9.5))
    flags = int(Qt.TextFlag.TextWordWrap)
    words = "\n".join(sentences)
    wide = 330.0
    needed = QFontMetricsF(painter.font()).boundingRect(QRectF(0, 0, wide, 2000), flags, words)
    slip = QRectF(at.x() + 18, at.y() + 22, needed.width() + 22, needed.height() + 16)
    slip.moveLeft(max(room.left() + 6, min(slip.left(), room.right() - slip.width() - 6)))
    if slip.bottom() > room.bottom() - 6:
        slip.moveBottom(max(slip.height() + 6, at.y() - 16))
    painter.setPen(QPen(QColor(ink.danger if harmful else ink.edge), 2 if harmful else 1))
    painter.setBrush(QColor(ink.field))
    painter.drawRoundedRect(slip, 4, 4)
    painter.setPen(QColor(ink.text))
    painter.drawText(slip.adjusted(11, 8, -11, -8), flags, words)


def bay_names(view: View, panels: Mapping[str, Box], facility: Facility, painter: QPainter) -> None:
    """The labels of bays at a size that is read, where printed ones are too small."""
    if view.scale >= NAMES_FROM:
        return
    painter.setFont(looks.font(9, bold=True))
    measure = QFontMetricsF(painter.font())
    for bay, panel in panels.items():
        x, y = view.to_screen(Point(panel.x, panel.y))
        if bay in facility.bays:
            words = facility.bays[bay].printed
            room = QRectF(x, y - 16, measure.horizontalAdvance(words) + 4, 14)
            painter.fillRect(room, QColor(styles.PAPER))
            painter.setPen(QColor(styles.BLACK))
            painter.drawText(QPointF(x, y - 4), words)
