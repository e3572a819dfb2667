"""The sheets in groups, each a row of cards: studio by studio where there are too many for more.

Between neighbours lines lead straight across; all else of a group leads along bars below its
cards. What leads to other groups each card says in words. Lengths in micrometres.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from slinediag.chart import symbols
from slinediag.chart.cards import WIDTHS, Card, CardHead, Glance, drawn_alone, hub
from slinediag.chart.joints import Flags, Joint, Ways
from slinediag.chart.lettering import SMALL, TITLE, letter, width, wrap
from slinediag.chart.sheet_groups import SheetGroup, beyond
from slinediag.chart.standing import Standing
from slinediag.drawing import styles
from slinediag.drawing.marks import Group, Line, Mark, Ref
from slinediag.drawing.query import ink_box
from slinediag.geometry import Box, Point, Run, union

GAP = 6_000
"""Between the cards of a row."""
BESIDE, BELOW = 8_000, 3_500
"""Between groups in a row, and between rows."""
HEAD_ROOM = 30_000
"""The most that the names of the groups take beside their cards."""
HEAD_GAP = 2_500
NAME_LEADING = 7_000
RULED = 1_800
"""From the rule above a group to its cards."""
BAR, FIRST_BAR = 5_200, 3_200
"""Between bars, and from the cards to the first."""
HUB = 4_000
"""How high the names on bars stand."""
STUBS = 5_000
"""Between what leads from one card to several bars."""
ACROSS, BACK = 3_000, 7_500
"""How far down a card lines lead to its neighbour, and back from there."""
INK = 1_000
"""Of the strokes at both edges."""
SAID = (
    "A card for each sheet, in rows by room or bays; in discs the priorities of inputs there. "
    "Heavy lines lead from sheet to sheet by flags, thin ones through the equipment named, which "
    "is drawn in parts."
)
SAID_WAYS = f"{SAID} At the foot of a card, what of other rows leads there, and is led to."


@dataclass(frozen=True, slots=True)
class _Row:
    """A group: its cards in file, from here on, of one height; what leads along bars below them."""

    group: SheetGroup
    heads: Sequence[CardHead]
    bars: int
    head: int

    @property
    def across(self) -> int:
        """How wide it is with its name."""
        count = len(self.heads)
        return self.head + sum(head.across for head in self.heads) + (count - 1) * GAP

    @property
    def cards(self) -> int:
        """How high its cards are, at least as high as its name."""
        lines = len(_name_lines(self.group, self.head))
        return max(*(h.least + h.foot for h in self.heads), lines * NAME_LEADING - 1_000)

    @property
    def height(self) -> int:
        """How high it is with rule and bars."""
        bars = FIRST_BAR + (self.bars - 1) * BAR + HUB // 2 if self.bars else 0
        return RULED + self.cards + bars


def rowed_cards(
    cards: Sequence[Card], groups: Sequence[SheetGroup], ways: Ways, beside: int, room: int
) -> Glance | None:
    """The groups row by row, so many beside each other; None where cards would be too narrow for
    that, or the name on a bar has no room between two of them."""
    names = [word for group in groups for word in group.name.split()]
    head = min(HEAD_ROOM, max(width(name, TITLE, "bold") for name in names)) + HEAD_GAP
    most = max(len(group.sheets) for group in groups)
    whole = (room - INK - (beside - 1) * BESIDE) // beside
    across = min(WIDTHS[0], (whole - head - (most - 1) * GAP) // most)
    known = {card.number: card for card in cards}
    rows = [_row(known, group, ways, across, head) for group in groups]
    widest = max(width(j.equipment.printed, SMALL, "bold") for g in groups for j in g.joints or ())
    if across < WIDTHS[-1] or widest + 3 * GAP > across + GAP - STUBS:
        return None
    marks: list[Mark] = []
    x = y = deep = 0
    for row in rows:
        if x and x + row.across > room:
            x, y, deep = 0, y + deep + BELOW, 0
        marks += _drawn(row, ways[0], Point(x, y))
        x, deep = x + row.across + BESIDE, max(deep, row.height)
    said = SAID_WAYS if any(h.card.beyond for row in rows for h in row.heads) else SAID
    return Glance(tuple(marks), union(map(ink_box, marks)), Standing(), said)


def _row(cards: Mapping[int, Card], group: SheetGroup, ways: Ways, across: int, head: int) -> _Row:
    own = (cards[number] for number in group.sheets)
    heads = [
        CardHead.of(replace(card, beyond=beyond(card.number, *ways, group)), across) for card in own
    ]
    return _Row(
        group, heads, len(group.joints) + len(_flags_within(group, ways[0], far=True)), head
    )


def _flags_within(group: SheetGroup, flags: Flags, *, far: bool) -> list[tuple[int, int]]:
    """The places of cards whose flags lead to the next or back to the one before; of those that
    lead farther if ``far``."""
    at = {number: place for place, number in enumerate(group.sheets)}
    pairs = ((at[one], at[other]) for one, other in sorted(flags) if {one, other} <= {*at})
    return [(one, other) for one, other in pairs if (abs(one - other) > 1) == far]


def _name_lines(group: SheetGroup, head: int) -> list[str]:
    return wrap(group.name, head - HEAD_GAP, TITLE, "bold")


def _drawn(row: _Row, flags: Flags, corner: Point) -> Iterator[Mark]:
    """A group with its rule, name, cards, and what leads between these."""
    rule = Line(((corner, corner.moved(row.across, 0)),), styles.EQUIPMENT)
    top = corner.y + RULED
    name = tuple(
        letter(Point(corner.x, top + TITLE + n * NAME_LEADING), line, height=TITLE, weight="bold")
        for n, line in enumerate(_name_lines(row.group, row.head))
    )
    yield Group((rule, *name), Ref(("sheet-group",), title=row.group.name))
    boxes = []
    x = corner.x + row.head
    for head in row.heads:
        boxes.append(Box(x, top, head.across, row.cards))
        x += head.across + GAP
    yield from _lines_across(row.group, flags, boxes)
    bars = _Bars(boxes, row.bars)
    for joint in row.group.joints:
        yield from bars.through(joint, [row.group.sheets.index(s) for s in joint.sheets])
    for one, other in _flags_within(row.group, flags, far=True):
        yield from bars.between(one, other)
    for head, box in zip(row.heads, boxes, strict=True):
        yield drawn_alone(head, box)


def _lines_across(group: SheetGroup, flags: Flags, boxes: Sequence[Box]) -> Iterator[Mark]:
    """What flags lead from a card to the next, or back."""
    for one, other in _flags_within(group, flags, far=False):
        down = ACROSS if one < other else BACK
        left, right = boxes[min(one, other)], boxes[max(one, other)]
        run = (Point(left.right, left.y + down), Point(right.x, right.y + down))
        yield Line((run,), styles.FOLDED_LINE, Ref(("between-sheets",)))
        if one > other:
            yield symbols.arrow_back(Point((left.right + right.x) // 2, run[0].y))


class _Bars:
    """The bars below a row of cards, one below the other."""

    def __init__(self, boxes: Sequence[Box], count: int) -> None:
        self._boxes, self._count, self._taken = boxes, count, 0

    def _next(self) -> int:
        self._taken += 1
        return self._taken - 1

    def _stub(self, place: int, bar: int) -> tuple[Point, Point]:
        """What leads down from a card to a bar."""
        box = self._boxes[place]
        x = box.centre.x + (2 * bar - self._count + 1) * STUBS // 2
        return Point(x, box.bottom), Point(x, box.bottom + FIRST_BAR + bar * BAR)

    def through(self, joint: Joint, places: Sequence[int]) -> Iterator[Mark]:
        """Equipment in parts by its name on a bar, to which its cards lead."""
        bar = self._next()
        stubs = [self._stub(place, bar) for place in sorted(places)]
        half = width(joint.equipment.printed, SMALL, "bold") // 2 + 1_800
        first = self._boxes[min(places)]
        middle = Point(stubs[0][1].x + (first.width + GAP) // 2, stubs[0][1].y)
        box = Box(middle.x - half, middle.y - HUB // 2, 2 * half, HUB)
        for card, foot in stubs:
            side = Point(box.x if foot.x < middle.x else box.right, foot.y)
            runs: tuple[Run, ...] = ((card, foot), (foot, side))
            yield Line(runs, styles.LINE, Ref(("between-sheets",)))
        yield from (symbols.branch_dot(foot) for _, foot in stubs[1:-1])
        yield hub(joint, box)

    def between(self, one: int, other: int) -> Iterator[Mark]:
        """What flags lead from a card to one that is not the next."""
        bar = self._next()
        (start, low), (end, foot) = self._stub(one, bar), self._stub(other, bar)
        runs: tuple[Run, ...] = ((start, low), (low, foot), (foot, end))
        yield Line(runs, styles.FOLDED_LINE, Ref(("between-sheets",)))
        if one > other:
            yield symbols.arrow_back(Point((low.x + foot.x) // 2, low.y))
