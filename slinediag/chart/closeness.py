"""How near what stands on a sheet is to what a part of the chart is drawn around.

So that the sheets of such a part begin with what it is about, and end with what is farthest.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping

from slinediag.address import PortAddress
from slinediag.chart.subject import Position
from slinediag.model.facility import Facility
from slinediag.tracing.way import Hop

Closeness = Mapping[Position | PortAddress, int]
"""How many feeds lie between each position or port and the thing in question."""
Nearness = Callable[[Iterable[str]], int]
"""How near the nearest of some units is."""


def closeness_of(facility: Facility, hops: Iterable[Hop], starts: Collection[Hop]) -> Closeness:
    """By position and port of these feeds, how many of them it is from the ``starts``, through
    equipment."""
    known = list(dict.fromkeys(hops))
    to: dict[PortAddress, list[Hop]] = {}
    by: dict[PortAddress, list[Hop]] = {}
    for hop in known:
        to.setdefault(hop.target, []).append(hop)
        by.setdefault(hop.source, []).append(hop)

    def beside(hop: Hop) -> Iterable[Hop]:
        before, behind = (facility.equipment[e.equipment] for e in (hop.source, hop.target))
        for entry in before.ways_to.get(hop.source.port, ()):
            yield from to.get(PortAddress(before.id, entry, "in"), ())
        for output in behind.ways_from.get(hop.target.port, ()):
            yield from by.get(PortAddress(behind.id, output, "out"), ())

    depth: dict[Hop, int] = dict.fromkeys(starts, 0)
    waiting = list(depth)
    for hop in waiting:
        for other in beside(hop):
            if other not in depth:
                depth[other] = depth[hop] + 1
                waiting.append(other)
    found: dict[Position | PortAddress, int] = {}
    for hop, far in depth.items():
        places: list[Position | PortAddress] = [Position(j.bay, j.position) for j in hop.via]
        for place in (*places, hop.source, hop.target):
            found[place] = min(far, found.get(place, far))
    return found


def nearness(closeness: Closeness, places: Mapping[str, Position]) -> Nearness:
    """How near the nearest of some units is; 0 for all where the chart is drawn around nothing.

    ``places``: of the units that are positions; others are equipment or hold no port.
    """
    farthest = max(closeness.values(), default=0)
    found = {unit: closeness.get(place, farthest) for unit, place in places.items()}
    boxes: dict[str, int] = {}
    for place, far in closeness.items():
        if isinstance(place, PortAddress):
            boxes[place.equipment] = min(far, boxes.get(place.equipment, far))
    known = {**boxes, **found}
    return lambda units: min((known.get(unit, farthest) for unit in units), default=farthest)
