"""What cords and their tags must keep clear of, as rasters. Lengths in micrometres."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from slinediag.chart.hanging import Ways, points_on
from slinediag.chart.occupancy import STEP, Occupancy, Samples
from slinediag.chart.points import JACK_RADIUS
from slinediag.chart.wayfinding import Ground
from slinediag.geometry import Box, Point, around

FREE = 10
"""What a step of free way weighs."""
TAKEN = 60_000
"""What a cord must not cover: lettering, symbols, jacks, tags."""
THROUGH_A_BOX = 2_000
"""Equipment, which a cord crosses only where nothing else is free."""
FOLLOWED = 8_000
"""A line or cord alongside, too near to be told apart."""
CROSSED = 15
"""A line or cord across."""
BEFORE_A_PLUG = 100
"""A step so near a plugged jack that the cord from there might be shut in."""
BESIDE_JACKS = 60
"""An upright step so near a column of jacks that it reads as a bar that joins them."""
THROUGH_A_NODE = 120
"""An upright step across what lies between two jacks of a row: a normal, its number, its labels."""
BESIDE = 20
"""A step beside a line, where it is better to be further off."""
ON_AN_EDGE = 60
"""A step beside an edge of equipment, so near that it reads as part of the box."""
RISING = 400
"""To leave a jack upwards: a cord hangs."""
ABOVE = 10
"""A level step above both jacks."""

CLEAR = 1_400
"""From the middle of a cord to what it must leave free: half its light edge."""
LINE_APART = 1_500
CORD_APART = 2_600
NEARLY = 3_200
FROM_EDGE = 4_000
JACK_APART = JACK_RADIUS + 6_000
JACK_GAP = 5_000
"""Half of what lies between two jacks of a column."""
NODE_HALF = 4_000
"""How far the number and the labels of a position reach above and below its normal."""
ROW = 80_000
"""The most that lies between two jacks of a row with a line from one to the other."""
OWN = JACK_RADIUS + CLEAR + 400
"""About a jack that a cord plugs: what belongs to the jack does not hinder it."""
TAG_APART = 500
TAG_FROM_PLUGS = 6_500
PLUG_ROOM = 6_000


@dataclass(frozen=True)
class Seen:
    """What a level, an upright and a slanting step weigh for one cord, over a part of the area."""

    level: Occupancy
    upright: Occupancy
    slanting: Occupancy

    def ground(self, ends: tuple[Point, Point]) -> Ground:
        """The same for a cord that is led level and upright, and that hangs from its ends."""
        level, upright = self.level.nodes.copy(), self.upright.nodes.copy()
        level[: self.level.nearest(min(ends, key=lambda end: end.y))[0]] += ABOVE
        for end in ends:
            row, column = self.level.nearest(end)
            upright[max(0, row - 1) : row, column] += RISING
        return Ground(level, upright)

    def weigh(self, ways: Ways) -> tuple[NDArray[np.int64], NDArray[np.float64]]:
        """By way, the heaviest step on it, and what all its steps weigh together."""
        samples = points_on(ways)
        moves = np.abs(np.diff(samples, axis=1))
        dx, dy = moves[..., 0], moves[..., 1]
        level, upright, slanting = (
            each.weights(samples[:, :-1]) for each in (self.level, self.upright, self.slanting)
        )
        steps = np.where(dx >= 2 * dy, level, np.where(dy >= 2 * dx, upright, slanting))
        steps = np.where(dx + dy > 0, steps, 0)  # Where a piece begins slowly, points coincide.
        whole = np.round((steps * np.hypot(dx, dy)).sum(axis=1) / STEP, 3)
        return steps.max(axis=1).astype(np.int64), whole


@dataclass
class CordRoom:
    """The rasters that cords are hung by, filled further by every cord that is hung.

    ``covered``: what no cord covers; ``holes``: the jacks; ``level`` and ``upright``: what a step
    in that direction follows or crosses; ``beside``: upright steps beside jacks; ``tags``: what
    no tag meets; ``plugs``: the jacks with plugs in.
    """

    covered: Occupancy
    holes: Occupancy
    level: Occupancy
    upright: Occupancy
    beside: Occupancy
    tags: Occupancy
    plugs: tuple[Point, ...]

    def seen_by(self, ends: tuple[Point, Point], part: Box) -> Seen:
        """What steps weigh within a part of the area for a cord with these ends."""
        window = self.covered.window(part)
        covered, holes = self.covered.nodes[window].copy(), self.holes.nodes[window].copy()
        level = self.level.nodes[window].copy()
        upright = self.upright.nodes[window] + self.beside.nodes[window]
        corner = self.covered.at(window[0].start, window[1].start)
        rows, columns = covered.shape
        seen = Seen(
            *(
                Occupancy(Box(*corner, (columns - 1) * STEP, (rows - 1) * STEP), raster)
                for raster in (level, upright, np.empty_like(level))
            )
        )
        for end in ends:
            own = seen.level.window(_about(end, OWN))
            holes[own] = 0
            covered[seen.level.window(_about(end, JACK_RADIUS))] = 0
            level[own] = np.minimum(level[own], CROSSED)
            upright[own] = np.minimum(upright[own], CROSSED)
        np.maximum(covered, holes, out=covered)
        np.minimum(level, upright, out=seen.slanting.nodes)
        for each in (seen.level, seen.upright, seen.slanting):
            np.maximum(each.nodes, covered, out=each.nodes)
            each.nodes += FREE
        return seen

    def room_for_tag(
        self, half_width: int, half_height: int, own: Sequence[Point] = ()
    ) -> NDArray[np.bool_]:
        """Which nodes may be the middle of a tag of this size, shape (rows, columns).

        It keeps off plugs, so that the cords there are seen, but for its ``own``.
        """
        tags = self.tags.copy()
        others = set(self.plugs) - set(own)
        tags.take((_about(at, JACK_RADIUS + TAG_FROM_PLUGS) for at in others), 1)
        across, down = (-(-(half + TAG_APART) // STEP) for half in (half_width, half_height))
        rows, columns = tags.nodes.shape
        free = np.zeros((rows, columns), dtype=np.bool_)
        if rows > 2 * down and columns > 2 * across:
            summed = np.zeros((rows + 1, columns + 1), dtype=np.int32)
            summed[1:, 1:] = tags.nodes.cumsum(axis=0).cumsum(axis=1)
            high, wide = 2 * down + 1, 2 * across + 1
            within = summed[high:] - summed[:-high]
            within = within[:, wide:] - within[:, :-wide]
            free[down : rows - down, across : columns - across] = within == 0
        return free

    def hang(self, samples: Samples, tag: Box) -> None:
        """Keep what is hung next off a cord and its tag."""
        self.covered.take([tag.grown(CLEAR)], TAKEN)
        self.tags.take([tag], 1)
        steps = np.abs(np.diff(samples, axis=0))
        for (x, y), (dx, dy) in zip(samples[:-1].tolist(), steps.tolist(), strict=True):
            at = Point(x, y)
            self.tags.take([_about(at, 900)], 1)
            if dx >= dy:
                self.level.take([_about(at, CORD_APART)], FOLLOWED)
                self.upright.take([_about(at, 700)], CROSSED)
            if dy >= dx:
                self.upright.take([_about(at, CORD_APART)], FOLLOWED)
                self.level.take([_about(at, 700)], CROSSED)


def cord_room(
    jacks: Sequence[Point],
    plugged: Iterable[Point],
    taken: Sequence[Box],
    boxes: Sequence[Box],
    lines: Sequence[Box],
    area: Box,
) -> CordRoom:
    """The rasters of a chart on which nothing hangs yet."""
    covered, holes, level, upright, beside = (Occupancy.over(area) for _ in range(5))
    circles = [_about(at, JACK_RADIUS) for at in jacks]
    plugs = list(plugged)
    covered.take((box.grown(CLEAR) for box in boxes), THROUGH_A_BOX)
    covered.take((box.grown(CLEAR) for box in taken), TAKEN)
    holes.take((_about(at, PLUG_ROOM) for at in plugs), BEFORE_A_PLUG)
    holes.take((circle.grown(CLEAR) for circle in circles), TAKEN)
    reach, gap = JACK_APART, JACK_GAP
    columns = (Box(c.centre.x - reach, c.centre.y - gap, 2 * reach, 2 * gap) for c in circles)
    beside.take(columns, BESIDE_JACKS)
    for box in boxes:
        _edge(box, level, upright)
    runs = [*lines, *_rows(jacks)]
    upright.take((row.grown(NODE_HALF) for row in _rows(jacks)), THROUGH_A_NODE)
    for line in runs:
        if line.width >= line.height:
            _lie(line, level, upright)
        if line.height >= line.width:
            _lie(line, upright, level)
    tags = Occupancy.over(area)
    # Grown, so that a line meets nodes.
    tags.take((box.grown(STEP // 2) for box in (*boxes, *taken, *runs, *circles)), 1)
    return CordRoom(covered, holes, level, upright, beside, tags, tuple(plugs))


def _rows(jacks: Iterable[Point]) -> list[Box]:
    """Where normals and mults run between the jacks of a row, as boxes without width."""
    ordered = sorted(jacks, key=lambda at: (at.y, at.x))
    return [
        around((one, other))
        for one, other in pairwise(ordered)
        if one.y == other.y and other.x - one.x <= ROW
    ]


def _edge(box: Box, level: Occupancy, upright: Occupancy) -> None:
    """The edges of equipment as what a cord had better not lie beside."""
    sides = (Box(x, box.y, 0, box.height) for x in (box.x, box.right))
    upright.take((side.grown(FROM_EDGE) for side in sides), ON_AN_EDGE)
    ends = (Box(box.x, y, box.width, 0) for y in (box.y, box.bottom))
    level.take((end.grown(FROM_EDGE) for end in ends), ON_AN_EDGE)


def _lie(line: Box, alongside: Occupancy, across: Occupancy) -> None:
    """A line as what is followed and crossed."""
    alongside.take([line.grown(NEARLY)], BESIDE)
    alongside.take([line.grown(LINE_APART)], FOLLOWED)
    across.take([line.grown(600)], CROSSED)


def _about(at: Point, reach: int) -> Box:
    return Box(at.x - reach, at.y - reach, 2 * reach, 2 * reach)
