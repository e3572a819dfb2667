"""Words that lead to sheets, flowed into lines: what names a sheet is a group that links there.

Lengths in micrometres.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from slinediag.chart.blocks import FIRST_BASELINE, ITEM_GAP, Item
from slinediag.chart.lettering import LEADING, letter, width
from slinediag.drawing.marks import Group, Mark, Ref, Weight
from slinediag.geometry import Point

SPACE = width("n n") - 2 * width("n")


class Pointer(NamedTuple):
    """A word or a few that stay on one line; ``sheet`` is where they lead, 0 for nowhere.

    ``at``: the jack or equipment there, by id.
    """

    words: str
    sheet: int = 0
    weight: Weight = "regular"
    at: str = ""


def pointing(
    words: Iterable[Pointer], room: int, mark: Sequence[Mark] = (), indent: int = 0
) -> Item:
    """Pointers in lines no wider than a room, hanging by an indent behind marks."""
    x, y = indent, FIRST_BASELINE
    marks: list[Mark] = [*mark]
    for one in words:
        across = width(one.words, weight=one.weight)
        x += SPACE if x > indent else 0
        if x + across > room and x > indent:
            x, y = indent, y + LEADING
        marks.append(pointer_at(Point(x, y), one))
        x += across
    return Item(y - FIRST_BASELINE + LEADING + ITEM_GAP, tuple(marks))


def pointer_at(foot: Point, one: Pointer) -> Mark:
    """The words from a point on; a group where they lead to a sheet."""
    words = letter(foot, one.words, weight=one.weight)
    if not one.sheet:
        return words
    data = ((("at", one.at),) if one.at else ()) + (("sheet", str(one.sheet)),)
    return Group((words,), Ref(("to-sheet",), data, title=f"To sheet {one.sheet}"))


def leading(item: Item, sheet: int) -> Item:
    """All of an item as a group that leads to a sheet."""
    ref = Ref(("to-sheet",), (("sheet", str(sheet)),), title=f"To sheet {sheet}")
    return Item(item.height, (Group(item.marks, ref),))
