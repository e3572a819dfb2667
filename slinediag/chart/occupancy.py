"""A raster of what is taken on the chart, to find ways and places that cover nothing."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slinediag.geometry import Box

CELL = 500
"""Side of a cell, micrometres: half the width of a cord."""
OFF = 1000
"""The weight of every place off the area."""

Samples = NDArray[np.int64]
"""Points as rows of x and y, micrometres."""


@dataclass
class Occupancy:
    """Cells over an area, each with the weight of what lies there; 0 where it is free."""

    area: Box
    cells: NDArray[np.int32]

    @classmethod
    def over(cls, area: Box) -> Occupancy:
        """An empty raster over an area."""
        rows, columns = area.height // CELL + 1, area.width // CELL + 1
        return cls(area, np.zeros((rows, columns), dtype=np.int32))

    def copy(self) -> Occupancy:
        """The same raster again, to be filled on its own."""
        return Occupancy(self.area, self.cells.copy())

    def without(self, boxes: Iterable[Box]) -> Occupancy:
        """The same raster with the cells that boxes meet free."""
        cleared = self.copy()
        for box in boxes:
            rows, columns = cleared._window(box)
            cleared.cells[rows, columns] = 0
        return cleared

    def under(self, other: Occupancy) -> Occupancy:
        """Both rasters of one area as one, the greater weight in each cell."""
        return Occupancy(self.area, np.maximum(self.cells, other.cells))

    def take(self, boxes: Iterable[Box], weight: int) -> None:
        """Give the cells that boxes meet at least this weight."""
        for box in boxes:
            rows, columns = self._window(box)
            part = self.cells[rows, columns]
            np.maximum(part, weight, out=part)

    def weights(self, samples: Samples) -> NDArray[np.int32]:
        """The weight of the cell under each point."""
        columns = (samples[:, 0] - self.area.x) // CELL
        rows = (samples[:, 1] - self.area.y) // CELL
        height, width = self.cells.shape
        inside = (rows >= 0) & (rows < height) & (columns >= 0) & (columns < width)
        found = np.full(len(samples), OFF, dtype=np.int32)
        found[inside] = self.cells[rows[inside], columns[inside]]
        return found

    def within(self, box: Box) -> int:
        """The greatest weight that a box meets; that of places off the area where it leaves it."""
        if not self.area.contains(box):
            return OFF
        rows, columns = self._window(box)
        return int(self.cells[rows, columns].max(initial=0))

    def lowest(self) -> int:
        """How far down anything reaches."""
        rows = np.nonzero(self.cells.any(axis=1))[0]
        return self.area.y + (int(rows[-1]) + 1) * CELL if len(rows) else self.area.y

    def _window(self, box: Box) -> tuple[slice, slice]:
        height, width = self.cells.shape
        top = min(max(0, (box.y - self.area.y) // CELL), height)
        left = min(max(0, (box.x - self.area.x) // CELL), width)
        bottom = min(max(0, -((self.area.y - box.bottom) // CELL)), height)
        right = min(max(0, -((self.area.x - box.right) // CELL)), width)
        return slice(top, bottom), slice(left, right)
