"""What holds the units of a divided chart together, and how much it costs to part them."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

from slinediag.address import SIDES, PortAddress
from slinediag.chart.company import companies
from slinediag.chart.division import Bench, ends_of
from slinediag.chart.points import PointPlan
from slinediag.chart.ways import by_priority, ways
from slinediag.layout.sheets import Tie
from slinediag.model.facility import Facility

LINE = 4.0
"""What it costs to interrupt a line; all other ties are counted against it."""
CORD = 8.0
PART = 0.7
"""A further part of large equipment."""
SAME_POSITION = 2.0
NEXT_PORT = 0.8
NEXT_POSITION = 0.9
PAIR = 6.0
"""The two sides of a stereo pair, where each has a unit of its own."""
SAME_BAYS = 2.0
"""All lines between the same two bays."""
WAY = 4.0
"""The way to an input of the highest priority."""
ON_A_WAY = 3.0
"""Two units next to each other on such a way, so that it is cut in few places."""
COMPANY = 0.6
"""A company on one more sheet."""
NEXT_BETWEEN = 1.0
"""Lines between bays that follow each other, where nothing else holds them."""
ALIKE = 0.3
"""A bay, a room, or the inputs of one priority, on one more sheet."""


def ties_of(bench: Bench) -> tuple[Tie, ...]:
    """What holds the units of a chart together."""
    made = [
        *_line_ties(bench),
        *_cord_ties(bench),
        *_port_ties(bench),
        *(Tie(PAIR, pair) for pair in pairs(bench)),
        *_bay_ties(bench),
        *_between_ties(bench),
        *_way_ties(bench),
        *_room_ties(bench),
        *_company_ties(bench),
    ]
    drawn = {unit.id for unit in bench.units}
    held = [Tie(tie.weight, tuple(m for m in tie.members if m in drawn)) for tie in made]
    return tuple(tie for tie in held if len(set(tie.members)) > 1)


def _line_ties(bench: Bench) -> Iterator[Tie]:
    for owners in bench.owners:
        yield Tie(LINE, owners)


def _cord_ties(bench: Bench) -> Iterator[Tie]:
    for cord in bench.plan.subject.plugs.cords:
        yield Tie(CORD, tuple(bench.node_of_jack[jack] for jack in cord.ends))


def _port_ties(bench: Bench) -> Iterator[Tie]:
    """Large equipment in few parts, ports that follow each other on one sheet."""
    for box in sorted(bench.large):
        equipment = bench.plan.subject.facility.equipment[box]
        ports = [PortAddress(box, port.id, port.side) for port in equipment.ports]
        units = [bench.unit_of_port[port] for port in ports if port in bench.unit_of_port]
        yield Tie(PART, tuple(dict.fromkeys(units)))
        for pair in itertools.pairwise(units):
            yield Tie(NEXT_PORT, pair)


def rows(bench: Bench) -> tuple[tuple[str, ...], ...]:
    """What is kept on one sheet as far as it fits: the ways to inputs of a priority, the highest
    first, and stereo pairs."""
    found = [way for ways_there in by_priority(bench).values() for way in ways_there]
    return (*found, *pairs(bench))


def pairs(bench: Bench) -> tuple[tuple[str, str], ...]:
    """The units at the two sides of each stereo pair, where these are two."""
    found = []
    for box in bench.plan.subject.equipment:
        for side, pair in itertools.product(SIDES, box.stereo_pairs):
            ports = (PortAddress(box.id, port, side) for port in pair)
            one, other = (bench.unit_of_port.get(port) for port in ports)
            if one and other and one != other:
                found.append((one, other))
    return tuple(dict.fromkeys(found))


def _bay_ties(bench: Bench) -> Iterator[Tie]:
    bays: dict[str, list[PointPlan]] = {}
    for point in bench.plan.points:
        bays.setdefault(point.position.bay, []).append(point)
    for points in bays.values():
        yield Tie(ALIKE, tuple(point.id for point in points))
        for one, other in itertools.pairwise(points):
            near = other.position.number - one.positions[-1].number
            if near <= 1:
                yield Tie(NEXT_POSITION if near > 0 else SAME_POSITION, (one.id, other.id))


def _between_ties(bench: Bench) -> Iterator[Tie]:
    """The lines between the same two bays together; those that lead to no equipment stand one
    after another anyway."""
    equipped = companies(bench).of
    between: dict[tuple[str, ...], list[str]] = {}
    for net, owners in zip(bench.plan.nets, bench.owners, strict=True):
        points = [bench.points[unit] for unit in owners if unit in bench.points]
        bays = tuple(sorted({point.position.bay for point in points}))
        bare = equipped.keys().isdisjoint(owners)
        if len(bays) > 1 and len(points) == len(list(ends_of(net))) and not bare:
            between.setdefault(bays, []).extend(owners)
    for units in between.values():
        yield Tie(SAME_BAYS, tuple(units))


def _way_ties(bench: Bench) -> Iterator[Tie]:
    """The way to an input of the first priority, from the desk that feeds it, on one sheet."""
    for way in ways(bench):
        yield Tie(WAY, way)
        for pair in itertools.pairwise(way):
            yield Tie(ON_A_WAY, pair)


def _room_ties(bench: Bench) -> Iterator[Tie]:
    """One room together, and what has inputs of one priority."""
    groups: dict[str, list[str]] = {}
    for id, boxes in bench.small.items():
        room = room_of(bench.plan.subject.facility, boxes[0].equipment.place)
        if room:
            groups.setdefault(f"room {room}", []).append(id)
        for priority in sorted({s.priority for b in boxes for s in b.inputs if s.priority}):
            groups.setdefault(f"priority {priority}", []).append(id)
    for members in groups.values():
        yield Tie(ALIKE, tuple(members))


def _company_ties(bench: Bench) -> Iterator[Tie]:
    """A company together where there are several; and lines between bays, one after another."""
    found = companies(bench)
    members: dict[int, list[str]] = {}
    for unit, number in found.of.items():
        members.setdefault(number, []).append(unit)
    if len(members) > 1:
        yield from (Tie(COMPANY, tuple(units)) for units in members.values())
    for one, other in itertools.pairwise(found.between):
        yield Tie(NEXT_BETWEEN, (one[-1], other[0]))


def room_of(facility: Facility, place: str | None) -> str:
    """The room of a place: its rack's where it begins with one, else the place itself."""
    head = (place or "").split(",")[0].strip()
    rack = facility.racks.get(head)
    return (rack.room or head) if rack else head
