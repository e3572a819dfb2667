"""Packs islands of the chart onto one plane, and puts those that cords hang from near each other.

So that a few tie lines stand beside the main chain in rows of their own and not under it in one
long column. Lengths in micrometres.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal, NamedTuple

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


class Wish(NamedTuple):
    """Where an island would stand by its cords: its left edge, and how high their far jacks are."""

    x: int
    y: int


Outline = tuple[int, ...]
"""How far down an island reaches in each strip from its top."""
Skyline = tuple[int | None, ...]
"""How far below its top an island begins in each strip; None where nothing of it is."""
Rank = Callable[[Island], tuple[object, ...]]
"""A sort key of islands, by which they are put down."""


def packing_order(islands: Sequence[Island], links: Sequence[Link], rank: Rank) -> list[Island]:
    """The first island; those that cords join to what is placed, in turn; then the others."""
    waiting = sorted(islands, key=rank)
    done: list[Island] = []
    while waiting:
        placed_nodes = {name for island in done for name in island.placed.nodes}
        linked = (i for i in waiting if _mates(i, placed_nodes, links))
        following = next(linked, waiting[0])
        waiting.remove(following)
        done.append(following)
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
) -> Placed:
    """The islands packed into a width, about those whose corners are kept.

    Where none is kept, what cords hang from may stand above the first one.
    """
    packing = Packing(room)
    nodes: dict[str, Box] = {}
    stand: list[Stand] = []
    waiting: list[Island] = []

    def put(island: Island, corner: Point) -> None:
        stand.append(Stand(island, corner))
        nodes.update(stand[-1].nodes())

    for island in islands:
        if island.name in kept:
            packing.take(island.outline, kept[island.name])
            put(island, kept[island.name])
    for island in islands:
        if island.name in kept:
            continue
        wish = _wish(island, nodes, links)
        if island.small and wish is None:
            waiting.append(island)
            continue
        skyline = None if kept else island.skyline
        put(island, packing.place(island.outline, wish, skyline))
    for island, corner in _grid(waiting, packing):
        put(island, corner)
    return _all_put(stand if kept else levelled(stand), packing.rise)


class Stand(NamedTuple):
    """An island and where its upper left corner is."""

    island: Island
    corner: Point

    @property
    def box(self) -> Box:
        """What it takes."""
        extent = self.island.extent
        return Box(self.corner.x, self.corner.y, extent.width, extent.height)

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


def _all_put(stand: Sequence[Stand], down: int) -> Placed:
    """All islands where they stand, the whole moved down."""
    nodes: dict[str, Box] = {}
    pieces: list[PlacedPiece] = []
    for island, corner in stand:
        there = Stand(island, corner.moved(0, down))
        nodes.update(there.nodes())
        pieces += there.pieces()
    return Placed(nodes, tuple(sorted(pieces, key=lambda piece: piece.net)))


def levelled(stand: Sequence[Stand]) -> list[Stand]:
    """The islands, those that begin at one edge moved to the right for their first positions to be
    under each other: no farther than what is rightmost, and only where nothing else is."""
    found = list(stand)
    right = max((each.box.right for each in stand), default=0)
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
                others = (each for each in found if each.island is not island)
                clear = not any(moved.box.grown(GAP // 2).meets(each.box) for each in others)
                if clear and moved.box.right <= right:
                    found[column[place]] = moved
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


def _mates(
    island: Island, others: Collection[str], links: Sequence[Link]
) -> list[tuple[JackPlace, JackPlace]]:
    """Cords from an island to other nodes: the jack in the island, the jack elsewhere."""
    pairs = [pair for link in links for pair in ((link.one, link.other), (link.other, link.one))]
    own = island.placed.nodes
    return [(here, there) for here, there in pairs if here.node in own and there.node in others]


def _wish(island: Island, nodes: Mapping[str, Box], links: Sequence[Link]) -> Wish | None:
    """The place beside the drop of the cords that come to an island.

    To the left of it where a cord comes to a right jack, to the right for a left jack; between
    them where cords come to both.
    """
    mates = _mates(island, nodes, links)
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
        self._reach = [0] * count
        self._skyline: list[int | None] = [None] * count

    def place(self, outline: Outline, wish: Wish | None, skyline: Skyline | None = None) -> Point:
        """The corner of the next island: as far up as it goes, and there left; or near its wish.

        ``skyline``: its upper outline, of one that may stand above all others if that is much
        nearer to its wish.
        """
        if wish is None:
            starts = self._starts(len(outline))
            top, strip = min((self._top(x, len(outline)), x) for x in starts)
            self._cover(strip, strip, top, outline, skyline)
            return Point(strip * STRIP, top)
        asked, last = wish.x // STRIP, max(0, len(self._reach) - len(outline))
        found: list[tuple[int, int, int, int]] = []
        for strip in range(last + 1):
            aside = 2 * abs(strip - asked) * STRIP
            top = self._top(strip, len(outline))
            found.append((abs(top - wish.y) + aside, aside, strip, top))
            above = self._above(strip, outline) if skyline else None
            if above is not None:
                far = abs(wish.y - above - max(outline)) + aside
                found.append((NEARER * far, aside, strip, above))
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
        gap = -(-GAP // STRIP)
        for number, depth in enumerate(outline):
            begins = skyline[number] if skyline else 0
            for near in range(first + number - gap, last + number + gap + 1):
                if 0 <= near < len(self._reach):
                    self._reach[near] = max(self._reach[near], top + depth + GAP)
                    if begins is not None:
                        known, here = self._skyline[near], top + begins - GAP
                        self._skyline[near] = here if known is None else min(known, here)

    def tried(self, outline: Outline) -> Point:
        """Where an island would go, without its going there."""
        before = list(self._reach), list(self._skyline)
        corner = self.place(outline, None)
        self._reach, self._skyline = before
        return corner

    def _starts(self, strips: int) -> list[int]:
        """Strips to begin at: just those from which it could not go further left."""
        last = max(0, len(self._reach) - strips)
        reach = self._reach
        return [0, *(n for n in range(1, last + 1) if reach[n - 1] > reach[n])]

    def _top(self, strip: int, strips: int) -> int:
        return max(self._reach[strip : strip + strips], default=0)

    def _above(self, strip: int, outline: Outline) -> int | None:
        """How high an island stands that is put down here from above; None over nothing."""
        under = self._skyline[strip : strip + len(outline)]
        tops = [a - b for a, b in zip(under, outline, strict=False) if a is not None]
        return min(tops) if tops else None
