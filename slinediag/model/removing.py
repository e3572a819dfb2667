"""Things taken out of a facility with all that hangs on them, as pure functions."""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import replace

from slinediag.address import Address, Jack, PortAddress
from slinediag.model.bay import EMPTY_POINT, Bay, Wire
from slinediag.model.equipment import Equipment, Paths, Port, PortKeys
from slinediag.model.facility import Facility
from slinediag.model.items import without_keys


def without_equipment(facility: Facility, names: Collection[str]) -> Facility:
    """The facility without some equipment, its wires, its lines and its stand-ins."""
    gone = frozenset(names)
    left = replace(facility, equipment=without_keys(facility.equipment, gone))
    return _without_ports(left, lambda port: port.equipment in gone)


def without_ports(facility: Facility, ports: Collection[PortAddress]) -> Facility:
    """The facility without some ports, their wires, lines, paths and pairs."""
    gone = frozenset(ports)
    boxes = dict(facility.equipment)
    for name in dict.fromkeys(port.equipment for port in ports):
        boxes[name] = _box_without(boxes[name], gone)
    return _without_ports(replace(facility, equipment=boxes), gone.__contains__)


def without_bays(facility: Facility, names: Collection[str]) -> Facility:
    """The facility without some bays and all that is at their jacks."""
    gone = frozenset(names)

    def stays(end: Address) -> bool:
        return not (isinstance(end, Jack) and end.bay in gone)

    return replace(
        facility,
        bays=without_keys(facility.bays, gone),
        cross_normals=tuple(
            c for c in facility.cross_normals if stays(c.source) and stays(c.target)
        ),
        mults={
            name: replace(mult, jacks=left)
            for name, mult in facility.mults.items()
            if (left := tuple(filter(stays, mult.jacks))) or not mult.jacks
        },
        lines={n: i for n, i in facility.lines.items() if stays(i.source) and stays(i.target)},
        cords=tuple(c for c in facility.cords if stays(c.source) and stays(c.target)),
        plugs=tuple(plug for plug in facility.plugs if stays(plug.jack)),
    )


def wires_of(facility: Facility, gone: Callable[[PortAddress], bool]) -> int:
    """How many wires and lines end at some ports."""
    ends = [wire.to for wire in facility.wires.values()]
    count = sum(map(gone, ends))
    for line in facility.lines.values():
        ports = [end for end in (line.source, line.target) if isinstance(end, PortAddress)]
        count += any(map(gone, ports))
    return count


def _without_ports(facility: Facility, gone: Callable[[PortAddress], bool]) -> Facility:
    def stays(end: Address) -> bool:
        return isinstance(end, Jack) or not gone(end)

    return replace(
        facility,
        equipment={name: _without_stand_ins(b, gone) for name, b in facility.equipment.items()},
        bays={name: _bay_without(bay, gone) for name, bay in facility.bays.items()},
        lines={n: i for n, i in facility.lines.items() if stays(i.source) and stays(i.target)},
    )


def _bay_without(bay: Bay, gone: Callable[[PortAddress], bool]) -> Bay:
    def kept(wire: Wire | None) -> Wire | None:
        return None if wire is not None and gone(wire.to) else wire

    points = {}
    for number, point in bay.points.items():
        if kept(point.top) is point.top and kept(point.bottom) is point.bottom:
            points[number] = point
        else:
            points[number] = replace(point, top=kept(point.top), bottom=kept(point.bottom))
    if all(point is bay.points[number] for number, point in points.items()):
        return bay
    return replace(bay, points={n: p for n, p in points.items() if p != EMPTY_POINT})


def _without_stand_ins(box: Equipment, gone: Callable[[PortAddress], bool]) -> Equipment:
    def kept(keys: PortKeys) -> PortKeys:
        left = tuple(port for port in keys.instead or () if not gone(port))
        return replace(keys, instead=left or None)

    def touched(keys: PortKeys) -> bool:
        return any(map(gone, keys.instead or ()))

    if not any(touched(keys) for keys in (box.defaults, *(p.keys for p in box.ports))):
        return box
    return replace(
        box,
        outputs=tuple(replace(p, keys=kept(p.keys)) for p in box.outputs),
        inputs=tuple(replace(p, keys=kept(p.keys)) for p in box.inputs),
        defaults=kept(box.defaults),
    )


def _box_without(box: Equipment, gone: Collection[PortAddress]) -> Equipment:
    def left(ports: tuple[Port, ...]) -> tuple[Port, ...]:
        return tuple(p for p in ports if PortAddress(box.id, p.id, p.side) not in gone)

    outputs, inputs = left(box.outputs), left(box.inputs)
    ids = {port.id for port in (*outputs, *inputs)}
    pairs = box.pairs
    if pairs is not None:
        pairs = tuple(pair for pair in pairs if set(pair) <= ids)
    return replace(
        box,
        outputs=outputs,
        inputs=inputs,
        paths=_paths_without(box, box.paths, outputs, inputs),
        bypass=_paths_without(box, box.bypass, outputs, inputs),
        pairs=pairs,
    )


def _paths_without(
    box: Equipment,
    paths: Paths | None,
    outputs: tuple[Port, ...],
    inputs: tuple[Port, ...],
) -> Paths | None:
    """Paths among the ports that are left; straight ones are named where they no longer count."""
    if paths is None or paths == "all":
        return paths
    outs, ins = {port.id for port in outputs}, {port.id for port in inputs}
    if paths == "straight":
        pairs = tuple(zip(box.outputs, box.inputs, strict=True))
        if all((o.id in outs) == (i.id in ins) for o, i in pairs):
            return paths
        paths = tuple((o.id, (i.id,)) for o, i in pairs)
    return tuple(
        (out, tuple(source for source in sources if source in ins))
        for out, sources in paths
        if out in outs
    )
