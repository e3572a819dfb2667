"""Decides what stands in parts, so that as few lines as can be run from right to left.

A non-normaled position passes nothing on: its jacks may stand apart. Large equipment may stand
in parts, the second with the inputs that audio comes back to (detached representation,
IEC 61082-1), and these cut further where their lines would cross (``parting``).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from slinediag.chart.equipment import BoxPlan
from slinediag.chart.graph import ChartGraph
from slinediag.chart.parting import LARGE, cuts
from slinediag.chart.points import PointPlan
from slinediag.chart.subject import Position
from slinediag.layout.layers import layer
from slinediag.layout.nets import wire

__all__ = ["LARGE", "Detached", "detach_more", "running_back"]


@dataclass(frozen=True, slots=True)
class Detached:
    """Positions whose jacks stand apart; and by equipment, the inputs that audio comes back to.

    ``parts``: by equipment, the inputs of each part after the first, top to bottom.
    """

    positions: frozenset[Position] = frozenset()
    returns: Mapping[str, frozenset[str]] = field(default_factory=dict)
    parts: Mapping[str, tuple[frozenset[str], ...]] = field(default_factory=dict)


def detach_more(
    chart: ChartGraph,
    boxes: Iterable[BoxPlan],
    points: Iterable[PointPlan],
    so_far: Detached,
) -> Detached:
    """What has to stand apart besides, after a look at which lines run back; positions first."""
    back = running_back(chart)
    ends = {end for edge in back for end in (edge[0][0], edge[1][0])}
    positions = {p.position for p in points if p.id in ends and _separable(p, chart)}
    if positions:
        return Detached(so_far.positions | positions, so_far.returns, so_far.parts)
    returns = dict(so_far.returns)
    boxes = tuple(boxes)
    large = {box.id: box for box in boxes if _divisible(box)}
    for _, (node, port) in back:
        if node in large:
            name = large[node].equipment.id
            returns[name] = returns.get(name, frozenset()) | {port}
    if returns != so_far.returns:
        return Detached(so_far.positions, returns, {name: (ins,) for name, ins in returns.items()})
    if any(len(ins) > 1 for ins in so_far.parts.values()) or so_far.parts.keys() - returns.keys():
        return so_far
    uncut = {name: (ins,) for name, ins in returns.items()}
    return Detached(so_far.positions, returns, {**uncut, **cuts(chart, boxes, returns)})


Pin = tuple[str, str]


def running_back(chart: ChartGraph) -> list[tuple[Pin, Pin]]:
    """The edges that the layout would run from right to left, each as (source, target)."""
    layers = layer(wire(chart.graph)).layers
    index = chart.graph.index
    return [
        (edge.source, edge.target)
        for edge in chart.graph.edges
        if layers[index[edge.target[0]]] <= layers[index[edge.source[0]]]
    ]


def _separable(point: PointPlan, chart: ChartGraph) -> bool:
    """Whether nothing joins the two jacks of a position, and each has a line of its own."""
    row = point.rows[0]
    if point.half or len(point.rows) > 1 or row.normal or row.through:
        return False
    edges = chart.graph.edges
    return any(e.source[0] == point.id for e in edges) and any(
        e.target[0] == point.id for e in edges
    )


def _divisible(box: BoxPlan) -> bool:
    return (
        box.part == 1
        and box.equipment.drawn != "whole"
        and len(box.inputs) + len(box.outputs) >= LARGE
        and len(box.outputs) > 0
    )
