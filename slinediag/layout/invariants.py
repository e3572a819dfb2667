"""What must hold after each step: every check returns what is wrong, in words.

Each takes the result of one step of the pipeline and looks at it afresh.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import defaultdict
from itertools import pairwise

from slinediag.layout.expand import Ordered, items_by_layer
from slinediag.layout.graph import Graph, micrometres
from slinediag.layout.layers import Layered
from slinediag.layout.layout import Layout, Point
from slinediag.layout.placed import Placed, Shapes
from slinediag.layout.route import Routed
from slinediag.layout.segments import segments_of
from slinediag.layout.settings import Settings

Spot = tuple[int, int]
Stretch = tuple[int, int, int, int]
"""A fixed coordinate, where the stretch begins and ends along it, and the trunk's number."""


def layered_faults(layered: Layered) -> list[str]:
    """Every box with lines has a layer, chains advance by one, spans hold all their ends."""
    wiring = layered.wiring
    faults = []
    for node, place in enumerate(layered.layers):
        joined = bool(wiring.leaving[node] or wiring.entering[node])
        if joined != (place >= 0) or place >= layered.depth:
            faults.append(f"box {node} is in layer {place}")
    for chain in layered.chains:
        way = [layered.layers[n] for n in (chain.source[0], *chain.nodes, chain.target[0])]
        if any(a >= b for a, b in pairwise(way)):
            faults.append(f"a chain goes through layers {way}")
    for net, (first, last) in zip(wiring.nets, layered.spans, strict=True):
        gaps = [layered.layers[node] for node, _ in net.sources]
        gaps += [layered.layers[node] - 1 for node, _ in net.targets]
        if (min(gaps), max(gaps)) != (first, last):
            faults.append(f"net of edges {net.edges} spans {first} to {last}")
    return faults


def ordered_faults(ordered: Ordered) -> list[str]:
    """Every box with lines once, in its layer; every net one lane in each layer it passes."""
    layered = ordered.layered
    expected = items_by_layer(layered)
    faults = [
        f"layer {place} holds {sorted(row)}"
        for place, (row, wanted) in enumerate(zip(ordered.rows, expected, strict=True))
        if sorted(row) != sorted(wanted)
    ]
    nodes = layered.wiring.graph.nodes
    for box, ins, outs in zip(nodes, ordered.inputs, ordered.outputs, strict=True):
        given = [sorted(micrometres(p.y) for p in side) for side in (box.inputs, box.outputs)]
        if [sorted(ins), sorted(outs)] != given:
            faults.append(f"the ports of {box.id} have new levels")
    return faults


def placed_faults(placed: Placed, settings: Settings) -> list[str]:
    """In each layer every two neighbours are as far apart as their shapes ask, and no bend is idle.

    A bend is idle where a lane or box, with what stands straight on it, could move alone so that
    one of its lines runs straight, and none runs straight now.
    """
    return [*_distance_faults(placed, settings), *_idle_bends(placed, settings)]


def _idle_bends(placed: Placed, settings: Settings) -> list[str]:
    segments = segments_of(placed.ordered)
    shapes = Shapes(placed.ordered, settings)
    up: dict[int, int] = {}
    down: dict[int, int] = {}
    level: dict[tuple[int, int], int] = {}
    for layer, (row, ys) in enumerate(zip(placed.ordered.rows, placed.levels, strict=True)):
        level.update(((layer, item), y) for item, y in zip(row, ys, strict=True))
        for (upper, a), (lower, b) in pairwise(zip(row, ys, strict=True)):
            room = b - a - shapes.distance(upper, lower)
            one, other = (segments.of[layer, item][0] for item in (upper, lower))
            down[one] = min(down.get(one, room), room)
            up[other] = min(up.get(other, room), room)
    offs: dict[int, list[int]] = defaultdict(list)
    for run in segments.loose:
        off = level[run.other] + run.from_other - level[run.one] - run.from_one
        offs[segments.of[run.one][0]].append(off)
        offs[segments.of[run.other][0]].append(-off)
    far = max((abs(y) for y in level.values()), default=0) + 1
    return [
        f"segment {number} could move {off}"
        for number, wanted in offs.items()
        if 0 not in wanted
        for off in wanted
        if -up.get(number, far) <= off <= down.get(number, far)
    ]


def _distance_faults(placed: Placed, settings: Settings) -> list[str]:
    shapes = Shapes(placed.ordered, settings)
    return [
        f"in layer {number} item {lower} is {b - a} below {upper}"
        for number, (row, levels) in enumerate(zip(placed.ordered.rows, placed.levels, strict=True))
        for (upper, a), (lower, b) in pairwise(zip(row, levels, strict=True))
        if b - a < shapes.distance(upper, lower)
    ]


def routed_faults(routed: Routed, settings: Settings) -> list[str]:
    """On one track uprights keep their distance; off their channel they keep it from boxes."""
    faults = []
    clearance = micrometres(settings.clearance)
    for number, channel in enumerate(routed.channels):
        on_track: dict[int, list[tuple[int, int]]] = defaultdict(list)
        for uprights in channel.uprights.values():
            for upright in uprights:
                on_track[upright.track].append((upright.wire.low, upright.wire.high))
        for track, runs in on_track.items():
            runs.sort()
            x = routed.tracks[number] + track * routed.spacing
            if any(a[1] + clearance > b[0] for a, b in pairwise(runs)):
                faults.append(f"uprights meet on track {track} of channel {number}")
            faults += [
                f"the upright from {low} to {high} in channel {number} is too near a box"
                for low, high in runs
                if _near_box(routed, settings, number, (x, low, high))
            ]
    return faults


def _near_box(
    routed: Routed, settings: Settings, number: int, upright: tuple[int, int, int]
) -> bool:
    """Whether a box left or right of a channel is nearer than ``spacing`` or on the wrong side."""
    x, low, high = upright
    placed, clearance = routed.placed, micrometres(settings.clearance)
    nodes = placed.ordered.layered.wiring.graph.nodes
    for layer, sign in ((number - 1, 1), (number, -1)):
        if not 0 <= layer < len(routed.columns):
            continue
        middle = sum(routed.columns[layer]) // 2
        if (x - middle) * sign < routed.spacing // 2:
            return True
        for item, y in zip(placed.ordered.rows[layer], placed.levels[layer], strict=True):
            if item < 0:
                continue
            node = nodes[item]
            top = y - micrometres(node.above) - clearance
            bottom = y + micrometres(node.height) + micrometres(node.below) + clearance
            edge = routed.lefts[item] + (micrometres(node.width) if sign > 0 else 0)
            if top < high and low < bottom and (x - edge) * sign < routed.spacing:
                return True
    return False


def layout_faults(layout: Layout, graph: Graph, settings: Settings) -> list[str]:
    """All that is promised of a finished layout, checked from its points alone."""
    return [
        *_end_faults(layout, graph, settings),
        *_trunk_faults(layout),
        *_meeting_faults(layout, graph),
        *_box_faults(layout, graph),
        *_line_through_box_faults(layout, graph),
    ]


def _spot(point: Point) -> Spot:
    return micrometres(point[0]), micrometres(point[1])


def _end_faults(layout: Layout, graph: Graph, settings: Settings) -> list[str]:
    """Ways are level or upright, start and end at their ports, without idle corners."""
    faults = []
    for number, (edge, run) in enumerate(zip(graph.edges, layout.edges, strict=True)):
        corners = [_spot(point) for point in run.points]
        source, target = graph.nodes[graph.index[edge.source[0]]], edge.target[0]
        x, y = layout.nodes[source.id]
        start = (x + source.width, y + layout.outputs[source.id][edge.source[1]])
        x, y = layout.nodes[target]
        stop = (x, y + layout.inputs[target][edge.target[1]])
        for corner, wanted in ((corners[0], start), (corners[-1], stop)):
            if max(abs(a - b) for a, b in zip(corner, _spot(wanted), strict=True)) > 1:
                faults.append(f"edge {number} ends at {corner}, its port is at {wanted}")
        if any((a[0] == b[0]) == (a[1] == b[1]) for a, b in pairwise(corners)):
            faults.append(f"edge {number} has a slanting or empty piece")
        turns = [a[0] == b[0] for a, b in pairwise(corners)]
        if any(a == b for a, b in pairwise(turns)):
            faults.append(f"edge {number} has an idle corner")
        if run.reversed != (corners[-1][0] < corners[0][0]) and source.width > 0:
            faults.append(f"edge {number} runs back without saying so, or says so without")
    if settings.ports == "fixed":
        for node in graph.nodes:
            given = {p.id: micrometres(p.y) for p in node.inputs + node.outputs}
            found = {**layout.inputs[node.id], **layout.outputs[node.id]}
            if {port: micrometres(y) for port, y in found.items()} != given:
                faults.append(f"the ports of {node.id} moved")
    return faults


def _pieces(layout: Layout, upright: bool) -> list[Stretch]:
    """All level or upright segments of all trunks, sorted."""
    found = []
    for number, trunk in enumerate(layout.trunks):
        for a, b in (map(_spot, segment) for segment in trunk.segments):
            if upright and a[0] == b[0]:
                found.append((a[0], a[1], b[1], number))
            if not upright and a[1] == b[1]:
                found.append((a[1], a[0], b[0], number))
    return sorted(found)


def _trunk_faults(layout: Layout) -> list[str]:
    """Each trunk covers its edges' ways and nothing else, and has a dot where it branches."""
    faults = []
    for number, trunk in enumerate(layout.trunks):
        ways = [[_spot(p) for p in layout.edges[e].points] for e in trunk.edges]
        levels, uprights = _covered(ways)
        own_levels = {_key(_spot(a), _spot(b)) for a, b in trunk.segments if a[1] == b[1]}
        own_uprights = {_key(_spot(a), _spot(b)) for a, b in trunk.segments if a[0] == b[0]}
        if own_levels | own_uprights != levels | uprights:
            faults.append(f"trunk {number} is not the union of its edges' ways")
        dots = {_spot(dot) for dot in trunk.dots}
        missing = {spot for spot in _joints(levels, uprights) if spot not in dots}
        if missing or len(dots) != len(trunk.dots):
            faults.append(f"trunk {number} branches without a dot at {sorted(missing)}")
    return faults


def _key(a: Spot, b: Spot) -> tuple[Spot, Spot]:
    return min(a, b), max(a, b)


def _covered(
    ways: list[list[Spot]],
) -> tuple[set[tuple[Spot, Spot]], set[tuple[Spot, Spot]]]:
    """Level and upright segments of all ways, those that touch in line joined."""
    lines: dict[tuple[bool, int], list[tuple[int, int]]] = defaultdict(list)
    for way in ways:
        for a, b in pairwise(way):
            upright = a[0] == b[0]
            along = 1 if upright else 0
            fixed = a[1 - along]
            lines[upright, fixed].append((min(a[along], b[along]), max(a[along], b[along])))
    levels, uprights = set(), set()
    for (upright, fixed), parts in lines.items():
        joined: list[tuple[int, int]] = []
        for low, high in sorted(parts):
            if joined and low <= joined[-1][1]:
                joined[-1] = (joined[-1][0], max(high, joined[-1][1]))
            else:
                joined.append((low, high))
        for low, high in joined:
            if upright:
                uprights.add(((fixed, low), (fixed, high)))
            else:
                levels.add(((low, fixed), (high, fixed)))
    return levels, uprights


def _joints(levels: set[tuple[Spot, Spot]], uprights: set[tuple[Spot, Spot]]) -> list[Spot]:
    """Where a level and an upright segment of one trunk meet other than end on end."""
    found = []
    for (x, low), (_, high) in uprights:
        for (left, y), (right, _) in levels:
            if left <= x <= right and low <= y <= high:
                inner = (left < x < right) + (low < y < high)
                if inner:
                    found.append((x, y))
    return found


def _meeting_faults(layout: Layout, graph: Graph) -> list[str]:
    """Lines of two trunks cross or keep clear: never in line, never corner on line."""
    faults = []
    points = {_spot(layout.nodes[node.id]) for node in graph.nodes if not node.width}
    loose = {x for x, _ in points}
    for upright in (False, True):
        pieces = _pieces(layout, upright)
        for (fixed, _, high, one), (other_fixed, low, _, other) in pairwise(pieces):
            if fixed == other_fixed and one != other and low <= high and high not in loose:
                faults.append(f"trunks {one} and {other} lie on each other at {fixed}")
    levels = _pieces(layout, False)
    heights = [y for y, _, _, _ in levels]
    for x, low, high, one in _pieces(layout, True):
        near = levels[bisect_left(heights, low) : bisect_right(heights, high)]
        for y, left, right, other in near:
            corner = y in (low, high) or x in (left, right)
            if one != other and corner and left <= x <= right:
                faults.append(f"trunks {one} and {other} touch at {(x, y)}")
    return faults


def _boxes(layout: Layout, graph: Graph) -> list[tuple[int, int, int, int, str]]:
    """(left, right, top, bottom, id) of every box with its clearances, sorted."""
    found = []
    for node in graph.nodes:
        x, y = _spot(layout.nodes[node.id])
        top, bottom = micrometres(node.above), micrometres(node.height) + micrometres(node.below)
        found.append((x, x + micrometres(node.width), y - top, y + bottom, node.id))
    return sorted(found)


def _box_faults(layout: Layout, graph: Graph) -> list[str]:
    """No two boxes or their clearances overlap."""
    faults = []
    open_: list[tuple[int, int, int, int, str]] = []
    for box in _boxes(layout, graph):
        open_ = [other for other in open_ if other[1] > box[0]]
        faults += [
            f"boxes {other[4]} and {box[4]} overlap"
            for other in open_
            if other[2] < box[3] and box[2] < other[3]
        ]
        open_.append(box)
    return faults


def _line_through_box_faults(layout: Layout, graph: Graph) -> list[str]:
    """No line passes through a box or its clearances.

    A box without width may have its own lines on both sides meet at its port.
    """
    faults = []
    levels, uprights = _pieces(layout, False), _pieces(layout, True)
    heights = [piece[0] for piece in levels]
    sides = [piece[0] for piece in uprights]
    for left, right, top, bottom, name in _boxes(layout, graph):
        y = layout.nodes[name][1]
        ports = (*layout.inputs[name].values(), *layout.outputs[name].values())
        own = {micrometres(y + port) for port in ports} if left == right else set()
        beside = levels[bisect_right(heights, top) : bisect_left(heights, bottom)]
        across = uprights[bisect_right(sides, left) : bisect_left(sides, right)]
        if any(a < right and left < b for y, a, b, _ in beside if y not in own):
            faults.append(f"a line passes through {name}")
        if any(a < bottom and top < b for _, a, b, _ in across):
            faults.append(f"an upright passes through {name}")
    return faults
