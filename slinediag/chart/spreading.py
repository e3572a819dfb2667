"""Spreads the ports of large equipment, so that lines from its neighbours run in straight.

What two lines pass takes room: boxes with their labels, positions, other lines. Where the lines of
two following ports come to such things in one column, the rows between the ports grow to what these
take when one stands under the other; order stays as filed. Lengths in micrometres.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from slinediag.address import Address, Jack, PortAddress
from slinediag.chart.equipment import BoxPlan
from slinediag.chart.graph import CLEARANCE, GAP, STAMP_ROOM
from slinediag.chart.paths import Slot
from slinediag.chart.points import PITCH, PointPlan
from slinediag.chart.rear import Key, RearEnd, RearNet
from slinediag.chart.restacking import restacked
from slinediag.geometry import from_mm

MOST_ROWS = 9
"""A distance beyond this would stretch the box for little: such ports stay close."""

Columns = Mapping[str, tuple[str, int]]
"""By node, the island it belongs to and the layer in which the layout will put it."""


@dataclass(frozen=True, slots=True)
class _Stop:
    """What a line comes to in one layer: how far it reaches above and below the level on which the
    line began. ``node`` is "" where the line only passes, ``top`` the node's upper edge there."""

    upper: int
    lower: int
    node: str = ""
    top: int = 0
    one_row: bool = False


_Way = Mapping[int, _Stop]
"""By layer, nearest first, what a line comes to if all of it is straight."""


def spread_boxes(
    boxes: tuple[BoxPlan, ...],
    points: Iterable[PointPlan],
    nets: Iterable[RearNet],
    columns: Columns,
) -> tuple[BoxPlan, ...]:
    """Every box with its rows spread, largest first; each by what its neighbours are by then."""
    lines = _Lines.of(boxes, points, nets, columns)
    for box in sorted(boxes, key=lambda box: -(len(box.inputs) + len(box.outputs))):
        inputs, outputs = (_distances(lines, box, slots) for slots in (box.inputs, box.outputs))
        lines.boxes[box.id] = restacked(box, inputs, outputs)
    return tuple(lines.boxes[box.id] for box in boxes)


@dataclass(frozen=True, slots=True)
class _Lines:
    """Where lines without branches lead: the other end of each, and across a position's row.

    ``boxes``: as they have been spread so far.
    """

    mate: Mapping[Key | None, RearEnd]
    across: Mapping[Key | None, Jack]
    rows: Mapping[Key | None, tuple[PointPlan, int]]
    boxes: dict[str, BoxPlan]
    columns: Columns

    @classmethod
    def of(
        cls,
        boxes: Iterable[BoxPlan],
        points: Iterable[PointPlan],
        nets: Iterable[RearNet],
        columns: Columns,
    ) -> _Lines:
        """Read positions and nets once."""
        across: dict[Key | None, Jack] = {}
        rows: dict[Key | None, tuple[PointPlan, int]] = {}
        for point in points:
            for number, row in enumerate(point.rows):
                rows |= {spot.jack: (point, number) for spot in (row.left, row.right) if spot}
                if row.left and row.right:
                    across[row.left.jack] = row.right.jack
                    across[row.right.jack] = row.left.jack
        mate: dict[Key | None, RearEnd] = {}
        for net in nets:
            ends = (*net.sources, *net.targets)
            if len(ends) == 2 and not net.through:
                mate[ends[0].address], mate[ends[1].address] = ends[1], ends[0]
        return cls(mate, across, rows, {box.id: box for box in boxes}, columns)

    def way(self, box: BoxPlan, port: PortAddress, *, low: bool) -> tuple[_Way, str]:
        """What a port's line comes to, layer by layer, and the first box of that, else the position
        at which it ends or branches; "" where it does so at once.

        Behind a box it goes on as that box's lowest line if ``low``, else as its highest.
        """
        found: dict[int, _Stop] = {}
        first = ""
        here, level = self.columns[box.id][1], 0
        at: Address = port
        onward = 1 if port.side == "out" else -1
        while (end := self.mate.get(at)) is not None and end.address is not None:
            layer = self.columns[end.node][1]
            if (layer - here) * onward <= 0:
                break
            for passed in range(here + onward, layer, onward):
                found[passed] = _Stop(level, level)
            here = layer
            if not isinstance(end.address, PortAddress):
                point, number = self.rows[end.address]
                top = level - point.row_y(number)
                found[here] = _Stop(top, top + point.height, end.node, top, len(point.rows) == 1)
                jack = self.across.get(end.address)
                if jack is None or jack not in self.mate:
                    return found, first or end.node
                at = jack
                continue
            other = self.boxes[end.node]
            first = first or other.id
            top = level - _y(other, end.address)
            reach = top + other.height + from_mm(STAMP_ROOM)
            one_row = other.height <= PITCH
            found[here] = _Stop(top - other.above, reach, end.node, top, one_row)
            beyond = other.outputs if onward > 0 else other.inputs
            if not beyond:
                break
            slot = (max if low else min)(beyond, key=lambda slot: slot.y)
            at, level = slot.port, top + slot.y
        return found, first


def _distances(lines: _Lines, box: BoxPlan, slots: Sequence[Slot]) -> tuple[int, ...]:
    """Rows from each port to the next that what their lines come to asks for; 1 where that asks
    nothing."""
    return tuple(_distance(lines, box, *pair) for pair in itertools.pairwise(slots))


def _distance(lines: _Lines, box: BoxPlan, one: Slot, other: Slot) -> int:
    """How many rows two ports must be apart for both their lines to run straight; 1 where no
    distance does."""
    upper, above = lines.way(box, one.port, low=True)
    lower, below = lines.way(box, other.port, low=False)
    if not above or not below or box.id in (above, below):
        return 1
    if box.paths and not {above, below} <= lines.boxes.keys():
        return 1  # That paths inside it are straight is worth more than a lone jack's line.
    apart = 0
    for layer in (layer for layer in upper if layer in lower):
        apart = max(apart, _apart(upper[layer], lower[layer]))
        if upper[layer].node == lower[layer].node != "":
            break
    rows = -(-apart // PITCH)
    return rows if 1 <= rows <= MOST_ROWS else 1


def _apart(above: _Stop, below: _Stop) -> int:
    """How far apart two lines begin that come to these, one under the other, as the layout packs
    them."""
    if above.node and above.node == below.node:
        return above.top - below.top
    if above.node and below.node:
        gap = 0 if above.one_row and below.one_row else from_mm(GAP)
    elif above.node or below.node:
        gap = from_mm(CLEARANCE)
    else:
        gap = PITCH
    return above.lower + gap - below.upper


def _y(box: BoxPlan, port: PortAddress) -> int:
    return next(slot.y for slot in box.slots if slot.port == port)
