"""Items of a facility handed to the file's own reader again, as nodes that it would find."""

from __future__ import annotations

from collections.abc import Iterable
from collections.abc import Mapping as Mapped

from slinediag.file.boxes import read_boxes, with_stands
from slinediag.file.claims import Uses
from slinediag.file.mistakes import Mistakes
from slinediag.file.nodes import Entry, Mapping, Node, Scalar, Sequence
from slinediag.file.outline import (
    Speller,
    bay_table,
    box_table,
    cable_table,
    cord_table,
    cross_table,
    line_table,
    plug_table,
    point_table,
    practice_table,
    rack_table,
)
from slinediag.file.panels import Panel, read_panels, read_points
from slinediag.file.plain import Plain, Points, Table, Text, Word
from slinediag.file.practice import read_cables, read_practice, read_racks
from slinediag.file.register import Register, Resolver
from slinediag.file.wiring import WiringReader
from slinediag.model.bay import BayPoint
from slinediag.model.facility import Facility


def as_node(value: Plain) -> Node:
    """The node that a reader would find of a plain value."""
    if isinstance(value, Text):
        return Scalar(0, 0, value.text, False)
    if isinstance(value, Word):
        return Scalar(0, 0, value.text, True)
    if isinstance(value, tuple):
        return Sequence(0, 0, tuple(map(as_node, value)), True)
    if isinstance(value, Points):
        return as_mapping((str(key), as_node(row)) for key, row in value.rows.items())
    if isinstance(value, Table):
        return as_mapping((key, as_node(row)) for key, row in value.rows.items())
    return Scalar(0, 0, "~", True)


def as_mapping(entries: Iterable[tuple[str, Node]]) -> Mapping:
    """A mapping node of some entries."""
    made = tuple(Entry(Scalar(0, 0, key, False), value) for key, value in entries)
    return Mapping(0, 0, made, True)


class Rereader:
    """Reads single items of a facility; what is wrong goes to ``mistakes``."""

    def __init__(
        self, facility: Facility, register: Register, spell: Speller, mistakes: Mistakes
    ) -> None:
        self._facility = facility
        self._spell = spell
        self._register = register
        self._mistakes = mistakes
        self._resolver = Resolver(register, mistakes)
        self._uses = Uses(dict(facility.cables), mistakes)

    def boxes(self, names: Iterable[str]) -> None:
        """Read some equipment."""
        rows = [
            (name, as_node(box_table(self._facility.equipment[name], self._spell)))
            for name in names
        ]
        for read in read_boxes(as_mapping(rows), Register(), self._mistakes).values():
            with_stands(read, self._resolver)

    def bays(self, names: Iterable[str]) -> None:
        """Read some bays without their points."""
        rows = []
        for name in names:
            table = bay_table(self._facility.bays[name], self._spell)
            keys = {key: value for key, value in table.rows.items() if key != "points"}
            rows.append((name, as_node(Table(keys))))
        read_panels(as_mapping(rows), Register(self._register.ports), self._mistakes)

    def points(self, bay: str, points: Mapped[int, BayPoint]) -> None:
        """Read some points of a bay."""
        rows = [
            (str(number), as_node(point_table(point, self._spell)))
            for number, point in points.items()
        ]
        panel = Panel(self._facility.bays[bay], as_mapping(rows))
        read_points(panel, self._resolver, self._uses)

    def cables(self, names: Iterable[str]) -> None:
        """Read some cables."""
        rows = [(name, as_node(cable_table(self._facility.cables[name]))) for name in names]
        read_cables(as_mapping(rows), self._mistakes)

    def racks(self, names: Iterable[str]) -> None:
        """Read some racks."""
        rows = [(name, as_node(rack_table(self._facility.racks[name]))) for name in names]
        read_racks(as_mapping(rows), self._mistakes)

    def practice(self) -> None:
        """Read the drawing data."""
        read_practice(as_node(practice_table(self._facility.practice)), self._mistakes)

    def section(self, section: str) -> None:
        """Read a section that joins jacks and ports, whole."""
        facility, wiring = self._facility, WiringReader(self._resolver, self._uses)
        if section == "cross_normals":
            rows = tuple(cross_table(cross) for cross in facility.cross_normals)
            wiring.normals(as_node(rows), dict(facility.bays))
        elif section == "mults":
            jacks = [
                (name, as_node(tuple(Word(str(jack)) for jack in mult.jacks)))
                for name, mult in facility.mults.items()
            ]
            wiring.mults(as_mapping(jacks))
        elif section == "lines":
            lines = [
                (name, as_node(line_table(line, self._spell)))
                for name, line in facility.lines.items()
            ]
            wiring.lines(as_mapping(lines))
        elif section == "cords":
            wiring.cords(as_node(tuple(cord_table(cord) for cord in facility.cords)))
        elif section == "plugs":
            wiring.plugs(as_node(tuple(plug_table(plug) for plug in facility.plugs)))
