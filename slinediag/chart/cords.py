"""Hangs patch cords and tags them, and draws them over the chart. Lengths in micrometres."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from slinediag.address import Jack
from slinediag.chart import symbols
from slinediag.chart.hanging import Room, Way, along, deep_ways, ways_for
from slinediag.chart.lettering import SMALL, letter
from slinediag.chart.occupancy import Occupancy, Samples
from slinediag.chart.plugs import HungCord
from slinediag.chart.points import JACK_RADIUS
from slinediag.drawing import styles
from slinediag.drawing.marks import Curve, Dash, Group, Mark, Rect, Ref, Style
from slinediag.geometry import Box, Point

TAKEN = 1000
"""Weight of what a cord must not cover: lettering and symbols."""
CROSSED = 40
"""Weight of an equipment box, which a cord crosses only where nothing else is free."""
LINED = 6
"""Weight of a line: to be crossed rather than followed."""
TAG_HALF = 2_700
TAG_PADDING = 1_800
SLACK = 3
"""Points of a way on something taken, at most, more than on the best way."""
CLEAR = 1_300
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
    lines: Sequence[Box],
    area: Box,
) -> tuple[Hung, ...]:
    """Find each cord its way in turn, within an area; later tags keep off earlier cords.

    ``jacks``: every jack drawn; ``taken``: the room of lettering and of all other symbols.
    """
    room, for_tags = _rooms(list(jacks.values()), taken, boxes, lines, area)
    choices: list[list[Way]] = []
    for cord in cords:
        one, other = (jacks[jack] for jack in cord.ends)
        ways = ways_for(one, other, room)
        choices.append(_no_worse(ways, room.ground))
        room.ground.take(_beads(ways[0]), CROSSED)
    chosen = [ways[0] for ways in choices]
    hung: list[Hung] = []
    for number, cord in enumerate(cords):
        crowd = for_tags.copy()
        for other_number, way in enumerate(chosen):
            if other_number != number:
                crowd.take(_beads(way), TAKEN)
        found = _tagged(cord, choices[number], [h.tag for h in hung], room, crowd)
        chosen[number] = found.way
        hung.append(found)
        room.ground.take([found.tag.grown(CLEAR)], TAKEN)
        for_tags.take([found.tag.grown(1000)], TAKEN)
    return tuple(hung)


def _no_worse(ways: Sequence[Way], ground: Occupancy) -> list[Way]:
    """The ways that cover hardly more than the best of them does."""
    covered = [int((ground.weights(along(way)) >= TAKEN).sum()) for way in ways]
    return [way for way, cells in zip(ways, covered, strict=True) if cells <= covered[0] + SLACK]


def _beads(way: Way) -> list[Box]:
    """A way as small boxes along it."""
    return [Box(int(x) - 900, int(y) - 900, 1800, 1800) for x, y in along(way)[::3]]


def _rooms(
    jacks: Sequence[Point],
    taken: Sequence[Box],
    boxes: Sequence[Box],
    lines: Sequence[Box],
    area: Box,
) -> tuple[Room, Occupancy]:
    """What cords must look out for, and what tags must."""
    side = 2 * JACK_RADIUS
    circles = [Box(at.x - JACK_RADIUS, at.y - JACK_RADIUS, side, side) for at in jacks]
    ground, holes, for_tags = (Occupancy.over(area) for _ in range(3))
    ground.take((box.grown(1500) for box in lines), LINED)
    ground.take((box.grown(900) for box in boxes), CROSSED)
    ground.take((box.grown(CLEAR) for box in taken), TAKEN)
    holes.take((circle.grown(CLEAR) for circle in circles), TAKEN)
    for_tags.take((box.grown(800) for box in (*boxes, *taken, *lines, *circles)), TAKEN)
    return Room(ground, holes, JACK_RADIUS + CLEAR + 400), for_tags


def _tagged(
    cord: HungCord, ways: Sequence[Way], tags: Sequence[Box], room: Room, for_tags: Occupancy
) -> Hung:
    """The first way that clears the tags hung so far and has room for its own.

    A way that sweeps below everything where there is no other.
    """
    size = letter(Point(0, 0), tag_words(cord), weight="bold").width + 2 * TAG_PADDING
    start = for_tags.lowest() + 2 * TAG_HALF
    levels = range(start, max(start + 1, for_tags.area.bottom - 4 * TAG_HALF), TAG_HALF)
    for way in ways:
        found = _with_tag(cord, way, size, for_tags)
        if found and not _over(along(way), tags):
            return found
    deep = deep_ways(ways[0][0], ways[0][1][-1][2], room, levels)
    clear = [way for way in deep if not _over(along(way), tags)]
    every = (found for way in clear if (found := _with_tag(cord, way, size, for_tags)))
    return next(every, None) or Hung(cord, deep[0], _tag(along(deep[0]), size, for_tags)[0])


def _with_tag(cord: HungCord, way: Way, size: int, for_tags: Occupancy) -> Hung | None:
    """The cord on this way with its tag in a free place; None where there is none."""
    tag, free = _tag(along(way), size, for_tags)
    return Hung(cord, way, tag) if free else None


def _over(samples: Samples, tags: Sequence[Box]) -> bool:
    """Whether a way runs over a tag."""
    x, y = samples[:, 0], samples[:, 1]
    return any(
        bool(
            (
                (x > t.x - CLEAR)
                & (x < t.right + CLEAR)
                & (y > t.y - CLEAR)
                & (y < t.bottom + CLEAR)
            ).any()
        )
        for t in tags
    )


def tag_words(cord: HungCord) -> str:
    """What a cord's tag says."""
    return f"{cord.name} – feedback" if cord.feedback else cord.name


def _tag(samples: Samples, tag_width: int, for_tags: Occupancy) -> tuple[Box, bool]:
    """A place for the tag on the way, its lowest point first; and whether it covers nothing."""
    lowest = int(np.argmax(samples[:, 1]))
    step = max(1, len(samples) // 150)
    order = sorted(range(0, len(samples), step), key=lambda n: (abs(n - lowest), n))
    boxes = [
        Box(int(x) - tag_width // 2, int(y) - TAG_HALF, tag_width, 2 * TAG_HALF)
        for x, y in (samples[number] for number in order)
    ]
    free = next((box for box in boxes if for_tags.within(box) < TAKEN), None)
    return (free, True) if free is not None else (boxes[0], False)


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
    ends = (start, pieces[-1][2])
    plugs: tuple[Mark, ...] = ()
    if cord.standing != "pulled":
        plugs = tuple(symbols.plug(at, cord.standing) for at in ends)
    return Group((*marks, *plugs, *_tag_marks(hung)), Ref(("hung",)))


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
