"""A raster of what is taken on the chart, to find ways and places that cover nothing.

Its nodes lie a step apart; what meets no node is thinner than any cord's surroundings.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slinediag.geometry import Box, Point

STEP = 1000
"""Between nodes, micrometres: less than a cord with its light edge is wide."""
OFF = 60_000
"""The weight of every place off the area."""

Samples = NDArray[np.int64]
"""Points as rows of x and y, micrometres."""
Raster = NDArray[np.int32]
"""A weight for each node, shape (rows, columns)."""


@dataclass
class Occupancy:
    """Nodes over an area, each with the weight of what lies there; 0 where it is free."""

    area: Box
    nodes: Raster

    @classmethod
    def over(cls, area: Box) -> Occupancy:
        """An empty raster over an area."""
        rows, columns = area.height // STEP + 1, area.width // STEP + 1
        return cls(area, np.zeros((rows, columns), dtype=np.int32))

    def copy(self) -> Occupancy:
        """The same raster again, to be filled on its own."""
        return Occupancy(self.area, self.nodes.copy())

    def take(self, boxes: Iterable[Box], weight: int) -> None:
        """Give the nodes in boxes at least this weight."""
        for box in boxes:
            window = self.window(box)
            part = self.nodes[window]
            np.maximum(part, weight, out=part)

    def weights(self, samples: Samples) -> NDArray[np.int32]:
        """The weight of the node nearest to each point; OFF for points off the area."""
        columns = (samples[..., 0] - self.area.x + STEP // 2) // STEP
        rows = (samples[..., 1] - self.area.y + STEP // 2) // STEP
        height, width = self.nodes.shape
        outside = (rows < 0) | (rows >= height) | (columns < 0) | (columns >= width)
        found: NDArray[np.int32] = self.nodes[
            np.clip(rows, 0, height - 1), np.clip(columns, 0, width - 1)
        ]
        return np.where(outside, np.int32(OFF), found)

    def window(self, box: Box) -> tuple[slice, slice]:
        """The rows and columns of the nodes in a box, edges included."""
        height, width = self.nodes.shape
        top = min(max(0, -((self.area.y - box.y) // STEP)), height)
        left = min(max(0, -((self.area.x - box.x) // STEP)), width)
        bottom = min(max(0, (box.bottom - self.area.y) // STEP + 1), height)
        right = min(max(0, (box.right - self.area.x) // STEP + 1), width)
        return slice(top, bottom), slice(left, right)

    def nearest(self, point: Point) -> tuple[int, int]:
        """Row and column of the node nearest to a point, within the area."""
        height, width = self.nodes.shape
        row = (point.y - self.area.y + STEP // 2) // STEP
        column = (point.x - self.area.x + STEP // 2) // STEP
        return min(max(row, 0), height - 1), min(max(column, 0), width - 1)

    def at(self, row: int, column: int) -> Point:
        """Where a node lies."""
        return Point(self.area.x + column * STEP, self.area.y + row * STEP)
