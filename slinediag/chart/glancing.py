"""Where the whole at a glance goes: how wide its cards are, how large all is, on which page.

Lengths in micrometres.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import partial
from itertools import chain

from slinediag.chart.cards import WIDTHS, Card, Glance, glance, listed_cards, told
from slinediag.chart.enlarging import SCALES, enlarged, enlarged_box
from slinediag.chart.grouped_cards import Room, grouped_cards
from slinediag.chart.joints import Ways, flags_of, joints_of
from slinediag.chart.laying import Laid
from slinediag.chart.moving import all_moved
from slinediag.chart.overview import Contents
from slinediag.chart.rowed_cards import rowed_cards
from slinediag.chart.sheet_groups import SheetGroup, beyond, sheet_groups
from slinediag.chart.standing import NOTHING, Standing
from slinediag.drawing.marks import Group, Mark, Ref
from slinediag.drawing.query import ink_box
from slinediag.geometry import Box
from slinediag.model.facility import Facility

SHARED = 0.63
"""How much of a page's height it takes where words follow below it."""
ENLARGED = 0.5
"""The same where it is drawn larger than it need be."""
LARGEST = Fraction(7, 5)
"""No more than so many times as large, so that its letters are not far from those of the lists."""
HOPELESS = 1.3
"""How many times as high as a page what is drawn with wide cards is never low enough."""
LINES = (6, 3, 2)
"""How many lines the names on a card may take in groups, most first."""
BESIDE = (1, 2, 3, 4)
"""How many groups may stand beside each other in rows."""
LARGE = 60
"""From so many sheets on lines between them are a thicket, and the cards stand in their order."""


@dataclass(frozen=True, slots=True)
class Placed:
    """The overview in place: its marks, its foot, whether it leaves no room below it, and how its
    cards stand."""

    marks: tuple[Mark, ...]
    foot: int
    alone: bool
    standing: Standing


@dataclass(frozen=True, slots=True)
class Alone:
    """The room for an overview, how far down it is free, and how wide it is below that."""

    room: Box
    depth: int
    beside: int

    def holds(self, one: Glance) -> bool:
        """Whether it has room for an overview in the middle of its width."""
        if not _fits(one, self.room):
            return False
        left = (self.room.width - one.extent.width) // 2 - one.extent.x
        taken = (ink_box(mark) for mark in one.marks)
        return not any(
            box.bottom - one.extent.y > self.depth and box.right + left > self.beside
            for box in taken
        )


def place_glance(
    facility: Facility,
    found: Sequence[Contents],
    laid: Sequence[Laid],
    room: Box,
    above: int,
    corner: tuple[int, int],
    table: int,
    before: Standing,
) -> list[Placed]:
    """The widest cards that have room: with what leads between them, or else in groups, or in their
    order; then the same no larger than it need be, if it is.

    ``room``: of a page; where words follow below what is no higher than ``SHARED`` of it, so much
    is taken ``above``; else the page is its own. ``corner``: width and height of what is taken at
    its lower right; on the first page the ``table`` above that, so high. ``before``: how cards of
    an earlier set stood, which stay unless that takes more room than there is.
    """
    alone = Alone(room, room.height - corner[1], room.width - corner[0])
    if not found:
        return []
    cards = [Card(o.number, o.names, o.priorities, leading=o.leading, tags=o.tags) for o in found]
    ways = flags_of(one.share for one in laid), joints_of(laid)
    groups = sheet_groups(facility, laid, *ways)
    led = NOTHING if _in_groups(before, groups, ways) else before
    makers = (
        (partial(_led, cards, ways, room, led),),
        # Rows above words say more than groups on a page of their own.
        (
            partial(_grouped, cards, groups, ways, alone, before),
            partial(_rowed, cards, groups, ways, room),
        ),
        (partial(_listed, [_with_ways(card, ways) for card in cards], room),),
        (partial(_listed, cards, room),),
    )
    low = Box(room.x, room.y + above, room.width, int(room.height * SHARED))
    first = Alone(low, alone.depth - above - table, alone.beside)
    for some in makers:
        tried = []
        for one in chain.from_iterable(make() for make in some):
            whole = told(one)
            if first.holds(whole):
                return _in_place(one, room, first)
            tried.append(whole)
        for whole in tried:
            if alone.holds(whole):
                return [_centred(whole, room, alone=True)]
    return []


def _in_groups(before: Standing, groups: Sequence[SheetGroup], ways: Ways) -> bool:
    """Whether cards stood in groups: equipment joins several of these, but no island held cards of
    two. Joined with lines they have an order of their own, into which none of this enters."""
    group = {str(sheet): number for number, one in enumerate(groups) for sheet in one.sheets}
    islands = ([name for row in one.layout.layers for name in row] for one in before.islands)
    apart = all(len({group[name] for name in names if name in group}) < 2 for names in islands)
    return apart and len(ways[1]) > sum(len(one.joints) for one in groups)


def _in_place(one: Glance, room: Box, within: Alone) -> list[Placed]:
    """The overview above words, as large as it may be drawn, and as it is where that is lower."""
    large = _filling(one, room, within)
    placed = [_centred(told(large), within.room, alone=False)]
    return placed if large is one else [*placed, _centred(told(one), within.room, alone=False)]


def _with_ways(card: Card, ways: Ways) -> Card:
    """The card with words of all that it is fed by and feeds."""
    return replace(card, beyond=beyond(card.number, *ways, SheetGroup("", (card.number,), ())))


def _fits(one: Glance, room: Box) -> bool:
    return one.extent.width <= room.width and one.extent.height <= room.height


def _led(cards: Sequence[Card], ways: Ways, room: Box, before: Standing) -> Iterator[Glance]:
    """The cards with what leads between them, as before and afresh, the widest first."""
    if len(cards) >= LARGE:
        return
    aspect = 2 * room.width / room.height
    for stood in (before, NOTHING) if before != NOTHING else (NOTHING,):
        for across in WIDTHS:
            one = glance(cards, *ways, across, aspect, stood)
            yield one
            if one.extent.height > HOPELESS * room.height:
                break  # Narrower cards are no lower.


def _grouped(
    cards: Sequence[Card],
    groups: Sequence[SheetGroup],
    ways: Ways,
    alone: Alone,
    before: Standing,
) -> Iterator[Glance]:
    """The cards in groups, as before and afresh, with all names first and the widest first."""
    room = Room(alone.room.width, alone.depth, alone.beside)
    for stood in (before, NOTHING) if before != NOTHING else (NOTHING,):
        for most in LINES:
            fewer = [replace(card, most=most) for card in cards]
            for across in WIDTHS[-3:]:
                yield grouped_cards(fewer, groups, ways, across, room, stood)


def _rowed(
    cards: Sequence[Card], groups: Sequence[SheetGroup], ways: Ways, room: Box
) -> Iterator[Glance]:
    """The cards in rows by groups, with all names first, few groups beside each other first."""
    if sum(len(group.joints) > 0 for group in groups) < 2:
        return
    for most in LINES:
        fewer = [replace(card, most=most) for card in cards]
        for beside in BESIDE:
            one = rowed_cards(fewer, groups, ways, beside, room.width)
            if one:
                yield one


def _listed(cards: Sequence[Card], room: Box) -> Iterator[Glance]:
    """The cards in their order, the widest first."""
    for across in WIDTHS:
        yield listed_cards(cards, across, room.width)


def _filling(one: Glance, room: Box, within: Alone) -> Glance:
    """As large as it may be drawn to fill its page; what is said below it keeps its height."""
    for scale in reversed([scale for scale in SCALES if 1 < scale <= LARGEST]):
        marks, extent = enlarged(one.marks, scale), enlarged_box(one.extent, scale)
        larger = one._replace(marks=marks, extent=extent)
        whole = told(larger)
        if within.holds(whole) and whole.extent.height <= room.height * ENLARGED:
            return larger
    return one


def _centred(one: Glance, room: Box, *, alone: bool) -> Placed:
    extent = one.extent
    dx = room.x + (room.width - extent.width) // 2 - extent.x
    marks = all_moved(one.marks, dx, room.y - extent.y)
    group = Group(marks, Ref(("overview",), title="Overview of the sheets"))
    return Placed((group,), room.y + extent.height, alone, one.standing)
