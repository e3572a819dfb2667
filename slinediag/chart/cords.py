"""Hangs patch cords from jack to jack and finds each a way on which it covers nothing.

A cord leaves its jack downwards. A short one hangs in one curve; where that would cover a mark
or a label, it goes aside first, drops beside the columns and sweeps across where there is room.
Ways are weighed on a raster and the lightest is taken; the first of equals, so that the same
chart always hangs its cords alike. Lengths in micrometres.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slinediag.address import Jack
from slinediag.chart.lettering import SMALL, letter
from slinediag.chart.occupancy import Occupancy, Samples
from slinediag.chart.plugs import HungCord
from slinediag.chart.points import JACK_RADIUS
from slinediag.drawing import styles
from slinediag.drawing.marks import Curve, Dash, Group, Mark, Rect, Ref, Style
from slinediag.geometry import Box, Point

Piece = tuple[Point, Point, Point]
Way = tuple[Point, tuple[Piece, ...]]

TAKEN = 100
"""Weight of what a cord must not cover."""
CROSSED = 1
"""Weight of an equipment box, which a cord may cross where nothing else is free."""
SAGS = (9_000, 13_000, 18_000, 25_000, 35_000, 50_000, 70_000, 95_000)
LEANS = (0, 5_000, 10_000, 16_000)
CORRIDORS = tuple(step * 1500 for step in range(2, 17))
LEVEL_STEP = 4_000
TAG_HALF = 2_700
TAG_PADDING = 1_800
CLEAR = 1_200
"""From the middle of a cord to what it must leave free."""

STANDING = Style(stroke=styles.BLACK, width=styles.W100, end="round")
PULLED = Style(stroke=styles.BLACK, width=styles.W35, dash="dotted", end="round")
EDGE = Style(stroke=styles.PAPER, width=styles.W200, end="round")


@dataclass(frozen=True, slots=True)
class Hung:
    """A cord with its way and the box of its tag."""

    cord: HungCord
    way: Way
    tag: Box


def hang_cords(
    cords: Sequence[HungCord],
    jacks: Mapping[Jack, Point],
    taken: Sequence[Box],
    boxes: Sequence[Box],
    area: Box,
) -> tuple[Hung, ...]:
    """Find each cord its way in turn, within an area; later tags keep off earlier cords."""
    room = Occupancy.over(area)
    room.take((box.grown(-500) for box in boxes), CROSSED)
    room.take((box.grown(CLEAR) for box in taken), TAKEN)
    for_tags = Occupancy.over(area)
    for_tags.take((box.grown(600) for box in (*boxes, *taken)), TAKEN)
    hung: list[Hung] = []
    for cord in cords:
        one, other = (jacks[jack] for jack in cord.ends)
        found = _hang(cord, one, other, room, for_tags)
        hung.append(found)
        room.take([found.tag.grown(CLEAR)], TAKEN)
        for_tags.take([found.tag.grown(1000)], TAKEN)
        for_tags.take(_beads(found.way), TAKEN)
    return tuple(hung)


def _hang(
    cord: HungCord, one: Point, other: Point, room: Occupancy, for_tags: Occupancy
) -> Hung:
    size = letter(Point(0, 0), tag_words(cord), weight="bold").width + 2 * TAG_PADDING
    best: tuple[int, Way, Box] | None = None
    for way in _ways(one, other, room):
        weight, tag = _weigh(way, (one, other), size, room, for_tags)
        if best is None or weight < best[0]:
            best = (weight, way, tag)
    assert best is not None
    return Hung(cord, best[1], best[2])


def tag_words(cord: HungCord) -> str:
    """What a cord's tag says."""
    return f"{cord.name} – feedback" if cord.feedback else cord.name


def _ways(one: Point, other: Point, room: Occupancy) -> Iterator[Way]:
    """Ways to try: single curves, then drops beside the columns with a sweep between them."""
    for sag in SAGS:
        for lean in LEANS:
            for lean_other in LEANS:
                for way_one, way_other in ((1, 1), (-1, 1), (1, -1), (-1, -1)):
                    low = max(one.y, other.y) + sag
                    first = Point(one.x + way_one * lean, low)
                    second = Point(other.x + way_other * lean_other, low)
                    yield one, ((first, second, other),)
    lefts = _corridors(one, room)
    rights = _corridors(other, room)
    bottom = room.area.bottom - 2000
    for a in lefts:
        for b in rights:
            start = max(one.y, other.y) + 6000
            for level in range(start, max(start + 1, bottom), LEVEL_STEP):
                for sag in (4_000, 9_000):
                    yield _dropped(one, other, a, b, level, sag)


def _corridors(jack: Point, room: Occupancy) -> list[int]:
    """The five best places beside a jack to drop a cord, by the weight below them."""
    weights = []
    for step in CORRIDORS:
        for x in (jack.x - step, jack.x + step):
            ys = np.arange(jack.y + 4000, room.area.bottom, 1000)
            samples = np.stack([np.full_like(ys, x), ys], axis=1)
            weights.append((room.along(samples) + step // 1000, step, x))
    return [x for _, _, x in sorted(weights)[:5]]


def _dropped(one: Point, other: Point, a: int, b: int, level: int, sag: int) -> Way:
    """Aside and down to a level, a sweep across below it, and up again."""
    down, up = Point(a, level), Point(b, level)
    hook_a, hook_b = Point(a, one.y + 6000), Point(b, other.y + 6000)
    start = (one.moved(0, 2500), Point(a, one.y + 1500), hook_a)
    drop = (hook_a, down, down) if level > hook_a.y else (hook_a, hook_a, hook_a)
    foot = drop[2]
    head = up if level > hook_b.y else hook_b
    depth = max(foot.y, head.y) + sag * 4 // 3
    sweep = (Point(a, depth), Point(b, depth), head)
    rise = (head, hook_b, hook_b)
    end = (Point(b, other.y + 1500), other.moved(0, 2500), other)
    return one, (start, drop, sweep, rise, end)


def _weigh(
    way: Way, ends: tuple[Point, Point], tag_width: int, room: Occupancy, for_tags: Occupancy
) -> tuple[int, Box]:
    """The weight of a way: what it covers, whether its tag finds room, its length."""
    samples = sampled(way)
    steps = np.abs(np.diff(samples, axis=0)).sum(axis=1)
    length = int(steps.sum())
    off_jacks = samples[_away(samples, ends)]
    weight = 100 * room.along(off_jacks) + length // 1000
    weight += 20 * (len(way[1]) - 1)
    tag, covered = _tag(samples, tag_width, for_tags)
    return weight + (50_000 if covered else 0), tag


def _away(samples: Samples, ends: tuple[Point, Point]) -> NDArray[np.bool_]:
    """Which points lie clear of the cord's own jacks."""
    clear = np.ones(len(samples), dtype=bool)
    for end in ends:
        aside = np.abs(samples - np.array([end.x, end.y])).max(axis=1)
        clear &= aside > JACK_RADIUS + CLEAR + 300
    return clear


def _tag(samples: Samples, tag_width: int, for_tags: Occupancy) -> tuple[Box, bool]:
    """A place for the tag on the way, its lowest point first; and whether it covers anything."""
    lowest = int(np.argmax(samples[:, 1]))
    order = sorted(range(0, len(samples), 2), key=lambda n: (abs(n - lowest), n))
    first: Box | None = None
    for number in order:
        x, y = (int(v) for v in samples[number])
        box = Box(x - tag_width // 2, y - TAG_HALF, tag_width, 2 * TAG_HALF)
        first = first or box
        if for_tags.within(box) < TAKEN:
            return box, False
    assert first is not None
    return first, True


def sampled(way: Way, per_piece: int = 40) -> Samples:
    """Points along a way, piece by piece."""
    t = np.linspace(0.0, 1.0, per_piece)[:, None]
    parts = []
    at = way[0]
    for one, two, end in way[1]:
        p = [np.array(point, dtype=float) for point in (at, one, two, end)]
        parts.append(
            (1 - t) ** 3 * p[0] + 3 * (1 - t) ** 2 * t * p[1] + 3 * (1 - t) * t**2 * p[2] + t**3 * p[3]
        )
        at = end
    return np.rint(np.concatenate(parts)).astype(np.int64)


def _beads(way: Way) -> list[Box]:
    return [Box(int(x) - 900, int(y) - 900, 1800, 1800) for x, y in sampled(way)]


def draw_cord(hung: Hung) -> Group:
    """A cord as a group: its light edge, the cord, its tag."""
    cord = hung.cord
    start, pieces = hung.way
    data = (("cord", str(cord)),)
    title = f"{tag_words(cord)[0].upper()}{tag_words(cord)[1:]}"
    ink = {"trial": styles.CORD, "standing": STANDING, "pulled": PULLED}[cord.standing]
    marks: list[Mark] = []
    if cord.standing != "pulled":
        edge = styles.CORD_EDGE if cord.standing == "trial" else EDGE
        marks.append(Curve(start, pieces, edge, Ref(("cord-edge",))))
    marks.append(Curve(start, pieces, ink, Ref(("cord", cord.standing), data, title=title)))
    return Group((*marks, *_tag_marks(hung)), Ref(("hung",)))


def _tag_marks(hung: Hung) -> tuple[Mark, ...]:
    trial = hung.cord.standing == "trial"
    stroke = styles.BLUE if trial else styles.BLACK
    dash: Dash = "dotted" if hung.cord.standing == "pulled" else "solid"
    frame = Style(stroke, styles.W35, styles.BLUE if trial else styles.PAPER, dash)
    words = letter(
        hung.tag.centre.moved(0, SMALL // 2),
        tag_words(hung.cord),
        anchor="middle",
        weight="bold",
        colour=styles.PAPER if trial else styles.BLACK,
        ref=Ref(("cord-name",)),
    )
    return Rect(hung.tag, frame, 1200, Ref(("tag",))), words
