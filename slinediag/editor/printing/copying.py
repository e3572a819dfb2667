"""The drawing in the middle, or the part of it about what is selected, on the clipboard."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from PySide6.QtCore import QByteArray, QMimeData, QObject, Signal
from PySide6.QtGui import QGuiApplication, QImage

from slinediag.chart.moving import all_moved
from slinediag.drawing.marks import Drawing, Group, Mark
from slinediag.drawing.query import ink_box
from slinediag.editor.backroom import Backroom
from slinediag.editor.sheet_canvas import SheetCanvas
from slinediag.geometry import Box
from slinediag.paint.qt import png
from slinediag.paint.svg import paint

SVG, PNG = "image/svg+xml", "image/png"
MOST_PIXELS = 24_000_000
"""Of a copied picture; larger ones are coarser."""
FINEST = 200
"""Dots to the inch."""
AROUND = 8_000
"""Micrometres left about a part that is copied."""


class Copying(QObject):
    """Copies drawings, as SVG and as a picture; ``copied`` says what is on the clipboard."""

    copied = Signal(str)
    failed = Signal(str)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.room = Backroom(self)
        self._name = ""
        self.room.answered.connect(self._take)
        self.room.finished.connect(self._end)

    def copy_shown(self, canvas: SheetCanvas) -> None:
        """Copy all that a canvas shows, the trial on it included."""
        drawing = canvas.drawn_with_trial()
        if drawing is None:
            self.failed.emit("Nothing is drawn yet to be copied.")
            return
        self._copy(drawing, f"{canvas.accessibleName()} copied, as SVG and as a picture.")

    def copy_part(self, canvas: SheetCanvas) -> None:
        """Copy the part of what a canvas shows that is about the selection."""
        drawing, room = canvas.drawn_with_trial(), canvas.selected_room()
        if drawing is None or room is None:
            self.failed.emit("Select a jack, a line or a box on it first; then copy the part.")
            return
        part = part_of(drawing, room.grown(AROUND))
        self._copy(part, "The selected part copied, as SVG and as a picture.")

    def _copy(self, drawing: Drawing, words: str) -> None:
        self._name = words
        self.room.ask(pictures, drawing)

    def _take(self, _number: int, made: tuple[bytes, bytes]) -> None:
        svg, picture = made
        data = QMimeData()
        data.setData(SVG, QByteArray(svg))
        data.setData(PNG, QByteArray(picture))
        data.setImageData(QImage.fromData(picture))
        QGuiApplication.clipboard().setMimeData(data)
        self.copied.emit(self._name)

    def _end(self, _number: int, error: str) -> None:
        if error:
            self.failed.emit(f"It could not be copied: {error}")


def pictures(drawing: Drawing) -> tuple[bytes, bytes]:
    """A drawing as SVG and as PNG, as the back room makes them."""
    square_inches = max(1.0, drawing.width * drawing.height / 25_400**2)
    dpi = max(20, min(FINEST, int((MOST_PIXELS / square_inches) ** 0.5)))
    return paint(drawing).encode(), png(drawing, dpi)


def part_of(drawing: Drawing, room: Box) -> Drawing:
    """The part of a drawing that is in a room, as a drawing of that size.

    Marks that are partly in it are whole; what is beyond its edges is not seen.
    """
    inside = Box(
        max(0, room.x),
        max(0, room.y),
        min(drawing.width, room.right) - max(0, room.x),
        min(drawing.height, room.bottom) - max(0, room.y),
    )
    moved = all_moved(_meeting(drawing.marks, inside), -inside.x, -inside.y)
    return Drawing(inside.width, inside.height, moved, drawing.title, drawing.desc)


def _meeting(marks: Iterable[Mark], room: Box) -> Iterator[Mark]:
    """The marks with ink in a room; of groups what is in it."""
    for mark in marks:
        if not ink_box(mark).meets(room):
            continue
        if isinstance(mark, Group):
            yield replace(mark, marks=tuple(_meeting(mark.marks, room)))
        else:
            yield mark
