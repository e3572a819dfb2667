"""What a chart shows: which positions and equipment are drawn, which are only listed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import NamedTuple

from slinediag.address import Address, Jack, PortAddress, natural
from slinediag.chart.plugs import Plugs
from slinediag.model.equipment import Equipment
from slinediag.model.facility import Facility


class Position(NamedTuple):
    """A position of a bay: the bay's id and the number, from 1."""

    bay: str
    number: int


@dataclass(frozen=True, slots=True)
class Subject:
    """The facility with its plugs, divided into what is drawn and what is listed.

    Positions and equipment in natural order, so that the order of the file does not matter.
    ``bounds``: whether a jack or port is in the part of the chart that is drawn; None for all.
    """

    facility: Facility
    plugs: Plugs
    drawn: tuple[Position, ...]
    listed: tuple[Position, ...]
    equipment: tuple[Equipment, ...]
    unwired: tuple[Equipment, ...]
    removed: tuple[Equipment, ...]
    bounds: Callable[[Address], bool] | None = None

    def covers(self, *addresses: Address) -> bool:
        """Whether one of these is in the part that is drawn."""
        return self.bounds is None or any(map(self.bounds, addresses))


def choose_subject(facility: Facility, plugs: Plugs) -> Subject:
    """Draw each position where a jack has something on it, and each box that a line reaches."""
    busy = {Position(j.bay, j.position) for j in _busy_jacks(facility, plugs)}
    every = [
        Position(bay.id, number)
        for bay in facility.bays_in_order
        for number in range(1, bay.width + 1)
    ]
    boxes = sorted(facility.equipment.values(), key=lambda box: natural(box.id))
    wired = {port.equipment for port in wired_ports(facility)}
    return Subject(
        facility=facility,
        plugs=plugs,
        drawn=tuple(p for p in every if p in busy),
        listed=tuple(p for p in every if p not in busy),
        equipment=tuple(b for b in boxes if not b.removed and b.id in wired),
        unwired=tuple(b for b in boxes if not b.removed and b.id not in wired),
        removed=tuple(b for b in boxes if b.removed),
    )


def joins(facility: Facility, address: Address) -> bool:
    """Whether what is wired to an address is on a net: removed equipment is on none."""
    if isinstance(address, Jack):
        return True
    return not facility.equipment[address.equipment].removed


def wired_ports(facility: Facility) -> frozenset[PortAddress]:
    """The ports that a wire or a direct line reaches, removed equipment left out."""
    ports = set(facility.carriers)
    for line in facility.lines.values():
        if joins(facility, line.source) and joins(facility, line.target):
            ports.update(a for a in (line.source, line.target) if isinstance(a, PortAddress))
    return frozenset(port for port in ports if joins(facility, port))


def swapped_ports(facility: Facility) -> frozenset[PortAddress]:
    """The ports that say that + and − change places on the way to them.

    Those at the far end of a swapped direct line, since no jack is there to say so; and those on a
    swapped wire to a jack from which more leads on: a branch would leave before the jack's mark,
    though it, too, has them exchanged.
    """
    at_lines = {
        line.target
        for line in facility.lines.values()
        if line.swapped and isinstance(line.target, PortAddress)
    }
    branching = branching_jacks(facility)
    return frozenset(at_lines) | {
        wire.to for jack, wire in facility.wires.items() if wire.swapped and jack in branching
    }


def branching_jacks(facility: Facility) -> frozenset[Jack]:
    """The jacks from which a mult or a normal to another position leads on."""
    at_mults = (jack for mult in facility.mults.values() for jack in mult.jacks)
    return frozenset((*at_mults, *(cross.source for cross in facility.cross_normals)))


def _busy_jacks(facility: Facility, plugs: Plugs) -> set[Jack]:
    jacks = {jack for jack, wire in facility.wires.items() if joins(facility, wire.to)}
    for line in facility.lines.values():
        jacks.update(a for a in (line.source, line.target) if isinstance(a, Jack))
    for mult in facility.mults.values():
        jacks.update(mult.jacks)
    for cross in facility.cross_normals:
        jacks.update((cross.source, cross.target))
    return jacks | plugs.jacks
