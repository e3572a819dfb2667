"""What lists tell of a whole set: where all labels are, and which ports have no line."""

from __future__ import annotations

from collections.abc import Sequence

from slinediag.address import Jack, PortAddress, natural
from slinediag.chart.blocks import Block, indent_for, prose
from slinediag.chart.dividing import Placing
from slinediag.chart.division import Bench
from slinediag.chart.finder import Entry, Place, entries
from slinediag.chart.frame import zone_at
from slinediag.chart.ranges import compressed
from slinediag.chart.request import Request
from slinediag.model.equipment import Equipment, Port


def finder_entries(request: Request, placings: Sequence[Placing]) -> tuple[Entry, ...]:
    """All labels with the sheets and zones of what bears them."""
    sheet = request.sheet
    jacks: dict[Jack, Place] = {}
    boxes: dict[str, list[Place]] = {}
    for placing in placings:
        number = placing.laid.share.number
        for jack, at in placing.inked.jacks.items():
            jacks[jack] = Place(number, zone_at(sheet, placing.at(at)))
        for box in placing.laid.boxes:
            at = placing.at(placing.laid.there.nodes[box.id].centre)
            boxes.setdefault(box.equipment.id, []).append(Place(number, zone_at(sheet, at)))
    return entries(request.plan.told, jacks, boxes)


def idle_ports(bench: Bench, room: int) -> list[Block]:
    """The ports of equipment in parts that no line reaches: no part draws them."""
    facility = bench.plan.subject.facility
    rows = []
    for name in sorted(bench.large, key=natural):
        box = facility.equipment[name]
        idle = [p for p in box.ports if _idle(bench, PortAddress(name, p.id, p.side))]
        if idle:
            rows.append((box.printed, _called(box, idle)))
    if not rows:
        return []
    indent = min(indent_for(label for label, _ in rows), room // 2)
    items = tuple(prose(words, room, label, indent) for label, words in rows)
    return [Block("idle-ports", "Ports without a line", items)]


def _called(box: Equipment, ports: Sequence[Port]) -> str:
    """Ports by their labels; inputs and outputs apart where an input is called like an output."""
    inputs, outputs = ([p for p in ports if p.side == side] for side in ("in", "out"))
    sides = [[box.facts[p.id, p.side].label for p in side] for side in (inputs, outputs)]
    if set(sides[0]).isdisjoint(sides[1]):
        return compressed([*sides[0], *sides[1]])
    return f"in {compressed(sides[0])}; out {compressed(sides[1])}"


def _idle(bench: Bench, port: PortAddress) -> bool:
    """Whether no line reaches a port that is in the part of the chart that is asked for."""
    within = bench.holds(port) or not bench.shown_in_part(port.equipment)
    return within and port not in bench.wired
