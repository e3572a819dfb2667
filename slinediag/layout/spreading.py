"""Shifts spread over the channels that their lines pass, so that these need fewer tracks.

Where lines beside each other shift by less than they are many, each comes in on the level on
which another leaves: their uprights stand in a chain, on a track each (the vertical constraints
of channel routing: Yoshimura, Kuh, "Efficient algorithms for channel routing", IEEE Trans. CAD 1
(1982)). But a line may shift in any of the channels it passes. So boxes and lanes with one line
in and one out are moved, one layer at a time, to the level on which their line comes or goes: it
then shifts in the next channel instead, with no bend more. The order of no layer changes.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import NamedTuple

import numpy as np

from slinediag.layout.expand import Ordered, lane
from slinediag.layout.graph import micrometres
from slinediag.layout.placed import Shapes
from slinediag.layout.segments import Segments
from slinediag.layout.settings import Settings
from slinediag.layout.spans import LinkEnd

Rows = tuple[tuple[int, ...], ...]
"""The level of every item of every layer."""

Spans = list[tuple[int, int]]
"""Pairs of levels: where a wire comes and goes, or top and foot."""

Moves = list[tuple[int, int]]
"""Items of one layer, by their place in it, and where they go."""

# What a track costs, and a line that is bent. In channels that need many tracks each wire costs 1
# for each that stands before it: so a chain is parted though another one is as long.
TRACK = 50
BEND = 2 * TRACK

# Wires of a channel that are looked at all at once.
MANY = 40

# Into how many parts a file of shifts may be cut.
PARTS = 8

# How many needs are remembered at once.
REMEMBERED = 4000


class Need(NamedTuple):
    """What a channel needs: its cost, its tracks, and how many uprights stand side by side."""

    cost: int
    tracks: int
    density: int


class Wire(NamedTuple):
    """A line across a channel: its item on the left and on the right, each with its port's y."""

    left: int
    from_left: int
    right: int
    from_right: int


@dataclass(frozen=True, slots=True)
class Spread:
    """Levels, what they cost, and how many tracks channels need beyond their density."""

    levels: Rows
    cost: int
    excess: int


class Channels:
    """What joins the items of each two neighbouring layers, whatever their levels.

    ``wires[gap]``: those with one end on either side; ``trunks[gap]``: the others, as ends
    (layer, place, y). ``come[layer][k]`` and ``go[layer][k]``: the wire of an item that has one
    in and one out.
    """

    def __init__(self, ordered: Ordered, segments: Segments, settings: Settings) -> None:
        self.segments = segments
        shapes = Shapes(ordered, settings)
        self.least = [[shapes.distance(*pair) for pair in pairwise(row)] for row in ordered.rows]
        self.clearance = micrometres(settings.clearance)
        spacing, narrowest = micrometres(settings.spacing), micrometres(settings.channel)
        self.free = max(0, narrowest // spacing - 1) if spacing else 0
        self.place = {
            (layer, item): k for layer, row in enumerate(ordered.rows) for k, item in enumerate(row)
        }
        gaps = max(0, len(ordered.rows) - 1)
        self.wires: list[list[Wire]] = [[] for _ in range(gaps)]
        self.trunks: list[list[list[tuple[int, int, int]]]] = [[] for _ in range(gaps)]
        self.come: list[dict[int, Wire]] = [{} for _ in ordered.rows]
        self.go: list[dict[int, Wire]] = [{} for _ in ordered.rows]
        self._gather(ordered)
        self._known: dict[tuple[int, tuple[int, ...], tuple[int, ...]], Need] = {}
        self._ends = [np.array(wires, np.int64).reshape(-1, 4).T for wires in self.wires]

    def _gather(self, ordered: Ordered) -> None:
        """Find all wires and the items that have one in and one out."""
        layered = ordered.layered
        lines: tuple[Counter[tuple[int, int]], ...] = (Counter(), Counter())

        def end(net: int, layer: int, found: LinkEnd, right: bool) -> tuple[int, int, int]:
            item = lane(net) if found is None else found[0]
            k = self.place[layer, item]
            lines[right][layer, k] += 1
            ys = ordered.inputs if right else ordered.outputs
            return layer, k, 0 if found is None else ys[found[0]][found[1]]

        for net, (first, last) in enumerate(layered.spans):
            for gap in range(first, last + 1):
                lefts, rights = layered.ends_in_gap(net, gap)
                ones = [end(net, gap, found, False) for found in lefts]
                others = [end(net, gap + 1, found, True) for found in rights]
                if not 0 <= gap < len(self.wires):
                    continue
                if len(ones) == len(others) == 1:
                    wire = Wire(*ones[0][1:], *others[0][1:])
                    self.wires[gap].append(wire)
                    self.go[gap][wire.left] = self.come[gap + 1][wire.right] = wire
                else:
                    self.trunks[gap].append([*ones, *others])
        for layer, (come, go) in enumerate(zip(self.come, self.go, strict=True)):
            for k in [*come, *go]:
                alone = lines[0][layer, k] == lines[1][layer, k] == 1
                if not (alone and k in come and k in go):
                    come.pop(k, None)
                    go.pop(k, None)

    def need(self, gap: int, levels: Sequence[Sequence[int]]) -> Need:
        """What a gap's channel needs on these levels; the room beside boxes is left out.

        More than half of all that are asked for are asked for again.
        """
        asked = gap, tuple(levels[gap]), tuple(levels[gap + 1])
        found = self._known.get(asked)
        if found is None:
            if len(self._known) == REMEMBERED:
                self._known.clear()
            found = self._known[asked] = self._need(gap, levels)
        return found

    def _need(self, gap: int, levels: Sequence[Sequence[int]]) -> Need:
        """The same, worked out."""
        up, down = self._shifts(gap, levels)
        # Mirrored, what runs downwards runs upwards.
        tops = [end for _, end in up] + [-start for start, _ in down]
        feet = [start for start, _ in up] + [-end for _, end in down]
        bent = len(tops)
        for ends in self.trunks[gap]:
            ys = [levels[layer][k] + y for layer, k, y in ends]
            if min(ys) < max(ys):
                tops.append(min(ys))
                feet.append(max(ys))
        density = _density(tops, feet)
        ranks = [*_ranks(up, self.clearance), *_ranks(down, self.clearance)]
        tracks = max(max(ranks, default=0), density)
        cost = TRACK * (max(tracks, self.free) + tracks - density) + BEND * bent
        if tracks > self.free or tracks > density:
            cost += sum(ranks) - len(ranks)
        return Need(cost, tracks, density)

    def _shifts(self, gap: int, levels: Sequence[Sequence[int]]) -> tuple[Spans, Spans]:
        """The wires of a gap that run upwards, and those that run downwards, mirrored."""
        ones, others = levels[gap], levels[gap + 1]
        if len(self.wires[gap]) < MANY:
            spans = [(ones[k] + y, others[m] + z) for k, y, m, z in self.wires[gap]]
            return [span for span in spans if span[0] > span[1]], [
                (-start, -end) for start, end in spans if start < end
            ]
        left, from_left, right, from_right = self._ends[gap]
        start, end = np.array(ones)[left] + from_left, np.array(others)[right] + from_right
        up, down = start > end, start < end
        return (
            list(zip(start[up].tolist(), end[up].tolist(), strict=True)),
            list(zip((-start[down]).tolist(), (-end[down]).tolist(), strict=True)),
        )

    def fits(self, layer: int, ys: Sequence[int], moves: Moves) -> bool:
        """Whether what has moved keeps its distance from its neighbours."""
        least = self.least[layer]
        return all(
            (k == 0 or ys[k] - ys[k - 1] >= least[k - 1])
            and (k == len(least) or ys[k + 1] - ys[k] >= least[k])
            for k, _ in moves
        )


def _density(tops: list[int], feet: list[int]) -> int:
    """The most uprights that stand side by side; those that only touch do not."""
    tops.sort()
    feet.sort()
    most = ended = 0
    for begun, top in enumerate(tops, 1):
        while feet[ended] <= top and ended < begun - 1:
            ended += 1
        if begun - ended > most:
            most = begun - ended
    return most


def _ranks(wires: Spans, clearance: int) -> list[int]:
    """Of wires that run upwards, how many stand in the longest chain that ends with each: every
    one right of the one before, on whose level it would lie."""
    wires.sort()
    ranks: list[int] = []
    for number, (_, end) in enumerate(wires):
        most = 0
        for other in range(number - 1, -1, -1):
            start, stop = wires[other]
            if start + clearance <= end:
                break
            if stop < end and ranks[other] > most:
                most = ranks[other]
        ranks.append(most + 1)
    return ranks


def spread(channels: Channels, levels: Rows) -> Spread:
    """The levels at which the channels together need least, found move by move.

    Every channel tries to hand on a part of each file of shifts to the channel on its right or
    left, first those that need the most tracks beyond their density; this ends, since each move
    saves something.
    """
    found = [list(ys) for ys in levels]
    gaps = range(len(channels.wires))
    needs = [channels.need(gap, found) for gap in gaps]
    waiting = set(gaps)
    while waiting:
        near: set[int] = set()
        for gap in sorted(waiting, key=lambda gap: (needs[gap].density - needs[gap].tracks, gap)):
            while _hand_on(channels, found, needs, gap):
                near.update(range(gap - 2, gap + 3))
        waiting = near & set(gaps)
    if _straighten(channels, found):
        needs = [channels.need(gap, found) for gap in gaps]
    return Spread(
        tuple(tuple(ys) for ys in found),
        sum(need.cost for need in needs),
        sum(need.tracks - need.density for need in needs),
    )


def _hand_on(channels: Channels, levels: list[list[int]], needs: list[Need], gap: int) -> bool:
    """Make the moves out of a gap that save something; False where none does."""
    moved = False
    for layer, other in ((gap + 1, gap + 1), (gap, gap - 1)):
        if not 0 <= other < len(needs):
            continue
        files = [
            file for down in (True, False) for file in _files(channels, levels, gap, layer, down)
        ]
        for choices in _choices(files):
            best: tuple[int, Moves, Need, Need] | None = None
            ys = levels[layer]
            for moves in choices:
                levels[layer] = list(ys)
                for k, y in moves:
                    levels[layer][k] = y
                if channels.fits(layer, levels[layer], moves):
                    here, there = channels.need(gap, levels), channels.need(other, levels)
                    saved = needs[gap].cost + needs[other].cost - here.cost - there.cost
                    if saved > (best[0] if best else 0):
                        best = saved, moves, here, there
            levels[layer] = ys
            if best is not None:
                _, moves, needs[gap], needs[other] = best
                for k, y in moves:
                    ys[k] = y
                moved = True
    return moved


def _choices(files: list[Moves]) -> Iterator[list[Moves]]:
    """Parts of each file of items that can give way in turn, and parts of all files at once."""
    for file in files:
        step = -(-len(file) // PARTS)
        yield [*(file[:count] for count in range(step, len(file), step)), file]
    if len(files) > 1:
        yield [
            [move for file in files for move in file[: -(-len(file) * part // 4)]]
            for part in range(1, 5)
        ]


def _files(
    channels: Channels, levels: list[list[int]], gap: int, layer: int, down: bool
) -> Iterator[Moves]:
    """Items that can follow each other down, or up, to where their wires in the gap are straight.

    Each has room once the one before it has moved.
    """
    ys, least = levels[layer], channels.least[layer]
    coming = layer > gap
    wires = channels.come[layer] if coming else channels.go[layer]
    far = levels[gap if coming else gap + 1]
    sign = 1 if down else -1
    file: Moves = []
    edge: int | None = None
    for k in range(len(ys) - 1, -1, -1) if down else range(len(ys)):
        aim = ys[k]
        if k in wires:
            left, from_left, right, from_right = wires[k]
            aim = (
                far[left] + from_left - from_right
                if coming
                else far[right] + from_right - from_left
            )
        near = k + 1 if down else k - 1
        room = edge is None or sign * (edge - aim) >= least[min(k, near)]
        if file and not (room and sign * (aim - ys[k]) > 0):
            yield file
            file = []
            room = sign * (ys[near] - aim) >= least[min(k, near)]
        if room and sign * (aim - ys[k]) > 0:
            file.append((k, aim))
            edge = aim
        else:
            edge = ys[k]
    if file:
        yield file


def _straighten(channels: Channels, levels: list[list[int]]) -> bool:
    """Move what has no straight run any more to where it has one, if there is room."""
    segments = channels.segments
    runs: list[list[tuple[tuple[int, int, int], tuple[int, int, int]]]] = [
        [] for _ in segments.spots
    ]
    for run in segments.loose:
        one = (run.one[0], channels.place[run.one], run.from_one)
        other = (run.other[0], channels.place[run.other], run.from_other)
        runs[segments.of[run.one][0]].append((one, other))
        runs[segments.of[run.other][0]].append((other, one))

    def level(end: tuple[int, int, int]) -> int:
        return levels[end[0]][end[1]] + end[2]

    changed, moved = False, True
    while moved:
        moved = False
        for number, ends in enumerate(runs):
            offs = [level(other) - level(one) for one, other in ends]
            if not offs or 0 in offs:
                continue
            spots = [(spot[0], channels.place[spot]) for spot in segments.spots[number]]
            up, down = _room(channels, levels, spots)
            free = [off for off in offs if -up <= off <= down]
            if free:
                off = min(free, key=lambda off: (abs(off), off))
                for layer, k in spots:
                    levels[layer][k] += off
                changed = moved = True
    return changed


def _room(
    channels: Channels, levels: list[list[int]], spots: Sequence[tuple[int, int]]
) -> tuple[float, float]:
    """How far items can go up and down together."""
    up = down = float("inf")
    for layer, k in spots:
        ys, least = levels[layer], channels.least[layer]
        if k > 0:
            up = min(up, ys[k] - ys[k - 1] - least[k - 1])
        if k < len(least):
            down = min(down, ys[k + 1] - ys[k] - least[k])
    return up, down
