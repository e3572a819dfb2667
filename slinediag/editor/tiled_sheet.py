"""A sheet on screen as tiles: which are seen, what stands in for those that are not ready."""

from __future__ import annotations

from PySide6.QtCore import QObject, QRectF, Signal
from PySide6.QtGui import QColor, QPainter, QPixmap

from slinediag.drawing import styles
from slinediag.editor.spread import Spread
from slinediag.editor.tiles import EDGE, SMALLEST, Key, Tiles
from slinediag.editor.view import View
from slinediag.geometry import Box, Point


class TiledSheet(QObject):
    """One sheet, painted from tiles at whatever view a window has of it.

    Sizes are in pixels of the window; ``ratio`` is how many the screen has to each.
    """

    painted = Signal()
    """More of the sheet is ready to be seen."""

    def __init__(self, parent: QObject | None = None, smallest: float = SMALLEST) -> None:
        super().__init__(parent)
        self.box = Box(0, 0, 1, 1)
        self._tiles = Tiles(self, smallest)
        self._tiles.painted.connect(self.painted)

    @property
    def busy(self) -> bool:
        """Whether there is more to be painted."""
        return self._tiles.busy

    def take(self, box: Box, spread: Spread | None) -> None:
        """Another sheet, of this size."""
        self.box = box
        self._tiles.show(spread)

    def want(self, view: View, width: int, height: int, ratio: float) -> None:
        """Have what is seen painted, from the middle outwards, and nothing else."""
        self._tiles.want(self._keys(view, width, height, ratio))

    def on_screen(self, view: View) -> QRectF:
        """Where the sheet is seen."""
        left, top = view.to_screen(Point(self.box.x, self.box.y))
        scale = view.scale / 1000
        return QRectF(left, top, self.box.width * scale, self.box.height * scale)

    def paint(self, painter: QPainter, view: View, width: int, height: int, ratio: float) -> None:
        """Paint what is ready, and what was painted at other scales where it is not."""
        sheet = self.on_screen(view)
        painter.save()
        painter.fillRect(sheet, QColor(styles.PAPER))
        painter.setClipRect(sheet)
        keys = self._keys(view, width, height, ratio)
        ready = [(key, tile) for key in keys if (tile := self._tiles.get(key)) is not None]
        if len(ready) < len(keys):
            corner, end = view.to_sheet(0, 0), view.to_sheet(width, height)
            seen = Box(*corner, end.x - corner.x, end.y - corner.y)
            for other, picture in self._tiles.stand_ins(view.scale * ratio, seen):
                _stand_in(painter, view, other.box, picture)
        # On whole pixels of the screen, where a tile is copied as it is.
        left, top = round(-view.left * view.scale * ratio), round(-view.top * view.scale * ratio)
        edge = EDGE / ratio
        for key, tile in ready:
            x, y = (left + key.column * EDGE) / ratio, (top + key.row * EDGE) / ratio
            painter.drawPixmap(QRectF(x, y, edge, edge), tile, QRectF(tile.rect()))
        painter.restore()

    def _keys(self, view: View, width: int, height: int, ratio: float) -> list[Key]:
        """The tiles that are seen, from the middle outwards."""
        scale = view.scale * ratio
        edge = EDGE / scale
        left, top = max(0.0, view.left), max(0.0, view.top)
        right = min(self.box.width / 1000, view.left + width / view.scale)
        bottom = min(self.box.height / 1000, view.top + height / view.scale)
        if right <= left or bottom <= top:
            return []
        across, down = (left + right) / 2 / edge - 0.5, (top + bottom) / 2 / edge - 0.5
        keys = [
            Key(scale, column, row)
            for column in range(int(left // edge), int(right // edge) + 1)
            for row in range(int(top // edge), int(bottom // edge) + 1)
        ]
        return sorted(keys, key=lambda key: abs(key.column - across) + abs(key.row - down))


def _stand_in(painter: QPainter, view: View, box: Box, picture: QPixmap) -> None:
    """A tile of another scale, stretched, for as long as the right one is not ready."""
    x, y = view.to_screen(Point(box.x, box.y))
    size = box.width / 1000 * view.scale
    painter.drawPixmap(QRectF(x, y, size, size), picture, QRectF(picture.rect()))
