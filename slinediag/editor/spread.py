"""Where each mark of a drawing lies, in a raster of cells: a part of it is found at once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from slinediag.drawing.marks import Drawing, Group, Mark, Ref
from slinediag.drawing.query import Placed, at, walk
from slinediag.geometry import Box, Point

CELL = 40_000
"""Edge of a cell in micrometres: a few marks each, and few cells to a screen."""

Cell = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Spread:
    """The leaves of a drawing in painting order, and the numbers of those that meet each cell."""

    placed: tuple[Placed, ...]
    cells: Mapping[Cell, tuple[int, ...]]

    def meeting(self, box: Box) -> list[Placed]:
        """What may have ink in a box, in painting order."""
        numbers: set[int] = set()
        for cell in _cells_of(box):
            numbers.update(self.cells.get(cell, ()))
        return [found for n in sorted(numbers) if (found := self.placed[n]).box.meets(box)]

    def at(self, point: Point, reach: int) -> tuple[Ref, ...]:
        """What the topmost mark at a point stands for, innermost first, as of the whole drawing."""
        here = self.meeting(Box(point.x, point.y, 1, 1).grown(reach))
        return at(Drawing(0, 0, tuple(_nested(found) for found in here), ""), point, reach)


def spread(drawing: Drawing) -> Spread:
    """The drawing's leaves by cells."""
    placed = tuple(walk(drawing))
    cells: dict[Cell, list[int]] = {}
    for number, found in enumerate(placed):
        for cell in _cells_of(found.box):
            cells.setdefault(cell, []).append(number)
    return Spread(placed, {cell: tuple(numbers) for cell, numbers in cells.items()})


def _cells_of(box: Box) -> list[Cell]:
    across = range(box.x // CELL, box.right // CELL + 1)
    down = range(box.y // CELL, box.bottom // CELL + 1)
    return [(x, y) for x in across for y in down]


def _nested(found: Placed) -> Mark:
    """A leaf within groups that stand for what its own groups do."""
    mark: Mark = found.mark
    within = found.refs[:-1] if mark.ref is not None else found.refs
    for ref in reversed(within):
        mark = Group((mark,), ref)
    return mark
