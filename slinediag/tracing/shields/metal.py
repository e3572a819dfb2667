"""The metal of a facility and what joins it: chassis, buses, sleeves, earth, and every shield.

A shield joined at both its ends joins two pieces of metal; so do the bonds to earth and the
straps between the sleeves of a position. Where wires' shields are joined is the facility's
practice unless the wire or line says so itself.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from slinediag.address import Address, Jack, PortAddress, Row, jack_order, natural, partner
from slinediag.model.bay import Bay, Shield, Wire
from slinediag.model.facility import Facility, Line, LineShield
from slinediag.tracing.cords import CordEnds


@dataclass(frozen=True, slots=True)
class Earth:
    """Earth, protective and technical, which meet at one point of the building."""


@dataclass(frozen=True, slots=True)
class Chassis:
    """The case of one piece of equipment."""

    equipment: str


@dataclass(frozen=True, slots=True)
class Bus:
    """The sleeves of a bay tied by a bar: of one row, or of the whole bay where ``row`` is None."""

    bay: str
    row: Row | None


@dataclass(frozen=True, slots=True)
class Sleeve:
    """The sleeve of one jack that stands on its own or is strapped to its partner."""

    jack: Jack


Metal = Earth | Chassis | Bus | Sleeve
JoinKind = Literal["bond", "strap", "wire", "line", "tie", "mult", "cord"]


@dataclass(frozen=True, slots=True)
class Join:
    """A shield, strap or bond, and the metal it is joined to: two pieces, one, or none.

    ``name`` is the cable, line, mult or cord as filed; ``bay`` the bay that it lies within;
    ``jacks`` and ``ports`` are those at its two ends, whether joined there or not.
    """

    kind: JoinKind
    ends: tuple[Metal, ...]
    name: str = ""
    bay: str | None = None
    jacks: tuple[Jack, ...] = ()
    ports: tuple[PortAddress, ...] = ()


def sleeve_of(facility: Facility, jack: Jack) -> Metal:
    """The metal that a jack's sleeve belongs to."""
    sleeves = facility.bays[jack.bay].sleeves
    if sleeves == "all":
        return Bus(jack.bay, None)
    return Bus(jack.bay, jack.row) if sleeves == "rows" else Sleeve(jack)


def wire_shield(facility: Facility, wire: Wire) -> Shield:
    """Where a wire's shield is joined: as it says itself, else by practice, else at the bay."""
    return wire.shield or facility.practice.shields or "bay"


def line_shield(facility: Facility, line: Line) -> LineShield:
    """Where a line's shield is joined: as it says itself; unset, both ends of ties and of every
    line under the practice ``both``, else where a direct line ends."""
    if line.shield is not None:
        return line.shield
    return "both" if line.tie or facility.practice.shields == "both" else "to"


def standing_joins(facility: Facility, plugged: Collection[Jack]) -> tuple[Join, ...]:
    """All that joins metal but cords: bonds, straps, wires, lines and ties, mults.

    A strap through sleeve break contacts is open where a plug is in either of its jacks.
    """
    return (
        *_chassis_bonds(facility),
        *(join for bay in facility.bays_in_order for join in _bay_joins(bay, plugged)),
        *_wires(facility),
        *_lines(facility),
        *_mults(facility),
    )


def cord_joins(facility: Facility, cords: Iterable[CordEnds]) -> tuple[Join, ...]:
    """The shields of cords, joined at both their ends."""
    return tuple(
        _between_jacks(facility, "cord", f"{one}={other}", (one, other)) for one, other in cords
    )


def _chassis_bonds(facility: Facility) -> Iterator[Join]:
    for box in sorted(facility.equipment.values(), key=lambda box: natural(box.id)):
        if box.earthed is not False and not box.removed:
            yield Join("bond", (Chassis(box.id), Earth()), box.id)


def _bay_joins(bay: Bay, plugged: Collection[Jack]) -> Iterator[Join]:
    """The bonds and the straps of a bay."""
    if bay.sleeves in ("rows", "all"):
        rows: tuple[Row | None, ...] = bay.jack_rows if bay.sleeves == "rows" else (None,)
        for row in rows if bay.bonded else ():
            yield Join("bond", (Bus(bay.id, row), Earth()), bay.id, bay.id)
        return
    for jack in bay.jacks() if bay.bonded else ():
        yield Join("bond", (Sleeve(jack), Earth()), str(jack), bay.id, (jack,))
    if bay.sleeves in ("pairs", "switched") and "B" in bay.jack_rows:
        for jack in bay.jacks():
            pair = (jack, partner(jack))
            opened = bay.sleeves == "switched" and any(j in plugged for j in pair)
            if jack.row == "T" and not opened:
                yield Join("strap", (Sleeve(pair[0]), Sleeve(pair[1])), str(jack), bay.id, pair)


def _wires(facility: Facility) -> Iterator[Join]:
    for jack in sorted(facility.wires, key=jack_order):
        wire = facility.wires[jack]
        if facility.equipment[wire.to.equipment].removed:
            continue
        shield = wire_shield(facility, wire)
        ends: list[Metal] = []
        if shield in ("both", "equipment"):
            ends.append(Chassis(wire.to.equipment))
        if shield in ("both", "bay"):
            ends.append(sleeve_of(facility, jack))
        yield Join("wire", tuple(ends), wire.cable or "", None, (jack,), (wire.to,))


def _lines(facility: Facility) -> Iterator[Join]:
    for line in sorted(facility.lines.values(), key=lambda line: natural(line.id)):
        addresses = (line.source, line.target)
        ports = tuple(end for end in addresses if not isinstance(end, Jack))
        if any(facility.equipment[port.equipment].removed for port in ports):
            continue
        shield = line_shield(facility, line)
        ends = tuple(
            _metal_at(facility, end)
            for end, word in zip(addresses, ("from", "to"), strict=True)
            if shield in ("both", word)
        )
        jacks = tuple(end for end in addresses if isinstance(end, Jack))
        yield Join("tie" if jacks else "line", ends, line.id, _one_bay(jacks), jacks, ports)


def _mults(facility: Facility) -> Iterator[Join]:
    for mult in sorted(facility.mults.values(), key=lambda mult: natural(mult.id)):
        for pair in pairwise(mult.jacks):
            yield _between_jacks(facility, "mult", mult.id, pair)


def _between_jacks(facility: Facility, kind: JoinKind, name: str, jacks: CordEnds) -> Join:
    ends = tuple(sleeve_of(facility, jack) for jack in jacks)
    return Join(kind, ends, name, _one_bay(jacks), jacks)


def _metal_at(facility: Facility, address: Address) -> Metal:
    if isinstance(address, Jack):
        return sleeve_of(facility, address)
    return Chassis(address.equipment)


def _one_bay(jacks: tuple[Jack, ...]) -> str | None:
    """The bay of the jacks where it is one and the same."""
    bays = {jack.bay for jack in jacks}
    return bays.pop() if len(bays) == 1 else None
