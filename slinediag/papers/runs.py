"""Wires and lines as pairs in cables: what runs where, in which cable, its shield at either end."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property

from slinediag.address import Address, Jack, PortAddress, jack_order, natural
from slinediag.model.facility import Cable, Facility
from slinediag.model.labels import jack_label, port_label
from slinediag.tracing.shields.metal import line_shield, wire_shield


@dataclass(frozen=True, slots=True)
class Pair:
    """One pair with its shield: the cable it runs in, its ends, where the shield is joined.

    A wire's near end is its jack, a line's is where it starts. A pair that the file puts in no
    cable is a cable of its own, called after its jack or line.
    """

    cable: str
    number: int | None
    near: Address
    far: Address
    joined_near: bool
    joined_far: bool
    swapped: bool
    filed: bool

    def other(self, end: Address) -> Address:
        """The end that is not this one."""
        return self.far if end == self.near else self.near

    def joined(self, end: Address) -> bool:
        """Whether the shield is joined at an end."""
        return self.joined_near if end == self.near else self.joined_far


@dataclass(frozen=True)
class CableRun:
    """A cable with its pairs: as filed where the file tells of it."""

    name: str
    cable: Cable | None
    pairs: tuple[Pair, ...]

    @property
    def filed(self) -> bool:
        """Whether the file names it."""
        return self.cable is not None or any(pair.filed for pair in self.pairs)

    @cached_property
    def used(self) -> tuple[int, ...]:
        """The numbers of the pairs in use; a cable of one unnumbered pair uses pair 1."""
        return tuple(sorted({pair.number or 1 for pair in self.pairs}))

    @property
    def count(self) -> int:
        """How many pairs it has, as filed, else as many as are used."""
        filed = self.cable.pairs if self.cable and self.cable.pairs else 0
        return max(filed, *self.used, 1)

    @property
    def spare(self) -> tuple[int, ...]:
        """The numbers of its free pairs."""
        return tuple(n for n in range(1, self.count + 1) if n not in self.used)

    @property
    def length(self) -> float | None:
        """Metres, None where the file does not say."""
        return self.cable.length if self.cable else None


def pairs_of(facility: Facility) -> tuple[Pair, ...]:
    """Every wire of every jack, in natural order, then every line as filed."""
    wires = sorted(facility.wires.items(), key=lambda item: jack_order(item[0]))
    found = []
    for jack, wire in wires:
        shield = wire_shield(facility, wire)
        name, number = _cable(wire.cable, str(jack))
        found.append(
            Pair(
                name,
                number,
                jack,
                wire.to,
                joined_near=shield in ("both", "bay"),
                joined_far=shield in ("both", "equipment"),
                swapped=wire.swapped,
                filed=wire.cable is not None,
            )
        )
    for line in facility.lines.values():
        where = line_shield(facility, line)
        name, number = _cable(line.cable, f"line {line.id}")
        found.append(
            Pair(
                name,
                number,
                line.source,
                line.target,
                joined_near=where in ("both", "from"),
                joined_far=where in ("both", "to"),
                swapped=line.swapped,
                filed=line.cable is not None,
            )
        )
    return tuple(found)


def _cable(filed: str | None, otherwise: str) -> tuple[str, int | None]:
    if filed is None:
        return otherwise, None
    name, _, number = filed.partition("/")
    return name, int(number) if number.isdigit() else None


def by_end(pairs: Iterable[Pair]) -> Mapping[Address, Pair]:
    """The pair at each jack and port."""
    return {end: pair for pair in pairs for end in (pair.near, pair.far)}


def cable_runs(facility: Facility, pairs: Iterable[Pair]) -> tuple[CableRun, ...]:
    """Every cable: those that the file names in natural order, then pairs on their own as given."""
    inside: dict[str, list[Pair]] = {name: [] for name in facility.cables}
    for pair in pairs:
        inside.setdefault(pair.cable, []).append(pair)
    runs = [
        CableRun(name, facility.cables.get(name), tuple(sorted(found, key=lambda p: p.number or 0)))
        for name, found in inside.items()
    ]
    named = sorted((run for run in runs if run.filed), key=lambda run: natural(run.name))
    return (*named, *(run for run in runs if not run.filed))


def place_of(facility: Facility, end: Address) -> str:
    """Where an end stands: its bay's or its equipment's place; empty where none is filed."""
    if isinstance(end, Jack):
        return facility.bays[end.bay].place or ""
    return facility.equipment[end.equipment].place or ""


def end_label(facility: Facility, end: Address) -> str:
    """What is printed at an end."""
    if isinstance(end, PortAddress):
        return port_label(facility, end)
    return jack_label(facility, end) or ""


def home_of(facility: Facility, end: Address) -> str:
    """What an end belongs to, as printed: its bay or its equipment."""
    if isinstance(end, Jack):
        return facility.bays[end.bay].printed
    return facility.equipment[end.equipment].printed
