"""Blocks of a sheet beside the drawing: a heading and items that flow through columns.

Lengths in micrometres; an item's marks lie about its own top left corner.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import chain

from slinediag.chart.lettering import LABEL, LEADING, SMALL, letter, width, wrap
from slinediag.chart.moving import all_moved
from slinediag.drawing.marks import Group, Mark, Ref, Text, Weight
from slinediag.drawing.query import ink_box
from slinediag.drawing.styles import BLACK, TEXT_GREY
from slinediag.geometry import Point

HEADING = 8000
"""From the top of a block to the top of its first item."""
CONTINUED = 5600
"""The same where a block goes on in another column."""
HEADING_BASELINE = 4600
BLOCK_GAP = 4000
ITEM_GAP = 1000
FAR_APART = 10_000_000
"""Between the columns of two pages while blocks flow through both."""
FIRST_BASELINE = 2900
"""From the top of a line of prose to its baseline."""


@dataclass(frozen=True, slots=True)
class Item:
    """What stays together: its height, and its marks about its top left corner.

    ``under``: what it is said of besides the block's heading; where it begins another column, that
    is said again above it. ``group``: the height of the items from here on that are to stay in one
    column.
    """

    height: int
    marks: tuple[Mark, ...]
    under: str = ""
    group: int = 0


@dataclass(frozen=True, slots=True)
class Block:
    """A heading and its items, in order; ``name`` is its class on the sheet.

    ``whole``: whether it stands in one column wherever one has room for it.
    """

    name: str
    heading: str
    items: tuple[Item, ...]
    whole: bool = False

    @property
    def height(self) -> int:
        """Its height in one piece."""
        return HEADING + sum(item.height for item in self.items)


@dataclass(frozen=True, slots=True)
class Column:
    """Room for blocks: left, top, and how far down it goes."""

    x: int
    top: int
    bottom: int


def prose(words: str, room: int, mark: str = "", indent: int = 0) -> Item:
    """Words wrapped to a room, hanging by an indent behind a mark."""
    lines = wrap(words, room - indent) or [""]
    marks: list[Mark] = [
        letter(Point(indent, FIRST_BASELINE + number * LEADING), line)
        for number, line in enumerate(lines)
    ]
    if mark:
        marks.insert(0, letter(Point(0, FIRST_BASELINE), mark, weight="bold"))
    return Item(LEADING * len(lines) + ITEM_GAP, tuple(marks))


def indent_for(marks: Iterable[str]) -> int:
    """The indent at which prose clears the widest of its marks."""
    return max((width(mark, SMALL, "bold") for mark in marks), default=0) + 2200


def parted(block: Block, column: int) -> Block:
    """The block with items that have no room in a column of this height in pieces that have,
    parted between lines."""
    room = [_has_room(item, number, column) for number, item in enumerate(block.items)]
    if all(room):
        return block
    pieces = (
        (item,) if fits_as_it_is else _pieces_of(item, column)
        for item, fits_as_it_is in zip(block.items, room, strict=True)
    )
    return replace(block, items=tuple(chain.from_iterable(pieces)))


def _has_room(item: Item, number: int, column: int) -> bool:
    """Whether an item has room in a column below the heading that it needs there; ``number``: of
    how many it comes behind."""
    head = _Head("", continued=number > 0, under=item.under if number else "")
    return head.height + item.height <= column


def _pieces_of(item: Item, column: int) -> Iterator[Item]:
    """An item in pieces, of a line at least, that have room below any heading."""
    high = max(1, (column - max(HEADING, CONTINUED + LEADING)) // LEADING) * LEADING
    pieces: dict[int, list[Mark]] = {}
    for number, mark in _by_piece(item.marks, high):
        pieces.setdefault(number, []).append(mark)
    for number, marks in sorted(pieces.items()):
        above = number * high
        height = min(high, item.height - above)
        yield Item(height, all_moved(marks, 0, -above), under=item.under)


def _by_piece(marks: Iterable[Mark], high: int) -> Iterator[tuple[int, Mark]]:
    """Marks with the numbers of the pieces of this height that they are in; of a group that is in
    several, what is in each."""
    for mark in marks:
        box = ink_box(mark)
        if isinstance(mark, Group) and box.y // high != box.bottom // high:
            inner: dict[int, list[Mark]] = {}
            for number, one in _by_piece(mark.marks, high):
                inner.setdefault(number, []).append(one)
            yield from ((n, replace(mark, marks=tuple(some))) for n, some in inner.items())
        else:
            yield box.centre.y // high, mark


def flow(
    blocks: Sequence[Block], columns: Sequence[Column], *, whole: int = 0
) -> tuple[Mark, ...] | None:
    """The blocks through the columns in order; None where they do not fit.

    A heading stays with its first item; a block that goes on in the next column says so. Blocks
    up to ``whole`` high are not divided.
    """
    found = _through(blocks, columns, whole)
    return None if found is None else _block_marks(blocks, found)


def flow_over(
    blocks: Sequence[Block], pages: Sequence[Sequence[Column]], *, whole: int = 0
) -> list[tuple[Mark, ...]]:
    """The blocks through the columns of one page after the other, each on a sheet of its own;
    nothing where they do not fit."""
    apart = [
        Column(column.x + page * FAR_APART, column.top, column.bottom)
        for page, columns in enumerate(pages)
        for column in columns
    ]
    found = _through(blocks, apart, whole) or []
    made: list[tuple[Mark, ...]] = []
    for page in range(len(pages)):
        on = [
            [(thing, at.moved(-page * FAR_APART, 0)) for thing, at in pieces if _page(at) == page]
            for pieces in found
        ]
        made.append(_block_marks(blocks, on))
    return made


def _page(at: Point) -> int:
    return at.x // FAR_APART


def _block_marks(blocks: Sequence[Block], found: Sequence[Sequence[_Piece]]) -> tuple[Mark, ...]:
    """Each block that has anything here as a group."""
    return tuple(
        Group(
            tuple(mark for thing, at in pieces for mark in _drawn(thing, at)),
            Ref(("block", block.name), title=block.heading),
        )
        for block, pieces in zip(blocks, found, strict=False)
        if pieces
    )


def fits(blocks: Sequence[Block], columns: Sequence[Column], *, whole: int = 0) -> bool:
    """Whether blocks fit columns, as ``flow`` puts them there."""
    return _through(blocks, columns, whole) is not None


@dataclass(frozen=True, slots=True)
class _Head:
    """The heading of a block, or a small one over what goes on from the column before, which says
    what the next item is ``under``."""

    words: str
    continued: bool
    under: str = ""

    @property
    def height(self) -> int:
        """From its top to the top of the item below it."""
        return (CONTINUED if self.continued else HEADING) + (LEADING if self.under else 0)


_Piece = tuple[Item | _Head, Point]


def _through(
    blocks: Sequence[Block], columns: Sequence[Column], whole: int
) -> list[list[_Piece]] | None:
    """Where the headings and items of each block come; None where they do not fit."""
    pen = _Pen(columns)
    made: list[list[_Piece]] = []
    for block in blocks:
        one = block.whole and any(block.height <= c.bottom - c.top for c in columns)
        if (one or block.height <= whole) and not pen.fits(block.height):
            pen.next_column(block.height)
        pieces = _pieces(block, pen)
        if pieces is None:
            return None
        made.append(pieces)
    return made


def _pieces(block: Block, pen: _Pen) -> list[_Piece] | None:
    found: list[_Piece] = []
    for number, item in enumerate(block.items):
        head = None if number else _Head(block.heading, continued=False)
        above = head.height if head else 0
        lower = pen.fits(above + item.group) or not pen.next_fits(above + CONTINUED + item.group)
        if not (lower and pen.fits(above + item.height)):
            head = head or _Head(block.heading, continued=True, under=item.under)
            if not pen.next_column(item.height + head.height):
                return None
        if head:
            found.append((head, pen.at()))
            pen.down(head.height)
        found.append((item, pen.at()))
        pen.down(item.height)
    pen.down(BLOCK_GAP)
    return found


def _drawn(thing: Item | _Head, at: Point) -> tuple[Mark, ...]:
    if isinstance(thing, Item):
        return all_moved(thing.marks, *at)
    if not thing.continued:
        return (_heading(thing.words, at),)
    under = (_continued(thing.under, at.moved(0, CONTINUED), "bold"),) if thing.under else ()
    return (_continued(thing.words, at), *under)


def _heading(words: str, at: Point) -> Text:
    foot = at.moved(0, HEADING_BASELINE)
    return letter(foot, words, height=LABEL, weight="bold", ref=Ref(("heading",)))


def _continued(words: str, at: Point, weight: Weight = "regular") -> Text:
    """A small heading over what goes on from the column before."""
    foot = at.moved(0, FIRST_BASELINE)
    ink, ref = BLACK if weight == "bold" else TEXT_GREY, Ref(("heading",))
    return letter(foot, f"{words}, continued", weight=weight, colour=ink, ref=ref)


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
        while self._number + 1 < len(self._columns):
            self._number += 1
            self._y = self._columns[self._number].top
            if self.fits(height):
                return True
        return False

    def next_fits(self, height: int) -> bool:
        """Whether this much goes into the next column."""
        following = self._columns[self._number + 1 : self._number + 2]
        return any(height <= column.bottom - column.top for column in following)

    def at(self) -> Point:
        """Where the pen stands."""
        return Point(self._columns[self._number].x, self._y)

    def down(self, height: int) -> None:
        """Go down in the column."""
        self._y += height
