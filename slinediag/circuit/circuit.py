"""The circuit of a facility: every contact, what joins them at rest, and plugs going in and out.

Per jack four contacts stand in a row: tip, ring, tip normal, ring normal. Behind them each port
has two: its + and its -. Outputs and inputs are numbered in natural order; a set of outputs is a
whole number with one bit for each.
"""

from __future__ import annotations

from collections.abc import Iterable

from slinediag.address import Address, Jack, PortAddress, port_order
from slinediag.circuit.contacts import WIRING, broken_by_source, broken_by_target
from slinediag.circuit.nets import Nets
from slinediag.model.facility import Facility, Normal

CONTACTS_PER_JACK = 4
BREAK_CONTACT = 2
LEGS = (0, 1)


class Circuit:
    """What is joined to what, as filed, with standing cords and dummy plugs in.

    Changes go through :meth:`plug_in`, :meth:`plug_out`, :meth:`join_cord` and
    :meth:`part_cord`; each returns the inputs it may concern.
    """

    def __init__(self, facility: Facility) -> None:
        self.facility = facility
        self.jacks = facility.jacks
        self.outputs = tuple(sorted(facility.outputs(), key=port_order))
        self.inputs = tuple(sorted(facility.inputs(), key=port_order))
        self.input_number = {port: number for number, port in enumerate(self.inputs)}
        self.output_number = {port: number for number, port in enumerate(self.outputs)}
        self._first = self._number_contacts()
        self._output_bit, self._input_at = self._find_legs()
        self._plugged: set[Jack] = set()
        self._normals: dict[Jack, list[Normal]] = {}
        self._nets = Nets(CONTACTS_PER_JACK * len(self.jacks) + 2 * len(self._ports))
        self._wire_up()
        for cord in facility.cords:
            self.plug_in(cord.source)
            self.plug_in(cord.target)
            self.join_cord(cord.source, cord.target)
        for plug in facility.plugs:
            self.plug_in(plug.jack)

    # ---- building

    def _number_contacts(self) -> dict[Address, int]:
        self._ports = (*self.outputs, *self.inputs)
        first: dict[Address, int] = {
            jack: CONTACTS_PER_JACK * number for number, jack in enumerate(self.jacks)
        }
        base = CONTACTS_PER_JACK * len(self.jacks)
        first.update({port: base + 2 * number for number, port in enumerate(self._ports)})
        return first

    def _find_legs(self) -> tuple[dict[int, int], dict[int, int]]:
        """The bit of each output leg, both polarities, and the input of each + leg."""
        output_bit = {
            self._first[port] + leg: 1 << number
            for number, port in enumerate(self.outputs)
            for leg in LEGS
        }
        return output_bit, {self._first[port]: n for n, port in enumerate(self.inputs)}

    def _wire_up(self) -> None:
        facility = self.facility
        for jack, wire in facility.wires.items():
            self._wire(jack, wire.to, wire.swapped)
        for line in facility.lines.values():
            self._wire(line.source, line.target, line.swapped)
        for mult in facility.mults.values():
            for one, other in zip(mult.jacks, mult.jacks[1:], strict=False):
                self._wire(one, other, swapped=False)
        for normal in facility.normals:
            self._solder(normal)
        for jack, normals in self._normals.items():
            normals.sort(key=self.normal_order)
            if self._break_wired(jack):
                self._close(jack)

    def _wire(self, one: Address, other: Address, swapped: bool) -> None:
        if self._removed(one) or self._removed(other):
            return
        here, there = self._first[one], self._first[other]
        for leg in LEGS:
            self._nets.join(here + leg, there + (1 - leg if swapped else leg))

    def _removed(self, address: Address) -> bool:
        if isinstance(address, Jack):
            return False
        return self.facility.equipment[address.equipment].removed

    def _solder(self, normal: Normal) -> None:
        source, target = WIRING[normal.kind]
        here = self._first[normal.source] + source
        there = self._first[normal.target] + target
        for leg in LEGS:
            self._nets.join(here + leg, there + leg)
        for jack in (normal.source, normal.target):
            self._normals.setdefault(jack, []).append(normal)

    def _break_wired(self, jack: Jack) -> bool:
        return any(
            broken_by_source(n.kind) if n.source == jack else broken_by_target(n.kind)
            for n in self._normals.get(jack, ())
        )

    def _close(self, jack: Jack) -> None:
        contact = self._first[jack]
        for leg in LEGS:
            self._nets.join(contact + leg, contact + leg + BREAK_CONTACT)

    def _open(self, jack: Jack) -> None:
        contact = self._first[jack]
        for leg in LEGS:
            self._nets.part(contact + leg, contact + leg + BREAK_CONTACT)

    # ---- plugs and cords

    def plugged(self, jack: Jack) -> bool:
        """Whether a plug is in the jack."""
        return jack in self._plugged

    def plug_in(self, jack: Jack) -> set[int]:
        """Put a plug in a free jack; the numbers of the inputs it may concern."""
        self._plugged.add(jack)
        if not self._break_wired(jack):
            return set()
        concerned = self.inputs_with(jack)
        self._open(jack)
        return concerned

    def plug_out(self, jack: Jack) -> set[int]:
        """Take the plug out of a jack; the numbers of the inputs it may concern."""
        self._plugged.remove(jack)
        if not self._break_wired(jack):
            return set()
        self._close(jack)
        return self.inputs_with(jack)

    def join_cord(self, one: Jack, other: Jack) -> set[int]:
        """Let a cord's conductors join two jacks; the numbers of the inputs they may concern."""
        here, there = self._first[one], self._first[other]
        for leg in LEGS:
            self._nets.join(here + leg, there + leg)
        return self.inputs_with(one)

    def part_cord(self, one: Jack, other: Jack) -> set[int]:
        """Take a cord's conductors away; the numbers of the inputs they may concern."""
        concerned = self.inputs_with(one)
        here, there = self._first[one], self._first[other]
        for leg in LEGS:
            self._nets.part(here + leg, there + leg)
        return concerned

    # ---- questions

    def contact_nets(self, address: Address) -> tuple[int, ...]:
        """The nets of a jack's tip, ring and two break contacts, or of a port's + and -.

        Their numbers hold until the next change.
        """
        first = self._first[address]
        contacts = CONTACTS_PER_JACK if isinstance(address, Jack) else len(LEGS)
        return tuple(self._nets.net(first + n) for n in range(contacts))

    def breaks(self, jack: Jack) -> bool:
        """Whether a plug in the jack lifts a contact that a normal is soldered to."""
        return self._break_wired(jack)

    def inputs_with(self, address: Address) -> set[int]:
        """The numbers of the inputs whose + is joined to either leg of a jack or port."""
        contact = self._first[address]
        return {
            number
            for leg in LEGS
            for member in self._nets.members(contact + leg)
            if (number := self._input_at.get(member)) is not None
        }

    def ends_with(self, address: Address) -> tuple[Address, ...]:
        """The jacks and ports with a leg joined to either leg of a jack or port, itself too.

        Jacks, then outputs, then inputs, each in natural order. A jack whose break contact alone
        is joined is not among them.
        """
        contact = self._first[address]
        base = CONTACTS_PER_JACK * len(self.jacks)
        jacks, ports = set(), set()
        for leg in LEGS:
            for member in self._nets.members(contact + leg):
                if member >= base:
                    ports.add((member - base) // 2)
                elif member % CONTACTS_PER_JACK < BREAK_CONTACT:
                    jacks.add(member // CONTACTS_PER_JACK)
        return (*(self.jacks[n] for n in sorted(jacks)), *(self._ports[n] for n in sorted(ports)))

    def feeds(self, number: int) -> int:
        """The outputs that feed an input: a leg of each reaches the input's +."""
        bits = 0
        for member in self._nets.members(self._first[self.inputs[number]]):
            bits |= self._output_bit.get(member, 0)
        return bits

    def reversed_feeds(self, number: int) -> int:
        """Those feeds whose - and not whose + is what reaches the input's +."""
        straight = crossed = 0
        base = self._first[self.outputs[0]] if self.outputs else 0
        for member in self._nets.members(self._first[self.inputs[number]]):
            bit = self._output_bit.get(member, 0)
            if (member - base) % 2:
                crossed |= bit
            else:
                straight |= bit
        return crossed & ~straight

    def sources_at(self, address: Address) -> int:
        """The outputs with a leg on the + side of a jack or port."""
        bits = 0
        for member in self._nets.members(self._first[address]):
            bits |= self._output_bit.get(member, 0)
        return bits

    def joined(self, one: Address, other: Address, leg: int = 0) -> bool:
        """Whether the same leg of two addresses is on one net; leg 0 is +, leg 1 is -."""
        nets = self._nets
        return nets.net(self._first[one] + leg) == nets.net(self._first[other] + leg)

    def normals_at(self, jack: Jack) -> Iterable[Normal]:
        """The normals soldered at a jack, in natural order."""
        return self._normals.get(jack, ())

    def closed(self, normal: Normal) -> bool:
        """Whether no plug breaks the normal as plugs stand now."""
        return not (
            (normal.source in self._plugged and broken_by_source(normal.kind))
            or (normal.target in self._plugged and broken_by_target(normal.kind))
        )

    def normal_order(self, normal: Normal) -> tuple[int, int]:
        """Sort key of normals: natural order of their jacks."""
        return self._first[normal.source], self._first[normal.target]

    def jacks_between(self, output: PortAddress, end: PortAddress) -> tuple[Jack, ...]:
        """The jacks on a shortest way from an output's legs to an input's +; none where apart."""
        start = self._first[output]
        goal = self._first[end]
        came: dict[int, int | None] = {start: None, start + 1: None}
        queue = [start, start + 1]
        for contact in queue:
            if contact == goal:
                break
            for near in self._nets.neighbours(contact):
                if near not in came:
                    came[near] = contact
                    queue.append(near)
        return self._jacks_back(came, goal)

    def _jacks_back(self, came: dict[int, int | None], goal: int) -> tuple[Jack, ...]:
        jacks: dict[Jack, None] = {}
        contact: int | None = goal if goal in came else None
        while contact is not None:
            if contact < CONTACTS_PER_JACK * len(self.jacks):
                jacks[self.jacks[contact // CONTACTS_PER_JACK]] = None
            contact = came[contact]
        return tuple(reversed(jacks))
