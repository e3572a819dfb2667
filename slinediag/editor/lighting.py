"""What lights up on the chart for a thing: the runs of its whole way, from origins to ends."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from itertools import pairwise
from typing import Protocol

from slinediag.address import Address, Jack, PortAddress
from slinediag.editor.charting import Chart, NetLine
from slinediag.editor.things import Box, Net, Thing
from slinediag.geometry import Box as Area
from slinediag.geometry import Point, Run, union
from slinediag.model.equipment import Equipment
from slinediag.model.facility import Facility
from slinediag.tracing.way import Hop, Way, way_of

AROUND_JACK = 12_000


class Drawn(Protocol):
    """A chart, or its sheets, as far as ways are lit on it."""

    @property
    def net_of(self) -> Mapping[Address, str]:
        """The line that each jack and port is on."""

    @property
    def nets(self) -> Mapping[str, NetLine]:
        """The lines by their names."""

    @property
    def jacks(self) -> Mapping[Jack, Point]:
        """Where jacks are."""

    @property
    def ports(self) -> Mapping[PortAddress, Point]:
        """Where ports are."""

    @property
    def cords(self) -> Mapping[frozenset[Jack], Run]:
        """Where cords hang."""

    @property
    def boxes(self) -> Mapping[str, tuple[Area, ...]]:
        """Where the parts of equipment are."""


def traced(facility: Facility, thing: Thing) -> Jack | PortAddress | Equipment | None:
    """What to trace for a thing; None where the facility has it no more."""
    if isinstance(thing, Box):
        return facility.equipment.get(thing.id)
    if isinstance(thing, Net):
        outputs = [a for a in thing.ends if isinstance(a, PortAddress) and a.side == "out"]
        jacks = [a for a in thing.ends if isinstance(a, Jack)]
        found = next(iter((*outputs, *jacks, *thing.ends)), None)
        return traced(facility, found) if found is not None else None
    if isinstance(thing, Jack):
        bay = facility.bays.get(thing.bay)
        there = bay is not None and thing.row in bay.jack_rows and thing.position <= bay.width
        return thing if there else None
    box = facility.equipment.get(thing.equipment)
    return thing if box is not None and (thing.port, thing.side) in box.facts else None


def way_to_light(facility: Facility, thing: Thing) -> Way | None:
    """The way of a thing; None where the facility has it no more."""
    found = traced(facility, thing)
    return way_of(facility, found) if found is not None else None


def lit_runs(chart: Drawn, way: Way) -> tuple[Run, ...]:
    """The runs on the sheet that a way takes: lines, closed normals, paths in boxes."""
    hops = (*way.upstream, *way.downstream)
    runs: dict[Run, None] = {}
    for hop in hops:
        stops: list[Address] = [hop.source, *hop.via, hop.target]
        for one, other in pairwise(stops):
            runs.update(dict.fromkeys(_between(chart, one, other)))
    runs.update(dict.fromkeys(_paths(chart, way.facility, hops)))
    return tuple(runs)


def _between(chart: Drawn, one: Address, other: Address) -> Iterator[Run]:
    """From one stop of a hop to the next: a line, a cord, or a normal from jack to jack."""
    name = chart.net_of.get(one)
    if name is not None and name == chart.net_of.get(other):
        if name in chart.nets:
            yield from chart.nets[name].runs
        return
    if isinstance(one, Jack) and isinstance(other, Jack):
        cord = chart.cords.get(frozenset((one, other)))
        ends = chart.jacks.get(one), chart.jacks.get(other)
        if cord is not None:
            yield cord
        elif ends[0] is not None and ends[1] is not None and ends[0].y == ends[1].y:
            yield ends[0], ends[1]


def _paths(chart: Drawn, facility: Facility, hops: Iterable[Hop]) -> Iterator[Run]:
    """Inside boxes, from inputs that the way reaches to outputs that it leaves by."""
    reached: dict[str, set[str]] = {}
    left: dict[str, set[str]] = {}
    for hop in hops:
        reached.setdefault(hop.target.equipment, set()).add(hop.target.port)
        left.setdefault(hop.source.equipment, set()).add(hop.source.port)
    for box in sorted(reached.keys() & left.keys()):
        for entry, leaving in facility.equipment[box].ways:
            if entry in reached[box] and leaving in left[box]:
                one = chart.ports.get(PortAddress(box, entry, "in"))
                other = chart.ports.get(PortAddress(box, leaving, "out"))
                if one is not None and other is not None and _together(chart, box, one, other):
                    middle = (one.x + other.x) // 2
                    yield one, Point(middle, one.y), Point(middle, other.y), other


def _together(chart: Drawn, box: str, one: Point, other: Point) -> bool:
    """Whether two ports stand on the same part of their box."""
    return any(part.holds(one) and part.holds(other) for part in chart.boxes.get(box, ()))


def place_of(chart: Chart, thing: Thing) -> Area | None:
    """Where a thing is on the sheet; None where the chart does not draw it."""
    if isinstance(thing, Box):
        boxes = chart.boxes.get(thing.id)
        return union(boxes) if boxes else None
    if isinstance(thing, Net):
        areas = [area for end in thing.ends if (area := place_of(chart, end)) is not None]
        return union(areas) if areas else None
    at = _place(chart, thing)
    if at is None:
        return None
    return Area(at.x, at.y, 0, 0).grown(AROUND_JACK)


def _place(chart: Chart, address: Address) -> Point | None:
    return chart.jacks.get(address) if isinstance(address, Jack) else chart.ports.get(address)
