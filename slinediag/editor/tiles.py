"""Pictures of parts of the chart, painted a little at a time and kept, so that moving is quick.

A tile is a square of the sheet at one scale. Tiles are painted in slices of a few milliseconds
between events: a painter holds the interpreter's lock, so that a thread would stall the window
no less.
"""

from __future__ import annotations

import time
from collections import OrderedDict
from collections.abc import Iterator
from dataclasses import replace
from math import log2
from typing import NamedTuple

from PySide6.QtCore import QObject, Qt, QTimer, Signal
from PySide6.QtGui import QImage, QPainter, QPixmap

from slinediag.drawing.marks import Circle, Curve, Drawing, Group, Line, Mark, Rect, Shape, Text
from slinediag.drawing.styles import widened
from slinediag.editor.spread import Spread
from slinediag.geometry import Box
from slinediag.paint import qt as paint

EDGE = 384
"""Pixels of a tile's edge."""
KEPT = 160
"""Tiles kept at once: some 95 MB."""
SLICE = 0.005
"""Seconds of painting between two looks at the events."""
FAINTEST = 0.7
"""Pixels that a line is at least wide."""
SMALLEST = 2.2
"""Pixels of capitals below which lettering is left out."""
STAND_INS = 2
"""Scales whose tiles stand in for those that are not ready."""
AT_ONCE = 12
"""Marks painted between two looks at the clock."""


class Key(NamedTuple):
    """A tile: pixels to the millimetre, and its column and row from the sheet's top left."""

    scale: float
    column: int
    row: int

    @property
    def box(self) -> Box:
        """The part of the sheet it shows, micrometres."""
        edge = EDGE * 1000 / self.scale
        left, top = round(self.column * edge), round(self.row * edge)
        return Box(left, top, round(edge), round(edge))


class Tiles(QObject):
    """The tiles of one drawing; ``painted`` tells that one more is ready."""

    painted = Signal()

    def __init__(self, parent: QObject | None = None, smallest: float = SMALLEST) -> None:
        super().__init__(parent)
        self._smallest = smallest
        self._spread: Spread | None = None
        self._ready: OrderedDict[Key, QPixmap] = OrderedDict()
        self._wanted: list[Key] = []
        self._work: Iterator[None] | None = None
        self._working: Key | None = None
        self._timer = QTimer(self)
        self._timer.setInterval(0)
        self._timer.timeout.connect(self._paint_on)

    def show(self, spread: Spread | None) -> None:
        """Another drawing; what was painted of the one before is forgotten."""
        self._spread = spread
        self._ready.clear()
        self._wanted.clear()
        self._work = self._working = None

    def get(self, key: Key) -> QPixmap | None:
        """A tile, if it is ready."""
        found = self._ready.get(key)
        if found is not None:
            self._ready.move_to_end(key)
        return found

    def stand_ins(self, scale: float, seen: Box) -> list[tuple[Key, QPixmap]]:
        """Tiles of the two scales nearest to this one that show some of what is seen.

        The nearest scale comes last, to be painted over the other.
        """
        scales = {key.scale for key in self._ready} - {scale}
        nearest = sorted(scales, key=lambda other: (abs(log2(other / scale)), other))[:STAND_INS]
        return [
            (key, tile)
            for other in reversed(nearest)
            for key, tile in self._ready.items()
            if key.scale == other and key.box.meets(seen)
        ]

    def want(self, keys: list[Key]) -> None:
        """Paint these next, in this order, and no others that are not begun."""
        self._wanted = [key for key in keys if key not in self._ready and key != self._working]
        if self._working is not None and self._working not in keys:
            self._work = self._working = None
            self._wanted = [key for key in keys if key not in self._ready]
        if self._wanted or self._work is not None:
            self._timer.start()

    @property
    def busy(self) -> bool:
        """Whether tiles are still to be painted."""
        return bool(self._wanted) or self._work is not None

    def _paint_on(self) -> None:
        """One slice of painting."""
        until = time.monotonic() + SLICE
        while time.monotonic() < until:
            if self._work is None:
                if not self._wanted or self._spread is None:
                    self._timer.stop()
                    return
                self._working = self._wanted.pop(0)
                self._work = self._painting(self._working, self._spread)
            if next(self._work, self) is self:
                self._work = self._working = None
                self.painted.emit()

    def _painting(self, key: Key, spread: Spread) -> Iterator[None]:
        """Paint a tile, pausing after every few marks."""
        image = QImage(EDGE, EDGE, QImage.Format.Format_RGB32)
        image.fill(Qt.GlobalColor.white)
        painter = QPainter(image)
        try:
            painter.translate(-key.column * EDGE, -key.row * EDGE)
            painter.scale(key.scale, key.scale)
            marks = seen_from(key.scale, (p.mark for p in spread.meeting(key.box)), self._smallest)
            for batch in _batches(marks):
                paint.paint(Drawing(0, 0, batch, ""), painter)
                yield
        finally:
            painter.end()
        self._ready[key] = QPixmap.fromImage(image)
        while len(self._ready) > KEPT:
            self._ready.popitem(last=False)


def seen_from(scale: float, marks: Iterator[Mark], smallest: float = SMALLEST) -> Iterator[Mark]:
    """Marks as they are to be seen at a scale in pixels to the millimetre.

    Lines are never fainter than can be seen, and lettering smaller than these pixels is left out.
    """
    thinnest = round(FAINTEST * 1000 / scale)
    for mark in marks:
        match mark:
            case Text():
                if mark.height * scale >= smallest * 1000:
                    yield mark
            case Group():
                yield replace(mark, marks=tuple(seen_from(scale, iter(mark.marks), smallest)))
            case Line() | Rect() | Circle() | Shape() | Curve():
                if mark.style.stroke is not None and mark.style.width < thinnest:
                    yield replace(mark, style=widened(mark.style, thinnest))
                else:
                    yield mark


def _batches(marks: Iterator[Mark]) -> Iterator[tuple[Mark, ...]]:
    batch: list[Mark] = []
    for mark in marks:
        batch.append(mark)
        if len(batch) == AT_ONCE:
            yield tuple(batch)
            batch.clear()
    yield tuple(batch)
