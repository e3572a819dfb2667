"""Hangs patch cords and tags them, and draws them over the chart. Lengths in micrometres."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from collections.abc import Set as AbstractSet
from copy import deepcopy
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from slinediag.address import Address, Jack
from slinediag.chart import symbols
from slinediag.chart.cordroom import FREE, CordRoom, Seen, cord_room
from slinediag.chart.descriptions import cord_ref
from slinediag.chart.hanging import Way, along, bent, leaning, plain_ways, towards, way_of
from slinediag.chart.lettering import SMALL, letter
from slinediag.chart.occupancy import STEP
from slinediag.chart.plugs import HungCord
from slinediag.chart.tags import TagRoom
from slinediag.chart.wayfinding import find_way
from slinediag.drawing import styles
from slinediag.drawing.marks import Curve, Dash, Group, Mark, Rect, Ref, Style
from slinediag.geometry import Box, Point, around
from slinediag.model.facility import Facility

TAG_PADDING = 1_800
PLAIN_SPAN = 160_000
"""A cord that spans more does not hang in one curve."""
FEW = 8
"""More cords than this get further lanes above and on either side of everything."""
LANE = 3_000
HEAVY = 1_000
"""A step that weighs more covers or follows what it must not."""
TURNS = 4
"""How often all cords are hung, each time those first that ran over equipment."""
LEANING = 12
"""What it weighs when one curve leans aside by a millimetre."""
SEARCHED = 120_000
"""About the jacks of a cord, where its way is looked for first."""
FARTHER = 3 * SEARCHED
"""About them, where it is looked for next."""

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
    beside: Sequence[Hung] = (),
) -> tuple[Hung, ...]:
    """Find each cord its way and its tag a place within an area, the shortest cord first; then,
    while any runs over equipment for want of room beside it, a few times again with those first.

    ``jacks``: every jack drawn; ``taken``: the room of lettering and of all other symbols;
    ``beside``: what hangs there already.
    """
    lanes = LANE * max(0, len(cords) - FEW)
    area = Box(area.x - lanes, area.y - lanes, area.width + 2 * lanes, area.height + lanes)
    ends = [(jacks[cord.ends[0]], jacks[cord.ends[1]]) for cord in cords]
    plugged = [jack for pair in ends for jack in pair]
    plugged += [end for each in beside for end in (each.way[0], each.way[1][-1][2])]
    empty = cord_room(list(jacks.values()), plugged, taken, boxes, lines, area)
    for each in beside:
        empty.hang(along(each.way), each.tag)
    order = sorted(range(len(cords)), key=lambda n: (_span(*ends[n]), n))
    best: tuple[int, dict[int, Hung]] | None = None
    for _ in range(TURNS):
        room, hung = deepcopy(empty), dict[int, Hung]()
        for number in order:
            hung[number] = _hang(cords[number], ends[number], room)
        over = [number for number in order if _runs_over(hung[number], boxes)]
        if best is None or len(over) < best[0]:
            best = len(over), hung
        if not over:
            break
        again = [*over, *(number for number in order if number not in over)]
        if again == order:
            break
        order = again
    return tuple(best[1][number] for number in range(len(cords))) if best else ()


def _runs_over(hung: Hung, boxes: Sequence[Box]) -> bool:
    """Whether a cord runs over equipment."""
    x, y = along(hung.way).T
    return any(bool(((x > b.x) & (x < b.right) & (y > b.y) & (y < b.bottom)).any()) for b in boxes)


def _span(one: Point, other: Point) -> int:
    return abs(other.x - one.x) + abs(other.y - one.y)


def _hang(cord: HungCord, ends: tuple[Point, Point], room: CordRoom) -> Hung:
    """A cord on a way of its own, which the room then keeps others off."""
    half = letter(Point(0, 0), tag_words(cord), weight="bold").width // 2 + TAG_PADDING
    tags = TagRoom.of(half, ends, room)
    seen = room.seen_by(ends, _first_seen(ends, room.covered.area))
    way, tag = _plain(ends, tags, seen) or _led(ends, tags, room, seen)
    room.hang(along(way), tag)
    return Hung(cord, way, tag)


def _first_seen(ends: tuple[Point, Point], area: Box) -> Box:
    """What is about two jacks; the whole area where that is no more than twice as much."""
    near = around(ends).grown(SEARCHED)
    return near if near.width * near.height * 2 < area.width * area.height else area


def _plain(ends: tuple[Point, Point], tags: TagRoom, seen: Seen) -> tuple[Way, Box] | None:
    """The lightest way of one curve that is clear and has room for its tag; the tag."""
    if _span(*ends) > PLAIN_SPAN:
        return None
    ways = plain_ways(*ends)
    heaviest, whole = seen.weigh(ways)
    weight = whole + leaning(ways) / STEP * LEANING
    for number in np.lexsort((np.arange(len(ways)), weight)).tolist():
        if heaviest[number] < HEAVY:
            way = way_of(ways[number])
            tag = tags.place(along(way))
            if tag is not None:
                return way, tag
    return None


def _led(ends: tuple[Point, Point], tags: TagRoom, room: CordRoom, seen: Seen) -> tuple[Way, Box]:
    """A way led level and upright past everything, and its tag.

    It is looked for near the jacks, and where it is not clear there, wherever a lighter one might
    lead.
    """
    best = _search(ends, tags.on, room, seen)
    if best is None or best.heavy:
        best, seen = _wider(best, ends, tags.on, room, seen)
    if best is None:
        way, lowest = _unled(ends, seen)
        return way, tags.box(lowest)

    def clear(way: Way) -> bool:
        pieces = np.array([[[way[0], *way[1][0]]]], dtype=float)
        return int(seen.weigh(pieces)[0][0]) < HEAVY

    way = bent(best.corners, clear)
    tag = tags.place(along(way), best.tag)
    straight = None if tag else _search(ends, tags.on, room, seen, tags.reach)
    if straight is not None and straight.heavy <= best.heavy:
        other = bent(straight.corners, clear, tags.box(straight.tag))
        tag = tags.place(along(other), straight.tag)
        way = other if tag else way
    return way, tag or tags.anywhere(along(way), best.tag)


def _wider(
    best: _Led | None,
    ends: tuple[Point, Point],
    free: NDArray[np.bool_],
    room: CordRoom,
    seen: Seen,
) -> tuple[_Led | None, Seen]:
    """The lightest way of the whole area, and what was seen of it to find that.

    Each step weighs something: a way lighter than one that is known leads only so far from its
    jacks. So after a look farther about, which may find a lighter one, no more is searched.
    """
    area = room.covered.area
    for far in (FARTHER, area.width + area.height):
        reach = min(far, (best.weight // FREE // 2 + 1) * STEP) if best else far
        wide, known = map(room.covered.window, (around(ends).grown(reach), seen.level.area))
        if all(k.start <= w.start and w.stop <= k.stop for k, w in zip(known, wide, strict=True)):
            continue
        seen = room.seen_by(ends, around(ends).grown(reach))
        found = _search(ends, free, room, seen)
        best = found if found and (best is None or found.weight < best.weight) else best
    return best, seen


@dataclass(frozen=True, slots=True)
class _Led:
    """A way as its corners, where its tag goes, what it weighs, and whether it covers anything."""

    corners: tuple[Point, ...]
    tag: Point
    weight: int
    heavy: bool


def _search(
    ends: tuple[Point, Point],
    free: NDArray[np.bool_],
    room: CordRoom,
    seen: Seen,
    straight: tuple[int, int] = (0, 0),
) -> _Led | None:
    """The lightest level and upright way within what is seen; None without room for its tag.

    ``straight``: for how many nodes either side of the middle of its tag it leads straight on.
    """
    window = room.covered.window(seen.level.area)
    one, other = map(seen.level.nearest, ends)
    found = find_way(seen.ground(ends), one, other, free[window], straight)
    if found is None:
        return None
    corners = [seen.level.at(*node) for node in found.corners]
    # What lies at the jack itself is in no cord's way.
    after = [towards(corners[0], corners[1], STEP), *corners[1:]]
    limbs = np.array([[[a, a, b, b]] for a, b in pairwise(after)], dtype=float)
    heavy = bool((seen.weigh(limbs)[0] >= HEAVY).any())
    return _Led(_through_jacks(corners, ends), seen.level.at(*found.tag), found.weight, heavy)


def _unled(ends: tuple[Point, Point], seen: Seen) -> tuple[Way, Point]:
    """The lightest single curve, where the area has no room for a tag at all."""
    ways = plain_ways(*ends)
    way = way_of(ways[int(np.argmin(seen.weigh(ways)[1]))])
    lowest = max(along(way).tolist(), key=lambda at: int(at[1]))
    return way, Point(*lowest)


def _through_jacks(corners: Sequence[Point], ends: tuple[Point, Point]) -> tuple[Point, ...]:
    """The corners of a way from node to node, its outer limbs moved to the middles of jacks."""
    moved = list(corners)
    for jack, number, beside in ((ends[0], 0, 1), (ends[1], -1, -2)):
        old, near = moved[number], moved[beside]
        moved[number] = jack
        if len(moved) > 2:
            moved[beside] = Point(
                jack.x if near.x == old.x else near.x, jack.y if near.y == old.y else near.y
            )
    return tuple(moved)


def tag_words(cord: HungCord) -> str:
    """What a cord's tag says."""
    return f"{cord.name} – feedback" if cord.feedback else cord.name


def draw_cords(
    hung: Iterable[Hung], facility: Facility, silent: AbstractSet[Address] = frozenset()
) -> tuple[Group, ...]:
    """Cords as ``draw_cord`` draws them, told in words; ``silent``: jacks that carry nothing."""
    return tuple(
        replace(
            draw_cord(h, silent=not silent.isdisjoint(h.cord.ends)),
            ref=cord_ref(facility, h.cord),
        )
        for h in hung
    )


def draw_cord(hung: Hung, *, silent: bool = False) -> Group:
    """A cord as a group: its light edge, the cord, hollow and dashed where silent, its tag."""
    cord = hung.cord
    start, pieces = hung.way
    data = (("cord", str(cord)),)
    title = f"{tag_words(cord)[0].upper()}{tag_words(cord)[1:]}"
    ink = {"trial": styles.CORD, "standing": STANDING, "pulled": PULLED}[cord.standing]
    marks: list[Mark] = []
    if cord.standing != "pulled":
        edge = styles.CORD_EDGE if cord.standing == "trial" else EDGE
        marks.append(Curve(start, pieces, edge, Ref(("cord-edge",))))
    hollow = silent and cord.standing != "pulled"
    classes = ("cord", cord.standing, *(("silent",) if hollow else ()))
    if hollow:
        ink = replace(ink, dash="dashed", end="butt")
    marks.append(Curve(start, pieces, ink, Ref(classes, data, title=title)))
    if hollow:
        inner = Style(styles.PAPER, ink.width // 2)
        marks.append(Curve(start, pieces, inner, Ref(("hollow",))))
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
