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
    """The islands packed into a width, about those whose corners are kept."""
    packing = Packing(room)
    nodes: dict[str, Box] = {}
    pieces: list[PlacedPiece] = []
    waiting: list[Island] = []
    for island in islands:
        if island.name in kept:
            packing.take(island.outline, kept[island.name])
            _put(island, kept[island.name], nodes, pieces)
    for island in islands:
        if island.name in kept:
            continue
        wish = _wish(island, nodes, links)
        if island.small and wish is None:
            waiting.append(island)
            continue
        _put(island, packing.place(island.outline, wish), nodes, pieces)
    for island, corner in _grid(waiting, packing):
        _put(island, corner, nodes, pieces)
    return Placed(nodes, tuple(sorted(pieces, key=lambda piece: piece.net)))


def _put(island: Island, corner: Point, nodes: dict[str, Box], pieces: list[PlacedPiece]) -> None:
    """Add an island's nodes and pieces, its upper left corner being here."""
    dx, dy = corner.x - island.extent.x, corner.y - island.extent.y
    nodes.update({name: box.moved(dx, dy) for name, box in island.placed.nodes.items()})
    pieces += [piece.moved(dx, dy) for piece in island.placed.pieces]


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


def _wish(island: Island, nodes: Mapping[str, Box], links: Sequence[Link]) -> int | None:
    """The left edge that puts an island beside the drop of the cords that come to it.

    To the left of it where a cord comes to a right jack, to the right for a left jack; between
    them where cords come to both.
    """
    edges = [
        nodes[there.node].x
        + there.x
        + (ASIDE if here.side == "left" else -ASIDE - island.extent.width)
        for here, there in _mates(island, nodes, links)
    ]
    return sum(edges) // len(edges) if edges else None


class Packing:
    """Islands put down in turn, each under what is above it by its lower outline, strip by strip.

    ``room``: the width that is packed into.
    """

    def __init__(self, room: int) -> None:
        self.room = room
        self._reach = [0] * (-(-room // STRIP) + 1)

    def place(self, outline: tuple[int, ...], wish: int | None) -> Point:
        """The corner of the next island: as far up as it goes, and there left; or near its wish."""
        places = [(x, self._top(x, len(outline))) for x in self._starts(len(outline), wish)]
        if wish is None:
            strip, top = min(places, key=lambda place: (place[1], place[0]))
        else:
            asked = wish // STRIP
            strip, top = min(
                places, key=lambda p: (p[1] + 2 * abs(p[0] - asked) * STRIP, abs(p[0] - asked), p)
            )
        self._cover(strip, strip, top, outline)
        return Point(strip * STRIP, top)

    def take(self, outline: tuple[int, ...], corner: Point) -> None:
        """Keep the room of an island that stands here, its strips across those of the whole."""
        first = corner.x // STRIP
        self._cover(first, -(-corner.x // STRIP), corner.y, outline)

    def _cover(self, first: int, last: int, top: int, outline: tuple[int, ...]) -> None:
        """Nothing comes where an island is that begins within these strips, nor close to it."""
        gap = -(-GAP // STRIP)
        for number, depth in enumerate(outline):
            for near in range(first + number - gap, last + number + gap + 1):
                if 0 <= near < len(self._reach):
                    self._reach[near] = max(self._reach[near], top + depth + GAP)

    def tried(self, outline: tuple[int, ...]) -> Point:
        """Where an island would go, without its going there."""
        before = list(self._reach)
        corner = self.place(outline, None)
        self._reach = before
        return corner

    def _starts(self, strips: int, wish: int | None) -> list[int]:
        """Strips to begin at: without a wish just those from which it could not go further left."""
        last = max(0, len(self._reach) - strips)
        if wish is None:
            reach = self._reach
            return [0, *(n for n in range(1, last + 1) if reach[n - 1] > reach[n])]
        asked = min(max(0, wish // STRIP), last)
        return sorted(range(last + 1), key=lambda strip: abs(strip - asked))

    def _top(self, strip: int, strips: int) -> int:
        return max(self._reach[strip : strip + strips], default=0)
