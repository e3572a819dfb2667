"""Blocks flow through columns: few are torn, and no heading is left with a single entry.

Lengths in micrometres.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import NamedTuple

from slinediag.chart.blocks import BLOCK_GAP, FIRST_BASELINE, Block, Item, head_height
from slinediag.chart.lettering import LABEL, SMALL, letter, width
from slinediag.chart.moving import all_moved
from slinediag.drawing.marks import Group, Mark, Ref, Text, Weight
from slinediag.drawing.styles import BLACK, TEXT_GREY
from slinediag.geometry import Point

HEADING_BASELINE = 4600
FAR_APART = 10_000_000
"""Between the columns of two pages while blocks flow through both."""
CONTINUED = ", continued"
"""Behind the heading of what goes on."""
TOGETHER = 2
"""Items of a block that stay together below its heading, and where it goes on."""


@dataclass(frozen=True, slots=True)
class Column:
    """Room for blocks: left, top, and how far down it goes."""

    x: int
    top: int
    bottom: int

    @property
    def height(self) -> int:
        """How much it has room for."""
        return self.bottom - self.top


@dataclass(frozen=True, slots=True)
class Manner:
    """How blocks flow. ``whole``: up to which height they are not torn. ``together``: how many
    items stay together where a block is torn, and ``grouped``: whether those that are marked so do.
    ``fill``: whether a later block goes where the next one in one piece has no room."""

    whole: int = 0
    together: int = TOGETHER
    fill: bool = False
    grouped: bool = True


@dataclass(frozen=True, slots=True)
class _Head:
    """The heading of a block, or a small one over what goes on from the column before, which says
    what the next item is ``under``."""

    words: str
    continued: bool
    under: str = ""
    room: int = 0

    @property
    def height(self) -> int:
        """From its top to the top of the item below it."""
        return head_height(continued=self.continued, under=self.under)


_Piece = tuple[Item | _Head, Point]


class Tears(NamedTuple):
    """How many headings stand over a single item of several, and how often a block goes on."""

    single: int
    torn: int


@dataclass(frozen=True, slots=True)
class Flowed:
    """Blocks in their columns: the headings and items of each, and where they stand."""

    blocks: Sequence[Block]
    pieces: Sequence[Sequence[_Piece]]

    @property
    def tears(self) -> Tears:
        """What is torn."""
        single = torn = 0
        for block, pieces in zip(self.blocks, self.pieces, strict=True):
            heads = [n for n, (thing, _) in enumerate(pieces) if isinstance(thing, _Head)]
            torn += len(heads) - 1
            ends = pairwise([*heads, len(pieces)])
            single += sum(end - head == 2 for head, end in ends) if len(block.items) > 1 else 0
        return Tears(single, torn)

    def keeps_whole(self, most: int) -> bool:
        """Whether no block is torn that is to stand in one column, of those up to so high."""
        return not any(
            block.whole
            and block.height <= most
            and sum(isinstance(t, _Head) for t, _ in pieces) > 1
            for block, pieces in zip(self.blocks, self.pieces, strict=True)
        )

    @property
    def columns(self) -> set[int]:
        """The left edges of the columns in which anything stands."""
        return {at.x for pieces in self.pieces for _, at in pieces}

    @property
    def marks(self) -> tuple[Mark, ...]:
        """Each block that has anything here as a group."""
        return _block_marks(self.blocks, self.pieces)

    def on_pages(self, count: int) -> list[tuple[Mark, ...]]:
        """The same page by page, where the columns of each stand ``FAR_APART`` from the last's."""
        made: list[tuple[Mark, ...]] = []
        for page in range(count):
            on = [
                [
                    (thing, at.moved(-page * FAR_APART, 0))
                    for thing, at in pieces
                    if _page(at) == page
                ]
                for pieces in self.pieces
            ]
            made.append(_block_marks(self.blocks, on))
        return made


def _page(at: Point) -> int:
    return at.x // FAR_APART


def flow(
    blocks: Sequence[Block], columns: Sequence[Column], *, whole: int = 0
) -> tuple[Mark, ...] | None:
    """The blocks through the columns in order; None where they do not fit.

    A heading stays with its first items; a block that goes on in the next column says so, and has
    no single item there where that can be. Blocks up to ``whole`` high are not torn.
    """
    for together, grouped in ((TOGETHER, True), (TOGETHER, False), (1, False)):
        found = through(blocks, columns, Manner(whole, together, grouped=grouped))
        if found is not None:
            return found.marks
    return None


def through(blocks: Sequence[Block], columns: Sequence[Column], manner: Manner) -> Flowed | None:
    """The blocks through the columns; None where they do not fit."""
    pen = _Pen(columns)
    made: list[list[_Piece]] = [[] for _ in blocks]
    todo = list(range(len(blocks)))
    while todo:
        number = _next(blocks, todo, columns, pen, manner)
        block = blocks[number]
        if _in_one(block, columns, manner) and not pen.fits(block.height):
            pen.next_column(block.height)
        pieces = _pieces(block, pen, manner)
        if pieces is None:
            return None
        made[number] = pieces
        todo.remove(number)
    return Flowed(blocks, made)


def _next(
    blocks: Sequence[Block],
    todo: Sequence[int],
    columns: Sequence[Column],
    pen: _Pen,
    manner: Manner,
) -> int:
    """The block that comes next; where it has no room in one piece, the highest behind it that has
    if ``manner`` lets it."""
    first = todo[0]
    waits = _in_one(blocks[first], columns, manner) and not pen.fits(blocks[first].height)
    if not waits or not manner.fill:
        return first
    fitting = [n for n in todo[1:] if pen.fits(blocks[n].height)]
    return max(fitting, key=lambda n: blocks[n].height, default=first)


def _in_one(block: Block, columns: Sequence[Column], manner: Manner) -> bool:
    """Whether a block is not torn."""
    has_room = any(block.height <= column.height for column in columns)
    return has_room and (block.whole or block.height <= manner.whole)


def _pieces(block: Block, pen: _Pen, manner: Manner) -> list[_Piece] | None:
    found: list[_Piece] = []
    together = manner.together
    for number, item in enumerate(block.items):
        head = None if number else _Head(block.heading, continued=False, room=block.room)
        above = head.height if head else 0
        on = head or _Head(block.heading, continued=True, under=item.under)
        group = item.group if manner.grouped else 0
        lower = pen.fits(above + group) or not pen.later_fits(on.height + group)
        if not (lower and pen.fits(above + _held(block.items, number, together))):
            held = _held(block.items, number, together, torn=True)
            if pen.next_column(on.height + (held if lower else max(held, group))):
                head = on
            elif not pen.fits(above + item.height):
                if not pen.next_column(on.height + item.height):
                    return None
                head = on
        if head:
            found.append((head, pen.at()))
            pen.down(head.height)
        found.append((item, pen.at()))
        pen.down(item.height)
    pen.down(BLOCK_GAP)
    return found


def _held(items: Sequence[Item], number: int, together: int, *, torn: bool = False) -> int:
    """The height of an item and of those behind it that stay in its column: below a heading, and
    at the end of the block."""
    last = number + 1
    if together > 1:
        if torn or number == 0 or number == len(items) - together:
            last = number + together
        if number == 0 and len(items) <= 2 * together - 1:
            last = len(items)
    return sum(item.height for item in items[number:last])


def _block_marks(blocks: Sequence[Block], found: Sequence[Sequence[_Piece]]) -> tuple[Mark, ...]:
    """Each block that has anything here as a group."""
    return tuple(
        Group(
            tuple(mark for thing, at in pieces for mark in _drawn(thing, at)),
            Ref(("block", block.name), title=block.heading),
        )
        for block, pieces in zip(blocks, found, strict=True)
        if pieces
    )


def _drawn(thing: Item | _Head, at: Point) -> tuple[Mark, ...]:
    if isinstance(thing, Item):
        return all_moved(thing.marks, *at)
    if not thing.continued:
        return (_heading(thing, at),)
    under = (
        (_continued(thing.under, at.moved(0, head_height(continued=True)), "bold"),)
        if thing.under
        else ()
    )
    return (_continued(thing.words.partition(", ")[0], at), *under)


def _heading(head: _Head, at: Point) -> Text:
    """The heading, smaller where it would be wider than its column."""
    foot = at.moved(0, HEADING_BASELINE)
    high = LABEL if not head.room or width(head.words, LABEL, "bold") <= head.room else SMALL
    return letter(foot, head.words, height=high, weight="bold", ref=Ref(("heading",)))


def _continued(words: str, at: Point, weight: Weight = "regular") -> Text:
    """A small heading over what goes on from the column before."""
    foot = at.moved(0, FIRST_BASELINE)
    ink, ref = BLACK if weight == "bold" else TEXT_GREY, Ref(("heading",))
    return letter(foot, f"{words}{CONTINUED}", weight=weight, colour=ink, ref=ref)


class _Pen:
    """Where the next item goes: a column and how far down it is filled."""

    def __init__(self, columns: Sequence[Column]) -> None:
        self._columns = columns
        self._number = 0
        self._y = columns[0].top if columns else 0

    def fits(self, height: int) -> bool:
        """Whether this much more goes into the column."""
        return (
            self._number < len(self._columns)
            and self._y + height <= self._columns[self._number].bottom
        )

    def next_column(self, height: int) -> bool:
        """Go on to the next column with this much room; whether there is one."""
        for number in range(self._number + 1, len(self._columns)):
            if height <= self._columns[number].height:
                self._number, self._y = number, self._columns[number].top
                return True
        return False

    def later_fits(self, height: int) -> bool:
        """Whether this much goes into a column behind this one."""
        return any(height <= column.height for column in self._columns[self._number + 1 :])

    def at(self) -> Point:
        """Where the pen stands."""
        return Point(self._columns[self._number].x, self._y)

    def down(self, height: int) -> None:
        """Go down in the column."""
        self._y += height
