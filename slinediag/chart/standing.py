"""Where things stood on the last drawing, so that the next one of much the same leaves them there.

Lengths in micrometres.
"""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from slinediag.chart.recalling import Known
from slinediag.geometry import Box, Point, around
from slinediag.layout.graph import Graph
from slinediag.layout.layout import Layout
from slinediag.layout.pipeline import arrange
from slinediag.layout.settings import Effort, Settings

APART = 6_000
"""Free between islands that stay where they were; packed afresh they have no less."""
STRIP = 1_000
"""Width of the strips in which it is kept how far down is taken."""
FAR_UP = -(10**9)
MEASURED: Effort = "quick"
"""How what has no room otherwise is arranged on a sheet of a set."""


@dataclass(frozen=True, slots=True)
class Stood:
    """An island as it stood: its layout without what was drawn of it, and its upper edge.

    ``drawn``: what was drawn of it, as a digest. ``origin``: the layout that it was arranged after,
    None where it was searched afresh; so that what is unchanged comes out the very same.
    """

    layout: Layout
    top: int
    drawn: str = ""
    origin: Layout | None = None

    def shows(self, graph: Graph) -> bool:
        """Whether it has the very boxes and lines of a graph."""
        boxes = Counter(name for row in self.layout.layers for name in row)
        lines = [(source, target) for source, target, _ in self.layout.standing.lines]
        return boxes == Counter(node.id for node in graph.nodes) and lines == [
            (edge.source, edge.target) for edge in graph.edges
        ]


@dataclass(frozen=True, slots=True)
class Standing:
    """What stands on a drawing: its islands, the box of each node, the width they were packed into.

    Plain values that are cheap to send between processes. One without islands is of nothing drawn.
    """

    islands: tuple[Stood, ...] = ()
    nodes: Mapping[str, Box] = field(default_factory=dict)
    room: int = 0

    def earlier(self, parts: Sequence[Collection[str]]) -> list[Stood | None]:
        """For each part, by its nodes, the island that had most of them; None for a new one."""
        owner = {
            name: number
            for number, stood in enumerate(self.islands)
            for row in stood.layout.layers
            for name in row
        }
        found: list[Stood | None] = []
        for part in parts:
            shared = Counter(owner[name] for name in part if name in owner)
            most = max(shared, key=lambda number: (shared[number], -number), default=None)
            found.append(None if most is None else self.islands[most])
        return found


NOTHING = Standing()
"""What stands where nothing has been drawn yet."""


def bare(layout: Layout) -> Layout:
    """What a later layout needs of this one: layers and order, nothing of what was drawn."""
    return replace(layout, nodes={}, inputs={}, outputs={}, edges=(), trunks=())


class Arranged(NamedTuple):
    """A layout, its order, what is drawn as a digest, and the layout it was arranged after."""

    layout: Layout
    order: Layout
    drawn: str
    origin: Layout | None

    def stood(self, top: int) -> Stood:
        """What is kept of it, its upper edge being here."""
        return Stood(self.order, top, self.drawn, self.origin)


def arrange_again(
    graph: Graph, settings: Settings, old: Stood | None, known: Known | None = None
) -> Arranged:
    """Arrange a graph so that what stood stays: the very same where nothing has changed.

    ``known``: what has been arranged afresh so far, which is not arranged again.

    To keep an order need not give the layout again that the order was read from. Then it is
    arranged as it was the first time.
    """
    if old is None:
        return _arranged(graph, settings, None, known)
    kept = _arranged(graph, settings, old.layout)
    if kept.drawn != old.drawn and old.shows(graph):
        for effort in dict.fromkeys((settings.effort, MEASURED)):
            own = known if effort == settings.effort else None
            same = _arranged(graph, replace(settings, effort=effort), old.origin, own)
            if same.drawn == old.drawn:
                kept = same
                break
    if kept.drawn == old.drawn:
        return kept._replace(order=old.layout, origin=old.origin)
    return kept


def _arranged(
    graph: Graph, settings: Settings, after: Layout | None, known: Known | None = None
) -> Arranged:
    if known is not None and after is None:
        layout = known.arranged(graph, settings)
    else:
        layout = arrange(graph, replace(settings, previous=after))
    text = repr((sorted(layout.nodes.items()), layout.edges, layout.trunks))
    digest = hashlib.sha256(text.encode()).hexdigest()[:16]
    return Arranged(layout, bare(layout), digest, after)


class Wanted(NamedTuple):
    """An island that is to stay: what it takes up, its corner if it may, its upper edge before."""

    boxes: tuple[Box, ...]
    extent: Box
    corner: Point
    top: int


def corner_kept(nodes: Mapping[str, Box], extent: Box, before: Mapping[str, Box]) -> Point | None:
    """Where the corner of an island comes if most of its nodes stay; None if it has no old ones."""
    shifts = [
        (before[name].x - box.x, before[name].y - box.y)
        for name, box in nodes.items()
        if name in before
    ]
    if not shifts:
        return None
    return Point(extent.x + _middle(x for x, _ in shifts), extent.y + _middle(y for _, y in shifts))


def _middle(values: Iterable[int]) -> int:
    ordered = sorted(values)
    return ordered[(len(ordered) - 1) // 2]


def settle(wanted: Sequence[Wanted]) -> list[Point]:
    """Corners as wanted, each moved down as far as what stood above it has grown; none negative."""
    if not wanted:
        return []
    contours = _contours(wanted)
    reach = np.full(len(contours[0].upper), FAR_UP)
    corners = [want.corner for want in wanted]
    for number in _downwards(wanted, contours):
        contour, corner = contours[number], wanted[number].corner
        down = max(0, int((reach - contour.upper).max()))
        corners[number] = corner.moved(0, down)
        np.maximum(reach, contour.lower + down, out=reach)
    whole = around(corners)
    return [each.moved(max(0, -whole.x), max(0, -whole.y)) for each in corners]


class _Contour(NamedTuple):
    """Where an island begins and ends in each strip, with what is free below and beside it."""

    upper: NDArray[np.int64]
    lower: NDArray[np.int64]


def _contours(wanted: Sequence[Wanted]) -> list[_Contour]:
    """Of every island where it is wanted; over all strips in which nothing of it is it begins
    nowhere."""
    left = min(want.corner.x for want in wanted) - APART
    right = max(want.corner.x + want.extent.width for want in wanted) + APART
    found = []
    for want in wanted:
        upper = np.full((right - left) // STRIP + 1, -FAR_UP)
        lower = np.full(len(upper), FAR_UP)
        dx, dy = want.corner.x - want.extent.x - left, want.corner.y - want.extent.y
        for box in want.boxes:
            own = slice((box.x + dx) // STRIP, (box.right + dx) // STRIP + 1)
            near = slice((box.x + dx - APART) // STRIP, (box.right + dx + APART) // STRIP + 1)
            np.minimum(upper[own], box.y + dy, out=upper[own])
            np.maximum(lower[near], box.bottom + dy + APART, out=lower[near])
        found.append(_Contour(upper, lower))
    return found


def _downwards(wanted: Sequence[Wanted], contours: Sequence[_Contour]) -> list[int]:
    """The islands by their upper edges before; what stands in a hollow on top of another first."""
    ranked = sorted(range(len(wanted)), key=lambda n: (wanted[n].top, wanted[n].corner))
    places = [want.extent.moved(*_shift(want)) for want in wanted]
    order: list[int] = []
    for number in ranked:
        over = next(
            (
                n
                for n, i in enumerate(order)
                if places[number].meets(places[i]) and _begins_above(contours[number], contours[i])
            ),
            len(order),
        )
        order.insert(over, number)
    return order


def _shift(want: Wanted) -> tuple[int, int]:
    return want.corner.x - want.extent.x, want.corner.y - want.extent.y


def _begins_above(one: _Contour, other: _Contour) -> bool:
    """Whether one begins above another where both are."""
    shared = (one.upper < -FAR_UP) & (other.upper < -FAR_UP)
    return bool(shared.any()) and int((one.upper - other.upper)[shared].sum()) < 0
