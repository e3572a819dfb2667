"""Blocks of a sheet beside the drawing: a heading and items that flow through columns.

Lengths in micrometres; an item's marks lie about its own top left corner.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from slinediag.chart.lettering import LABEL, LEADING, SMALL, letter, width, wrap
from slinediag.chart.moving import all_moved
from slinediag.drawing.marks import Group, Mark, Ref, Text
from slinediag.drawing.styles import TEXT_GREY
from slinediag.geometry import Point

HEADING = 8000
"""From the top of a block to the top of its first item."""
CONTINUED = 5600
"""The same where a block goes on in another column."""
HEADING_BASELINE = 4600
BLOCK_GAP = 4000
ITEM_GAP = 1000
FIRST_BASELINE = 2900
"""From the top of a line of prose to its baseline."""


@dataclass(frozen=True, slots=True)
class Item:
    """What stays together: its height, and its marks about its top left corner."""

    height: int
    marks: tuple[Mark, ...]


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


def flow(
    blocks: Sequence[Block], columns: Sequence[Column], *, whole: int = 0
) -> tuple[Mark, ...] | None:
    """The blocks through the columns in order; None where they do not fit.

    A heading stays with its first item; a block that goes on in the next column says so. Blocks
    up to ``whole`` high are not divided.
    """
    pen = _Pen(columns)
    made: list[Mark] = []
    for block in blocks:
        one = block.whole and any(block.height <= c.bottom - c.top for c in columns)
        if (one or block.height <= whole) and not pen.fits(block.height):
            pen.next_column(block.height)
        marks = _flow_block(block, pen)
        if marks is None:
            return None
        made.append(Group(tuple(marks), Ref(("block", block.name), title=block.heading)))
    return tuple(made)


def _flow_block(block: Block, pen: _Pen) -> list[Mark] | None:
    marks: list[Mark] = []
    for number, item in enumerate(block.items):
        head = 0 if number else HEADING
        if not pen.fits(item.height + head):
            if not pen.next_column(item.height + max(head, CONTINUED)):
                return None
            if number:
                marks.append(_continued(block.heading, pen.at()))
                pen.down(CONTINUED)
        if head:
            marks.append(_heading(block.heading, pen.at()))
            pen.down(HEADING)
        marks += all_moved(item.marks, *pen.at())
        pen.down(item.height)
    pen.down(BLOCK_GAP)
    return marks


def _heading(words: str, at: Point) -> Text:
    foot = at.moved(0, HEADING_BASELINE)
    return letter(foot, words, height=LABEL, weight="bold", ref=Ref(("heading",)))


def _continued(words: str, at: Point) -> Text:
    """A small heading over what goes on from the column before."""
    foot = at.moved(0, FIRST_BASELINE)
    return letter(foot, f"{words}, continued", colour=TEXT_GREY, ref=Ref(("heading",)))


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

    def at(self) -> Point:
        """Where the pen stands."""
        return Point(self._columns[self._number].x, self._y)

    def down(self, height: int) -> None:
        """Go down in the column."""
        self._y += height
