"""Lays out what stands on one sheet of a set, about the layout's own origin."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

from slinediag.address import SIDES, Jack, PortAddress, Side
from slinediag.chart.arrangement import arrange_after
from slinediag.chart.detach import Pin, running_back
from slinediag.chart.division import Bench
from slinediag.chart.equipment import BoxPlan, is_cited
from slinediag.chart.fars import NO_FARS
from slinediag.chart.graph import ChartGraph, Placed, chart_graph, settings_for
from slinediag.chart.islands import columns
from slinediag.chart.lettering import width, wrap_evenly
from slinediag.chart.onward import with_room_for_note
from slinediag.chart.packing import JackPlace, Link
from slinediag.chart.points import JACK_RADIUS, PointPlan, levelled
from slinediag.chart.ranges import number_ranges, number_runs
from slinediag.chart.rear import RearEnd, RearNet
from slinediag.chart.recalling import Known
from slinediag.chart.references import cord_node, reference_node
from slinediag.chart.shares import Share
from slinediag.chart.spreading import spread_boxes
from slinediag.chart.standing import NOTHING, Standing
from slinediag.geometry import Box, around, union
from slinediag.layout.graph import Graph
from slinediag.layout.settings import Effort

DETACHING_ROUNDS = 5
MOST_RUNS = 16
"""Sheets, or runs of them, that equipment in parts names for a side; more are found by label."""
APART = 6.0
"""Room about an island, mm."""
Face = tuple[str, Side]
"""A side of equipment in parts."""


@dataclass(frozen=True, slots=True)
class Laid:
    """One sheet's share in place. ``extent`` holds all nodes with their heads, and all lines.

    ``standing``: what a later sheet of much the same share leaves where it is. ``spread``: how much
    higher all boxes together are for their lines to run straight.
    """

    share: Share
    boxes: tuple[BoxPlan, ...]
    points: tuple[PointPlan, ...]
    there: Placed
    extent: Box
    standing: Standing
    spread: int = 0

    @property
    def area(self) -> float:
        """About how much room its islands take, square millimetres."""
        layouts = [island.layout for island in self.standing.islands]
        return sum((layout.width + APART) * (layout.height + APART) for layout in layouts)

    def cords_on(self, bench: Bench) -> int:
        """How many cords hang here, or from here to another sheet."""
        jacks = {s.jack for p in self.points for r in p.rows for s in (r.left, r.right) if s}
        return sum(bool(jacks & set(cord.ends)) for cord in bench.plan.subject.plugs.cords)


def lay_out(
    bench: Bench,
    share: Share,
    effort: Effort,
    sheets: Mapping[Face, Sequence[int]],
    aspect: float,
    before: Standing = NOTHING,
    across: int = 0,
    known: Known | None = None,
    likely: Mapping[Face, Sequence[int]] = MappingProxyType({}),
) -> Laid:
    """Arrange a share, its islands packed towards a width to height.

    ``sheets``: by equipment in parts and side, the numbers of the sheets on which its ports are.
    ``before``: what stood on the sheet, which stays. ``across`` and ``known``: as arranging islands
    takes them. ``likely``: as ``sheets``, when it was measured what a sheet has room for; room is
    left for these.
    """
    returns: Mapping[str, frozenset[str]] = {}
    for _ in range(DETACHING_ROUNDS):
        boxes = _boxes(bench, share, returns, sheets)
        graph = _graph(boxes, share.points, share)
        further = _further_returns(graph, boxes, share, returns)
        if further == returns:
            break
        returns = further
    boxes = _boxes(bench, share, returns, sheets)
    names = {box.id: box.names for box in boxes}
    if likely:
        boxes = _as_high_as(boxes, _boxes(bench, share, returns, likely))
    places = columns(_graph(boxes, share.points, share))
    points = levelled(share.points, places, bench.plan.subject.plugs.corded)
    low = sum(box.height for box in boxes)
    if share.manner != "close":
        boxes = spread_boxes(boxes, points, nets_on(boxes, share), places)
    spread = sum(box.height for box in boxes) - low
    boxes = tuple(with_room_for_note(replace(box, cited=is_cited(box))) for box in boxes)
    graph = _graph(boxes, points, share)
    settings = settings_for(effort, narrow=share.manner != "roomy")
    cords = _links(bench, points, share)
    near = bench.nearness if bench.drawn_around else None
    there, standing = arrange_after(
        before, graph, settings, cords, aspect, across=across, known=known, near=near
    )
    extent = _extent(boxes, there)
    boxes = tuple(replace(box, names=names[box.id]) for box in boxes)
    return Laid(share, boxes, points, there, extent, standing, spread)


def _as_high_as(boxes: Iterable[BoxPlan], others: Iterable[BoxPlan]) -> tuple[BoxPlan, ...]:
    """The boxes with at least as many lines under their labels as others of the same ids."""
    lines = {box.id: len(box.names) for box in others}
    return tuple(
        replace(box, names=(*box.names, *[""] * (lines[box.id] - len(box.names)))) for box in boxes
    )


def faces_of(share: Share) -> list[Face]:
    """The sides of equipment in parts of which ports are in a share."""
    found = {(box, port.side) for box, ports in share.ports.items() for port in ports}
    return sorted(found)


def _further_returns(
    graph: ChartGraph,
    boxes: tuple[BoxPlan, ...],
    share: Share,
    returns: Mapping[str, frozenset[str]],
) -> Mapping[str, frozenset[str]]:
    """By equipment in parts, the inputs that lines would run back to and those set apart so far."""
    divisible = {b.id: b for b in boxes if b.equipment.id in share.stacks and b.outputs}
    found = dict(returns)
    for (source, _), (node, port) in running_back(graph):
        ends = [(node, port)] if node in divisible else _met_on_the_way(graph, node, source)
        name, apart = next(
            ((divisible[n].equipment.id, p) for n, p in ends if n in divisible), ("", "")
        )
        if name:
            found[name] = found.get(name, frozenset()) | {apart}
    return found


def _met_on_the_way(chart: ChartGraph, start: str, end: str) -> list[Pin]:
    """The inputs through which audio gets from one node to another by the fewest lines."""
    came: dict[str, Pin | None] = {start: None}
    by: dict[str, str] = {}
    for node in (waiting := [start]):
        for edge in chart.graph.edges:
            if edge.source[0] == node and edge.target[0] not in came:
                came[edge.target[0]] = edge.target
                by[edge.target[0]] = node
                waiting.append(edge.target[0])
    found: list[Pin] = []
    while (pin := came.get(end)) is not None:
        found.append(pin)
        end = by[end]
    return found[::-1]


def _boxes(
    bench: Bench,
    share: Share,
    returns: Mapping[str, frozenset[str]],
    sheets: Mapping[Face, Sequence[int]],
) -> tuple[BoxPlan, ...]:
    """Equipment that stands here whole, and the parts of large equipment for its ports here."""
    parts = [
        part
        for box, stacks in share.stacks.items()
        for part in _parts(bench, box, stacks, returns.get(box, frozenset()), sheets)
    ]
    return (*share.whole, *parts)


def _parts(
    bench: Bench,
    name: str,
    stacks: Sequence[frozenset[PortAddress]],
    apart: frozenset[str],
    sheets: Mapping[Face, Sequence[int]],
) -> list[BoxPlan]:
    """A part with the ports of each stack; two where lines would run back to some inputs."""
    box = bench.plan.subject.facility.equipment[name]
    fars = bench.fars if sheets else NO_FARS
    here = [port for port in box.inputs if port.id not in apart]
    there = [port for port in box.inputs if port.id in apart]
    made = []
    for ports in stacks:
        both = (
            bench.planned(box, here, box.outputs, ports, fars),
            bench.planned(box, there, (), ports, fars),
        )
        made += [part for part in both if part.slots]
    count = max(len(made), len({n for side in SIDES for n in sheets.get((name, side), ())}))
    return [
        replace(plan, names=_names(plan, sheets), part=number, parts=count)
        for number, plan in enumerate(made, 1)
    ]


def _names(plan: BoxPlan, sheets: Mapping[Face, Sequence[int]]) -> tuple[str, ...]:
    """What is printed under a label, and on which sheets the inputs and outputs are."""
    box = plan.equipment.id
    found = {side: numbers for side in SIDES if (numbers := sheets.get((box, side)))}
    if len({number for numbers in found.values() for number in numbers}) < 2:
        return plan.names
    told = (line for side in found for line in told_sheets(side, found[side], plan.width))
    return (*plan.names, *told)


def told_sheets(side: Side, sheets: Sequence[int], room: int) -> list[str]:
    """The sheets by their numbers, in as many lines as these take."""
    if sum(1 for _ in number_runs(sorted(sheets))) > MOST_RUNS:
        return wrap_evenly(f"{side}: {len(sheets)} sheets, see the finder", room)
    numbers = f"{'sheet' if len(sheets) == 1 else 'sheets'} {number_ranges(sheets)}"
    wish = f"{side}puts on {numbers}"
    return [wish] if width(wish) <= room else wrap_evenly(f"{side}: {numbers}", room)


def _graph(boxes: tuple[BoxPlan, ...], points: tuple[PointPlan, ...], share: Share) -> ChartGraph:
    """The chart's graph with the flags of interrupted lines and cords."""
    chart = chart_graph(boxes, points, nets_on(boxes, share))
    flags = [reference_node(reference) for reference in share.references]
    flags += [cord_node(reference) for reference in share.cords]
    graph = Graph((*chart.graph.nodes, *flags), chart.graph.edges)
    return ChartGraph(graph, chart.pieces, chart.points)


def nets_on(boxes: tuple[BoxPlan, ...], share: Share) -> tuple[RearNet, ...]:
    """The share's nets, their ends at the parts of equipment that hold their ports."""
    part = {slot.port: box.id for box in boxes for slot in box.slots}

    def placed(end: RearEnd) -> RearEnd:
        if isinstance(end.address, PortAddress):
            return replace(end, node=part[end.address])
        return end

    return tuple(
        replace(
            net, sources=tuple(map(placed, net.sources)), targets=tuple(map(placed, net.targets))
        )
        for net in share.nets
    )


def _links(bench: Bench, points: tuple[PointPlan, ...], share: Share) -> tuple[Link, ...]:
    """The cords as what draws islands to each other, flags to the jacks that they belong to."""
    found: dict[Jack, JackPlace] = {}
    for point in points:
        for row in point.rows:
            if row.left:
                found[row.left.jack] = JackPlace(point.id, point.left_x, "left")
            if row.right:
                found[row.right.jack] = JackPlace(point.id, point.right_x, "right")
    for flag in share.cords:
        found[flag.jack] = JackPlace(flag.name, JACK_RADIUS, "left")
    return tuple(
        Link(found[one], found[other])
        for one, other in (cord.ends for cord in bench.plan.subject.plugs.cords)
        if one in found and other in found
    )


def _extent(boxes: tuple[BoxPlan, ...], there: Placed) -> Box:
    above = {box.id: box.above for box in boxes}
    rooms = [
        Box(box.x, box.y - above.get(name, 0), box.width, box.height + above.get(name, 0))
        for name, box in there.nodes.items()
    ]
    rooms += [around(run) for piece in there.pieces for run in piece.runs]
    if not rooms:
        return Box(0, 0, 0, 0)
    return union(rooms)
