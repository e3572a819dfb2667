"""Names of boxes at a size that is read, where the printed ones are too small."""

from __future__ import annotations

from collections.abc import Iterator

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPen

from slinediag.drawing import styles
from slinediag.editor import looks
from slinediag.editor.charting import Chart
from slinediag.editor.view import View
from slinediag.geometry import Box, Point
from slinediag.model.facility import Facility

NAMES_FROM = 1.6
"""Pixels to the millimetre under which printed labels are too small, and names stand in."""
POINTS = 9
CELL = 64.0
"""Pixels of the raster in which names that would cover each other are found."""

Slip = tuple[QRectF, str]


class FarNames:
    """The names of one chart: which have room is worked out once for each scale."""

    def __init__(self) -> None:
        self._boxes: list[tuple[Point, str, float]] = []
        self._height = 0.0
        self._scale = 0.0
        self._slips: list[Slip] = []

    def take(self, chart: Chart, facility: Facility) -> None:
        """Another chart."""
        measure = QFontMetricsF(looks.font(POINTS, bold=True))
        self._height = measure.height() + 3
        self._scale = 0.0
        self._boxes = [
            (parts[0].centre, words, measure.horizontalAdvance(words) + 8)
            for box, parts in sorted(chart.boxes.items(), key=lambda item: _importance(item[1]))
            if box in facility.equipment
            for words in (facility.equipment[box].printed,)
        ]

    def paint(self, view: View, painter: QPainter, room: QRectF) -> None:
        """The names that are seen, each with room of its own."""
        if view.scale >= NAMES_FROM:
            return
        if view.scale != self._scale:
            self._scale = view.scale
            self._slips = list(self._with_room(view.scale))
        left, top = view.to_screen(Point(0, 0))
        painter.setFont(looks.font(POINTS, bold=True))
        for slip, words in self._slips:
            here = slip.translated(left, top)
            if here.intersects(room):
                painter.setPen(QPen(QColor(styles.LINE_GREY), 1))
                painter.setBrush(QColor(styles.PAPER))
                painter.drawRoundedRect(here, 3, 3)
                painter.setPen(QColor(styles.BLACK))
                painter.drawText(here, int(Qt.AlignmentFlag.AlignCenter), words)

    def _with_room(self, scale: float) -> Iterator[Slip]:
        """The names that cover no more important one, about the sheet's corner."""
        taken: dict[tuple[int, int], list[QRectF]] = {}
        for centre, words, width in self._boxes:
            slip = QRectF(0, 0, width, self._height)
            slip.moveCenter(QPointF(centre.x * scale / 1000, centre.y * scale / 1000))
            cells = [
                (column, row)
                for column in range(int(slip.left() // CELL), int(slip.right() // CELL) + 1)
                for row in range(int(slip.top() // CELL), int(slip.bottom() // CELL) + 1)
            ]
            if any(slip.intersects(other) for cell in cells for other in taken.get(cell, ())):
                continue
            for cell in cells:
                taken.setdefault(cell, []).append(slip)
            yield slip, words


def _importance(parts: tuple[Box, ...]) -> tuple[int, int, int]:
    """Larger boxes first, then from top to bottom."""
    first = parts[0]
    return -sum(part.height for part in parts), first.y, first.x
