"""Spreads the ports of large equipment, so that lines from its neighbours run in straight.

What two lines pass takes room: boxes with their labels, positions, other lines. Where the lines of
two following ports come to such things in one column, the rows between the ports grow to what these
take when one stands under the other; order stays as filed. Lengths in micrometres.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from slinediag.address import Address, PortAddress
from slinediag.chart.equipment import BoxPlan
from slinediag.chart.graph import CLEARANCE, GAP, STAMP_ROOM
from slinediag.chart.paths import Slot
from slinediag.chart.points import PITCH, PointPlan, PointRow
from slinediag.chart.rear import RearEnd, RearNet, entry_port
from slinediag.chart.restacking import restacked
from slinediag.geometry import from_mm

LOOKED_BACK = 4
"""Ports above one that what it comes to may have to pass."""
ROUNDS = 2
"""How often every box is spread."""
MOST_ROWS = 9
"""A distance beyond this would stretch the box for little: such ports stay close."""

_Pin = Address | tuple[str, str]
"""An end of a line: a jack or port; for the entry of a normal, the node and its port."""
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
    *,
    plain: bool = False,
) -> tuple[BoxPlan, ...]:
    """Every box with its rows spread, largest first; each by what its neighbours are by then, and
    once more by what they have become. ``plain``: just so far that lines without branches run
    straight past the next, which takes less height."""
    if plain:
        nets = (net for net in nets if len(net.sources) + len(net.targets) == 2)
    lines = _Lines.of(boxes, points, nets, columns)
    order = [box.id for box in sorted(boxes, key=lambda b: -(len(b.inputs) + len(b.outputs)))]
    back = 1 if plain else LOOKED_BACK
    for name in order if plain else order * ROUNDS:
        box = lines.boxes[name]
        sides = (box.inputs, box.outputs)
        inputs, outputs = (_distances(lines, box, slots, back) for slots in sides)
        lines.boxes[name] = restacked(box, inputs, outputs)
    return tuple(lines.boxes[box.id] for box in boxes)


@dataclass(frozen=True, slots=True)
class _Lines:
    """Where lines lead: from each end on to the others, and across a position's row.

    ``mates``: of a line that branches, its ends on the one side from the only one on the other, and
    from the first of them back. ``stem``: from each other one, the node from which it branches.
    ``boxes``: as they have been spread so far.
    """

    mates: Mapping[_Pin, Sequence[RearEnd]]
    stem: Mapping[_Pin, str]
    across: Mapping[_Pin, _Pin]
    rows: Mapping[_Pin, tuple[PointPlan, int]]
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
        across: dict[_Pin, _Pin] = {}
        rows: dict[_Pin, tuple[PointPlan, int]] = {}
        for point in points:
            for number, row in enumerate(point.rows):
                pins = _pins_of(point, row)
                rows |= dict.fromkeys(pins, (point, number))
                if len(pins) > 1:
                    across |= {pins[0]: pins[1], pins[1]: pins[0]}
        mates: dict[_Pin, Sequence[RearEnd]] = {}
        stem: dict[_Pin, str] = {}
        for one, others in filter(None, map(_branching, nets)):
            mates |= {_pin(one): others, _pin(others[0]): (one,)}
            stem |= {_pin(end): one.node for end in others[1:]}
        return cls(mates, stem, across, rows, {box.id: box for box in boxes}, columns)

    def way(self, box: BoxPlan, port: PortAddress, *, low: bool) -> tuple[_Way, str]:
        """What a port's line comes to, layer by layer, and the first box of that, else the position
        at which it ends; "" where it does so at once.

        Of a line that branches the first end is the one that runs straight, the others stand under
        it. Behind a box it goes on as that box's lowest line if ``low``, else as its highest.
        """
        return self._way(port, self.columns[box.id][1], 1 if port.side == "out" else -1, low)

    def _way(self, at: _Pin, here: int, onward: int, low: bool) -> tuple[_Way, str]:
        """The same from a jack or port in layer ``here`` on; ``onward``: 1 to the right, -1 to the
        left."""
        mates = filter(self._stands, self.mates.get(at, ()))
        ends = [end for end in mates if (self.columns[end.node][1] - here) * onward > 0]
        if not ends:
            return {}, self.stem.get(at, "")
        found, first = self._to(ends[0], here, onward, low)
        for end in ends[1:] if low else ():
            upper, _ = self._to(end, here, onward, low=False)
            lower, _ = self._to(end, here, onward, low)
            found = _with_under(found, lower, max(1, _rows(found, upper)) * PITCH)
        return found, first

    def _stands(self, end: RearEnd) -> bool:
        """Whether an end is of a box or a position, not of a reference."""
        return end.node in self.boxes or _pin(end) in self.rows

    def _to(self, end: RearEnd, here: int, onward: int, low: bool) -> tuple[_Way, str]:
        """What a line comes to that leads to this end, and beyond it."""
        pin, layer = _pin(end), self.columns[end.node][1]
        found = {passed: _Stop(0, 0) for passed in range(here + onward, layer, onward)}
        if not isinstance(pin, PortAddress):
            point, number = self.rows[pin]
            top = -point.row_y(number)
            found[layer] = _Stop(top, top + point.height, end.node, top, len(point.rows) == 1)
            other = self.across.get(pin)
            beyond, first = self._way(other, layer, onward, low) if other else ({}, "")
            return {**found, **beyond}, first or end.node
        box = self.boxes[end.node]
        top = -_y(box, pin)
        reach = top + box.height + from_mm(STAMP_ROOM)
        found[layer] = _Stop(top - box.above, reach, end.node, top, box.height <= PITCH)
        slots = box.outputs if onward > 0 else box.inputs
        if not slots:
            return found, box.id
        slot = (max if low else min)(slots, key=lambda slot: slot.y)
        beyond, _ = self._way(slot.port, layer, onward, low)
        shifted = {n: _shifted(stop, top + slot.y) for n, stop in beyond.items()}
        return {**found, **shifted}, box.id


def _branching(net: RearNet) -> tuple[RearEnd, Sequence[RearEnd]] | None:
    """The end of a net that is alone on its side, and all others; None where there is no such."""
    ends = (*net.sources, *net.targets)
    if net.through or len(ends) < 2:
        return None
    if len(ends) == 2 or len(net.sources) == 1:
        return ends[0], ends[1:]
    return (ends[-1], ends[:-1]) if len(net.targets) == 1 else None


def _pins_of(point: PointPlan, row: PointRow) -> list[_Pin]:
    """The ends at a row of a position: on its left, where a normal may come in, and its right."""
    found: list[_Pin] = [spot.jack for spot in (row.left, row.right) if spot]
    if row.entry and row.normal:
        return [(point.id, entry_port(row.normal.target)), *found]
    return found


def _pin(end: RearEnd) -> _Pin:
    """The key of an end."""
    return end.address or (end.node, end.port)


def _shifted(stop: _Stop, by: int) -> _Stop:
    """What a line comes to, so much farther down."""
    return replace(stop, upper=stop.upper + by, lower=stop.lower + by, top=stop.top + by)


def _with_under(way: _Way, branch: _Way, by: int) -> _Way:
    """What a line comes to with a branch so far below it: its lowest thing in each layer."""
    found = dict(way)
    for layer, stop in branch.items():
        below = _shifted(stop, by)
        if layer not in way or below.lower >= way[layer].lower:
            found[layer] = below
    return found


def _distances(lines: _Lines, box: BoxPlan, slots: Sequence[Slot], back: int) -> tuple[int, ...]:
    """Rows from each port to the next that what their lines come to asks for, and those of so many
    ports ``back`` from it; 1 where that asks nothing, or more than would do."""
    lower = [lines.way(box, slot.port, low=True) for slot in slots[:-1]]
    upper = [lines.way(box, slot.port, low=False) for slot in slots]
    found: list[int] = []
    for number in range(1, len(slots)):
        first = max(0, number - back)
        asked = [
            _distance(lines, box, lower[n], upper[number]) - sum(found[n:])
            for n in range(first, number)
        ]
        found.append(max((rows for rows in asked if 1 <= rows <= MOST_ROWS), default=1))
    return tuple(found)


def _distance(lines: _Lines, box: BoxPlan, one: tuple[_Way, str], other: tuple[_Way, str]) -> int:
    """How many rows two ports must be apart for both their lines to run straight; 1 where no
    distance does."""
    (upper, above), (lower, below) = one, other
    if not above or not below or box.id in (above, below):
        return 1
    if box.paths and not {above, below} <= lines.boxes.keys():
        return 1  # That paths inside it are straight is worth more than a lone jack's line.
    return _rows(upper, lower)


def _rows(upper: _Way, lower: _Way) -> int:
    """How many rows apart two lines begin that come to these, one under the other."""
    apart = 0
    for layer in (layer for layer in upper if layer in lower):
        apart = max(apart, _apart(upper[layer], lower[layer]))
        if upper[layer].node == lower[layer].node != "":
            break
    return -(-apart // PITCH)


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
