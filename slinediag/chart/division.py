"""Divides a planned chart over sheets: what stays whole, and what holds it together.

Positions and small equipment are units and stay whole. Large equipment is drawn in parts, its
ports on the sheets of the lines that they serve (detached representation, IEC 61082-1), so that
only a line between two units can be interrupted.
"""

from __future__ import annotations

import itertools
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cached_property, lru_cache

from slinediag.address import Jack, PortAddress, Side, natural
from slinediag.chart.closeness import Nearness, nearness
from slinediag.chart.detach import LARGE
from slinediag.chart.equipment import BoxPlan, plan_part
from slinediag.chart.fars import NO_FARS, Fars, find_fars
from slinediag.chart.lettering import wrap
from slinediag.chart.planning import Plan
from slinediag.chart.points import PITCH, PointPlan, by_itself
from slinediag.chart.rear import RearEnd, RearNet, entry_port
from slinediag.chart.sheet import ISO_SIZES, Sheet
from slinediag.chart.subject import swapped_ports, wired_ports
from slinediag.layout.sheets import Unit
from slinediag.model.equipment import Equipment, Port

IN_PARTS = 9
"""Ports with lines from which equipment may stand in parts on several sheets: one of four inputs
and four outputs stays whole, so that what goes in and what comes out are seen together."""
TALL = 8 * PITCH
ROOMY = ISO_SIZES[1].width * ISO_SIZES[1].height
"""Room of an A3, micrometres squared: smaller sheets take equipment in parts from ``LARGE`` on."""
Ids = tuple[str, ...]
"""Ports of one side by their ids, in their order."""
REMEMBERED = 1024
"""Planned parts of equipment that are kept."""
IN_PART = "drawn in part"
CHANNEL = 18_000
"""Width that a node takes for the lines beside it."""


@dataclass(frozen=True)
class Bench:
    """A planned chart taken apart: its units, and what stands on which.

    ``in_parts``: ports with lines from which equipment may be drawn in parts.
    """

    plan: Plan
    in_parts: int = LARGE

    @cached_property
    def points(self) -> Mapping[str, PointPlan]:
        """The nodes of positions by id, each as wide as it must be: on its sheet it stands in line
        with others than on the whole chart."""
        return {point.id: by_itself(point) for point in self.plan.points}

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
        """Equipment that may be drawn in parts: with many ports with lines, of those drawn; with
        fewer where what it leads to makes it tall."""
        count: Counter[str] = Counter()
        for box in self.plan.boxes:
            ports = [port for slot in box.slots for port in slot.ports]
            whole = not self.shown_in_part(box.equipment.id)
            held = len(ports) if whole else sum(map(self.holds, ports))
            tall = held >= LARGE and box.height > TALL
            count[box.equipment.id] += max(held, self.in_parts) if tall else held
        return frozenset(
            box.equipment.id
            for box in self.plan.boxes
            if count[box.equipment.id] >= self.in_parts and box.equipment.drawn != "whole"
        )

    @property
    def drawn_around(self) -> bool:
        """Whether what is drawn is what lies around a thing."""
        return self.plan.excerpt is not None and bool(self.plan.excerpt.closeness)

    @cached_property
    def nearness(self) -> Nearness:
        """How near units are to what the part is drawn around."""
        closeness = self.plan.excerpt.closeness if self.plan.excerpt is not None else {}
        stands = {unit: point.position for unit, point in self.points.items()}
        return nearness(closeness, stands)

    def holds(self, port: PortAddress) -> bool:
        """Whether a port is in the part of the chart that is asked for."""
        return self.plan.excerpt is None or self.plan.excerpt.holds(port)

    def shown_in_part(self, box: str) -> bool:
        """Whether only ports of equipment are drawn that are in the part that is asked for."""
        excerpt = self.plan.excerpt
        return excerpt is not None and box not in excerpt.whole

    @cached_property
    def held_apart(self) -> Counter[tuple[str, Side]]:
        """By side of large equipment, how many groups of units have a port of it on their lines;
        a group is what lines hold together without it."""
        group = {unit: unit for owners in self.owners for unit in owners}

        def first(unit: str) -> str:
            while group[unit] != unit:
                group[unit] = unit = group[group[unit]]
            return unit

        for owners in self.owners:
            for one, other in itertools.pairwise(owners):
                group[first(other)] = first(one)
        found = {
            (port.equipment, port.side, first(unit))
            for port, unit in self.unit_of_port.items()
            if port.equipment in self.large
        }
        return Counter((box, side) for box, side, _ in found)

    @cached_property
    def fars(self) -> Fars:
        """By the first port of a row of large equipment, the rows that ways lead to or come from,
        of those that are drawn."""
        plan = self.plan
        drawn = set(filter(self.holds, self.wired))
        boxes = sorted(self.large, key=natural)
        return find_fars(plan.subject.facility, boxes, drawn, plan.folds.ports)

    @cached_property
    def small(self) -> Mapping[str, tuple[BoxPlan, ...]]:
        """Equipment that is drawn whole, or in the parts planned for one sheet."""
        found: dict[str, tuple[BoxPlan, ...]] = {}
        for box in self.plan.boxes:
            name = box.equipment.id
            if name in self.large:
                continue
            if self.shown_in_part(name):
                found[name] = (self._in_part(box.equipment),)
            else:
                found[name] = (*found.get(name, ()), box)
        return found

    def _in_part(self, box: Equipment) -> BoxPlan:
        """Equipment with those of its ports that are in the part that is asked for."""
        held = {p.address for p in box.facts.values() if p.address in self.wired}
        held = set(filter(self.holds, held))
        return self.planned(box, box.inputs, box.outputs, frozenset(held))

    def planned(
        self,
        box: Equipment,
        inputs: Iterable[Port],
        outputs: Iterable[Port],
        ports: frozenset[PortAddress],
        fars: Fars = NO_FARS,
    ) -> BoxPlan:
        """A box of those of its inputs and outputs that are among some ports; what of it is in no
        part that is asked for is not drawn, and the box says so."""
        return self._planned(
            box.id,
            tuple(p.id for p in inputs if PortAddress(box.id, p.id, "in") in ports),
            tuple(p.id for p in outputs if PortAddress(box.id, p.id, "out") in ports),
            fars is not NO_FARS,
        )

    @cached_property
    def _planned(self) -> Callable[[str, Ids, Ids, bool], BoxPlan]:
        """As ``_planned_afresh``, and remembers the last, since the same parts are asked for again
        and again."""
        return lru_cache(REMEMBERED)(self._planned_afresh)

    def _planned_afresh(self, name: str, inputs: Ids, outputs: Ids, told: bool) -> BoxPlan:
        """A box of those inputs and outputs; ``told``: with the rows that ways lead to."""
        box = self.plan.subject.facility.equipment[name]
        ports = {*(PortAddress(name, port, "in") for port in inputs)}
        ports |= {*(PortAddress(name, port, "out") for port in outputs)}
        own = (facts.address for facts in box.facts.values())
        in_part = not all(self.holds(port) for port in own if port in self.wired)
        there = {(port.id, port.side): port for port in (*box.inputs, *box.outputs)}
        made = plan_part(
            box,
            tuple(there[port, "in"] for port in inputs),
            tuple(there[port, "out"] for port in outputs),
            frozenset(ports),
            self.plan.notes.of_equipment(name),
            self.swapped,
            in_part=in_part,
            folds=self.plan.folds.ports,
            fars=self.fars if told else NO_FARS,
        )
        return replace(made, names=(*made.names, *wrap(IN_PART, made.width))) if in_part else made

    @cached_property
    def owners(self) -> tuple[tuple[str, ...], ...]:
        """For each net the units that it ends at; one of its own where it has no other."""
        found = []
        for net in self.plan.nets:
            units = [unit for end in ends_of(net) if (unit := self.unit_of(end))]
            found.append(tuple(dict.fromkeys(units)) or (f"net {net.name}",))
        return tuple(found)

    @cached_property
    def nets_at(self) -> Mapping[str, tuple[int, ...]]:
        """For each unit the numbers of the nets that it is at."""
        found: dict[str, list[int]] = {unit.id: [] for unit in self.units}
        for number, owners in enumerate(self.owners):
            for unit in owners:
                found.setdefault(unit, []).append(number)
        return {unit: tuple(numbers) for unit, numbers in found.items()}

    @cached_property
    def large_at(self) -> Mapping[str, frozenset[str]]:
        """For each unit the large equipment whose ports its lines lead to."""
        found: dict[str, set[str]] = {unit: set() for unit in self.nets_at}
        for net, owners in zip(self.plan.nets, self.owners, strict=True):
            for end in ends_of(net):
                if isinstance(end.address, PortAddress) and end.address.equipment in self.large:
                    for unit in owners:
                        found[unit].add(end.address.equipment)
        return {unit: frozenset(boxes) for unit, boxes in found.items()}

    def unit_of(self, end: RearEnd) -> str | None:
        """The unit an end stands on; None on large equipment, and at a port that is not drawn."""
        if isinstance(end.address, PortAddress):
            box = end.address.equipment
            if box in self.large or (self.shown_in_part(box) and not self.holds(end.address)):
                return None
            return box
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
        return {jack: point.id for point in self.plan.points for jack in point.jacks}

    @cached_property
    def units(self) -> tuple[Unit, ...]:
        """The units that are drawn, with the room they take, square millimetres; natural order."""
        found = [Unit(id, _box_size(boxes)) for id, boxes in self.small.items()]
        found += [
            Unit(p.id, _size(p.width, p.height) + self._served(p.id)) for p in self.points.values()
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


def in_parts_from(plan: Plan, sheet: Sheet, scale: Fraction) -> int:
    """Ports with lines from which equipment is drawn in parts over sheets of a size; of a part of
    the chart the less of its equipment is drawn."""
    if plan.excerpt is not None:
        return LARGE
    return IN_PARTS if sheet.width * sheet.height >= ROOMY * scale**2 else LARGE


def ends_of(net: RearNet) -> Iterator[RearEnd]:
    """All ends of a net: sources, targets, then those it runs through."""
    yield from net.sources
    yield from net.targets
    yield from itertools.chain.from_iterable(net.through)


def _size(width: int, height: int) -> float:
    return (width + CHANNEL) * height / 1e6


def _box_size(boxes: Iterable[BoxPlan]) -> float:
    return sum(_size(box.width, box.height + box.above + 3000) for box in boxes)
