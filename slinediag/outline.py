"""The chart as a bare graph of boxes with ports, for people who arrange it by other means."""

from __future__ import annotations

from collections.abc import Mapping

from slinediag.address import Jack, Side
from slinediag.chart.equipment import BoxPlan
from slinediag.chart.graph import chart_graph
from slinediag.chart.planning import Plan, plan_chart
from slinediag.chart.points import PointPlan
from slinediag.circuit.contacts import broken_by_source, broken_by_target
from slinediag.layout.graph import Node
from slinediag.model.bay import NormalKind
from slinediag.model.facility import Facility
from slinediag.model.labels import jack_label
from slinediag.paint.gv import Graph, GraphBox, GraphEdge, GraphPort

PortKey = tuple[str, Side, str]
"""A port of a node: the node's id, the side, the port's id."""


def graph_of(facility: Facility) -> Graph:
    """Equipment and patch points as boxes, what is joined at the rear as edges.

    Equipment without inputs stands on the first rank.
    """
    plan = plan_chart(facility, None)
    graph = chart_graph(plan.boxes, plan.points, plan.nets).graph
    titles, ports, first = _labels(facility, plan)
    boxes = [_box(node, titles, ports, node.id in first) for node in graph.nodes]
    edges = [GraphEdge(edge.source, edge.target) for edge in graph.edges]
    return Graph(facility.name, tuple(boxes), tuple(edges))


def _box(
    node: Node, titles: Mapping[str, str], ports: Mapping[PortKey, str], first: bool
) -> GraphBox:
    """A node with its labels; one that stands for no thing is where several lines join."""
    return GraphBox(
        node.id,
        titles.get(node.id, "joined"),
        tuple(GraphPort(port.id, ports.get((node.id, "in", port.id), "")) for port in node.inputs),
        tuple(
            GraphPort(port.id, ports.get((node.id, "out", port.id), "")) for port in node.outputs
        ),
        rank=0 if first else None,
    )


def _labels(facility: Facility, plan: Plan) -> tuple[dict[str, str], dict[PortKey, str], set[str]]:
    """Titles of nodes, labels of their ports, and which stand on the first rank."""
    titles = {box.id: _box_title(box) for box in plan.boxes}
    titles |= {point.id: _point_title(point) for point in plan.points}
    ports: dict[PortKey, str] = {
        (box.id, slot.port.side, slot.port.port): facility.facts(slot.port).label
        for box in plan.boxes
        for slot in (*box.inputs, *box.outputs)
    }
    for point in plan.points:
        for row in point.rows:
            if row.left:
                ports[point.id, "in", row.left.jack.row] = _at(facility, row.left.jack)
            if row.right:
                ports[point.id, "out", row.right.jack.row] = _at(facility, row.right.jack)
    return titles, ports, {box.id for box in plan.boxes if not box.equipment.inputs}


def _at(facility: Facility, jack: Jack) -> str:
    return jack_label(facility, jack) or str(jack)


def _box_title(box: BoxPlan) -> str:
    part = f" {box.part} of {box.parts}" if box.parts > 1 else ""
    return box.equipment.printed + part


def marks_of(kind: NormalKind) -> str:
    """The chart's marks of a normal, in characters."""
    if kind == "none":
        return ""
    left = "◁" if broken_by_source(kind) else "•"
    right = "▷" if broken_by_target(kind) else "•"
    return f"{left}—{right}"


def _point_title(point: PointPlan) -> str:
    marks = [marks_of(row.normal.kind) for row in point.rows if row.normal]
    return " ".join([*(row.title for row in point.rows if row.title), *marks])
