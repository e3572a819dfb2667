"""Where the positions of bays are, as a grid: runs of their numbers, and in bold the place of each.

Lengths in micrometres.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from slinediag.address import Jack
from slinediag.chart.blocks import FIRST_BASELINE, Item, indent_for
from slinediag.chart.lettering import LEADING, SMALL, letter, width
from slinediag.drawing import styles
from slinediag.drawing.marks import Group, Line, Mark, Ref
from slinediag.geometry import Point
from slinediag.text import shorten

WITHIN, BETWEEN = 1_500, 3_000
"""From positions to their place, and from there to the next."""
ROWS = 6
"""Of cells that stay together."""
RULE = 800
"""Between a rule and what stands below it."""


@dataclass(frozen=True, slots=True)
class Run:
    """Positions of a bay that follow each other and stand in one place, by the numbers printed at
    them.

    ``jack``: the first one's. ``place``: the sheet, or on one sheet the zone; empty for none.
    ``row``: of which jacks alone.
    """

    jack: Jack
    first: int
    last: int
    place: str
    row: str = ""


def joined(runs: Iterable[Run]) -> Iterator[Run]:
    """Runs that follow each other in one place made one."""
    last: Run | None = None
    for run in runs:
        if (
            last
            and last.place == run.place
            and last.last + 1 == run.first
            and last.row == run.row == ""
        ):
            last = replace(last, last=run.last)
            continue
        if last:
            yield last
        last = run
    if last:
        yield last


def grid(bays: Sequence[tuple[str, Sequence[Run]]], room: int) -> Iterator[Item]:
    """The runs of each bay, by its label, in rows and columns of this width."""
    if not bays:
        return
    indent = min(indent_for(label for label, _ in bays), room // 3)
    every = [run for _, runs in bays for run in runs]
    behind = max(width(_numbers(run)) for run in every) + WITHIN
    cell = behind + max(width(run.place, weight="bold") for run in every) + BETWEEN
    count = max(1, (room - indent + BETWEEN) // cell)
    for label, runs in bays:
        yield from _of_bay(label, runs, room, Cells(indent, count, behind))


class Cells(NamedTuple):
    """From where on cells stand, how many in a row, and how far their places stand from them."""

    indent: int
    in_row: int
    behind: int


def _of_bay(label: str, runs: Sequence[Run], room: int, cells: Cells) -> Iterator[Item]:
    """The runs of a bay, read along the rows, ruled above; a few rows stay together."""
    indent, count, behind = cells
    across = (room - indent) // count
    for start in range(0, len(runs), count * ROWS):
        rule = Line(((Point(0, 0), Point(room, 0)),), styles.TABLE_RULE)
        name = shorten(label, SMALL, indent - 1_000, "bold") or ""
        foot = Point(0, FIRST_BASELINE + RULE)
        marks: list[Mark] = [rule, letter(foot, name, weight="bold")]
        some = runs[start : start + count * ROWS]
        for number, run in enumerate(some):
            row, column = divmod(number, count)
            at = foot.moved(indent + column * across, row * LEADING)
            marks.append(_cell(run, at, behind))
        rows = -(-len(some) // count)
        yield Item(rows * LEADING + 2 * RULE, tuple(marks))


def _numbers(run: Run) -> str:
    numbers = str(run.first) if run.first == run.last else f"{run.first}–{run.last}"
    return f"{run.row}{numbers}"


def _cell(run: Run, at: Point, behind: int) -> Group:
    """Positions and their place; a group that leads there."""
    numbers = _numbers(run)
    data = (("at", str(run.jack)), ("first", str(run.first)), ("last", str(run.last)))
    words = letter(at, numbers, colour=styles.BLACK if run.place else styles.TEXT_GREY)
    if not run.place:
        return Group((words,), Ref(("bay-run",), data, title=f"{numbers}, listed"))
    number = letter(at.moved(behind, 0), run.place, weight="bold")
    if run.place.isdecimal():
        ref = Ref(
            ("bay-run",), (*data, ("sheet", run.place)), title=f"{numbers} on sheet {run.place}"
        )
    else:
        led = (*data, ("sheet", "1"), ("zone", run.place))
        ref = Ref(("bay-run",), led, title=f"{numbers} in {run.place}")
    return Group((words, number), ref)
