"""Which ids of an old revision go on under another name in the new one.

An item that is gone and one that is new are the same thing under another name where what they are
and where they are wired says so: never by the likeness of their ids.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import TypeVar

from slinediag.address import Address, Jack, PortAddress, Side, natural
from slinediag.model.equipment import Equipment
from slinediag.model.facility import Facility, Mult

T = TypeVar("T")
Names = Mapping[str, str]
HALF = 0.5


@dataclass(frozen=True)
class Renames:
    """Old ids to new ids by section; ports by their old address, already on renamed equipment."""

    equipment: Names = field(default_factory=dict)
    bays: Names = field(default_factory=dict)
    racks: Names = field(default_factory=dict)
    cables: Names = field(default_factory=dict)
    lines: Names = field(default_factory=dict)
    mults: Names = field(default_factory=dict)
    ports: Mapping[PortAddress, PortAddress] = field(default_factory=dict)

    def port(self, port: PortAddress) -> PortAddress:
        """The new address of an old port."""
        moved = port._replace(equipment=self.equipment.get(port.equipment, port.equipment))
        return self.ports.get(moved, moved)

    def jack(self, jack: Jack) -> Jack:
        """The new address of an old jack."""
        return jack._replace(bay=self.bays.get(jack.bay, jack.bay))

    def address(self, address: Address) -> Address:
        """The new address of an old jack or port."""
        return self.jack(address) if isinstance(address, Jack) else self.port(address)

    def cable(self, cable: str) -> str:
        """The new spelling of a cable with or without its pair, as ``S12/3``."""
        name, slash, pair = cable.partition("/")
        return f"{self.cables.get(name, name)}{slash}{pair}"

    def place(self, place: str) -> str:
        """The new spelling of a place, as ``Rack 3, U12``."""
        rack, comma, unit = place.partition(",")
        return f"{self.racks.get(rack.strip(), rack)}{comma}{unit}"


def find_renames(old: Facility, new: Facility) -> Renames:
    """What has another name now; sections are matched from those that others refer to onward."""
    racks = _matched(old.racks, new.racks, lambda a, b: _same_rack(old.racks[a], new.racks[b]))
    equipment = _matched(old.equipment, new.equipment, lambda a, b: _box_likeness(old, new, (a, b)))
    ports = dict(_port_renames(old, new, equipment))
    known = Renames(equipment=equipment, ports=ports)
    bays = _matched(old.bays, new.bays, lambda a, b: _bay_likeness(old, new, known, (a, b)))
    known = Renames(equipment=equipment, ports=ports, bays=bays)
    return Renames(
        equipment=equipment,
        bays=bays,
        racks=racks,
        ports=ports,
        cables=_matched(
            old.cables, new.cables, lambda a, b: _cable_likeness(old, new, known, (a, b))
        ),
        lines=_matched(
            old.lines,
            new.lines,
            lambda a, b: float(
                (known.address(old.lines[a].source), known.address(old.lines[a].target))
                == (new.lines[b].source, new.lines[b].target)
            ),
        ),
        mults=_matched(
            old.mults, new.mults, lambda a, b: _mult_likeness(known, old.mults[a], new.mults[b])
        ),
    )


def _matched(
    old: Mapping[str, T], new: Mapping[str, T], likeness: Callable[[str, str], float]
) -> dict[str, str]:
    """Gone ids to new ids, the likest pair first; pairs less than half alike are none."""
    gone = sorted((name for name in old if name not in new), key=natural)
    come = sorted((name for name in new if name not in old), key=natural)
    scored = [(likeness(a, b), a, b) for a in gone for b in come]
    pairs: dict[str, str] = {}
    for score, a, b in sorted(scored, key=lambda s: -s[0]):
        if score >= HALF and a not in pairs and b not in pairs.values():
            pairs[a] = b
    return pairs


def _same_rack(one: object, other: object) -> float:
    facets = [(getattr(one, f), getattr(other, f)) for f in ("room", "x", "units")]
    return float(all(a == b for a, b in facets) and any(a is not None for a, _ in facets))


def _box_likeness(old: Facility, new: Facility, names: tuple[str, str]) -> float:
    """How like two boxes are, 0 to 1: nought unless they bear the same name or label."""
    here, there = old.equipment[names[0]], new.equipment[names[1]]
    same_label = here.label is not None and here.label == there.label
    if here.name != there.name and not same_label:
        return 0.0
    wired = _share(_jack_parts(old, here), _jack_parts(new, there))
    ports = _share({(p.id, p.side) for p in here.ports}, {(p.id, p.side) for p in there.ports})
    placed = float(here.place == there.place)
    return (1.0 + same_label + placed + 2 * ports + 3 * wired) / 8


def _jack_parts(facility: Facility, box: Equipment) -> set[tuple[str, int]]:
    ports = (PortAddress(box.id, port.id, port.side) for port in box.ports)
    jacks = (facility.carriers[port] for port in ports if port in facility.carriers)
    return {(jack.row, jack.position) for jack in jacks}


def _share(one: set[T], other: set[T]) -> float:
    """What two sets have in common against all that is in them; two empty ones are alike."""
    every = one | other
    return len(one & other) / len(every) if every else 1.0


def _port_renames(
    old: Facility, new: Facility, equipment: Names
) -> Iterable[tuple[PortAddress, PortAddress]]:
    """Ports that go on at the same jack, or under the same label, or are the only ones left."""
    for box in old.equipment.values():
        name = equipment.get(box.id, box.id)
        other = new.equipment.get(name)
        if other is None:
            continue
        sides: tuple[Side, ...] = ("out", "in")
        for side in sides:
            here, there = ({p.id for p in b.ports if p.side == side} for b in (box, other))
            gone, come = sorted(here - there, key=natural), sorted(there - here, key=natural)
            for one in gone:
                at = PortAddress(box.id, one, side)
                to = [p for p in come if _same_port(old, new, at, PortAddress(name, p, side))]
                if not to and len(gone) == len(come) == 1:
                    to = come
                if len(to) == 1:
                    yield PortAddress(name, one, side), PortAddress(name, to[0], side)
                    come.remove(to[0])


def _same_port(old: Facility, new: Facility, one: PortAddress, other: PortAddress) -> bool:
    here, there = old.carriers.get(one), new.carriers.get(other)
    if here is not None and there is not None:
        return (here.row, here.position) == (there.row, there.position)
    labels = old.facts(one).label, new.facts(other).label
    return labels[0] == labels[1]


def _bay_likeness(old: Facility, new: Facility, known: Renames, names: tuple[str, str]) -> float:
    one, other = names
    here = {(j.row, j.position, known.port(w.to)) for j, w in old.wires.items() if j.bay == one}
    there = {(j.row, j.position, w.to) for j, w in new.wires.items() if j.bay == other}
    alike = _share(here, there)
    if old.bays[one].name == new.bays[other].name:
        return max(alike, HALF)
    return alike if here else 0.0


def _cable_likeness(old: Facility, new: Facility, known: Renames, names: tuple[str, str]) -> float:
    here = {(known.address(end), pair) for end, pair in _runs(old, names[0])}
    there = set(_runs(new, names[1]))
    if here or there:
        return _share(here, there)
    one, other = old.cables[names[0]], new.cables[names[1]]
    facets = ("type", "length", "pairs", "note")
    same = all(getattr(one, f) == getattr(other, f) for f in facets)
    return float(same and one.note is not None)


def _runs(facility: Facility, cable: str) -> Iterable[tuple[Address, str]]:
    """What runs in a cable: an end and the pair."""
    ends: list[tuple[Address, str | None]] = [(w.to, w.cable) for w in facility.wires.values()]
    ends += [(line.source, line.cable) for line in facility.lines.values()]
    for end, filed in ends:
        name, _, pair = (filed or "").partition("/")
        if name == cable:
            yield end, pair


def _mult_likeness(known: Renames, one: Mult, other: Mult) -> float:
    return _share({known.jack(j) for j in one.jacks}, set(other.jacks))
