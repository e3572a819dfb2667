"""Ways: every net's runs through the channels, and every layer's place from left to right."""

from __future__ import annotations

from dataclasses import dataclass

from slinediag.layout.channel import Channel, channel_of
from slinediag.layout.expand import lane
from slinediag.layout.graph import Node, micrometres
from slinediag.layout.placed import Placed
from slinediag.layout.rooms import Column, Obstacle, rooms_between
from slinediag.layout.settings import Settings
from slinediag.layout.spans import LinkEnd
from slinediag.layout.wires import Wire


@dataclass(frozen=True, slots=True)
class Routed:
    """Channels and columns, in micrometres.

    ``channels[g + 1]`` is gap g, its first track at ``tracks[g + 1]``, each next one ``spacing``
    further right. ``columns[layer]`` is (left, right). ``lefts[n]``: box n's left edge.
    ``wires[g + 1]``: per net its levels in the gap.
    """

    placed: Placed
    channels: tuple[Channel, ...]
    wires: tuple[dict[int, Wire], ...]
    tracks: tuple[int, ...]
    spacing: int
    columns: tuple[tuple[int, int], ...]
    lefts: tuple[int, ...]


def route(placed: Placed, settings: Settings) -> Routed:
    """Tracks for every gap, then columns just wide enough for them."""
    wires = _wires(placed)
    clearance = micrometres(settings.clearance)
    spacing = micrometres(settings.spacing)
    narrowest = micrometres(settings.channel)
    rows = placed.ordered.rows
    nodes = placed.ordered.layered.wiring.graph.nodes
    wide = [max((micrometres(nodes[n].width) for n in row if n >= 0), default=0) for row in rows]
    edges = [_column(placed, layer, width, settings) for layer, width in enumerate(wide)]
    channels = []
    x = 0
    tracks, columns = [], []
    for number, found in enumerate(wires):
        left = edges[number - 1] if number else None
        right = edges[number] if number < len(edges) else None
        inner = left is not None and right is not None
        free = max(0, narrowest // spacing - 1) if inner and spacing else 0
        rooms = rooms_between(left, right)
        channel = channel_of(list(found.values()), clearance, rooms, free)
        channels.append(channel)
        width = (channel.tracks + 1) * spacing if channel.uprights else 0
        width = max(width, narrowest) if inner else width
        tracks.append(x + (width - (channel.tracks - 1) * spacing) // 2)
        x += width
        if number < len(wide):
            columns.append((x, x + wide[number]))
            x += wide[number]
    lefts = [0] * len(nodes)
    for (left_edge, right_edge), row in zip(columns, rows, strict=True):
        for item in row:
            if item >= 0:
                lefts[item] = left_edge + _inset(placed, item, nodes[item], right_edge - left_edge)
    return Routed(
        placed, tuple(channels), wires, tuple(tracks), spacing, tuple(columns), tuple(lefts)
    )


def _column(placed: Placed, layer: int, width: int, settings: Settings) -> Column:
    """The boxes of a layer as what uprights must keep clear of."""
    nodes = placed.ordered.layered.wiring.graph.nodes
    clearance = micrometres(settings.clearance)
    obstacles = []
    for item, y in zip(placed.ordered.rows[layer], placed.levels[layer], strict=True):
        if item >= 0:
            node = nodes[item]
            inset = _inset(placed, item, node, width)
            bottom = y + micrometres(node.height) + micrometres(node.below)
            obstacles.append(
                Obstacle(
                    y - micrometres(node.above) - clearance,
                    bottom + clearance,
                    inset,
                    width - inset - micrometres(node.width),
                )
            )
    return Column(width, obstacles, micrometres(settings.spacing))


def _inset(placed: Placed, item: int, node: Node, column: int) -> int:
    """A box's distance from the left of its column: as near to its lines as it goes."""
    wiring = placed.ordered.layered.wiring
    room = column - micrometres(node.width)
    if not wiring.entering[item]:
        return room
    return room // 2 if wiring.leaving[item] else 0


def _wires(placed: Placed) -> tuple[dict[int, Wire], ...]:
    """Per gap, per net, the levels at which it comes in."""
    ordered = placed.ordered
    layered = ordered.layered
    level = {
        (layer, item): y
        for layer, (row, ys) in enumerate(zip(ordered.rows, placed.levels, strict=True))
        for item, y in zip(row, ys, strict=True)
    }

    def end_level(number: int, layer: int, end: LinkEnd, right: bool) -> int:
        if end is None:
            return level[layer, lane(number)]
        ports = ordered.inputs if right else ordered.outputs
        return level[layer, end[0]] + ports[end[0]][end[1]]

    found: list[dict[int, Wire]] = [{} for _ in range(layered.depth + 1)]
    for number, (first, last) in enumerate(layered.spans):
        for gap in range(first, last + 1):
            lefts, rights = layered.ends_in_gap(number, gap)
            found[gap + 1][number] = Wire(
                number,
                tuple(end_level(number, gap, end, False) for end in lefts),
                tuple(end_level(number, gap + 1, end, True) for end in rights),
            )
    return tuple(found)
