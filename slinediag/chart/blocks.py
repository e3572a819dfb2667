"""Blocks of a sheet beside the drawing: a heading and items, which ``flowing`` sets in columns.

Lengths in micrometres; an item's marks lie about its own top left corner.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import chain

from slinediag.chart.lettering import LEADING, SMALL, letter, width, wrap
from slinediag.chart.moving import all_moved
from slinediag.drawing.marks import Group, Mark
from slinediag.drawing.query import ink_box
from slinediag.geometry import Point

HEADING = 8000
"""From the top of a block to the top of its first item."""
CONTINUED = 5600
"""The same where a block goes on in another column."""
BLOCK_GAP = 4000
ITEM_GAP = 1000
MARK_GAP = 700
"""Least room between a mark and the words behind it."""
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

    ``whole``: whether it stands in one column wherever one has room for it. ``room``: the width
    that it is made for; 0 where its heading need not keep within it.
    """

    name: str
    heading: str
    items: tuple[Item, ...]
    whole: bool = False
    room: int = 0

    @property
    def height(self) -> int:
        """Its height in one piece."""
        return HEADING + sum(item.height for item in self.items)


def head_height(*, continued: bool, under: str = "") -> int:
    """From the top of a heading, or of a small one over what goes on, to the item below it."""
    return (CONTINUED if continued else HEADING) + (LEADING if under else 0)


def prose(words: str, room: int, mark: str = "", indent: int = 0, bold: str = "") -> Item:
    """Words wrapped to a room, hanging by an indent behind a mark; ``bold``: how they begin in
    bold, if they do."""
    begun = bold if bold and words.startswith(f"{bold} ") else ""
    wider = width(begun, weight="bold") - width(begun)
    lines = wrap(words, room - indent - wider) or [""]
    if not begun or not lines[0].startswith(begun):
        return _hanging(lines, mark, indent, room)
    rest = lines[0].removeprefix(begun).lstrip()
    item = _hanging(["", *lines[1:]], mark, indent, room)
    foot = Point(indent, FIRST_BASELINE)
    behind = foot.moved(width(f"{begun} n") - width("n") + wider, 0)
    first = (letter(foot, begun, weight="bold"), *((letter(behind, rest),) if rest else ()))
    number = 1 if mark else 0
    return replace(item, marks=(*item.marks[:number], *first, *item.marks[number:]))


def below_each_other(*items: Item) -> Item:
    """Items as a single one."""
    marks: list[Mark] = []
    height = 0
    for item in items:
        marks += all_moved(item.marks, 0, height)
        height += item.height
    return Item(height, tuple(marks))


def in_units(units: Iterable[str], room: int, mark: str, indent: int) -> Item:
    """Words in lines no wider than a room, hanging by an indent behind a mark; each unit stays on
    one line, those alone that have no room on one are parted."""
    lines: list[str] = []
    for unit in units:
        longer = f"{lines[-1]} {unit}" if lines else unit
        if lines and width(longer) <= room - indent:
            lines[-1] = longer
        else:
            lines += wrap(unit, room - indent)
    return _hanging(lines, mark, indent, room)


def _hanging(lines: Sequence[str], mark: str, indent: int, room: int) -> Item:
    """Lines behind a mark; below it where it has no room before them."""
    heads = [mark] if mark else []
    if mark and width(mark, SMALL, "bold") > indent - MARK_GAP:
        heads = wrap(mark, room, SMALL, "bold")
        lines = [*[""] * len(heads), *lines]
    at = Point(0, FIRST_BASELINE)
    marks: list[Mark] = [
        letter(at.moved(0, n * LEADING), head, weight="bold") for n, head in enumerate(heads)
    ]
    marks += [letter(at.moved(indent, n * LEADING), line) for n, line in enumerate(lines) if line]
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
    head = head_height(continued=number > 0, under=item.under if number else "")
    return head + item.height <= column


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
