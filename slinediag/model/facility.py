"""The facility: everything that one file documents, frozen."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, fields
from functools import cached_property
from typing import Literal

from slinediag.address import Address, Jack, PortAddress, natural
from slinediag.model.bay import EMPTY_POINT, Bay, BayPoint, NormalKind, Wire
from slinediag.model.equipment import Equipment, PortFacts

ShieldPractice = Literal["bay", "equipment", "both", "none"]
LineShield = Literal["both", "from", "to", "none"]
CrossKind = Literal["half", "full", "parallel"]


@dataclass(frozen=True, slots=True)
class Revision:
    """One row of the revision table."""

    revision: str
    date: datetime.date | None = None
    by: str | None = None
    what: str | None = None


@dataclass(frozen=True, slots=True)
class Limits:
    """Figures that checks use: dB, days, milliohm; None where the file says nothing."""

    loss: float | None = None
    treble: float | None = None
    mismatch: float | None = None
    cord_age: float | None = None
    contact: float | None = None
    normal: float | None = None


@dataclass(frozen=True, slots=True)
class Acceptance:
    """A finding that the facility accepts, by rule and place, with its reason."""

    rule: str
    where: str | None = None
    reason: str | None = None
    by: str | None = None
    date: datetime.date | None = None


@dataclass(frozen=True, slots=True)
class Practice:
    """Drawing data and practice: the ``facility`` section of the file."""

    name: str
    owner: str | None = None
    drawing: str | None = None
    revision: str | None = None
    date: datetime.date | None = None
    drawn_by: str | None = None
    checked_by: str | None = None
    approved_by: str | None = None
    notes: tuple[str, ...] = ()
    revisions: tuple[Revision, ...] = ()
    shields: ShieldPractice | None = None
    cord_lengths: tuple[float, ...] = ()
    abbreviations: Mapping[str, str] = field(default_factory=dict)
    limits: Limits = Limits()
    accept: tuple[Acceptance, ...] = ()


@dataclass(frozen=True, slots=True)
class Rack:
    """Where a rack stands: its room, metres from the left, and its height in units."""

    id: str
    room: str | None = None
    x: float | None = None
    units: int | None = None


@dataclass(frozen=True, slots=True)
class CrossNormal:
    """A normal wired across positions, from one jack to another, as filed."""

    source: Jack
    target: Jack
    kind: CrossKind | None = None

    @property
    def wired(self) -> CrossKind:
        """Its kind, half where the file does not say."""
        return self.kind or "half"


@dataclass(frozen=True, slots=True)
class Mult:
    """Jacks tied in parallel."""

    id: str
    jacks: tuple[Jack, ...]


@dataclass(frozen=True, slots=True)
class Line:
    """A direct line from port to port, or a tie line from jack to jack."""

    id: str
    source: Address
    target: Address
    cable: str | None = None
    shield: LineShield | None = None
    swapped: bool = False

    @property
    def tie(self) -> bool:
        """Whether it ends on jacks."""
        return isinstance(self.source, Jack)


@dataclass(frozen=True, slots=True)
class Cable:
    """A cable: length in metres, capacitance in pF per metre core to core."""

    id: str
    type: str | None = None
    length: float | None = None
    capacitance: float | None = None
    pairs: int | None = None
    colours: str | tuple[str, ...] | None = None
    note: str | None = None


@dataclass(frozen=True, slots=True)
class Cord:
    """A standing cord, first-named end first; length in metres."""

    source: Jack
    target: Jack
    length: float | None = None
    note: str | None = None
    since: datetime.date | None = None
    by: str | None = None

    def __str__(self) -> str:
        return f"{self.source}={self.target}"


@dataclass(frozen=True, slots=True)
class Plug:
    """A dummy plug left in a jack."""

    jack: Jack
    note: str | None = None
    since: datetime.date | None = None
    by: str | None = None


@dataclass(frozen=True, slots=True)
class Normal:
    """A normal as it stands between two jacks, with the kind it is wired as."""

    source: Jack
    target: Jack
    kind: NormalKind

    def __str__(self) -> str:
        return f"{self.source}={self.target}"


@dataclass(frozen=True)
class Facility:
    """All the equipment, bays, cables and standing cords of one audio plant."""

    practice: Practice
    racks: Mapping[str, Rack] = field(default_factory=dict)
    equipment: Mapping[str, Equipment] = field(default_factory=dict)
    bays: Mapping[str, Bay] = field(default_factory=dict)
    cross_normals: tuple[CrossNormal, ...] = ()
    mults: Mapping[str, Mult] = field(default_factory=dict)
    lines: Mapping[str, Line] = field(default_factory=dict)
    cables: Mapping[str, Cable] = field(default_factory=dict)
    cords: tuple[Cord, ...] = ()
    plugs: tuple[Plug, ...] = ()

    def __getstate__(self) -> dict[str, object]:
        """Only what is filed: what is worked out may be added while another thread pickles."""
        return {f.name: getattr(self, f.name) for f in fields(self)}

    @property
    def name(self) -> str:
        """The facility's name."""
        return self.practice.name

    @cached_property
    def bays_in_order(self) -> tuple[Bay, ...]:
        """Every bay, in natural order of their ids."""
        return tuple(sorted(self.bays.values(), key=lambda bay: natural(bay.id)))

    @cached_property
    def jacks(self) -> tuple[Jack, ...]:
        """Every jack, in natural order."""
        return tuple(jack for bay in self.bays_in_order for jack in bay.jacks())

    @cached_property
    def normals(self) -> tuple[Normal, ...]:
        """Every normal that is wired: of positions, then across positions; `none` is left out.

        A normal across positions takes the place of the own normal of its target's position.
        """
        replaced = {(c.target.bay, c.target.position) for c in self.cross_normals}
        own = [
            Normal(Jack(bay.id, "T", n), Jack(bay.id, "B", n), kind)
            for bay in self.bays.values()
            for n in range(1, bay.width + 1)
            if (kind := bay.normal_at(n)) != "none" and (bay.id, n) not in replaced
        ]
        return (*own, *(Normal(c.source, c.target, c.wired) for c in self.cross_normals))

    @cached_property
    def wires(self) -> dict[Jack, Wire]:
        """The rear wires of jacks, by jack."""
        return {
            jack: wire
            for bay in self.bays.values()
            for position, point in bay.points.items()
            for row in bay.jack_rows
            if (wire := point.wire(row)) is not None
            for jack in (Jack(bay.id, row, position),)
        }

    @cached_property
    def carriers(self) -> dict[PortAddress, Jack]:
        """The jack that carries each port that is wired to a jack."""
        return {wire.to: jack for jack, wire in self.wires.items()}

    def point(self, jack: Jack) -> BayPoint:
        """The point a jack belongs to."""
        bay = self.bays.get(jack.bay)
        return bay.point(jack.position) if bay else EMPTY_POINT

    def facts(self, port: PortAddress) -> PortFacts:
        """The facts of a port; KeyError where there is no such port."""
        return self.equipment[port.equipment].facts[port.port, port.side]

    def outputs(self) -> Iterator[PortAddress]:
        """Every output, as filed."""
        for box in self.equipment.values():
            for port in box.outputs:
                yield PortAddress(box.id, port.id, "out")

    def inputs(self) -> Iterator[PortAddress]:
        """Every input, as filed."""
        for box in self.equipment.values():
            for port in box.inputs:
                yield PortAddress(box.id, port.id, "in")

    def spelled(self, address: Address) -> str:
        """The address as answers write it: with a suffix only where the id is both."""
        if isinstance(address, Jack):
            return str(address)
        other = "in" if address.side == "out" else "out"
        box = self.equipment.get(address.equipment)
        if box is not None and (address.port, other) in box.facts:
            return str(address)
        return f"{address.equipment}.{address.port}"
