"""What cells are completed to: addresses with their labels, places, cables, groups."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from slinediag.address import Address, Jack, PortAddress, Side, natural
from slinediag.editor.finding import folded
from slinediag.editor.lists.listing import Name
from slinediag.model.edits import plugged
from slinediag.model.facility import Facility
from slinediag.model.labels import jack_label, jack_name, port_label

MOST = 12
"""Names that are offered at once."""


def ports(facility: Facility, side: Side) -> tuple[Name, ...]:
    """Every port, those of a side first, those without a wire before the others."""
    joined = {
        end: line.id for line in facility.lines.values() for end in (line.source, line.target)
    }

    def named(port: PortAddress) -> Name:
        carrier = facility.carriers.get(port)
        at = f", at {jack_name(facility, carrier)}" if carrier else ""
        by = f", by line {joined[port]}" if port in joined else ""
        return Name(facility.spelled(port), f"{port_label(facility, port)}{at}{by}")

    found = (*facility.outputs(), *facility.inputs())
    order = sorted(found, key=lambda p: (p.side != side, p in facility.carriers or p in joined))
    return tuple(map(named, order))


def jacks(facility: Facility) -> tuple[Name, ...]:
    """Every jack, with its label."""
    return tuple(Name(str(jack), jack_label(facility, jack) or "") for jack in facility.jacks)


def free_jacks(facility: Facility) -> tuple[Name, ...]:
    """Every jack that holds no plug."""
    held = plugged(facility)
    return tuple(
        Name(str(jack), jack_label(facility, jack) or "")
        for jack in facility.jacks
        if jack not in held
    )


def ends(facility: Facility, side: Side) -> tuple[Name, ...]:
    """Every jack and port."""
    return (*jacks(facility), *ports(facility, side))


def owners(facility: Facility) -> tuple[Name, ...]:
    """All equipment."""
    return tuple(Name(box.id, box.name) for box in facility.equipment.values())


def outputs(facility: Facility, _key: Any) -> tuple[Name, ...]:
    """Every output, by its address."""
    return tuple(Name(facility.spelled(p), port_label(facility, p)) for p in facility.outputs())


def cables(facility: Facility) -> tuple[Name, ...]:
    """Cables, with the first pair of each that is free where its pairs are counted."""
    used = set(_cable_uses(facility))
    names: dict[str, str] = {}
    for cable in facility.cables.values():
        about = cable.type or ""
        pairs = (f"{cable.id}/{n}" for n in range(1, (cable.pairs or 0) + 1))
        free = next((pair for pair in pairs if pair not in used), None)
        if free is not None:
            names[free] = f"first free pair, {about}".rstrip(", ")
        names[cable.id] = about
    for use in sorted(used, key=natural):
        names.setdefault(use.partition("/")[0], "")
    return tuple(Name(*item) for item in names.items())


def _cable_uses(facility: Facility) -> Iterator[str]:
    for wire in facility.wires.values():
        if wire.cable:
            yield wire.cable
    for line in facility.lines.values():
        if line.cable:
            yield line.cable


def places(facility: Facility) -> tuple[str, ...]:
    """Places that are named anywhere: racks, equipment, bays."""
    found: list[str | None] = [*facility.racks]
    found += [box.place for box in facility.equipment.values()]
    found += [bay.place for bay in facility.bays.values()]
    return tuple(dict.fromkeys(place for place in found if place))


def groups(facility: Facility) -> tuple[str, ...]:
    """Groups of positions."""
    points = (point for bay in facility.bays.values() for point in bay.points.values())
    return tuple(dict.fromkeys(point.group for point in points if point.group))


def labels(facility: Facility) -> tuple[str, ...]:
    """Labels that are filed at jacks."""
    points = [point for bay in facility.bays.values() for point in bay.points.values()]
    filed = (label for point in points for label in (point.label_top, point.label_bottom) if label)
    return tuple(dict.fromkeys(filed))


def people(facility: Facility) -> tuple[str, ...]:
    """Who has drawn, checked, or left something in."""
    practice = facility.practice
    named = (practice.drawn_by, practice.checked_by, practice.approved_by)
    by = [row.by for row in practice.revisions]
    by += [row.by for row in practice.accept]
    by += [cord.by for cord in facility.cords]
    by += [plug.by for plug in facility.plugs]
    return tuple(dict.fromkeys(name for name in (*named, *by) if name))


def fitting(names: Sequence[Name], text: str) -> tuple[Name, ...]:
    """The names that a text may become: begun by it, then holding it, by name or by what it is."""
    wanted = folded(text)
    ranked: list[list[Name]] = [[], [], [], []]
    for name in names:
        own, about = folded(name.text), folded(name.about)
        if own.startswith(wanted):
            ranked[0].append(name)
        elif about.startswith(wanted):
            ranked[1].append(name)
        elif wanted in own:
            ranked[2].append(name)
        elif wanted in about:
            ranked[3].append(name)
        if len(ranked[0]) >= MOST:
            break
    return tuple(name for rank in ranked for name in rank)[:MOST]


def spelled(facility: Facility, address: Address, place: Side) -> str:
    """An address as the file spells it at a place: a suffix only where it is needed."""
    if isinstance(address, Jack):
        return str(address)
    full = facility.spelled(address)
    return full if address.side != place else full.partition(":")[0]


def words(texts: Iterable[str]) -> tuple[Name, ...]:
    """Some words."""
    return tuple(map(Name, texts))
