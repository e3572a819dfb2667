"""Packs islands of the chart onto one plane, and puts those that cords hang from near each other.

So that a few tie lines stand beside the main chain in rows of their own and not under it in one
long column. Lengths in micrometres.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

from slinediag.chart.graph import Placed, PlacedPiece
from slinediag.chart.islands import STRIP, Island
from slinediag.geometry import Box, Point

GAP = 12_000
"""Free between islands."""
ASIDE = 14_000
"""From the jack a cord drops from to the island it comes to: room for the drop."""


NEARLY = 15_000
"""So far to the right an island moves at most for its first position to stand under others'."""
NEARER = 2
"""So many times as far must an island else stand from its cords' jacks to be put above all."""


class JackPlace(NamedTuple):
    """A jack in its node: the node, the x from its left edge, and which side it stands on."""

    node: str
    x: int
    side: Literal["left", "right"]


@dataclass(frozen=True, slots=True)
class Link:
    """A cord as what draws two islands together: at each end the place of its jack."""

    one: JackPlace
    other: JackPlace


Ends = tuple[JackPlace, JackPlace]
"""The ends of a cord, that in the island told of first."""


class Wish(NamedTuple):
    """Where an island would stand by its cords: its left edge, and how high their far jacks are."""

    x: int
    y: int


Outline = tuple[int, ...]
"""How far down an island reaches in each strip from its top."""
Skyline = tuple[int | None, ...]
"""How far below its top an island begins in each strip; None where nothing of it is."""
Strips = NDArray[np.int64]
"""A number for each strip."""
NEAR = -(-GAP // STRIP)
"""Strips beside an island in which nothing else comes."""
NOTHING = 2**60
"""In place of a height where nothing is."""
Rank = Callable[[Island], tuple[object, ...]]
"""A sort key of islands, by which they are put down."""


def packing_order(islands: Sequence[Island], links: Sequence[Link], rank: Rank) -> list[Island]:
    """The first island; those that cords join to what is placed, in turn; then the others."""
    waiting = sorted(islands, key=rank)
    ends = _ends(islands, links)
    owner = {name: island.name for island in islands for name in island.placed.nodes}
    joined = {name: {owner[there.node] for _, there in found} for name, found in ends.items()}
    done: list[Island] = []
    beside: set[str] = set()
    while waiting:
        following = next((i for i in waiting if i.name in beside), waiting[0])
        waiting.remove(following)
        done.append(following)
        beside |= joined[following.name]
    return done


def largest_first(island: Island) -> tuple[object, ...]:
    """Largest area first, then small ones in the order in which they are read."""
    return (island.small, 0 if island.small else -_area(island), island.reads, island.name)


def larger_first(island: Island) -> tuple[object, ...]:
    """Those of about the same area in the order in which they are read."""
    about = 0 if island.small else -_area(island).bit_length()
    return (island.small, about, island.reads, island.name)


def as_read(island: Island) -> tuple[object, ...]:
    """In the order in which they are read, so that a person finds them; small ones last."""
    return (island.small, island.reads, island.name)


def _area(island: Island) -> int:
    return island.extent.width * island.extent.height


def pack(
    islands: Sequence[Island], room: int, links: Sequence[Link], kept: Mapping[str, Point]
) -> list[Stand]:
    """The islands packed into a width, about those whose corners are kept.

    Where none is kept, what cords hang from may stand above the first one.
    """
    packing = Packing(room)
    nodes: dict[str, Box] = {}
    stand: list[Stand] = []
    waiting: list[Island] = []
    ends = _ends(islands, links)

    def put(island: Island, corner: Point) -> None:
        stand.append(Stand(island, corner))
        if ends[island.name]:
            nodes.update(stand[-1].nodes())

    for island in islands:
        if island.name in kept:
            packing.take(island.outline, kept[island.name])
            put(island, kept[island.name])
    for island in islands:
        if island.name in kept:
            continue
        wish = _wish(island, nodes, ends[island.name])
        if island.small and wish is None:
            waiting.append(island)
            continue
        skyline = None if kept else island.skyline
        put(island, packing.place(island.outline, wish, skyline))
    for island, corner in _grid(waiting, packing):
        put(island, corner)
    found = stand if kept else levelled(stand)
    return [Stand(island, corner.moved(0, packing.rise)) for island, corner in found]


class Stand(NamedTuple):
    """An island and where its upper left corner is."""

    island: Island
    corner: Point

    @property
    def box(self) -> Box:
        """What it takes."""
        extent = self.island.extent
        return Box(self.corner.x, self.corner.y, extent.width, extent.height)

    @property
    def core(self) -> Box:
        """What its nodes take, without the labels above them and without lines."""
        return self.island.core.moved(*self._shift)

    def nodes(self) -> dict[str, Box]:
        """Its nodes there."""
        dx, dy = self._shift
        return {name: box.moved(dx, dy) for name, box in self.island.placed.nodes.items()}

    def pieces(self) -> list[PlacedPiece]:
        """Its pieces of nets there."""
        return [piece.moved(*self._shift) for piece in self.island.placed.pieces]

    @property
    def _shift(self) -> tuple[int, int]:
        extent = self.island.extent
        return self.corner.x - extent.x, self.corner.y - extent.y


def all_put(stand: Sequence[Stand]) -> Placed:
    """All islands where they stand."""
    nodes: dict[str, Box] = {}
    pieces: list[PlacedPiece] = []
    for each in stand:
        nodes.update(each.nodes())
        pieces += each.pieces()
    return Placed(nodes, tuple(sorted(pieces, key=lambda piece: piece.net)))


def levelled(stand: Sequence[Stand]) -> list[Stand]:
    """The islands, those that begin at one edge moved to the right for their first positions to be
    under each other: no farther than what is rightmost, and only where nothing else is."""
    found, boxes = list(stand), [each.box for each in stand]
    right = max((box.right for box in boxes), default=0)
    columns: dict[int, list[int]] = {}
    for number in sorted(range(len(stand)), key=lambda number: stand[number].corner.y):
        if stand[number].island.bearing:
            columns.setdefault(stand[number].corner.x, []).append(number)
    for column in columns.values():
        for group in _near([stand[number].island.bearing for number in column]):
            edge = max(stand[column[place]].island.bearing for place in group)
            for place in group:
                island, corner = stand[column[place]]
                moved = Stand(island, corner.moved(edge - island.bearing, 0))
                others = (*boxes[: column[place]], *boxes[column[place] + 1 :])
                near = moved.box.grown(GAP // 2)
                if moved.box.right <= right and not any(map(near.meets, others)):
                    found[column[place]], boxes[column[place]] = moved, moved.box
    return found


def _near(bearings: Sequence[int]) -> list[list[int]]:
    """The places of those that follow each other and differ by ``NEARLY`` at most."""
    groups: list[list[int]] = []
    for place, bearing in enumerate(bearings):
        known = [bearings[other] for other in groups[-1]] if groups else []
        if known and max(*known, bearing) - min(*known, bearing) <= NEARLY:
            groups[-1].append(place)
        else:
            groups.append([place])
    return groups


def _grid(islands: Sequence[Island], packing: Packing) -> list[tuple[Island, Point]]:
    """Small islands in columns of one width, read downwards, where they reach down the least."""
    if not islands:
        return []
    across = max(i.extent.width for i in islands) + GAP
    down = max(i.extent.height for i in islands) + GAP // 2
    most = max(1, min(len(islands), packing.room // across))
    best: tuple[int, int, int, Point] | None = None
    for count in range(1, most + 1):
        rows = -(-len(islands) // count)
        used = -(-len(islands) // rows)
        outline = (rows * down,) * (-(-(used * across - GAP) // STRIP))
        corner = packing.tried(outline)
        reach = corner.y + rows * down
        if best is None or (reach, count) < best[:2]:
            best = (reach, count, rows, corner)
    assert best is not None
    _, _, rows, corner = best
    return [
        (island, corner.moved(n // rows * across, n % rows * down))
        for n, island in enumerate(islands)
    ]


def _ends(islands: Sequence[Island], links: Sequence[Link]) -> dict[str, list[Ends]]:
    """By island, the cords from it: the jack in the island, the jack at the other end."""
    owner = {name: island.name for island in islands for name in island.placed.nodes}
    found: dict[str, list[Ends]] = {island.name: [] for island in islands}
    for link in links:
        for here, there in ((link.one, link.other), (link.other, link.one)):
            if here.node in owner:
                found[owner[here.node]].append((here, there))
    return found


def _wish(island: Island, nodes: Mapping[str, Box], ends: Sequence[Ends]) -> Wish | None:
    """The place beside the drop of the cords that come to an island.

    To the left of it where a cord comes to a right jack, to the right for a left jack; between
    them where cords come to both.
    """
    mates = [(here, there) for here, there in ends if there.node in nodes]
    if not mates:
        return None
    edges = [
        nodes[there.node].x
        + there.x
        + (ASIDE if here.side == "left" else -ASIDE - island.extent.width)
        for here, there in mates
    ]
    heights = [nodes[there.node].centre.y for _, there in mates]
    return Wish(sum(edges) // len(edges), sum(heights) // len(heights))


class Packing:
    """Islands put down in turn, each under what is above it by its lower outline, strip by strip.

    ``room``: the width that is packed into. ``rise``: how far above 0 the topmost stands.
    """

    def __init__(self, room: int) -> None:
        self.room = room
        self.rise = 0
        count = -(-room // STRIP) + 1
        self._reach = np.zeros(count, dtype=np.int64)
        self._skyline = np.full(count, NOTHING, dtype=np.int64)

    def place(self, outline: Outline, wish: Wish | None, skyline: Skyline | None = None) -> Point:
        """The corner of the next island: as far up as it goes, and there left; or near its wish.

        ``skyline``: its upper outline, of one that may stand above all others if that is much
        nearer to its wish.
        """
        tops = self._tops(len(outline))
        if wish is None:
            starts = self._starts(len(tops))
            strip = int(starts[tops[starts].argmin()])
            top = int(tops[strip])
            self._cover(strip, strip, top, outline, skyline)
            return Point(strip * STRIP, top)
        strips = np.arange(len(tops), dtype=np.int64)
        aside = 2 * np.abs(strips - wish.x // STRIP) * STRIP
        found = [_nearest(np.abs(tops - wish.y) + aside, aside, tops)]
        if skyline:
            above = self._above(outline)
            far = NEARER * (np.abs(wish.y - above - max(outline)) + aside)
            found.append(_nearest(np.where(above < NOTHING // 2, far, NOTHING), aside, above))
        _, _, strip, top = min(found)
        self._cover(strip, strip, top, outline, skyline)
        self.rise = max(self.rise, -top)
        return Point(strip * STRIP, top)

    def take(self, outline: Outline, corner: Point, skyline: Skyline | None = None) -> None:
        """Keep the room of an island that stands here, its strips across those of the whole."""
        first = corner.x // STRIP
        self._cover(first, -(-corner.x // STRIP), corner.y, outline, skyline)

    def _cover(
        self, first: int, last: int, top: int, outline: Outline, skyline: Skyline | None
    ) -> None:
        """Nothing comes where an island is that begins within these strips, nor close to it."""
        reach, rises = _near_outlines(outline, skyline or None)
        for start in {first - NEAR, last - NEAR}:
            near = slice(max(0, start), max(0, min(len(self._reach), start + len(reach))))
            own = slice(near.start - start, near.stop - start)
            if near.start < near.stop:
                here, there = self._reach[near], self._skyline[near]
                np.maximum(here, reach[own] + (top + GAP), out=here)
                np.minimum(there, rises[own] + (top - GAP), out=there)

    def tried(self, outline: Outline) -> Point:
        """Where an island would go, without its going there."""
        before = self._reach.copy(), self._skyline.copy()
        corner = self.place(outline, None)
        self._reach, self._skyline = before
        return corner

    def _starts(self, count: int) -> Strips:
        """Strips to begin at, of the first so many: just those from which it could not go further
        left."""
        falls = self._reach[: count - 1] > self._reach[1:count]
        return np.concatenate([[0], np.flatnonzero(falls) + 1])

    def _tops(self, strips: int) -> Strips:
        """By the strip that it begins in, how far down an island comes that is so wide."""
        found: Strips = _windows(self._reach, strips).max(axis=1)
        return found

    def _above(self, outline: Outline) -> Strips:
        """By the strip that it begins in, how high an island stands that is put down from above;
        more than anything over nothing."""
        windows = _windows(self._skyline, len(outline))
        found: Strips = (windows - _strips(outline)[: windows.shape[1]]).min(axis=1)
        return found


@lru_cache(maxsize=4096)
def _strips(outline: Outline) -> Strips:
    return np.array(outline, dtype=np.int64)


@lru_cache(maxsize=4096)
def _near_outlines(outline: Outline, skyline: Skyline | None) -> tuple[Strips, Strips]:
    """How far an island reaches down, and where it begins, in each strip that is in it or as near
    as others must not come; from ``NEAR`` strips before its own first one."""
    begins = [NOTHING if begin is None else begin for begin in skyline or (0,) * len(outline)]
    least = np.full(2 * NEAR, -NOTHING)
    reach = np.concatenate([least, _strips(outline), least])
    rises = np.concatenate([-least, np.array(begins, dtype=np.int64), -least])
    wide = 2 * NEAR + 1
    return _windows(reach, wide).max(axis=1), _windows(rises, wide).min(axis=1)


def _windows(strips: Strips, wide: int) -> Strips:
    """Every run of so many strips, or all of them where there are fewer; they share its memory."""
    wide = min(wide, len(strips))
    (step,) = strips.strides
    shape = (len(strips) - wide + 1, wide)
    return np.ndarray(shape, strips.dtype, strips, strides=(step, step))


def _nearest(far: Strips, aside: Strips, tops: Strips) -> tuple[int, int, int, int]:
    """The least distance, of these the least aside, of these the first strip; and its top."""
    strip = int(np.lexsort((aside, far))[0])
    return int(far[strip]), int(aside[strip]), strip, int(tops[strip])
