"""Measuring points: every position and every normal wired across, with the shape its contacts have.

Positions of one shape read alike, so that what can be read there is worked out once.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

from slinediag.address import Address, Jack
from slinediag.circuit.circuit import BREAK_CONTACT, LEGS, Circuit
from slinediag.circuit.contacts import WIRING
from slinediag.model.bay import NormalKind
from slinediag.model.facility import Facility, Line
from slinediag.tracing.shields.metal import line_shield, wire_shield

Place = Literal["A", "B"]
"""The two jacks of a measuring point: where its normal starts, and where it ends."""

Leg = Literal["T", "R"]
TIP_AND_RING: tuple[Leg, Leg] = ("T", "R")


@dataclass(frozen=True, slots=True)
class RearWire:
    """The line behind a jack as planned: crossed or not, and where its shield is joined.

    At an unbalanced port the ring is tied to the shield, in the unit or in its connector: nothing
    is then said of ring to sleeve.
    """

    swapped: bool
    joined_near: bool
    joined_far: bool
    balanced: bool = True


@dataclass(frozen=True, slots=True)
class Shape:
    """What decides how a measuring point reads: normal, lines behind its jacks, other joins.

    ``joins`` are contacts, as ``AT`` or ``BTN``, that are joined without its own normal, by a
    mult for one. A bay of one row has points without jack B. Of a normal across only the normal
    itself is read: what is behind its jacks belongs to their positions.
    """

    kind: NormalKind
    paired: bool
    wire_a: RearWire | None
    wire_b: RearWire | None
    joins: frozenset[tuple[str, str]] = frozenset()
    across: bool = False

    def wire(self, place: Place) -> RearWire | None:
        """The line behind one of its jacks."""
        return self.wire_a if place == "A" else self.wire_b

    @property
    def places(self) -> tuple[Place, ...]:
        """Its jacks."""
        return ("A", "B") if self.paired else ("A",)


@dataclass(frozen=True, slots=True)
class MeasuringPoint:
    """A position, or a normal wired across: its jacks, its normal as filed, its shape."""

    a: Jack
    b: Jack | None
    across: bool
    shape: Shape

    @property
    def name(self) -> str:
        """How sheet and results call it: ``PB1.3``, or ``PB1.T17=PB3.B9`` for one across."""
        return f"{self.a}={self.b}" if self.across else f"{self.a.bay}.{self.a.position}"

    def jack(self, place: Place) -> Jack:
        """Its jack A or B; KeyError where there is none."""
        jack = self.a if place == "A" else self.b
        if jack is None:
            raise KeyError(place)
        return jack


@dataclass(frozen=True, slots=True)
class RearLine:
    """What is behind a jack: the far end and how the line is made."""

    far: Address
    wire: RearWire
    cable: str | None


def at_rest(facility: Facility) -> Circuit:
    """The circuit to be tested: every cord and dummy plug pulled."""
    return Circuit(replace(facility, cords=(), plugs=()))


def rear_lines(facility: Facility) -> dict[Jack, RearLine]:
    """The wire or tie line behind each jack that has one."""
    found: dict[Jack, RearLine] = {}
    for jack, wire in facility.wires.items():
        if facility.equipment[wire.to.equipment].removed:
            continue
        shield = wire_shield(facility, wire)
        balanced = facility.facts(wire.to).balanced
        near, far = shield in ("both", "bay"), shield in ("both", "equipment")
        made = RearWire(wire.swapped, near, far, balanced)
        found[jack] = RearLine(wire.to, made, wire.cable)
    for line in facility.lines.values():
        found.update(_tie_ends(facility, line))
    return found


def _tie_ends(facility: Facility, line: Line) -> Iterator[tuple[Jack, RearLine]]:
    shield = line_shield(facility, line)
    joined = shield in ("both", "from"), shield in ("both", "to")
    if isinstance(line.source, Jack):
        yield line.source, RearLine(line.target, RearWire(line.swapped, *joined), line.cable)
    if isinstance(line.target, Jack):
        yield line.target, RearLine(line.source, RearWire(line.swapped, *joined[::-1]), line.cable)


def measuring_points(facility: Facility) -> tuple[MeasuringPoint, ...]:
    """Every position of every bay in natural order, then every normal across as filed."""
    circuit, rear = at_rest(facility), rear_lines(facility)
    crossed = {(c.target.bay, c.target.position) for c in facility.cross_normals}
    points = []
    for bay in facility.bays_in_order:
        for n in range(1, bay.width + 1):
            kind = "none" if (bay.id, n) in crossed else bay.normal_at(n)
            b = Jack(bay.id, "B", n) if "B" in bay.jack_rows else None
            points.append(_point(circuit, rear, (Jack(bay.id, "T", n), b), kind, across=False))
    for cross in facility.cross_normals:
        ends = (cross.source, cross.target)
        points.append(_point(circuit, rear, ends, cross.wired, across=True))
    return tuple(points)


def _point(
    circuit: Circuit,
    rear: dict[Jack, RearLine],
    jacks: tuple[Jack, Jack | None],
    kind: NormalKind,
    *,
    across: bool,
) -> MeasuringPoint:
    a, b = jacks
    wires = [rear[j].wire if j is not None and j in rear else None for j in jacks]
    joins = _other_joins(circuit, a, b, kind) if b is not None else frozenset()
    if across:
        wires = [None, None]
    return MeasuringPoint(
        a, b, across, Shape(kind, b is not None, wires[0], wires[1], joins, across)
    )


def own_joints(kind: NormalKind) -> tuple[tuple[str, str], ...]:
    """The contacts that a normal of this kind joins, tip and ring."""
    if kind == "none":
        return ()
    wiring = WIRING[kind]
    source, target = (("N" if c == BREAK_CONTACT else "") for c in (wiring.source, wiring.target))
    return tuple((f"A{leg}{source}", f"B{leg}{target}") for leg in TIP_AND_RING)


def _other_joins(
    circuit: Circuit, a: Jack, b: Jack, kind: NormalKind
) -> frozenset[tuple[str, str]]:
    """The contacts of both jacks that are joined with plugs in both and their own normal away."""
    circuit.plug_in(a)
    circuit.plug_in(b)
    nets: dict[str, int] = {}
    for place, jack in (("A", a), ("B", b)):
        contacts = circuit.contact_nets(jack)
        for leg in LEGS:
            name = f"{place}{TIP_AND_RING[leg]}"
            nets[name], nets[f"{name}N"] = contacts[leg], contacts[leg + BREAK_CONTACT]
    circuit.plug_out(a)
    circuit.plug_out(b)
    own = dict(own_joints(kind)) | {t: s for s, t in own_joints(kind)}
    groups: dict[int, list[str]] = {}
    for name in sorted(nets, key=lambda n: (len(n), n)):
        found = groups.setdefault(nets[name], [])
        if own.get(name) not in found:
            found.append(name)
    return frozenset((g[0], other) for g in groups.values() for other in g[1:])
