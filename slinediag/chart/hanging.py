"""Shapes in which a patch cord hangs from jack to jack. Lengths in micrometres.

A short cord hangs in one curve; a long one goes level and upright with wide bends, as a cord does
that is led through the gaps between others. Ways are arrays of shape (ways, pieces, 4, 2): for
each Bézier piece its start, two controls and end, each x and y.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

from slinediag.chart.occupancy import Samples
from slinediag.geometry import Box, Point, around

Piece = tuple[Point, Point, Point]
Way = tuple[Point, tuple[Piece, ...]]
Ways = NDArray[np.float64]

SAGS = (8_000, 11_000, 15_000, 20_000, 27_000, 36_000, 48_000, 64_000)
LEANS = (-18_000, -12_000, -7_000, -3_000, 0, 3_000, 7_000, 12_000, 18_000)
ROUNDEST, TIGHT = 97, 2_500
"""A curve that is tighter than this at any of so many places turns back in a point, as one does
that overshoots its jack and returns."""
LEAST_FOOT = 0.5
"""How far the foot of a curve must reach of what lies between its jacks: with less it hangs in a
point and not in a bend."""
BULGES = (-34_000, -26_000, -19_000, -13_000, 13_000, 19_000, 26_000, 34_000)
BULGE_SAGS = (5_000, 9_000, 14_000)
FINE = 500
"""Between points along a way, about."""
MOST_POINTS = 2500
BENDS = ((16_000, 40_000), (16_000, 20_000), (10_000, 12_000), (6_000, 8_000), (3_500, 4_500))
"""How far a bend reaches along its upright and its level limb, widest first."""
LEAST_BEND = (2_000, 2_000)
ROUND = 0.6
"""How far towards its corner the controls of a bend lie."""


def plain_ways(one: Point, other: Point) -> Ways:
    """Ways of one curve: down from each jack, by sag and lean, and aside, by bulge."""
    ways = np.concatenate([_sagging(one, other), _aside(one, other)])
    round_ = _radii(ways) >= TIGHT
    return ways[round_] if round_.any() else ways


def _radii(ways: Ways) -> NDArray[np.float64]:
    """By way of one curve, the radius of its tightest bend."""
    t = np.linspace(0.0, 1.0, ROUNDEST)
    legs = np.diff(ways[:, 0], axis=1)
    once = 3 * np.stack([(1 - t) ** 2, 2 * (1 - t) * t, t**2])
    twice = 6 * np.stack([1 - t, t])
    pace = np.einsum("wcx,ct->wtx", legs, once)
    turn = np.einsum("wcx,ct->wtx", np.diff(legs, axis=1), twice)
    across = np.abs(pace[..., 0] * turn[..., 1] - pace[..., 1] * turn[..., 0])
    speed = np.hypot(pace[..., 0], pace[..., 1])
    return np.asarray((speed**3 / np.maximum(across, 1e-9)).min(axis=1), dtype=np.float64)


def leaning(ways: Ways) -> NDArray[np.float64]:
    """By way of one curve, how far it leans to one side more than to the other."""
    start, first, second, end = (ways[:, 0, point, 0] for point in range(4))
    return np.abs(first - start + second - end)


def way_of(pieces: NDArray[np.float64]) -> Way:
    """One way of an array as points."""
    points = [[Point(round(x), round(y)) for x, y in piece] for piece in pieces.tolist()]
    return points[0][0], tuple((piece[1], piece[2], piece[3]) for piece in points)


def _ways(*columns: tuple[NDArray[np.float64], NDArray[np.float64]]) -> Ways:
    """Ways of one piece from their four points, each its xs and ys over all ways."""
    points = [np.stack(np.broadcast_arrays(x, y), axis=-1) for x, y in columns]
    return np.stack(points, axis=1)[:, np.newaxis]


def _mesh(*values: Sequence[int]) -> list[NDArray[np.float64]]:
    """Every combination of the values, a flat array for each."""
    grids = np.meshgrid(*[np.array(v, dtype=float) for v in values], indexing="ij")
    return [grid.ravel() for grid in grids]


def _sagging(one: Point, other: Point) -> Ways:
    """One curve down from each jack, by sag and by how far it leans aside at either end."""
    sag, lean, lean_other = _mesh(SAGS, LEANS, LEANS)
    apart = other.x - one.x
    round_ = (apart + lean_other - lean) * np.sign(apart) >= abs(apart) * LEAST_FOOT
    sag, lean, lean_other = sag[round_], lean[round_], lean_other[round_]
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


def points_on(ways: Ways) -> Samples:
    """Points along ways, in equal steps of each piece's parameter, shape (ways, points, 2)."""
    longest = float(np.abs(np.diff(ways, axis=2)).sum(axis=(2, 3)).max(initial=0.0))
    count = int(min(MOST_POINTS, max(16, longest / FINE)))
    t = np.linspace(0.0, 1.0, count)
    basis = np.stack([(1 - t) ** 3, 3 * (1 - t) ** 2 * t, 3 * (1 - t) * t**2, t**3])
    flat = np.einsum("wpcx,ct->wptx", ways, basis).reshape(len(ways), -1, 2)
    samples: Samples = np.rint(flat).astype(np.int64)
    return samples


def along(way: Way) -> Samples:
    """Points along one way, close together."""
    at = way[0]
    found = []
    for first, second, end in way[1]:
        found.append(points_on(np.array([[[at, first, second, end]]], dtype=float))[0])
        at = end
    samples: Samples = np.concatenate(found)
    return samples


def bent(
    corners: Sequence[Point], clear: Callable[[Way], bool], straight: Box | None = None
) -> Way:
    """A level and upright way with each corner in the widest bend that is clear.

    ``clear``: whether a bend covers nothing. Limbs are shared between the bends at their ends; the
    one that leads through ``straight`` is that in there.
    """
    pieces: list[Piece] = []
    at = corners[0]
    for number in range(1, len(corners) - 1):
        before, corner, after = corners[number - 1 : number + 2]
        near, far = (
            min(_room(corners, limb), _before(corner, corners[to], straight))
            for limb, to in ((number - 1, number - 1), (number, number + 1))
        )
        start, bend = _bend(before, corner, after, (near, far), clear)
        if start != at:
            pieces.append(_straight(at, start))
        pieces.append(bend)
        at = bend[2]
    return corners[0], (*pieces, _straight(at, corners[-1]))


def _room(corners: Sequence[Point], limb: int) -> int:
    """How much of a limb a bend at its end may take: half, or all at a jack but a little."""
    one, other = corners[limb], corners[limb + 1]
    length = abs(other.x - one.x) + abs(other.y - one.y)
    outer = limb in (0, len(corners) - 2)
    return length * 9 // 10 if outer and len(corners) > 2 else length // 2


def _before(corner: Point, to: Point, straight: Box | None) -> int:
    """How far it is from a corner along a limb to what is to stay straight."""
    whole = abs(to.x - corner.x) + abs(to.y - corner.y)
    if straight is None or not straight.grown(1).meets(around((corner, to)).grown(1)):
        return whole
    if corner.y == to.y:
        return max(0, straight.x - corner.x if to.x > corner.x else corner.x - straight.right)
    return max(0, straight.y - corner.y if to.y > corner.y else corner.y - straight.bottom)


def _bend(
    before: Point,
    corner: Point,
    after: Point,
    rooms: tuple[int, int],
    clear: Callable[[Way], bool],
) -> tuple[Point, Piece]:
    """Where the widest clear bend at a corner starts, and the bend."""
    level_first = before.y == corner.y
    for upright, level in (*BENDS, LEAST_BEND):
        reach = (level, upright) if level_first else (upright, level)
        start = towards(corner, before, min(reach[0], rooms[0]))
        end = towards(corner, after, min(reach[1], rooms[1]))
        piece = (_between(start, corner), _between(end, corner), end)
        if clear((start, (piece,))):
            break
    return start, piece


def towards(corner: Point, to: Point, by: int) -> Point:
    """The point this far from a corner along a level or upright limb."""
    sign_x, sign_y = (to.x > corner.x) - (to.x < corner.x), (to.y > corner.y) - (to.y < corner.y)
    return corner.moved(sign_x * by, sign_y * by)


def _between(start: Point, corner: Point) -> Point:
    return Point(
        round(start.x + (corner.x - start.x) * ROUND), round(start.y + (corner.y - start.y) * ROUND)
    )


def _straight(one: Point, other: Point) -> Piece:
    third = Point((2 * one.x + other.x) // 3, (2 * one.y + other.y) // 3)
    return third, Point((one.x + 2 * other.x) // 3, (one.y + 2 * other.y) // 3), other
