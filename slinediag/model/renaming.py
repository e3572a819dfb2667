"""Ids changed everywhere at once, as pure functions: a facility in, a facility out.

What was called by the old id is called by the new one: wires, ties, mults, normals, cords, plugs,
stand-ins, cable pairs, places and accepted findings. RequestError where the new id cannot be.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import TypeVar

from slinediag.address import ID, PORT_ID, Address, Jack, PortAddress, Side
from slinediag.model.bay import BayPoint, Wire
from slinediag.model.equipment import Equipment, Paths, Port, PortKeys
from slinediag.model.facility import Facility
from slinediag.problems import RequestError, problem

T = TypeVar("T")
PARTED = re.compile(r"(\s*[,=]\s*)")


def rename_equipment(facility: Facility, old: str, new: str) -> Facility:
    """Equipment under another id."""
    if old == new:
        return facility
    _check_owner(facility, new)
    box = replace(facility.equipment[old], id=new)

    def to(port: PortAddress) -> PortAddress:
        return port._replace(equipment=new) if port.equipment == old else port

    boxes = _rekeyed(facility.equipment, old, new, box)
    return _accepting(_with_ports(replace(facility, equipment=boxes), to), _owner_to(old, new))


def rename_bay(facility: Facility, old: str, new: str) -> Facility:
    """A bay under another id."""
    if old == new:
        return facility
    _check_owner(facility, new)

    def to(jack: Jack) -> Jack:
        return jack._replace(bay=new) if jack.bay == old else jack

    bays = _rekeyed(facility.bays, old, new, replace(facility.bays[old], id=new))
    return _accepting(_with_jacks(replace(facility, bays=bays), to), _owner_to(old, new))


def rename_port(facility: Facility, port: PortAddress, new: str) -> Facility:
    """An output or input under another id; one of the same id on the other side keeps its own."""
    old = port.port
    if old == new:
        return facility
    box = facility.equipment[port.equipment]
    if not PORT_ID.match(new):
        raise _refusal(new, "cannot be a port id", "A port id is letters, digits, _ and -")
    if (new, port.side) in box.facts:
        word = "output" if port.side == "out" else "input"
        raise _refusal(new, f"{box.id} has an {word} of this id", "Choose another id")
    spelled = {facility.spelled(port), str(port)}
    changed = _with_port_id(box, port, new)

    def to(other: PortAddress) -> PortAddress:
        return other._replace(port=new) if other == port else other

    boxes = {**facility.equipment, box.id: changed}
    made = _with_ports(replace(facility, equipment=boxes), to)
    fresh = made.spelled(to(port))
    return _accepting(made, lambda place: fresh if place in spelled else place)


def rename_cable(facility: Facility, old: str, new: str) -> Facility:
    """A cable under another id, with every pair that is used of it."""
    if old == new:
        return facility
    _check_id(new, new in facility.cables or new in _cables_in_use(facility), "a cable")

    def to(cable: str | None) -> str | None:
        name, slash, pair = (cable or "").partition("/")
        return f"{new}{slash}{pair}" if name == old else cable

    def wire_to(wire: Wire) -> Wire:
        return replace(wire, cable=to(wire.cable)) if to(wire.cable) != wire.cable else wire

    cable = facility.cables.get(old)
    cables = facility.cables
    if cable is not None:
        cables = _rekeyed(cables, old, new, replace(cable, id=new))
    lines = {
        name: replace(line, cable=to(line.cable)) if to(line.cable) != line.cable else line
        for name, line in facility.lines.items()
    }
    made = replace(_with_wires(facility, wire_to), cables=cables, lines=lines)
    return _accepting(made, _whole_to(old, new))


def rename_line(facility: Facility, old: str, new: str) -> Facility:
    """A direct line or tie line under another id."""
    if old == new:
        return facility
    _check_id(new, new in facility.lines, "a line")
    lines = _rekeyed(facility.lines, old, new, replace(facility.lines[old], id=new))
    return _accepting(replace(facility, lines=lines), _whole_to(old, new))


def rename_mult(facility: Facility, old: str, new: str) -> Facility:
    """A mult under another id."""
    if old == new:
        return facility
    _check_id(new, new in facility.mults, "a mult")
    mults = _rekeyed(facility.mults, old, new, replace(facility.mults[old], id=new))
    return _accepting(replace(facility, mults=mults), _whole_to(old, new))


def rename_rack(facility: Facility, old: str, new: str) -> Facility:
    """A rack or other place under another name, with what stands in it."""
    if old == new:
        return facility
    check_rack_name(facility, new)

    def to(place: str | None) -> str | None:
        name, comma, unit = (place or "").partition(",")
        return f"{new}{comma}{unit}" if name.strip() == old else place

    return replace(
        facility,
        racks=_rekeyed(facility.racks, old, new, replace(facility.racks[old], id=new)),
        equipment={
            name: replace(box, place=to(box.place)) if to(box.place) != box.place else box
            for name, box in facility.equipment.items()
        },
        bays={
            name: replace(bay, place=to(bay.place)) if to(bay.place) != bay.place else bay
            for name, bay in facility.bays.items()
        },
    )


def check_owner_id(facility: Facility, new: str) -> None:
    """RequestError where new equipment or a new bay cannot bear an id."""
    _check_owner(facility, new)


def check_cable_id(facility: Facility, new: str) -> None:
    """RequestError where a new cable cannot bear an id; wires may name it already."""
    _check_id(new, new in facility.cables, "a cable")


def check_line_id(facility: Facility, new: str) -> None:
    """RequestError where a new line cannot bear an id."""
    _check_id(new, new in facility.lines, "a line")


def check_mult_id(facility: Facility, new: str) -> None:
    """RequestError where a new mult cannot bear an id."""
    _check_id(new, new in facility.mults, "a mult")


def check_rack_name(facility: Facility, new: str) -> None:
    """RequestError where a new rack cannot bear a name."""
    if not new.strip():
        raise _refusal("", "a place needs its name", "Type its name, as Rack 3")
    if new in facility.racks:
        raise _refusal(new, "there is a place of this name", "Choose another name")


def _check_owner(facility: Facility, new: str) -> None:
    _check_id(new, new in facility.equipment, "equipment")
    _check_id(new, new in facility.bays, "a bay")


def _check_id(new: str, taken: bool, word: str) -> None:
    if not ID.match(new):
        raise _refusal(new, "cannot be an id", "An id is a letter, then letters, digits, _ and -")
    if taken:
        raise _refusal(new, f"there is {word} of this id", "Choose another id")


def _refusal(where: str, what: str, hint: str) -> RequestError:
    return RequestError([problem(where, f"{where} {what}" if "cannot" in what else what, hint)])


def _cables_in_use(facility: Facility) -> set[str]:
    uses = [wire.cable for wire in facility.wires.values()]
    uses += [line.cable for line in facility.lines.values()]
    return {use.partition("/")[0] for use in uses if use}


def _rekeyed(items: Mapping[str, T], old: str, new: str, item: T) -> dict[str, T]:
    """Items with one under another id, in the same place of their order."""
    return {new if name == old else name: item if name == old else i for name, i in items.items()}


def _with_wires(facility: Facility, to: Callable[[Wire], Wire]) -> Facility:
    """The facility with its rear wires changed; what stays the same is the same object."""

    def point_to(point: BayPoint) -> BayPoint:
        top = to(point.top) if point.top else None
        bottom = to(point.bottom) if point.bottom else None
        if top is point.top and bottom is point.bottom:
            return point
        return replace(point, top=top, bottom=bottom)

    bays = {}
    for name, bay in facility.bays.items():
        points = {number: point_to(point) for number, point in bay.points.items()}
        same = all(point is bay.points[number] for number, point in points.items())
        bays[name] = bay if same else replace(bay, points=points)
    return replace(facility, bays=bays)


def _with_ports(facility: Facility, to: Callable[[PortAddress], PortAddress]) -> Facility:
    """The facility with every mention of a port changed, but for the equipment's own list."""

    def wire_to(wire: Wire) -> Wire:
        port = to(wire.to)
        return wire if port == wire.to else replace(wire, to=port)

    def end_to(end: Address) -> Address:
        return end if isinstance(end, Jack) else to(end)

    boxes = {name: _with_stand_ins(box, to) for name, box in facility.equipment.items()}
    made = _with_wires(replace(facility, equipment=boxes), wire_to)
    return _with_line_ends(made, end_to)


def _with_line_ends(facility: Facility, to: Callable[[Address], Address]) -> Facility:
    lines = {
        name: line
        if to(line.source) == line.source and to(line.target) == line.target
        else replace(line, source=to(line.source), target=to(line.target))
        for name, line in facility.lines.items()
    }
    return replace(facility, lines=lines)


def _with_stand_ins(box: Equipment, to: Callable[[PortAddress], PortAddress]) -> Equipment:
    def keys_to(keys: PortKeys) -> PortKeys:
        if keys.instead is None:
            return keys
        return replace(keys, instead=tuple(map(to, keys.instead)))

    def ports_to(ports: tuple[Port, ...]) -> tuple[Port, ...]:
        return tuple(replace(port, keys=keys_to(port.keys)) for port in ports)

    if all(p.keys.instead is None for p in box.ports) and box.defaults.instead is None:
        return box
    return replace(
        box,
        outputs=ports_to(box.outputs),
        inputs=ports_to(box.inputs),
        defaults=keys_to(box.defaults),
    )


def _with_jacks(facility: Facility, to: Callable[[Jack], Jack]) -> Facility:
    """The facility with every mention of a jack changed."""

    def end_to(end: Address) -> Address:
        return to(end) if isinstance(end, Jack) else end

    return _with_line_ends(
        replace(
            facility,
            cross_normals=tuple(
                replace(c, source=to(c.source), target=to(c.target)) for c in facility.cross_normals
            ),
            mults={
                name: replace(mult, jacks=tuple(map(to, mult.jacks)))
                for name, mult in facility.mults.items()
            },
            cords=tuple(
                replace(c, source=to(c.source), target=to(c.target)) for c in facility.cords
            ),
            plugs=tuple(replace(plug, jack=to(plug.jack)) for plug in facility.plugs),
        ),
        end_to,
    )


def _with_port_id(box: Equipment, port: PortAddress, new: str) -> Equipment:
    """The box with a port of another id, in its own paths and pairs too."""
    old, side = port.port, port.side
    lone = (old, "in" if side == "out" else "out") not in box.facts

    def ports(own: tuple[Port, ...]) -> tuple[Port, ...]:
        return tuple(replace(p, id=new) if (p.id, p.side) == (old, side) else p for p in own)

    def pair_to(name: str) -> str:
        return new if name == old and lone else name

    pairs = box.pairs
    if pairs is not None:
        pairs = tuple((pair_to(a), pair_to(b)) for a, b in pairs)
    return replace(
        box,
        outputs=ports(box.outputs),
        inputs=ports(box.inputs),
        paths=_paths_to(box.paths, old, new, side),
        bypass=_paths_to(box.bypass, old, new, side),
        pairs=pairs,
    )


def _paths_to(paths: Paths | None, old: str, new: str, side: Side) -> Paths | None:
    if paths is None or isinstance(paths, str):
        return paths
    if side == "out":
        return tuple((new if out == old else out, sources) for out, sources in paths)
    return tuple(
        (out, tuple(new if source == old else source for source in sources))
        for out, sources in paths
    )


def _owner_to(old: str, new: str) -> Callable[[str], str]:
    def to(place: str) -> str:
        owner, dot, part = place.partition(".")
        return f"{new}{dot}{part}" if owner == old else place

    return to


def _whole_to(old: str, new: str) -> Callable[[str], str]:
    return lambda place: new if place == old else place


def _accepting(facility: Facility, to: Callable[[str], str]) -> Facility:
    """The facility with the places of its accepted findings changed."""
    accept = tuple(
        entry
        if entry.where is None
        else replace(
            entry,
            where="".join(
                piece if PARTED.fullmatch(piece) else to(piece)
                for piece in PARTED.split(entry.where)
            ),
        )
        for entry in facility.practice.accept
    )
    if accept == facility.practice.accept:
        return facility
    return replace(facility, practice=replace(facility.practice, accept=accept))
