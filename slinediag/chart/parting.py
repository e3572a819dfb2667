"""Decides where large equipment is cut into further parts, so that its lines need not cross.

A part without outputs stands where its lines come from. Inputs of equipment that is fed by several
large pieces form a part for each; inputs that are fed by one, by way of small equipment, are parted
where the order in which they are filed is against the order of the outputs that feed them, as the
returns of inserts are (detached representation, IEC 61082-1). Read off the lines alone, so that
parts stay what they are while a person edits something else.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from slinediag.chart.equipment import BoxPlan
from slinediag.chart.graph import ChartGraph

LARGE = 6
"""Ports with lines from which equipment is large."""
LEAST_INPUTS = 4
"""Inputs with lines from which a part may be cut."""
WORTH = 8
"""Pairs of lines in the wrong order that a further part must be worth: each is a crossing, and a
further part costs the reader a look at two places."""

Pin = tuple[str, str]


class Origin(NamedTuple):
    """What feeds an input: large equipment, and which of its outputs."""

    box: str
    output: int


def cuts(
    chart: ChartGraph, boxes: Sequence[BoxPlan], returns: Mapping[str, frozenset[str]]
) -> dict[str, tuple[frozenset[str], ...]]:
    """By equipment, the inputs of its parts after the first as cut further; those uncut left out.

    ``returns``: by equipment, the inputs that form its second part so far.
    """
    origins = _Origins(chart, boxes)
    found = {}
    for box in boxes:
        name = box.equipment.id
        if box.outputs or len(box.inputs) < LEAST_INPUTS or box.equipment.drawn == "whole":
            continue
        fed = [origins.of((box.id, slot.port.port)) for slot in box.inputs]
        alone = name not in returns and not box.equipment.outputs
        groups = _by_box(fed) if alone else [list(range(len(fed)))]
        parts = [part for group in groups for part in in_order_of_feeds(group, fed)]
        ports = [frozenset(p.port for k in part for p in box.inputs[k].ports) for part in parts]
        if len(ports) > 1:
            found[name] = tuple(ports[1:] if alone else ports)
    return found


def _by_box(fed: Sequence[Origin | None]) -> list[list[int]]:
    """The inputs in groups that follow each other and are fed by one piece of equipment."""
    groups: list[list[int]] = [[]]
    last = None
    for number, origin in enumerate(fed):
        if origin and last and origin.box != last:
            groups.append([])
        groups[-1].append(number)
        last = origin.box if origin else last
    return groups


def in_order_of_feeds(group: list[int], fed: Sequence[Origin | None]) -> list[list[int]]:
    """The group, cut where most lines are in the wrong order, as long as that is worth it."""

    def wrong(upper: int, lower: int) -> bool:
        one, other = fed[upper], fed[lower]
        return bool(one and other and one.box == other.box and one.output > other.output)

    # Cut one further down, an input is wrong no more with those above it, but with those below.
    saved = [0]
    for at, number in enumerate(group[:-1]):
        below = sum(wrong(number, lower) for lower in group[at + 1 :])
        saved.append(saved[-1] + below - sum(wrong(upper, number) for upper in group[:at]))
    best = max(range(len(group)), key=saved.__getitem__)
    if saved[best] < WORTH:
        return [group]
    return [*in_order_of_feeds(group[:best], fed), *in_order_of_feeds(group[best:], fed)]


class _Origins:
    """Follows lines back through positions and small equipment."""

    def __init__(self, chart: ChartGraph, boxes: Sequence[BoxPlan]) -> None:
        self._sources: dict[Pin, list[Pin]] = {}
        for edge in chart.graph.edges:
            self._sources.setdefault(edge.target, []).append(edge.source)
        self._nodes = {node.id: node for node in chart.graph.nodes}
        self._box = {box.id: box for box in boxes}
        ports: dict[str, int] = {}
        for box in boxes:
            ports[box.equipment.id] = ports.get(box.equipment.id, 0) + len(box.slots)
        self._large = {name for name, count in ports.items() if count >= LARGE}

    def of(self, pin: Pin) -> Origin | None:
        """What feeds an input; None where several outputs do, or no large equipment."""
        seen: set[str] = set()
        while True:
            sources = self._sources.get(pin, [])
            if len(sources) != 1:
                return None
            node, port = sources[0]
            output = [p.id for p in self._nodes[node].outputs].index(port)
            box = self._box.get(node)
            if box is not None and box.equipment.id in self._large:
                return Origin(box.equipment.id, output)
            onward = self._entered(node, output)
            if onward is None or node in seen:
                return None
            seen.add(node)
            pin = onward

    def _entered(self, node: str, output: int) -> Pin | None:
        """The input of a node with a line: the one as far down as an output, else the first."""
        wired = [(node, p.id) for p in self._nodes[node].inputs if (node, p.id) in self._sources]
        if not wired:
            return None
        return wired[output] if output < len(wired) else wired[0]
