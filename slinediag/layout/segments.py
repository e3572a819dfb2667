"""What stands on one level: lanes and boxes in single file, joined into straight segments."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby

from slinediag.layout.expand import Ordered, lane
from slinediag.layout.spans import LinkEnd, links

Spot = tuple[int, int]
"""A layer and an item in it."""


@dataclass(frozen=True, slots=True)
class Run:
    """A run in a gap from one spot to another, each with its y from the item's level.

    The level of a box is its top, that of a lane its line.
    """

    one: Spot
    other: Spot
    from_one: int
    from_other: int
    rigid: bool = False


@dataclass(frozen=True, slots=True)
class Segments:
    """Per segment its spots and their levels from the segment's own, in micrometres.

    ``of`` finds a spot's segment and level. No two segments stand in opposite order in two
    layers, nor do any form a ring. ``loose`` are the runs that lie not within one segment.
    """

    spots: tuple[tuple[Spot, ...], ...]
    of: dict[Spot, tuple[int, int]]
    loose: tuple[Run, ...]


def segments_of(ordered: Ordered) -> Segments:
    """Join the runs between single-file neighbours; where that makes a ring, part them again."""
    runs = _runs(ordered)
    onward = {run.one: run for run in runs if run.rigid}
    reached = {run.other for run in onward.values()}
    files: list[list[Spot]] = []
    for layer, row in enumerate(ordered.rows):
        for item in row:
            spot = (layer, item)
            if spot not in reached:
                file = [spot]
                while file[-1] in onward:
                    file.append(onward[file[-1]].other)
                files.append(file)
    parts = _without_rings(ordered, files)
    of: dict[Spot, tuple[int, int]] = {}
    for number, part in enumerate(parts):
        level = 0
        for spot, following in zip(part, [*part[1:], None], strict=True):
            of[spot] = (number, level)
            if following is not None:
                run = onward[spot]
                level += run.from_one - run.from_other
    loose = tuple(run for run in runs if of[run.one][0] != of[run.other][0])
    return Segments(tuple(tuple(part) for part in parts), of, loose)


def _runs(ordered: Ordered) -> list[Run]:
    """All runs of all nets, gap by gap."""
    layered = ordered.layered
    inner = {node for chain in layered.chains for node in chain.nodes}
    found = []

    def spot(number: int, gap: int, end: LinkEnd, right: bool) -> tuple[Spot, int, bool]:
        layer = gap + 1 if right else gap
        if end is None:
            return (layer, lane(number)), 0, True
        ys = ordered.inputs if right else ordered.outputs
        return (layer, end[0]), ys[end[0]][end[1]], end[0] in inner

    for number, (first, last) in enumerate(layered.spans):
        for gap in range(first, last + 1):
            lefts, rights = layered.ends_in_gap(number, gap)
            alone = len(lefts) == 1 and len(rights) == 1
            for one, other, side in links(lefts, rights):
                a, from_a, single_a = spot(number, gap, one, side == 1)
                b, from_b, single_b = spot(number, gap, other, side >= 0)
                found.append(Run(a, b, from_a, from_b, alone and single_a and single_b))
    return found


def _without_rings(ordered: Ordered, files: list[list[Spot]]) -> list[list[Spot]]:
    """The files, those in the way of a common order parted; sorted by one such order.

    Layers are read from the top. A file is done when all its spots are next in their layers;
    where none is, the spots of one file that are next are parted from the rest.
    """
    file_of = {spot: file for file in files for spot in file}
    heads = [0] * len(ordered.rows)
    done: list[list[Spot]] = []
    ready: list[int] = list(range(len(ordered.rows)))

    def at_head(spot: Spot) -> bool:
        layer, item = spot
        return heads[layer] < len(ordered.rows[layer]) and ordered.rows[layer][heads[layer]] == item

    def finish(file: list[Spot]) -> None:
        done.append(file)
        for layer, _ in file:
            heads[layer] += 1
            ready.append(layer)

    while True:
        while ready:
            layer = ready.pop()
            if heads[layer] == len(ordered.rows[layer]):
                continue
            file = file_of[layer, ordered.rows[layer][heads[layer]]]
            if all(at_head(spot) for spot in file):
                finish(file)
        waiting = [k for k, row in enumerate(ordered.rows) if heads[k] < len(row)]
        if not waiting:
            return done
        layer = waiting[0]
        file = file_of[layer, ordered.rows[layer][heads[layer]]]
        for _, group in groupby(file, at_head):
            part = list(group)
            file_of.update((spot, part) for spot in part)
        ready.append(layer)
