"""The chart as a bare graph of boxes with ports, for people who arrange it by other means."""

from __future__ import annotations

from collections.abc import Iterator

from slinediag.chart.chart import Plan, plan_chart
from slinediag.chart.equipment import BoxPlan
from slinediag.chart.points import PointPlan
from slinediag.chart.rear import RearEnd
from slinediag.model.bay import NormalKind
from slinediag.model.facility import Facility
from slinediag.model.labels import jack_label
from slinediag.paint.gv import Graph, GraphBox, GraphEdge, GraphPort

MARKS: dict[NormalKind, str] = {
    "full": "◁—▷",
    "half": "•—▷",
    "reverse-half": "◁—•",
    "parallel": "•—•",
    "none": "",
}
"""The chart's marks of each normal, in characters."""


def graph_of(facility: Facility) -> Graph:
    """Equipment and patch points as boxes, what is joined at the rear as edges.

    Equipment without inputs stands on the first rank.
    """
    plan = plan_chart(facility, None)
    points = [_point(facility, point) for point in plan.points]
    junctions, edges = _rear(plan)
    boxes = [_box(facility, box) for box in plan.boxes]
    return Graph(facility.name, (*boxes, *points, *junctions), tuple(edges))


def _box(facility: Facility, plan: BoxPlan) -> GraphBox:
    part = f" {plan.part} of {plan.parts}" if plan.parts > 1 else ""
    return GraphBox(
        plan.id,
        plan.equipment.printed + part,
        tuple(GraphPort(s.port.port, facility.facts(s.port).label) for s in plan.inputs),
        tuple(GraphPort(s.port.port, facility.facts(s.port).label) for s in plan.outputs),
        rank=0 if not plan.equipment.inputs else None,
    )


def _point(facility: Facility, plan: PointPlan) -> GraphBox:
    inputs: list[GraphPort] = []
    outputs: list[GraphPort] = []
    marks: list[str] = []
    for row in plan.rows:
        if row.left:
            inputs.append(GraphPort(row.left.jack.row, jack_label(facility, row.left.jack) or ""))
        if row.entry:
            inputs.append(GraphPort("entry", row.entry))
        if row.right:
            outputs.append(
                GraphPort(row.right.jack.row, jack_label(facility, row.right.jack) or "")
            )
        marks += [MARKS[row.normal.kind]] if row.normal else []
    title = " ".join([*(row.title for row in plan.rows if row.title), *marks])
    return GraphBox(plan.id, title, tuple(inputs), tuple(outputs))


def _rear(plan: Plan) -> tuple[list[GraphBox], list[GraphEdge]]:
    """Edges of the rear nets; a net with several ends on both sides meets in a box of its own."""
    junctions: list[GraphBox] = []
    edges: list[GraphEdge] = []
    for net in plan.nets:
        for part, (sources, targets) in enumerate(net.pieces):
            if len(sources) + len(targets) < 2:
                continue
            if min(len(sources), len(targets)) == 1:
                edges += _each_pair(sources, targets)
                continue
            name = f"{net.name}~{part}"
            port = (GraphPort("all", ""),)
            junctions.append(GraphBox(name, "joined", port, port))
            meeting = (RearEnd(name, "all", None),)
            edges += [*_each_pair(sources, meeting), *_each_pair(meeting, targets)]
    return junctions, edges


def _each_pair(sources: tuple[RearEnd, ...], targets: tuple[RearEnd, ...]) -> Iterator[GraphEdge]:
    for source in sources:
        for target in targets:
            yield GraphEdge((source.node, source.port), (target.node, target.port))
