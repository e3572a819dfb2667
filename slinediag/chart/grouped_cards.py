"""The whole at a glance where it is too much for one picture: the sheets in groups under headings.

Within a group lines lead from card to card; what leads to other groups each card says in words.
Lengths in micrometres.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from slinediag.chart.cards import Card, Glance, linked_cards
from slinediag.chart.joints import Ways
from slinediag.chart.lettering import LEADING, SMALL, TITLE, letter, width, wrap
from slinediag.chart.moving import all_moved
from slinediag.chart.sheet_groups import SheetGroup, beyond
from slinediag.chart.standing import Standing
from slinediag.drawing import styles
from slinediag.drawing.marks import Group, Line, Mark, Ref
from slinediag.drawing.query import ink_box
from slinediag.geometry import Point, union
from slinediag.text import shorten

HEADING_HEIGHT = TITLE
"""Of a group's heading: 16 minutes of arc from a metre off are 4.65 mm (ISO 9241-3)."""
HEAD = 9_000
"""From the rule above a group to its cards."""
BASELINE = 6_800
BESIDE, BELOW = 9_000, 6_000
"""Between groups in a row, and between rows."""
FLATTEST = 3.0
"""Width to height that the cards of a group are packed towards."""
SAID = (
    "A card for each sheet; in discs the priorities of inputs there. Heavy lines lead from sheet "
    "to sheet by flags, thin ones through the equipment named, which is drawn in parts; back: "
    "lines that return. At the foot of a card stands what of other groups feeds the sheet, and "
    "what it feeds there."
)


@dataclass(frozen=True, slots=True)
class Room:
    """The width of the rows, and how wide those are that reach further down than a depth."""

    across: int
    depth: int
    beside: int

    def width_at(self, bottom: int) -> int:
        """Of a row that reaches so far down."""
        return self.across if bottom <= self.depth else self.beside


def grouped_cards(
    cards: Sequence[Card],
    groups: Sequence[SheetGroup],
    ways: Ways,
    across: int,
    room: Room,
    before: Standing,
) -> Glance:
    """The groups in their order, row by row, each under its heading.

    ``across``: the width of a card. ``before``: how cards of an earlier set stood, which stay in
    their groups.
    """
    made = [_linked(cards, group, ways, across, before) for group in groups]
    marks = list(_words(room.across))
    x, y = 0, union(map(ink_box, marks)).bottom + BELOW
    deep = 0
    for group, drawn in zip(groups, made, strict=True):
        wide = max(drawn.extent.width, min(width(group.name, HEADING_HEIGHT, "bold"), room.across))
        height = HEAD + drawn.extent.height
        if x and x + wide > room.width_at(y + height):
            x, y, deep = 0, y + deep + BELOW, 0
        dx, dy = x - drawn.extent.x, y + HEAD - drawn.extent.y
        marks += [_headed(group, Point(x, y), wide), *all_moved(drawn.marks, dx, dy)]
        x, deep = x + wide + BESIDE, max(deep, height)
    extent = union(map(ink_box, marks))
    return Glance(tuple(marks), extent, _together([one.standing for one in made]))


def _linked(
    cards: Sequence[Card], group: SheetGroup, ways: Ways, across: int, before: Standing
) -> Glance:
    """The cards of a group with the lines between them and words of all others."""
    own = {*group.sheets}
    flags = {pair: lines for pair, lines in ways[0].items() if {*pair} <= own}
    inside = [
        replace(card, beyond=beyond(card.number, *ways, group))
        for card in cards
        if card.number in own
    ]
    return linked_cards(inside, flags, group.joints, across, FLATTEST, before)


def _words(room: int) -> Iterator[Mark]:
    """What is what, above all groups."""
    for number, line in enumerate(wrap(SAID, room)):
        yield letter(Point(0, SMALL + number * LEADING), line, colour=styles.TEXT_GREY)


def _headed(group: SheetGroup, at: Point, wide: int) -> Group:
    """A rule across a group and below it its name."""
    name = shorten(group.name, HEADING_HEIGHT, wide, "bold") or ""
    rule = Line(((at, at.moved(wide, 0)),), styles.EQUIPMENT)
    words = letter(at.moved(0, BASELINE), name, height=HEADING_HEIGHT, weight="bold")
    return Group((rule, words), Ref(("sheet-group",), title=group.name))


def _together(standings: Sequence[Standing]) -> Standing:
    """How the cards of all groups stand, each group about an origin of its own."""
    islands = tuple(island for one in standings for island in one.islands)
    nodes = {name: box for one in standings for name, box in one.nodes.items()}
    return Standing(islands, nodes, max((one.room for one in standings), default=0))
