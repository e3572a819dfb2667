"""Patch points as nodes: what stands on each line of one, and how wide it all is.

A row of a node is drawn on one line: a left jack with its rear line at the left edge, a normal,
a right jack with its rear line at the right edge. Lengths in micrometres.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from slinediag.address import Jack
from slinediag.chart.lettering import SMALL, width
from slinediag.chart.subject import Position
from slinediag.model.facility import Normal

PITCH = 10_000
"""The one grid of rows: ports, jacks and trunks all stand on it."""

ROWS = ("rows within a bay", "rows between bays")
"""The islands that those count as which are no more than a row of positions, mults and ties."""

JACK_RADIUS = 1400
STUB = 3000
"""From a node's edge to the centre of its jack, where nothing is printed at the rear line."""
STUB_STEP = 6000
LABEL_INSET = 1500
"""From a jack's centre inwards to its strip label: leaves the way straight down to a cord."""
MARK_ROOM = 6500
"""From a jack's centre to the nearest end of the position's label: room for marks and rings."""
LABEL_GAP = 2500
LEAST_SPAN = 26_000
SPAN_STEP = 2000
CAPTION_ROOM = 1500
INLINE_GAP = 1200
NOTE_MARK = 4600
SWAP_ROOM = 6500
SLASH_ROOM = 4200
"""What a slash takes of a line, before its count."""
FEW_CORDS = 3
"""So many leave the jacks of a column without more room beside them."""
LANE = 4000
"""What each of more takes, two of them apart."""
SLASH_BEFORE = 1700
"""From the left end of a slash's room to its middle."""


@dataclass(frozen=True, slots=True)
class Spot:
    """A jack on the chart: its strip label, and what is named on the line behind it.

    ``members``: all jacks that it stands for where lines are folded; ``count`` of the lines that
    are folded behind it, 0 where there is none or one.
    """

    jack: Jack
    label: str = ""
    dim: bool = False
    rear: str = ""
    swapped: bool = False
    members: tuple[Jack, ...] = ()
    count: int = 0

    @property
    def jacks(self) -> tuple[Jack, ...]:
        """The jack, or all that it stands for."""
        return self.members or (self.jack,)


@dataclass(frozen=True, slots=True)
class PointRow:
    """One line of a node. ``entry`` is a normal that comes in from another position's jack.

    ``title`` is printed in bold above the middle; ``tags`` name jacks that do not stand where
    the reader expects them; ``through`` names a mult that joins both jacks straight.
    """

    left: Spot | None = None
    right: Spot | None = None
    normal: Normal | None = None
    entry: str = ""
    title: str = ""
    tags: bool = False
    through: str = ""
    note: int | None = None

    @property
    def normals(self) -> tuple[Normal, ...]:
        """All normals that its own stands for where lines are folded, else none."""
        if self.normal is None or self.left is None or self.right is None:
            return ()
        pairs = zip(self.left.members, self.right.members, strict=True)
        away = self.left.jack == self.normal.source
        return tuple(
            replace(self.normal, source=one if away else other, target=other if away else one)
            for one, other in pairs
        )


@dataclass(frozen=True, slots=True)
class PointPlan:
    """A position as a node: its rows, and its measures from left to right.

    ``half``: a node of one jack, whose other side ends behind its title. ``members``: all
    positions that it stands for where lines are folded.
    """

    id: str
    position: Position
    rows: tuple[PointRow, ...]
    left_stub: int
    span: int
    right_stub: int
    half: bool = False
    members: tuple[Position, ...] = ()

    @property
    def positions(self) -> tuple[Position, ...]:
        """The position, or all that it stands for."""
        return self.members or (self.position,)

    @property
    def jacks(self) -> Iterator[Jack]:
        """All that it shows, row by row."""
        spots = (spot for row in self.rows for spot in (row.left, row.right) if spot)
        return (jack for spot in spots for jack in spot.jacks)

    @property
    def width(self) -> int:
        """From edge to edge."""
        return self.left_stub + self.span + self.right_stub

    @property
    def height(self) -> int:
        """A pitch for each row."""
        return PITCH * len(self.rows)

    @property
    def left_x(self) -> int:
        """The centre of its left jacks, from its left edge."""
        return self.left_stub

    @property
    def right_x(self) -> int:
        """The centre of its right jacks, from its left edge."""
        return self.left_stub + self.span

    def row_y(self, number: int) -> int:
        """The line of a row, from the node's top."""
        return PITCH * number + PITCH // 2


def half_point(position: Position, row: PointRow) -> PointPlan:
    """A node of one jack, as wide as it must be: its stub on one side, its title on the other."""
    spot = row.left or row.right
    assert spot is not None
    title = JACK_RADIUS + INLINE_GAP + width(row.title, SMALL, "bold") + INLINE_GAP
    title += NOTE_MARK if row.note is not None else 0
    across = max(title, JACK_RADIUS + 2 * INLINE_GAP + width(spot.label))
    return PointPlan(
        id=f"{spot.jack.bay}:{spot.jack.row}{spot.jack.position}",
        position=position,
        rows=(row,),
        left_stub=_stub(row.left) if row.left else 0,
        span=across,
        right_stub=_stub(row.right) if row.right else 0,
        half=True,
    )


def whole_point(position: Position, rows: Sequence[PointRow]) -> PointPlan:
    """A node of a whole position, as wide as its widest row must be."""
    span = max(_span(row) for row in rows)
    return PointPlan(
        id=f"{position.bay}:{position.number}",
        position=position,
        rows=tuple(rows),
        left_stub=max(_stub(row.left) for row in rows),
        span=-(-span // SPAN_STEP) * SPAN_STEP,
        right_stub=max(_stub(row.right) for row in rows),
    )


def by_itself(plan: PointPlan) -> PointPlan:
    """A node no wider than it must be, whatever it was levelled with."""
    made = half_point(plan.position, plan.rows[0]) if plan.half else None
    made = made or whole_point(plan.position, plan.rows)
    return replace(plan, left_stub=made.left_stub, span=made.span, right_stub=made.right_stub)


def levelled(
    plans: Iterable[PointPlan],
    column_of: Mapping[str, tuple[str, int]],
    plugged: Collection[Jack] = (),
) -> tuple[PointPlan, ...]:
    """What stands in one column given one span and one stub at either side, no longer than they
    must be, so that jacks stand in line however much is named behind them; of nodes of one jack
    only those that stand in rows under each other.

    ``column_of``: by node, the island and the layer it stands in; of rows one of ``ROWS``.
    ``plugged``: jacks that cords hang from, which have more room where there are many of them.
    """
    kept = tuple(plans)
    widest: dict[tuple[object, ...], tuple[int, int, int]] = {}

    def column(plan: PointPlan) -> tuple[object, ...]:
        return (*column_of[plan.id], plan.half)

    for plan in kept:
        so_far = widest.get(column(plan), (0, 0, 0))
        stubs = _stubs(plan) if column_of[plan.id][0] in ROWS else (plan.left_stub, plan.right_stub)
        span, left, right = map(max, so_far, (plan.span, *stubs))
        widest[column(plan)] = span, left, right
    for place, (left, right) in _lanes(kept, column, frozenset(plugged)).items():
        widest[place] = widest[place][0], widest[place][1] + left, widest[place][2] + right

    def level(plan: PointPlan) -> PointPlan:
        span, left, right = widest[column(plan)]
        if plan.half and column_of[plan.id][0] not in ROWS:
            return plan
        return replace(plan, span=span, left_stub=left, right_stub=right)

    return tuple(map(level, kept))


def _lanes(
    plans: Iterable[PointPlan],
    column: Callable[[PointPlan], tuple[object, ...]],
    plugged: frozenset[Jack],
) -> dict[tuple[object, ...], tuple[int, int]]:
    """By column, how much longer its stubs are at either side for the cords that leave there."""
    count: dict[tuple[object, ...], tuple[int, int]] = {}
    for plan in plans if plugged else ():
        left, right = (
            sum(1 for spot in spots if spot and not plugged.isdisjoint(spot.jacks))
            for spots in ([row.left for row in plan.rows], [row.right for row in plan.rows])
        )
        so_far = count.get(column(plan), (0, 0))
        count[column(plan)] = so_far[0] + left, so_far[1] + right

    def more(cords: int) -> int:
        return (cords - 2) * LANE if cords > FEW_CORDS else 0

    return {place: (more(left), more(right)) for place, (left, right) in count.items()}


def _stubs(plan: PointPlan) -> tuple[int, int]:
    """The stubs of a node at its left and right, each by what is named on that side; in steps, so
    that a name more or less seldom moves others."""

    def stub(spots: Sequence[Spot | None]) -> int:
        if plan.half and not any(spots):
            return 0
        least = max(map(_stub, spots))
        return least if least == STUB else -(-least // STUB_STEP) * STUB_STEP

    return stub([row.left for row in plan.rows]), stub([row.right for row in plan.rows])


def _span(row: PointRow) -> int:
    """Least distance between the jacks' centres at which nothing printed overlaps."""
    title = width(row.title, SMALL, "bold") + (NOTE_MARK if row.note is not None else 0)
    left = row.entry or (row.left.label if row.left else "")
    right = row.right.label if row.right else ""
    return max(LEAST_SPAN, title + 2 * MARK_ROOM, _foot(left, mult_caption(row), right))


def mult_caption(row: PointRow) -> str:
    """What is printed under the middle of a row whose jacks a mult joins."""
    return f"mult {row.through}" if row.through else ""


def _foot(left: str, middle: str, right: str) -> int:
    """The room of the lettering below a row: a label inwards from each jack, one in the middle."""
    ends = [width(words, SMALL) for words in (left, right) if words]
    if middle:
        return 2 * (max(ends, default=0) + LABEL_GAP + LABEL_INSET) + width(middle, SMALL)
    return sum(ends) + LABEL_GAP + 2 * LABEL_INSET


def _stub(spot: Spot | None) -> int:
    if spot is None:
        return STUB
    room = width(spot.rear, SMALL) + 2 * CAPTION_ROOM if spot.rear else 0
    room += SWAP_ROOM if spot.swapped else 0
    room += slash_room(spot.count) if spot.count else 0
    return max(STUB, room + (JACK_RADIUS if room else 0))


def slash_room(count: int) -> int:
    """What a slash with its count takes of a line."""
    return SLASH_ROOM + width(str(count), SMALL, "bold")
