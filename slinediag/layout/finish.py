"""From micrometres to the layout that is handed out."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from slinediag.layout.expand import Ordered
from slinediag.layout.graph import Port, micrometres
from slinediag.layout.layout import EdgeRun, Layout, Point, Standing, Trunk
from slinediag.layout.route import Routed
from slinediag.layout.settings import Settings
from slinediag.layout.trunks import Geometry, Spot, Tree


def finish(routed: Routed, settings: Settings) -> Layout:
    """Corners, trees and crossings; all of it moved to the margin on the left and on top."""
    geometry = Geometry(routed)
    ordered, wiring = geometry.ordered, geometry.layered.wiring
    nodes = wiring.graph.nodes
    trees = [geometry.tree(net) for net in range(len(wiring.nets))]
    tops = {
        item: y
        for row, ys in zip(ordered.rows, routed.placed.levels, strict=True)
        for item, y in zip(row, ys, strict=True)
        if item >= 0
    }
    left, top, right, bottom = _bounds(geometry, trees, tops)
    margin = micrometres(settings.margin)

    def point(spot: Spot) -> Point:
        return (spot[0] - left + margin) / 1000, (spot[1] - top + margin) / 1000

    runs = tuple(
        EdgeRun(tuple(point(spot) for spot in geometry.way(edge)), geometry.runs_back(edge))
        for edge in range(len(wiring.ends))
    )
    trunks = tuple(
        Trunk(
            net.edges,
            tuple((point((a, y)), point((b, y))) for y, a, b in tree.levels)
            + tuple((point((x, a)), point((x, b))) for x, a, b in tree.plumbs),
            tuple(point(dot) for dot in tree.dots),
        )
        for net, tree in zip(wiring.nets, trees, strict=True)
    )
    return Layout(
        {node.id: point((routed.lefts[k], tops[k])) for k, node in enumerate(nodes)},
        {node.id: _ys(node.inputs, ordered.inputs[k]) for k, node in enumerate(nodes)},
        {node.id: _ys(node.outputs, ordered.outputs[k]) for k, node in enumerate(nodes)},
        runs,
        trunks,
        tuple(tuple(nodes[item].id for item in row if item >= 0) for row in ordered.rows),
        crossings_of(trees),
        (right - left + 2 * margin) / 1000,
        (bottom - top + 2 * margin) / 1000,
        _standing(ordered),
    )


def _standing(ordered: Ordered) -> Standing:
    wiring = ordered.layered.wiring
    nodes = {
        node.id: place
        for node, place in zip(wiring.graph.nodes, ordered.box_places, strict=True)
        if place >= 0
    }
    lines = tuple(
        (edge.source, edge.target, ordered.net_places[net])
        for edge, net in zip(wiring.graph.edges, wiring.net_of_edge, strict=True)
    )
    return Standing(nodes, lines)


def _ys(ports: Sequence[Port], levels: Sequence[int]) -> dict[str, float]:
    return {port.id: y / 1000 for port, y in zip(ports, levels, strict=True)}


def _bounds(
    geometry: Geometry, trees: Sequence[Tree], tops: dict[int, int]
) -> tuple[int, int, int, int]:
    """Left, top, right and bottom of everything, labels' clearances included."""
    nodes = geometry.layered.wiring.graph.nodes
    xs, ys = [], []
    for item, y in tops.items():
        node, x = nodes[item], geometry.routed.lefts[item]
        xs += [x, x + micrometres(node.width)]
        bottom = y + micrometres(node.height) + micrometres(node.below)
        ys += [y - micrometres(node.above), bottom]
    for tree in trees:
        for y, a, b in tree.levels:
            ys.append(y)
            xs += [a, b]
        for x, a, b in tree.plumbs:
            xs.append(x)
            ys += [a, b]
    return min(xs, default=0), min(ys, default=0), max(xs, default=0), max(ys, default=0)


def crossings_of(trees: Sequence[Tree]) -> int:
    """Points at which a level run of one tree crosses an upright run of another."""
    levels = sorted((*level, net) for net, tree in enumerate(trees) for level in tree.levels)
    if not levels:
        return 0
    y, left, right, owner = np.array(levels, np.int64).T
    total = 0
    for net, tree in enumerate(trees):
        for x, low, high in tree.plumbs:
            part = slice(np.searchsorted(y, low, "right"), np.searchsorted(y, high, "left"))
            crossed = (left[part] < x) & (x < right[part]) & (owner[part] != net)
            total += int(crossed.sum())
    return total
