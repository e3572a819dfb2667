"""Finds the way on which a patch cord hangs from jack to jack and covers nothing.

A short cord hangs in one curve. Where that would cover a mark or a label, it goes aside first,
drops beside the columns, sweeps across where there is room and rises again. All ways are weighed
on a raster, coarsely at first; the lightest is taken, the first of equals, so that the same
chart always hangs its cords alike. Lengths in micrometres.

Ways are arrays of shape (ways, pieces, 4, 2): for each Bézier piece its start, two controls and
end, each x and y.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slinediag.chart.occupancy import Occupancy, Samples
from slinediag.geometry import Box, Point

Piece = tuple[Point, Point, Point]
Way = tuple[Point, tuple[Piece, ...]]
Ways = NDArray[np.float64]

SAGS = (8_000, 11_000, 15_000, 20_000, 27_000, 36_000, 48_000, 64_000, 85_000)
LEANS = (-18_000, -12_000, -7_000, -3_000, 0, 3_000, 7_000, 12_000, 18_000)
BULGES = (-34_000, -26_000, -19_000, -13_000, 13_000, 19_000, 26_000, 34_000)
BULGE_SAGS = (5_000, 9_000, 14_000)
CORRIDOR_STEP = 1_500
CORRIDORS = tuple(step * CORRIDOR_STEP for step in range(2, 40))
KEPT_CORRIDORS = 6
APART = 4_000
LEVEL_STEP = 3_000
MOST_LEVELS = 40
SWEEPS = (5_000, 10_000, 18_000)
COARSE = 4_000
FINE = 350
MOST_COARSE, MOST_FINE = 64, 2500
"""Points to a piece at most."""
FINALISTS = 40
WEIGHT_OF_LENGTH = 0.3
"""What a millimetre of cord weighs."""


@dataclass(frozen=True)
class Room:
    """What a cord must look out for.

    ``ground``: everything but jacks, by weight; ``holes``: the jacks, of which a cord may cover
    its own two: what lies within ``away`` of their centres.
    """

    ground: Occupancy
    holes: Occupancy
    away: int

    def seen_by(self, *jacks: Point) -> Occupancy:
        """The raster for a cord between two jacks: all that is taken, its own jacks apart."""
        side = 2 * self.away
        own = [Box(jack.x - self.away, jack.y - self.away, side, side) for jack in jacks]
        return self.ground.under(self.holes.without(own))


def ways_for(one: Point, other: Point, room: Room) -> list[Way]:
    """The best ways between two jacks, lightest first."""
    ground = room.seen_by(one, other)
    lowest = max(one.y, other.y)
    floor = ground.area.bottom - SWEEPS[0]
    step = max(LEVEL_STEP, (floor - lowest) // MOST_LEVELS)
    levels = range(lowest + 9_000, max(floor, lowest + 9_001), step)
    single = np.concatenate([_single(one, other), _aside(one, other)])
    return _best([single, _dropped(one, other, ground, levels, lowest)], ground)


def deep_ways(one: Point, other: Point, room: Room, levels: Sequence[int]) -> list[Way]:
    """Ways that sweep at these levels, lightest first."""
    ground = room.seen_by(one, other)
    return _best([_dropped(one, other, ground, levels, levels[0])], ground)


def _best(families: list[Ways], ground: Occupancy) -> list[Way]:
    """The lightest of many ways, weighed coarsely and then finely."""
    coarse = [_weights(ways, ground, COARSE, MOST_COARSE) for ways in families]
    ranked = sorted(
        (float(weight), family, number)
        for family, weights in enumerate(coarse)
        for number, weight in zip(
            np.argsort(weights, kind="stable")[:FINALISTS].tolist(),
            np.sort(weights, kind="stable")[:FINALISTS].tolist(),
            strict=True,
        )
    )[:FINALISTS]
    finalists = [families[family][number : number + 1] for _, family, number in ranked]
    fine = [float(_weights(way, ground, FINE, MOST_FINE)[0]) for way in finalists]
    order = sorted(range(len(finalists)), key=lambda n: (fine[n], n))
    return [_as_way(finalists[n][0]) for n in order]


def _as_way(pieces: NDArray[np.float64]) -> Way:
    points = [[Point(round(x), round(y)) for x, y in piece] for piece in pieces.tolist()]
    return points[0][0], tuple((piece[1], piece[2], piece[3]) for piece in points)


def _ways(*columns: tuple[NDArray[np.float64], NDArray[np.float64]]) -> Ways:
    """Ways from their points in order, start of each piece left out where the last one ended.

    Each point is its xs and ys over all ways; there are 1 + 3 × pieces of them.
    """
    points = np.stack([np.stack(np.broadcast_arrays(x, y), axis=-1) for x, y in columns], axis=1)
    starts = range(0, points.shape[1] - 1, 3)
    return np.stack([points[:, start : start + 4] for start in starts], axis=1)


def _mesh(*values: Sequence[int]) -> list[NDArray[np.float64]]:
    """Every combination of the values, a flat array for each."""
    grids = np.meshgrid(*[np.array(v, dtype=float) for v in values], indexing="ij")
    return [grid.ravel() for grid in grids]


def _single(one: Point, other: Point) -> Ways:
    """One curve down from each jack, by sag and by how far it leans aside at either end."""
    sag, lean, lean_other = _mesh(SAGS, LEANS, LEANS)
    low = max(one.y, other.y) + sag * 4 / 3
    still = np.zeros_like(sag)
    return _ways(
        (still + one.x, still + one.y),
        (one.x + lean, low),
        (other.x + lean_other, low),
        (still + other.x, still + other.y),
    )


def _aside(one: Point, other: Point) -> Ways:
    """One curve that bulges to a side, for jacks one above the other."""
    bulge, sag = _mesh(BULGES, BULGE_SAGS)
    third = abs(other.y - one.y) // 3
    downwards = one.y <= other.y
    still = np.zeros_like(sag)
    ys = (one.y + third + still, other.y + sag) if downwards else (one.y + sag, other.y + third)
    return _ways(
        (still + one.x, still + one.y),
        (one.x + bulge, ys[0] + still),
        (other.x + bulge, ys[1] + still),
        (still + other.x, still + other.y),
    )


def _dropped(
    one: Point, other: Point, ground: Occupancy, levels: Sequence[int], lowest: int
) -> Ways:
    """Ways that go aside, drop in a corridor, sweep across at a level, and rise.

    The corridors are those that are best as far down as ``lowest``.
    """
    a, b, level, sweep = _mesh(
        _corridors(one, lowest, ground), _corridors(other, lowest, ground), levels, SWEEPS
    )
    still = np.zeros_like(a)
    hook_a, hook_b = _hook(one, a), _hook(other, b)
    down, up = np.maximum(level, hook_a), np.maximum(level, hook_b)
    depth = np.maximum(down, up) + sweep * 4 / 3
    return _ways(
        (still + one.x, still + one.y),
        (one.x + (a - one.x) * 0.35, still + one.y + 3200),
        (a, hook_a - 4000),
        (a, hook_a),
        (a, down),
        (a, down),
        (a, down),
        (a, depth),
        (b, depth),
        (b, up),
        (b, hook_b),
        (b, hook_b),
        (b, hook_b),
        (b, hook_b - 4000),
        (other.x + (b - other.x) * 0.35, still + other.y + 3200),
        (still + other.x, still + other.y),
    )


def _hook(jack: Point, x: NDArray[np.float64]) -> NDArray[np.float64]:
    """How far down a cord that goes aside to x hangs straight."""
    aside: NDArray[np.float64] = np.abs(x - jack.x)
    return jack.y + 5000 + np.minimum(6000, aside / 2)


def _corridors(jack: Point, lowest: int, ground: Occupancy) -> list[int]:
    """The best places beside a jack to drop a cord as far as a little below ``lowest``."""
    ys = np.arange(jack.y + 4000, lowest + 12_000, 500)
    weighed = []
    for step in CORRIDORS:
        for x in (jack.x - step, jack.x + step):
            aside = np.linspace(0.25, 1.0, step // 500).round(6)
            hook = np.stack([jack.x + (x - jack.x) * aside, jack.y + 5000 * aside], axis=1)
            drop = np.stack([np.full_like(ys, x), ys], axis=1)
            samples = np.concatenate([np.rint(hook).astype(np.int64), drop])
            weighed.append((int(ground.weights(samples).sum()) + step // 500, step, x))
    kept: list[int] = []
    for _, _, x in sorted(weighed):
        if len(kept) < KEPT_CORRIDORS and all(abs(x - other) >= APART for other in kept):
            kept.append(x)
    return kept


def _weights(ways: Ways, ground: Occupancy, step: int, most: int) -> NDArray[np.float64]:
    """What each way weighs: what lies under it by the millimetre, and its length."""
    samples, length = _points(ways, step, most)
    under = ground.weights(samples.reshape(-1, 2)).reshape(samples.shape[:2])
    spacing = length / samples.shape[1]
    weights = (under.sum(axis=1) * spacing + length * WEIGHT_OF_LENGTH) / 1000
    # Rounded, so that the order of equals does not hang on the last bit.
    rounded: NDArray[np.float64] = np.round(weights + ways.shape[1], 3)
    return rounded


def _points(ways: Ways, step: int, most: int) -> tuple[Samples, NDArray[np.float64]]:
    """Points along ways, in equal steps of each piece's parameter; and the ways' lengths."""
    longest = float(np.abs(np.diff(ways, axis=2)).sum(axis=(2, 3)).max(initial=0.0))
    count = int(min(most, max(16, longest / step)))
    t = np.linspace(0.0, 1.0, count)
    basis = np.stack([(1 - t) ** 3, 3 * (1 - t) ** 2 * t, 3 * (1 - t) * t**2, t**3])
    flat = np.einsum("wpcx,ct->wptx", ways, basis).reshape(len(ways), -1, 2)
    length = np.sqrt((np.diff(flat, axis=1) ** 2).sum(axis=2)).sum(axis=1)
    return np.rint(flat).astype(np.int64), length


def along(way: Way) -> Samples:
    """Points along one way, close together."""
    at = way[0]
    pieces = []
    for first, second, end in way[1]:
        pieces.append((at, first, second, end))
        at = end
    samples: Samples = _points(np.array([pieces], dtype=float), FINE, MOST_FINE)[0][0]
    return samples
