"""Arranges the chart's graph on one plane: each island by itself, then all of them packed.

What stood on the drawing before stays where it was. Lengths in micrometres.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from functools import partial
from typing import NamedTuple

from slinediag.chart.closeness import Nearness
from slinediag.chart.graph import ChartGraph, Placed
from slinediag.chart.islands import Island, arranged_island, split
from slinediag.chart.packing import (
    GAP,
    Link,
    Rank,
    Stand,
    all_put,
    as_read,
    larger_first,
    largest_first,
    pack,
    packing_order,
)
from slinediag.chart.recalling import Known
from slinediag.chart.standing import Standing, Stood, Wanted, corner_kept, settle
from slinediag.geometry import Box, Point, from_mm, union
from slinediag.layout.settings import Settings
from slinediag.progress import Tell, silent, stages

ASPECT = 1.5
"""Width to height of a lying sheet's room for a chart."""
HEADS = 30_000
"""What the labels above the topmost boxes take of a room, at most."""
SHARES = (1.0, 1.3, 1.7, 2.2, 2.9, 3.8)
"""Widths that are tried, as squares over the area of all islands."""


def arrange_after(
    before: Standing,
    chart: ChartGraph,
    settings: Settings,
    links: Sequence[Link] = (),
    aspect: float = ASPECT,
    tell: Tell = silent,
    across: int = 0,
    known: Known | None = None,
    near: Nearness | None = None,
) -> tuple[Placed, Standing]:
    """Arrange every island and pack them, the largest first, then what cords hang from it, so that
    what stood before stays; and what stands now.

    ``aspect``: width to height of the room they are to fit. What has grown moves down what is below
    it; islands that are new are packed about the rest. ``across``: the width of the room, which is
    tried besides others, and in which islands stand as they are read where it holds them so, 0
    where it is not known. ``known``: what has been arranged so far with this effort; gains the
    rest. ``near``: how near things are to what a part is drawn around, whose islands then come
    first where the room holds them so.
    """
    above = {node.id: from_mm(node.above) for node in chart.graph.nodes}
    parts = split(chart)
    earlier = before.earlier([[node.id for node in part.graph.nodes] for part in parts])
    says = stages(tell, [_labour(part) for part in parts])
    arranged, stood = [], {}
    for part, old, say in zip(parts, earlier, says, strict=True):
        island = arranged_island(part, settings, above, old, known)
        arranged.append(island)
        if old:
            stood[island.name] = old
        say(1.0, "laying out")
    kept = _kept(arranged, stood, before)
    rooms = sorted(_rooms(arranged, across, before.room if kept else None))

    orders: dict[tuple[str, ...], _Packed] = {}

    def packed(rank: Rank) -> _Packed:
        islands = packing_order(arranged, links, rank)
        names = tuple(island.name for island in islands)
        if names not in orders:
            orders[names] = in_order(islands)
        return orders[names]

    def in_order(islands: Sequence[Island]) -> _Packed:
        tried = [(pack(islands, room, links, kept), room) for room in rooms]
        ways = (_Packed(_room_needed(stand, aspect), stand, room) for stand, room in tried)
        return min(ways, key=lambda way: way.needed)

    ranks: tuple[Rank, ...] = (largest_first,)
    if across:
        ranks = (as_read, larger_first, *ranks)
        ranks = (partial(nearest_first, near), *ranks) if near else ranks
    best = _first_within(0 if links else across - HEADS, map(packed, ranks))
    largest = packing_order(arranged, links, largest_first)
    there = all_put(best.stand)
    stands = tuple(island.arranged.stood(_top(island, there)) for island in largest)
    return there, Standing(stands, there.nodes, best.room)


def nearest_first(near: Nearness, island: Island) -> tuple[object, ...]:
    """The nearest first, of these as they are read."""
    return (near(island.placed.nodes), *as_read(island))


class _Packed(NamedTuple):
    """Islands packed into a width: how wide a room of the aspect asked for they need."""

    needed: int
    stand: Sequence[Stand]
    room: int


def _first_within(room: int, ways: Iterable[_Packed]) -> _Packed:
    """The first way that surely has this room; else the first of those that need the least."""
    found: list[_Packed] = []
    for way in ways:
        if way.needed <= room:
            return way
        found.append(way)
    return min(found, key=lambda way: way.needed)


def _kept(
    islands: Sequence[Island], stood: Mapping[str, Stood], before: Standing
) -> dict[str, Point]:
    """The corners of islands that stay; of the parts of one that fell apart only the largest."""
    heirs: dict[int, Island] = {}
    for island in islands:
        old = stood.get(island.name)
        if old is not None:
            other = heirs.setdefault(id(old), island)
            if len(island.placed.nodes) > len(other.placed.nodes):
                heirs[id(old)] = island
    wanted = {}
    for island in heirs.values():
        old = stood[island.name]
        own = {name: before.nodes[name] for row in old.layout.layers for name in row}
        corner = corner_kept(island.placed.nodes, island.extent, own)
        if corner is not None:
            wanted[island.name] = Wanted(island.boxes, island.extent, corner, old.top)
    return dict(zip(wanted, settle([*wanted.values()]), strict=True))


def _rooms(islands: Sequence[Island], across: int, before: int | None) -> set[int]:
    """The widths to pack islands into: that of before, else several, ``across`` among them."""
    widest = max((i.extent.width for i in islands), default=0)
    if before is not None:
        return {max(before, widest)}
    area = sum((i.extent.width + GAP) * (i.extent.height + GAP) for i in islands)
    rooms = {max(widest, round(math.sqrt(area * share))) for share in SHARES}
    return rooms | {across} if across >= widest else rooms


def _room_needed(stand: Sequence[Stand], aspect: float) -> int:
    """The width of the room, of this aspect, that the whole would need."""
    extent = union(each.core for each in stand) if stand else Box(0, 0, 0, 0)
    return max(extent.width, round(extent.height * aspect))


def _top(island: Island, there: Placed) -> int:
    """The upper edge of an island on the plane."""
    name, box = next(iter(island.placed.nodes.items()))
    return there.nodes[name].y - box.y + island.extent.y


def _labour(part: ChartGraph) -> int:
    """About how long a part takes to arrange, in any measure: more than by its lines alone."""
    return 1 + len(part.graph.edges) ** 2
