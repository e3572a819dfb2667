"""Where the whole at a glance goes: how wide its cards are, how large all is, on which page.

Lengths in micrometres.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from slinediag.chart.cards import WIDTHS, Card, Glance, glance, listed_cards
from slinediag.chart.enlarging import SCALES, enlarged, enlarged_box
from slinediag.chart.joints import joints_of
from slinediag.chart.laying import Laid
from slinediag.chart.moving import all_moved
from slinediag.chart.overview import Contents
from slinediag.chart.standing import NOTHING, Standing
from slinediag.drawing.marks import Group, Mark, Ref
from slinediag.geometry import Box

SHARED = 0.63
"""How much of a page's height it takes where words follow below it."""
ENLARGED = 0.5
"""The same where it is drawn larger than it need be."""
LARGEST = 2
"""No more than so many times as large."""
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


def place_glance(
    found: Sequence[Contents], laid: Sequence[Laid], room: Box, alone: Box, before: Standing
) -> Placed | None:
    """The widest cards that have room: with what leads between them, or else without.

    ``room``: of a page, where words follow below; ``alone``: of a page of its own. ``before``: how
    cards of an earlier set stood, which stay unless that takes more room than there is.
    """
    if not found:
        return None
    cards = [Card(one.number, one.names, one.priorities) for one in found]
    limits = ((Box(room.x, room.y, room.width, int(room.height * SHARED)), False), (alone, True))
    for make in (_led, _listed):
        tries = list(make(cards, laid, room, before))
        for within, whole in limits:
            for one in tries:
                if one.extent.width <= within.width and one.extent.height <= within.height:
                    return _centred(_filling(one, room), within, alone=whole)
    return None


def _led(
    cards: Sequence[Card], laid: Sequence[Laid], room: Box, before: Standing
) -> Iterator[Glance]:
    """The cards with what leads between them, as before and afresh, the widest first."""
    if len(cards) >= LARGE:
        return
    joints, shares = joints_of(laid), [one.share for one in laid]
    aspect = 2 * room.width / room.height
    for stood in (before, NOTHING) if before != NOTHING else (NOTHING,):
        for across in WIDTHS:
            yield glance(cards, shares, joints, across, aspect, stood)


def _listed(
    cards: Sequence[Card], laid: Sequence[Laid], room: Box, before: Standing
) -> Iterator[Glance]:
    """The cards in their order, the widest first."""
    del laid, before
    for across in WIDTHS:
        yield listed_cards(cards, across, room.width)


def _filling(one: Glance, room: Box) -> Glance:
    """As large as it may be drawn to fill its page."""
    for scale in reversed([scale for scale in SCALES if 1 < scale <= LARGEST]):
        extent = enlarged_box(one.extent, scale)
        if extent.width <= room.width and extent.height <= room.height * ENLARGED:
            return Glance(enlarged(one.marks, scale), extent, one.standing)
    return one


def _centred(one: Glance, room: Box, *, alone: bool) -> Placed:
    extent = one.extent
    dx = room.x + (room.width - extent.width) // 2 - extent.x
    marks = all_moved(one.marks, dx, room.y - extent.y)
    group = Group(marks, Ref(("overview",), title="Overview of the sheets"))
    return Placed((group,), room.y + extent.height, alone, one.standing)
