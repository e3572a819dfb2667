"""The chart as the editor shows it: the printed drawing, and where each thing lies on it.

Made away from the event loop, in a process of its own; everything here can be sent between
processes. This module and ``overlay`` alone know how a chart is put together.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import partial

from slinediag.address import Address, Jack, PortAddress
from slinediag.chart.arrangement import arrange_after
from slinediag.chart.boxes import draw_box
from slinediag.chart.brief_legend import brief_legend
from slinediag.chart.compose import compose
from slinediag.chart.cords import draw_cords, hang_cords
from slinediag.chart.graph import Placed, chart_graph, settings_for
from slinediag.chart.jackfield import draw_points
from slinediag.chart.lines import draw_lines
from slinediag.chart.lists import lists
from slinediag.chart.one_sheet import Content
from slinediag.chart.overlay import outcome_of
from slinediag.chart.planning import (
    FLOW,
    Plan,
    cord_area,
    draw_dummies,
    jack_places,
    links,
    plan_chart,
    run_boxes,
    taken_boxes,
    with_places,
)
from slinediag.chart.plugs import plugs_of
from slinediag.chart.said import Said
from slinediag.chart.signs import one_sheet_signs
from slinediag.chart.standing import Standing
from slinediag.chart.zone_finder import Spots, point_out, zone_finder
from slinediag.drawing.curves import flattened
from slinediag.drawing.marks import Curve, Drawing, Group, Line, Mark
from slinediag.drawing.query import ink_box
from slinediag.editor.cord_ground import packed_ground
from slinediag.editor.hanging import hung_cord
from slinediag.editor.spread import Spread, spread
from slinediag.geometry import Box, Point, Run, union
from slinediag.model.facility import Facility
from slinediag.tracing.values import Answer


@dataclass(frozen=True, slots=True)
class NetLine:
    """A line of the chart: the addresses it joins, and its runs on the sheet."""

    ends: tuple[Address, ...]
    runs: tuple[Run, ...]


@dataclass(frozen=True, slots=True)
class Chart:
    """A drawing with the places of jacks, ports, boxes and lines on it, micrometres on the sheet.

    ``plan``, ``there`` and ``shift`` are what a trial is marked with: what is drawn, where the
    layout put it, and how far the sheet moved that. ``standing``: what the next drawing, after
    an edit, leaves where it is. ``ground``: what a trial's cords keep clear of, packed.
    """

    drawing: Drawing
    spread: Spread
    jacks: Mapping[Jack, Point]
    ports: Mapping[PortAddress, Point]
    boxes: Mapping[str, tuple[Box, ...]]
    nets: Mapping[str, NetLine]
    cords: Mapping[frozenset[Jack], Run]
    net_of: Mapping[Address, str]
    plan: Plan
    there: Placed
    shift: Point
    standing: Standing
    ground: bytes = field(compare=False)


def chart_stages(
    facility: Facility, answer: Answer | None = None, before: Standing | None = None
) -> Iterator[Chart]:
    """The chart of a facility as filed; at first with its cords hung plainly, then with care.

    Finding each cord a way on which it covers nothing takes longer than all the rest. With an
    answer there is room for its trial: spare positions in which it puts plugs are drawn too.
    ``before``: what stood on the last drawing of the facility, which stays as far as it can; None
    searches afresh and gives the very drawing that is printed.
    """
    plan = plan_chart(facility, answer)
    filed = replace(plan.subject, plugs=plugs_of(facility, None))
    plan = with_places(replace(plan, subject=filed))
    graph = chart_graph(plan.boxes, plan.points, plan.nets)
    there, standing = arrange_after(before or Standing(), graph, settings_for("quick"), links(plan))
    marks = _marks(plan, there)
    places = jack_places(plan, there)
    cords = [hung_cord(places, cord) for cord in plan.subject.plugs.cords]
    plainly = (*marks, *(cord for cord in cords if cord is not None))
    yield _on_paper(plan, there, standing, plainly)
    if cords:
        yield _on_paper(plan, there, standing, (*marks, *_hung(plan, there, marks)))


def _hung(plan: Plan, there: Placed, drawn: tuple[Mark, ...]) -> tuple[Mark, ...]:
    """The cords, each on a way on which it covers nothing."""
    cords = plan.subject.plugs.cords
    boxes = [there.nodes[box.id] for box in plan.boxes]
    taken, runs, area = taken_boxes(drawn), run_boxes(drawn), cord_area(drawn, len(cords))
    hung = hang_cords(cords, jack_places(plan, there), taken, boxes, runs, area)
    return draw_cords(hung, plan.subject.facility)


def _marks(plan: Plan, there: Placed) -> tuple[Mark, ...]:
    """Everything but cords, in painting order, about the layout's own origin."""
    if not there.nodes:
        return ()
    outcome = outcome_of(None)
    points = {point.id: point for point in plan.points}
    lines = draw_lines(plan.subject.facility, plan.nets, points, there, outcome)
    boxes = (draw_box(box, there.nodes[box.id], outcome) for box in plan.boxes)
    jackfield = draw_points(plan.subject, plan.points, there.nodes)
    return (
        *lines.lines,
        *boxes,
        *lines.marks,
        *jackfield,
        *draw_dummies(plan.subject.plugs.dummies, jack_places(plan, there)),
    )


def _on_paper(plan: Plan, there: Placed, standing: Standing, marks: tuple[Mark, ...]) -> Chart:
    facility = plan.subject.facility
    extent = union(map(ink_box, marks)) if marks else Box(0, 0, 0, 0)
    spots = Spots.of(plan.subject, plan.boxes, plan.points, there.nodes)
    signs = one_sheet_signs(marks, named=any(box.onward for box in plan.boxes))
    content = Content(
        facility=facility,
        marks=marks,
        extent=extent,
        blocks=lambda room: (
            *lists(plan.subject, plan.boxes, plan.notes, Said(), room, plan.points),
            brief_legend(signs, room),
        ),
        heading=facility.name,
        subheading=FLOW,
        finder=partial(zone_finder, spots) if spots.many else None,
        pointing=partial(point_out, spots, None),
    )
    drawing = compose(content, "one")
    shift = _shift(drawing, extent)
    laid, boxes = spread(drawing), _boxes(plan, there, shift)
    jacks = {j: p.moved(*shift) for j, p in jack_places(plan, there).items()}
    parts = [part for parts in boxes.values() for part in parts]
    cords = plan.subject.plugs.cords
    return Chart(
        drawing=drawing,
        spread=laid,
        jacks=jacks,
        ports=_ports(plan, there, shift),
        boxes=boxes,
        nets=_nets(plan, drawing),
        cords=_cords(plan, drawing),
        net_of={a: net.name for net in plan.nets for a in net.addresses},
        plan=plan,
        there=replace(there, pieces=()),
        shift=shift,
        standing=standing,
        ground=packed_ground(drawing, laid.placed, jacks, parts, cords),
    )


def _shift(drawing: Drawing, extent: Box) -> Point:
    """How far the sheet moved the chart from the layout's origin."""
    for mark in drawing.marks:
        if isinstance(mark, Group) and "chart" in mark.ref.classes and mark.marks:
            now = ink_box(mark)
            return Point(now.x - extent.x, now.y - extent.y)
    return Point(0, 0)


def _ports(plan: Plan, there: Placed, shift: Point) -> dict[PortAddress, Point]:
    places: dict[PortAddress, Point] = {}
    for box in plan.boxes:
        at = there.nodes[box.id].moved(*shift)
        places |= {slot.port: Point(at.x, at.y + slot.y) for slot in box.inputs}
        places |= {slot.port: Point(at.right, at.y + slot.y) for slot in box.outputs}
    return places


def _boxes(plan: Plan, there: Placed, shift: Point) -> dict[str, tuple[Box, ...]]:
    parts: dict[str, tuple[Box, ...]] = {}
    for box in plan.boxes:
        own = there.nodes[box.id].moved(*shift)
        parts[box.equipment.id] = (*parts.get(box.equipment.id, ()), own)
    return parts


def _nets(plan: Plan, drawing: Drawing) -> dict[str, NetLine]:
    """The lines of the sheet by the names of their nets."""
    runs: dict[str, tuple[Run, ...]] = {}
    for mark in _drawn(drawing.marks):
        if isinstance(mark, Line) and mark.ref is not None and "line" in mark.ref.classes:
            name = dict(mark.ref.data).get("net", "")
            runs[name] = (*runs.get(name, ()), *mark.runs)
    return {
        net.name: NetLine(net.addresses, runs[net.name]) for net in plan.nets if net.name in runs
    }


def _cords(plan: Plan, drawing: Drawing) -> dict[frozenset[Jack], Run]:
    """The ways of standing cords on the sheet, by their two jacks."""
    ends = {str(cord): frozenset(cord.ends) for cord in plan.subject.plugs.cords}
    return {
        ends[name]: flattened(mark)
        for mark in _drawn(drawing.marks)
        if isinstance(mark, Curve) and mark.ref is not None
        if (name := dict(mark.ref.data).get("cord", "")) in ends
    }


def _drawn(marks: tuple[Mark, ...]) -> Iterator[Mark]:
    for mark in marks:
        if isinstance(mark, Group):
            yield from _drawn(mark.marks)
        else:
            yield mark
