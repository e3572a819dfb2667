"""Finds the way on which a patch cord hangs from jack to jack and covers nothing.

A short cord hangs in one curve. Where that would cover a mark or a label, it goes aside first,
drops beside the columns, sweeps across where there is room and rises again. All ways are weighed
on a raster, coarsely at first; the lightest is taken, the first of equals, so that the same
chart always hangs its cords alike. Lengths in micrometres.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from slinediag.chart.occupancy import Occupancy, Samples
from slinediag.geometry import Point

Piece = tuple[Point, Point, Point]
Way = tuple[Point, tuple[Piece, ...]]

SAGS = (8_000, 11_000, 15_000, 20_000, 27_000, 36_000, 48_000, 64_000, 85_000)
LEANS = (-18_000, -12_000, -7_000, -3_000, 0, 3_000, 7_000, 12_000, 18_000)
CORRIDORS = tuple(step * 1500 for step in range(2, 26))
KEPT_CORRIDORS = 6
APART = 4_000
LEVEL_STEP = 3_000
MOST_LEVELS = 40
SWEEPS = (5_000, 10_000, 18_000)
COARSE = 4_000
FINE = 350
FINALISTS = 40
WEIGHT_OF_LENGTH = 3
"""What ten millimetres of cord weigh."""


def ways_for(one: Point, other: Point, room: Occupancy, away: int) -> list[tuple[int, Way]]:
    """The best ways between two jacks with their weights, lightest first.

    ``away`` is how far from its own jacks a cord does not count as covering.
    """
    ways = [*_single(one, other), *_aside(one, other), *_dropped(one, other, room)]
    coarse = _weights(ways, (one, other), room, away, COARSE)
    order = sorted(range(len(ways)), key=lambda n: (coarse[n], n))[:FINALISTS]
    finalists = [ways[n] for n in order]
    fine = [int(_weights([way], (one, other), room, away, FINE)[0]) for way in finalists]
    ranked = sorted(range(len(finalists)), key=lambda n: (fine[n], n))
    return [(fine[n], finalists[n]) for n in ranked]


def _single(one: Point, other: Point) -> list[Way]:
    """One curve down from each jack, by sag and by how far it leans aside."""
    return [
        (one, ((Point(one.x + lean, low), Point(other.x + lean_other, low), other),))
        for sag in SAGS
        for low in (max(one.y, other.y) + sag * 4 // 3,)
        for lean in LEANS
        for lean_other in LEANS
    ]


def _aside(one: Point, other: Point) -> list[Way]:
    """One curve that bulges to a side, for jacks one above the other."""
    drop = abs(other.y - one.y)
    upper, lower = (one, other) if one.y <= other.y else (other, one)
    ways: list[Way] = []
    for bulge in (-34_000, -26_000, -19_000, -13_000, 13_000, 19_000, 26_000, 34_000):
        for sag in (5_000, 9_000, 14_000):
            controls = (
                Point(upper.x + bulge, upper.y + drop // 3),
                Point(lower.x + bulge, lower.y + sag),
            )
            first, second = controls if upper is one else controls[::-1]
            ways.append((one, ((first, second, other),)))
    return ways


def _dropped(one: Point, other: Point, room: Occupancy) -> list[Way]:
    """Ways that go aside, drop in a corridor, sweep across at a level, and rise."""
    lowest = max(one.y, other.y)
    floor = room.area.bottom - SWEEPS[0]
    step = max(LEVEL_STEP, (floor - lowest) // MOST_LEVELS)
    levels = range(lowest + 9_000, floor, step)
    return [
        _way(one, other, a, b, level, sweep)
        for a in _corridors(one, lowest, room)
        for b in _corridors(other, lowest, room)
        for level in levels
        for sweep in SWEEPS
    ]


def _corridors(jack: Point, lowest: int, room: Occupancy) -> list[int]:
    """The best places beside a jack to drop a cord as far as the lower of two jacks."""
    weighed = []
    for step in CORRIDORS:
        for x in (jack.x - step, jack.x + step):
            ys = np.arange(jack.y + 4000, lowest + 12_000, 500)
            samples = np.stack([np.full_like(ys, x), ys], axis=1)
            weighed.append((int(room.weights(samples).sum()) + step // 500, step, x))
    kept: list[int] = []
    for _, _, x in sorted(weighed):
        if len(kept) < KEPT_CORRIDORS and all(abs(x - other) >= APART for other in kept):
            kept.append(x)
    return kept


def _way(one: Point, other: Point, a: int, b: int, level: int, sweep: int) -> Way:
    hook_a, hook_b = _hook(one, a), _hook(other, b)
    down, up = Point(a, max(level, hook_a.y)), Point(b, max(level, hook_b.y))
    depth = max(down.y, up.y) + sweep * 4 // 3
    pieces = (
        (_lean(one, a), hook_a.moved(0, -4000), hook_a),
        (hook_a, down, down),
        (Point(a, depth), Point(b, depth), up),
        (up, hook_b, hook_b),
        (hook_b.moved(0, -4000), _lean(other, b), other),
    )
    return one, pieces


def _hook(jack: Point, x: int) -> Point:
    return Point(x, jack.y + 5000 + min(6000, abs(x - jack.x) // 2))


def _lean(jack: Point, x: int) -> Point:
    return Point(jack.x + (x - jack.x) * 6 // 10, jack.y + 2200)


def _weights(
    ways: Sequence[Way], jacks: tuple[Point, Point], room: Occupancy, away: int, step: int
) -> NDArray[np.int64]:
    """What each way weighs: what lies under it, and its length."""
    weights = np.zeros(len(ways), dtype=np.int64)
    for count in (1, 5):
        numbers = [n for n, way in enumerate(ways) if len(way[1]) == count]
        if not numbers:
            continue
        samples, length = _points([ways[n] for n in numbers], step)
        under = room.weights(samples.reshape(-1, 2)).reshape(samples.shape[:2])
        for jack in jacks:
            aside = np.abs(samples - np.array(jack)).max(axis=2)
            under = np.where(aside > away, under, 0)
        spacing = length / samples.shape[1]
        weighed = (under.sum(axis=1) * spacing / 1000).astype(np.int64)
        weights[numbers] = weighed + (length * WEIGHT_OF_LENGTH / 10_000).astype(np.int64) + count
    return weights


def _points(ways: Sequence[Way], step: int) -> tuple[NDArray[np.int64], NDArray[np.float64]]:
    """Points along ways of as many pieces each, and the ways' lengths."""
    controls = np.array([_controls(way) for way in ways], dtype=float)
    longest = float(np.abs(np.diff(controls, axis=2)).sum(axis=(2, 3)).max(initial=0.0))
    count = int(min(2500, max(16, longest / step)))
    t = np.linspace(0.0, 1.0, count)
    basis = np.stack([(1 - t) ** 3, 3 * (1 - t) ** 2 * t, 3 * (1 - t) * t**2, t**3])
    points = np.einsum("wpcx,ct->wptx", controls, basis)
    flat = points.reshape(len(ways), -1, 2)
    length = np.sqrt((np.diff(flat, axis=1) ** 2).sum(axis=2)).sum(axis=1)
    return np.rint(flat).astype(np.int64), length


def _controls(way: Way) -> list[tuple[Point, Point, Point, Point]]:
    at = way[0]
    pieces = []
    for first, second, end in way[1]:
        pieces.append((at, first, second, end))
        at = end
    return pieces


def along(way: Way) -> Samples:
    """Points along one way, close together."""
    samples: Samples = _points([way], FINE)[0][0]
    return samples
