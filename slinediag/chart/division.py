"""Divides a planned chart over sheets: what stays whole, what holds it together, where it goes.

Positions and small equipment are units and stay whole. Large equipment is drawn in parts, its
ports on the sheets of the lines that they serve (detached representation, IEC 61082-1), so that
only a line between two units can be interrupted.
"""

from __future__ import annotations

import itertools
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from slinediag.address import Jack, PortAddress, partner
from slinediag.chart.detach import LARGE
from slinediag.chart.equipment import BoxPlan
from slinediag.chart.planning import Plan
from slinediag.chart.points import PITCH, PointPlan, run_of_labels
from slinediag.chart.rear import RearEnd, RearNet, entry_port
from slinediag.chart.subject import Position, swapped_ports, wired_ports
from slinediag.layout.sheets import Tie, Unit
from slinediag.model.facility import Facility
from slinediag.model.labels import jack_label, jack_name, port_label

LINE = 4.0
"""What it costs to interrupt a line; all other ties are counted against it."""
CORD = 8.0
PART = 0.7
"""A further part of large equipment."""
SAME_POSITION = 2.0
NEXT_PORT = 0.8
NEXT_POSITION = 0.5
ALIKE = 0.3
"""A bay, a room, or the inputs of one priority, on one more sheet."""
ELSEWHERE = 0
"""The number, of no sheet, that stands for all that is not drawn."""
CHANNEL = 18_000
"""Width that a node takes for the lines beside it."""


@dataclass(frozen=True)
class Bench:
    """A planned chart taken apart: its units, and what stands on which."""

    plan: Plan

    @cached_property
    def points(self) -> Mapping[str, PointPlan]:
        """The nodes of positions by id."""
        return {point.id: point for point in self.plan.points}

    @cached_property
    def net(self) -> Mapping[str, RearNet]:
        """The nets by name."""
        return {net.name: net for net in self.plan.nets}

    @cached_property
    def wired(self) -> frozenset[PortAddress]:
        """The ports with a line."""
        return wired_ports(self.plan.subject.facility)

    @cached_property
    def swapped(self) -> frozenset[PortAddress]:
        """The ports that say that + and − change places on their line."""
        return swapped_ports(self.plan.subject.facility)

    @cached_property
    def large(self) -> frozenset[str]:
        """Equipment that may be drawn in parts, or that a part of the chart shows in part."""
        count: Counter[str] = Counter()
        for box in self.plan.boxes:
            count[box.equipment.id] += len(box.slots)
        return frozenset(
            box.equipment.id
            for box in self.plan.boxes
            if (count[box.equipment.id] >= LARGE and box.equipment.drawn != "whole")
            or self._shown_in_part(box.equipment.id)
        )

    def _shown_in_part(self, box: str) -> bool:
        excerpt = self.plan.excerpt
        return excerpt is not None and box not in excerpt.whole

    @cached_property
    def small(self) -> Mapping[str, tuple[BoxPlan, ...]]:
        """Equipment that is drawn whole, or in the parts planned for one sheet."""
        found: dict[str, tuple[BoxPlan, ...]] = {}
        for box in self.plan.boxes:
            if box.equipment.id not in self.large:
                found[box.equipment.id] = (*found.get(box.equipment.id, ()), box)
        return found

    @cached_property
    def owners(self) -> tuple[tuple[str, ...], ...]:
        """For each net the units that it ends at; one of its own where it has no other."""
        found = []
        for net in self.plan.nets:
            units = [unit for end in ends_of(net) if (unit := self.unit_of(end))]
            found.append(tuple(dict.fromkeys(units)) or (f"net {net.name}",))
        return tuple(found)

    def unit_of(self, end: RearEnd) -> str | None:
        """The unit an end stands on; None on large equipment."""
        if isinstance(end.address, PortAddress):
            box = end.address.equipment
            return None if box in self.large else box
        return end.node

    @cached_property
    def unit_of_port(self) -> Mapping[PortAddress, str]:
        """For each port with a line, the first unit at its line."""
        return {
            end.address: owners[0]
            for net, owners in zip(self.plan.nets, self.owners, strict=True)
            for end in ends_of(net)
            if isinstance(end.address, PortAddress)
        }

    @cached_property
    def entered(self) -> Mapping[tuple[str, str], Jack]:
        """The jacks that normals run to from elsewhere, by node and port."""
        return {
            (point.id, entry_port(row.normal.target)): row.normal.target
            for point in self.plan.points
            for row in point.rows
            if row.entry and row.normal
        }

    @cached_property
    def node_of_jack(self) -> Mapping[Jack, str]:
        """The node each jack stands in."""
        return {
            jack: point.id
            for point in self.plan.points
            for row in point.rows
            for spot in (row.left, row.right)
            if spot
            for jack in spot.jacks
        }

    @cached_property
    def units(self) -> tuple[Unit, ...]:
        """The units that are drawn, with the room they take, square millimetres; natural order."""
        found = [Unit(id, _box_size(boxes)) for id, boxes in self.small.items()]
        found += [
            Unit(p.id, _size(p.width, p.height) + self._served(p.id)) for p in self.plan.points
        ]
        found += [Unit(o[0], _size(40_000, PITCH)) for o in self.owners if o[0].startswith("net ")]
        return tuple(unit for unit in found if self._drawn(unit.id))

    def _drawn(self, unit: str) -> bool:
        """Whether a unit is in the part of the chart that is asked for."""
        excerpt = self.plan.excerpt
        if excerpt is None:
            return True
        if unit in self.points:
            return self.points[unit].position in excerpt.positions
        if unit in self.small:
            return any(port.equipment == unit for port in excerpt.ports)
        return any(map(excerpt.holds, self.net[unit.removeprefix("net ")].addresses))

    def _served(self, unit: str) -> float:
        """The room of the ports of large equipment beside a unit."""
        return self._ports_beside[unit] * _size(22_000, PITCH)

    @cached_property
    def _ports_beside(self) -> Counter[str]:
        return Counter(
            unit for port, unit in self.unit_of_port.items() if port.equipment in self.large
        )


def ends_of(net: RearNet) -> Iterator[RearEnd]:
    """All ends of a net: sources, targets, then those it runs through."""
    yield from net.sources
    yield from net.targets
    yield from itertools.chain.from_iterable(net.through)


def _size(width: int, height: int) -> float:
    return (width + CHANNEL) * height / 1e6


def _box_size(boxes: Iterable[BoxPlan]) -> float:
    return sum(_size(box.width, box.height + box.above + 3000) for box in boxes)


def ties_of(bench: Bench) -> tuple[Tie, ...]:
    """What holds the units of a chart together."""
    made = [
        *_line_ties(bench),
        *_cord_ties(bench),
        *_port_ties(bench),
        *_bay_ties(bench),
        *_room_ties(bench),
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


def room_of(facility: Facility, place: str | None) -> str:
    """The room of a place: its rack's where it begins with one, else the place itself."""
    head = (place or "").split(",")[0].strip()
    rack = facility.racks.get(head)
    return (rack.room or head) if rack else head


@dataclass(frozen=True, slots=True)
class Reference:
    """The end of an interrupted line on a sheet, and the sheet of its mate.

    ``way``: ``to`` where it stands at the right and the line goes on, ``from`` where it stands at
    the left and the line comes from there. ``name`` is one for a reference and its mate.
    ``beside``: what the strip says at the far end of a line that is not drawn on.
    """

    name: str
    net: str
    way: str
    mate: int
    label: str
    beside: str = ""


@dataclass(frozen=True, slots=True)
class CordReference:
    """The end of a cord whose other jack is on another sheet."""

    jack: Jack
    mate: int
    label: str
    beside: str = ""

    @property
    def name(self) -> str:
        """Its node's id."""
        return f"cord {self.jack}"


@dataclass(frozen=True, slots=True)
class Share:
    """What stands on one sheet: nodes of positions, equipment whole, ports of large equipment,
    and its nets, restricted to what is here, each with its references."""

    number: int
    points: tuple[PointPlan, ...]
    whole: tuple[BoxPlan, ...]
    ports: Mapping[str, frozenset[PortAddress]]
    nets: tuple[RearNet, ...]
    references: tuple[Reference, ...]
    cords: tuple[CordReference, ...]

    @property
    def positions(self) -> tuple[Position, ...]:
        """The positions with a jack here, in the order of the plan."""
        return tuple(dict.fromkeys(place for point in self.points for place in point.positions))


Labeller = Callable[[RearEnd], str]


def namer(bench: Bench) -> Labeller:
    """What ends are called in references: jacks by name, ports by label; where a normal comes in,
    the jack that it runs to."""
    facility = bench.plan.subject.facility

    def name(end: RearEnd) -> str:
        if end.address is None:
            return jack_name(facility, bench.entered[end.node, end.port])
        called = [
            port_label(facility, a) if isinstance(a, PortAddress) else jack_name(facility, a)
            for a in end.addresses
        ]
        return run_of_labels(called)

    return name


def shares(
    bench: Bench,
    parts: Sequence[Sequence[str]],
    name: Labeller,
    *,
    first: int = 1,
    only: int | None = None,
) -> tuple[Share, ...]:
    """What stands on each sheet when the parts are given one each from ``first``; all or one.

    Units in no part are elsewhere: their lines end in references that say where they go.
    """
    sheet = {unit: number for number, part in enumerate(parts, first) for unit in part}
    numbers = range(first, first + len(parts)) if only is None else [only]
    return tuple(_share(bench, sheet, number, name) for number in numbers)


def _share(bench: Bench, sheet: Mapping[str, int], number: int, name: Labeller) -> Share:
    nets: list[RearNet] = []
    references: list[Reference] = []
    ports: dict[str, set[PortAddress]] = {}
    for net, owners in zip(bench.plan.nets, bench.owners, strict=True):
        if all(sheet.get(unit, ELSEWHERE) != number for unit in owners):
            continue
        pieces = _pieces(bench, net, owners, sheet)
        found = _references(bench, net, pieces, number, name)
        references += found
        nets.append(_with_references(pieces[number], found))
        for end in ends_of(pieces[number]):
            if isinstance(end.address, PortAddress) and end.address.equipment in bench.large:
                ports.setdefault(end.address.equipment, set()).add(end.address)
    return Share(
        number,
        tuple(p for p in bench.plan.points if sheet.get(p.id) == number),
        tuple(b for id, boxes in bench.small.items() if sheet.get(id) == number for b in boxes),
        {box: frozenset(found) for box, found in sorted(ports.items())},
        tuple(nets),
        tuple(references),
        _cord_references(bench, sheet, number),
    )


def _pieces(
    bench: Bench, net: RearNet, owners: Sequence[str], sheet: Mapping[str, int]
) -> dict[int, RearNet]:
    """The net by sheets, its home first: ports of large equipment go with most of its units."""
    excerpt = bench.plan.excerpt
    count = Counter(sheet.get(unit, ELSEWHERE) for unit in owners)
    most = min(count, key=lambda number: (number == ELSEWHERE, -count[number], number))

    def on(end: RearEnd) -> int:
        unit = bench.unit_of(end)
        if unit is None and excerpt and end.address and not excerpt.holds(end.address):
            return ELSEWHERE
        return most if unit is None else sheet.get(unit, ELSEWHERE)

    home = on(net.sources[0]) if net.sources else most
    pieces = {}
    for number in (home, *sorted({*count, *map(on, ends_of(net))} - {home})):
        pieces[number] = RearNet(
            net.name,
            tuple(end for end in net.sources if on(end) == number),
            tuple(end for end in net.targets if on(end) == number),
            tuple(pair for pair in net.through if on(pair[0]) == number),
            net.addresses,
        )
    return pieces


def _references(
    bench: Bench, net: RearNet, pieces: Mapping[int, RearNet], number: int, name: Labeller
) -> list[Reference]:
    """The references of a net on one sheet: home points to every other sheet, these to home."""
    home, *others = pieces
    found = []
    for other in others if number == home else [home] if number in others else []:
        away = number if number != home else other
        leads_on = not pieces[away].sources
        here = leads_on if number == home else not leads_on
        if number == home and not (pieces[home].targets or pieces[home].through):
            here = True
        label, beside = _far_label(pieces[other], name), ""
        if other == ELSEWHERE:
            label, beside = _far_labels(bench.plan.subject.facility, pieces[other], name)
        way = "to" if here else "from"
        found.append(Reference(f"{net.name} {home}-{away}", net.name, way, other, label, beside))
    return found


def _far_label(piece: RearNet, name: Labeller) -> str:
    ends = [end for end in ends_of(piece) if end.address is not None] or list(ends_of(piece))
    first = name(ends[0])
    return f"{first} …" if len(ends) > 1 else first


def _far_labels(facility: Facility, piece: RearNet, name: Labeller) -> tuple[str, str]:
    """All that a line leads to that is not drawn; and beside a single jack what stands behind it:
    the label of the jack that its normal joins it to, else its own."""
    ends = list(ends_of(piece))
    names = ", ".join(dict.fromkeys(map(name, ends)))
    jacks = [address for end in ends for address in end.addresses if isinstance(address, Jack)]
    if len(ends) > 1 or not jacks:
        return names, ""
    return names, run_of_labels([far_beside(facility, jack) for jack in jacks])


def far_beside(facility: Facility, jack: Jack) -> str:
    """What stands behind a jack: the label that its own normal joins it to, else its own."""
    bay = facility.bays[jack.bay]
    labels = [jack_label(facility, jack) or ""]
    if len(bay.jack_rows) > 1 and bay.normal_at(jack.position) != "none":
        labels.insert(0, jack_label(facility, partner(jack)) or "")
    return next(filter(None, labels), "")


def _with_references(piece: RearNet, references: Iterable[Reference]) -> RearNet:
    sources, targets = piece.sources, piece.targets
    for reference in references:
        if reference.way == "to":
            targets = (*targets, RearEnd(reference.name, "in", None))
        else:
            sources = (*sources, RearEnd(reference.name, "out", None))
    return RearNet(piece.name, sources, targets, piece.through, piece.addresses)


def _cord_references(
    bench: Bench, sheet: Mapping[str, int], number: int
) -> tuple[CordReference, ...]:
    facility = bench.plan.subject.facility
    far: dict[Jack, int] = {}
    for cord in bench.plan.subject.plugs.cords:
        one, other = (sheet.get(bench.node_of_jack[jack], ELSEWHERE) for jack in cord.ends)
        if one == number != other:
            far[cord.ends[1]] = other
        if other == number != one:
            far[cord.ends[0]] = one
    return tuple(
        CordReference(
            jack,
            mate,
            jack_name(facility, jack),
            far_beside(facility, jack) if mate == ELSEWHERE else "",
        )
        for jack, mate in far.items()
    )
