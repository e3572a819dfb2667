"""Single items of a facility exchanged, as pure functions: a facility in, a facility out.

What the new item says is not judged here; nothing else of the facility changes.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import TypeVar

from slinediag.model.bay import EMPTY_POINT, Bay, BayPoint
from slinediag.model.edits import Position
from slinediag.model.equipment import Equipment, Port
from slinediag.model.facility import Cable, Facility, Line, Mult, Rack

T = TypeVar("T")


def with_point(facility: Facility, position: Position, point: BayPoint) -> Facility:
    """The facility with another point at a position; one that says nothing is left out."""
    bay = facility.bays[position.bay]
    points = {**bay.points, position.number: point}
    if point == EMPTY_POINT:
        del points[position.number]
    elif position.number not in bay.points:
        points = dict(sorted(points.items()))
    return with_bay(facility, replace(bay, points=points))


def with_bay(facility: Facility, bay: Bay) -> Facility:
    """The facility with a bay in the place of the one of its id, or as one more."""
    return replace(facility, bays={**facility.bays, bay.id: bay})


def with_box(facility: Facility, box: Equipment) -> Facility:
    """The facility with equipment in the place of the one of its id, or as one more."""
    return replace(facility, equipment={**facility.equipment, box.id: box})


def with_port(facility: Facility, equipment: str, port: Port) -> Facility:
    """The facility with a port in the place of the one of its id and side, or as one more."""
    box = facility.equipment[equipment]
    if port.side == "out":
        return with_box(facility, replace(box, outputs=_put(box.outputs, port)))
    return with_box(facility, replace(box, inputs=_put(box.inputs, port)))


def _put(ports: tuple[Port, ...], port: Port) -> tuple[Port, ...]:
    if all(other.id != port.id for other in ports):
        return (*ports, port)
    return tuple(port if other.id == port.id else other for other in ports)


def with_rack(facility: Facility, rack: Rack) -> Facility:
    """The facility with a rack in the place of the one of its name, or as one more."""
    return replace(facility, racks={**facility.racks, rack.id: rack})


def with_cable(facility: Facility, cable: Cable) -> Facility:
    """The facility with a cable in the place of the one of its id, or as one more."""
    return replace(facility, cables={**facility.cables, cable.id: cable})


def with_line(facility: Facility, line: Line) -> Facility:
    """The facility with a line in the place of the one of its id, or as one more."""
    return replace(facility, lines={**facility.lines, line.id: line})


def with_mult(facility: Facility, mult: Mult) -> Facility:
    """The facility with a mult in the place of the one of its id, or as one more."""
    return replace(facility, mults={**facility.mults, mult.id: mult})


def with_row(rows: tuple[T, ...], number: int, row: T) -> tuple[T, ...]:
    """Rows with another at a number from 0, or with one more."""
    return (*rows[:number], row, *rows[number + 1 :])


def without_rows(rows: tuple[T, ...], numbers: frozenset[int]) -> tuple[T, ...]:
    """Rows without those of some numbers from 0."""
    return tuple(row for number, row in enumerate(rows) if number not in numbers)


def without_keys(items: Mapping[str, T], names: frozenset[str]) -> dict[str, T]:
    """Items without those of some ids."""
    return {name: item for name, item in items.items() if name not in names}
