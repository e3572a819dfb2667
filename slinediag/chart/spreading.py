"""Spreads the ports of large equipment, so that lines from its neighbours run in straight.

Neighbours need room above them for their labels. Where two following ports of a box lead to two
neighbours, the rows between the ports grow to what the neighbours take when one stands under the
other; order stays as filed.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Mapping

from slinediag.address import Jack, PortAddress
from slinediag.chart.equipment import BoxPlan
from slinediag.chart.paths import Slot
from slinediag.chart.points import PITCH, PointPlan
from slinediag.chart.rear import RearEnd, RearNet
from slinediag.chart.restacking import restacked

MOST_ROWS = 9
"""A distance beyond this would stretch the box for little: such ports stay close."""
FREE_ROWS = 4000
"""Least free height between two boxes, micrometres; as the layout is told."""

Far = Mapping[PortAddress, PortAddress]


def spread_boxes(
    boxes: tuple[BoxPlan, ...], points: Iterable[PointPlan], nets: Iterable[RearNet]
) -> tuple[BoxPlan, ...]:
    """Every box with its rows spread, largest first; each by what its neighbours are by then."""
    far = _far_ends(points, nets)
    now = {box.id: box for box in boxes}
    ranked = sorted(boxes, key=lambda box: -(len(box.inputs) + len(box.outputs)))
    for box in ranked:
        holder = {slot.port: b for b in now.values() for slot in (*b.inputs, *b.outputs)}
        inputs = _distances(box, box.inputs, far, holder)
        outputs = _distances(box, box.outputs, far, holder)
        now[box.id] = restacked(box, inputs, outputs)
    return tuple(now[box.id] for box in boxes)


def _far_ends(
    points: Iterable[PointPlan], nets: Iterable[RearNet]
) -> dict[PortAddress, PortAddress]:
    """For each port whose line leads, without a branch, to one other port: that port."""
    across: dict[Jack, Jack] = {}
    for point in points:
        for row in point.rows:
            if row.left and row.right and row.normal:
                across[row.left.jack] = row.right.jack
                across[row.right.jack] = row.left.jack
    mate: dict[object, RearEnd] = {}
    for net in nets:
        ends = (*net.sources, *net.targets)
        if len(ends) == 2 and not net.through:
            mate[ends[0].address], mate[ends[1].address] = ends[1], ends[0]
    found: dict[PortAddress, PortAddress] = {}
    for start in [a for a in mate if isinstance(a, PortAddress)]:
        at: object = start
        for _ in range(len(across) + 2):
            end = mate.get(at)
            if end is None or end.address is None:
                break
            if isinstance(end.address, PortAddress):
                found[start] = end.address
                break
            at = across.get(end.address)
    return found


def _distances(
    box: BoxPlan, slots: tuple[Slot, ...], far: Far, holder: Mapping[PortAddress, BoxPlan]
) -> tuple[int, ...]:
    """Rows from each port to the next that its neighbours ask for; 1 where they ask nothing."""
    return tuple(
        _distance(box, one, other, far, holder) for one, other in itertools.pairwise(slots)
    )


def _distance(
    box: BoxPlan, one: Slot, other: Slot, far: Far, holder: Mapping[PortAddress, BoxPlan]
) -> int:
    """How many rows two ports must be apart for both their lines to run straight; 1 where no
    distance does."""
    ends = far.get(one.port), far.get(other.port)
    if ends[0] is None or ends[1] is None:
        return 1
    above, below = holder.get(ends[0]), holder.get(ends[1])
    if above is None or below is None or box.id in (above.id, below.id):
        return 1
    y_above, y_below = _y(above, ends[0]), _y(below, ends[1])
    if above.id == below.id:
        rows = (y_below - y_above) // PITCH
    elif len(above.slots) > len(box.slots) or len(below.slots) > len(box.slots):
        return 1
    else:
        free = below.above + FREE_ROWS
        rows = (above.height - y_above + y_below) // PITCH + -(-free // PITCH)
    return rows if 1 <= rows <= MOST_ROWS else 1


def _y(box: BoxPlan, port: PortAddress) -> int:
    return next(slot.y for slot in box.slots if slot.port == port)
