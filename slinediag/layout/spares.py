"""Boxes without lines: set close together under what is placed already."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from slinediag.layout.graph import Node
from slinediag.layout.layout import Layout
from slinediag.layout.placed import Placed, Shapes
from slinediag.layout.settings import Settings


def add_spares(placed: Placed, settings: Settings) -> Placed:
    """Every box without a line at the foot of the layer that ends highest, in the graph's order.

    A box wider than a layer goes to one that is wide enough, if there is any.
    """
    ordered = placed.ordered
    nodes = ordered.layered.wiring.graph.nodes
    spares = [node for node, layer in enumerate(ordered.layered.layers) if layer < 0]
    if not spares:
        return placed
    shapes = Shapes(ordered, settings)
    rows = [list(row) for row in ordered.rows]
    levels = [list(ys) for ys in placed.levels]
    wide = [max((nodes[item].width for item in row if item >= 0), default=0.0) for row in rows]
    feet = [(_foot(rows[k], levels[k], shapes), k) for k in range(len(rows))]
    before = _layers_before(rows, nodes, settings.previous)
    for spare in sorted(spares, key=lambda node: (-nodes[node].width, node)):
        width = nodes[spare].width
        fitting = [foot for foot in feet if not rows[foot[1]] or width <= wide[foot[1]]]
        layer = min(fitting or feet)[1]
        layer = before.get(nodes[spare].id, layer)
        row, ys = rows[layer], levels[layer]
        if row:
            level = ys[-1] + shapes.distance(row[-1], spare)
        else:
            level = -shapes.first_port[spare]
            wide[layer] = nodes[spare].width
        row.append(spare)
        ys.append(level)
        feet[layer] = (_foot(row, ys, shapes), layer)
    fuller = replace(ordered, rows=tuple(tuple(row) for row in rows))
    return Placed(fuller, tuple(tuple(ys) for ys in levels))


def _layers_before(
    rows: Sequence[Sequence[int]], nodes: Sequence[Node], previous: Layout | None
) -> dict[str, int]:
    """The layer that now holds what stood nearest above, else below, each box before."""
    now = {nodes[item].id: layer for layer, row in enumerate(rows) for item in row if item >= 0}
    found = {}
    for row in previous.layers if previous else ():
        for k, name in enumerate(row):
            near = next((other for other in (*row[k::-1], *row[k:]) if other in now), None)
            if near is not None:
                found[name] = now[near]
    return found


def _foot(row: list[int], ys: list[int], shapes: Shapes) -> int:
    """Where the layer ends."""
    if not row:
        return 0
    return ys[-1] + (shapes.below[row[-1]] if row[-1] >= 0 else 0)
