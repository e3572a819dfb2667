"""The chart on its sheets as printed, laid side by side, and where each thing is on them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from math import ceil, sqrt

from slinediag.address import Address, Jack, PortAddress
from slinediag.chart.chart import draw
from slinediag.chart.moving import all_moved
from slinediag.drawing.marks import Circle, Drawing, Line, Mark, Rect, Ref, Style
from slinediag.editor.charting import NetLine
from slinediag.editor.spread import Spread, spread
from slinediag.editor.things import Box as BoxThing
from slinediag.editor.things import Net, Thing
from slinediag.geometry import Box, Point, Run, union
from slinediag.model.facility import Facility
from slinediag.model.find import find_thing
from slinediag.tracing.trial import ask
from slinediag.tracing.values import Trial
from slinediag.tracing.words import sentences

AT_REST = Trial()
GAP = 15_000
TABLE = "#d9d7d1"
"""What the sheets lie on."""


@dataclass(frozen=True, slots=True)
class SheetSet:
    """All sheets as one drawing, and the room of boxes and jacks on them.

    A line that goes on on another sheet is one line, with its runs on both. Where ports, cords and
    parts of boxes are is not known of sheets.
    """

    drawing: Drawing
    spread: Spread
    jacks: Mapping[Jack, Point]
    places: Mapping[Thing, Box]
    count: int
    nets: Mapping[str, NetLine] = field(default_factory=dict)
    net_of: Mapping[Address, str] = field(default_factory=dict)
    ports: Mapping[PortAddress, Point] = field(default_factory=dict)
    cords: Mapping[frozenset[Jack], Run] = field(default_factory=dict)
    boxes: Mapping[str, tuple[Box, ...]] = field(default_factory=dict)


def sheets_of(facility: Facility, trial: Trial = AT_REST, sheet: str = "A3") -> SheetSet:
    """The set that is printed on sheets of this size, as filed or under a trial.

    On larger ones where it does not fit.
    """
    answer = None if trial.empty else ask(facility, trial)
    words = tuple(sentences(answer)) if answer is not None else ()
    drawings = draw(facility, answer, sheet=sheet, words=words)
    across = max(1, ceil(sqrt(len(drawings))))
    width = max(drawing.width for drawing in drawings) + GAP
    height = max(drawing.height for drawing in drawings) + GAP
    down = ceil(len(drawings) / across)
    whole = Box(0, 0, across * width + GAP, down * height + GAP)
    marks: list[Mark] = [Rect(whole, Style(stroke=None, fill=TABLE))]
    for number, drawing in enumerate(drawings):
        row, column = divmod(number, across)
        marks += all_moved(drawing.marks, GAP + column * width, GAP + row * height)
    title = f"Sheets of {facility.name}"
    drawn = Drawing(whole.width, whole.height, tuple(marks), title)
    spread_out = spread(drawn)
    places = _places(facility, spread_out)
    jacks, nets = _jacks(facility, spread_out), _nets(facility, spread_out)
    net_of = {end: name for name, net in nets.items() for end in net.ends}
    return SheetSet(drawn, spread_out, jacks, places, len(drawings), nets, net_of)


def _nets(facility: Facility, spread_out: Spread) -> dict[str, NetLine]:
    """The lines of all sheets by the names of their nets."""
    nets: dict[str, NetLine] = {}
    for placed in spread_out.placed:
        ref = placed.refs[-1] if placed.refs else None
        if ref is None or "line" not in ref.classes or not isinstance(placed.mark, Line):
            continue
        name = dict(ref.data).get("net", "")
        ends = next((t.ends for t in things_of(facility, ref) if isinstance(t, Net)), ())
        known = nets.get(name, NetLine((), ()))
        every = tuple(dict.fromkeys((*known.ends, *ends)))
        nets[name] = NetLine(every, (*known.runs, *placed.mark.runs))
    return nets


def _jacks(facility: Facility, spread_out: Spread) -> dict[Jack, Point]:
    """Where each jack's ring is first drawn."""
    jacks: dict[Jack, Point] = {}
    for placed in spread_out.placed:
        ref = placed.refs[-1] if placed.refs else None
        if ref is not None and "jack" in ref.classes and isinstance(placed.mark, Circle):
            found = find_thing(facility, dict(ref.data).get("jack", ""))
            if isinstance(found, Jack):
                jacks.setdefault(found, placed.mark.centre)
    return jacks


def _places(facility: Facility, spread_out: Spread) -> dict[Thing, Box]:
    """Where each box and jack is first drawn."""
    found: dict[Ref, list[Box]] = {}
    for placed in spread_out.placed:
        for ref in placed.refs:
            if {"equipment", "point"} & set(ref.classes):
                found.setdefault(ref, []).append(placed.box)
    places: dict[Thing, Box] = {}
    for ref, boxes in found.items():
        for thing in things_of(facility, ref):
            places.setdefault(thing, union(boxes[:1]))
    return places


def things_of(facility: Facility, ref: Ref) -> Iterator[Thing]:
    """The things that a mark stands for, the one most meant first."""
    data = dict(ref.data)
    if "equipment" in ref.classes:
        yield BoxThing(data["id"])
    elif "line" in ref.classes:
        words = f"{data['from']} {data['to']}".split()
        ends = (find_thing(facility, word) for word in words)
        yield Net(tuple(end for end in ends if isinstance(end, Jack | PortAddress)))
    else:
        named = (data[key] for key in ("jack", "top", "bottom") if key in data)
        yield from (end for word in named if isinstance(end := find_thing(facility, word), Jack))
