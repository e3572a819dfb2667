"""Where the positions of bays are, as a grid: runs of their numbers, and in bold the place of each;
behind them those that are not drawn, with what they are.

Lengths in micrometres.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from slinediag.address import Jack
from slinediag.chart.blocks import FIRST_BASELINE, Item, indent_for
from slinediag.chart.lettering import LEADING, SMALL, letter, width
from slinediag.chart.moving import all_moved
from slinediag.chart.pointers import SPACE
from slinediag.chart.subject import Position
from slinediag.drawing import styles
from slinediag.drawing.marks import Group, Line, Mark, Ref
from slinediag.geometry import Point
from slinediag.model.facility import Facility
from slinediag.text import shorten

WITHIN, BETWEEN = 1_500, 3_000
"""From positions to their place, and from there to the next."""
NOT_DRAWN = "Grey: not in use; a plug there breaks and taps nothing that is in use"
"""What a plug does in the positions that are not drawn (``choose_subject``: no jack of them has a
line on it)."""
ROWS = 6
"""Of cells that stay together."""
RULE = 800
"""Between a rule and what stands below it."""


@dataclass(frozen=True, slots=True)
class Run:
    """Positions of a bay that follow each other and stand in one place, by the numbers printed at
    them.

    ``jack``: the first one's. ``place``: the sheet, or on one sheet the zone; empty for none.
    ``row``: of which jacks alone. ``state``: what they are that are in no place.
    """

    jack: Jack
    first: int
    last: int
    place: str
    row: str = ""
    state: str = ""


def state_at(facility: Facility, position: Position) -> str:
    """What a position without a line is."""
    state = facility.bays[position.bay].point(position.number).state
    return state if state in ("spare", "reserved") else "empty"


def joined(runs: Iterable[Run]) -> Iterator[Run]:
    """Runs that follow each other in one place made one."""
    last: Run | None = None
    for run in runs:
        if (
            last
            and (last.place, last.state) == (run.place, run.state)
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
    every = [run for _, runs in bays for run in runs if run.place]
    behind = max((width(_numbers(run)) for run in every), default=0) + WITHIN
    place = max((width(run.place, weight="bold") for run in every), default=0)
    cell = behind + place + BETWEEN
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
    lines = _lines(runs, room, cells)
    for start in range(0, len(lines), ROWS):
        rule = Line(((Point(0, 0), Point(room, 0)),), styles.TABLE_RULE)
        name = shorten(label, SMALL, cells.indent - 1_000, "bold") or ""
        foot = Point(0, FIRST_BASELINE + RULE)
        some = lines[start : start + ROWS]
        marks: list[Mark] = [rule, letter(foot, name, weight="bold")]
        for number, line in enumerate(some):
            marks += all_moved(line, foot.x, foot.y + number * LEADING)
        yield Item(len(some) * LEADING + 2 * RULE, tuple(marks))


def _lines(runs: Sequence[Run], room: int, cells: Cells) -> list[list[Mark]]:
    """The lines of a bay, each about its own baseline: cells, behind them what is not drawn."""
    across = (room - cells.indent) // cells.in_row
    drawn = [run for run in runs if run.place]
    lines: list[list[Mark]] = []
    for number, run in enumerate(drawn):
        row, column = divmod(number, cells.in_row)
        if not column:
            lines.append([])
        lines[row].append(_cell(run, Point(cells.indent + column * across, 0), cells.behind))
    free = len(drawn) % cells.in_row
    x = cells.indent + free * across if free else room
    for group in _by_state(runs):
        parts = list(_parts(group))
        wide = sum(width(part.words) for part in parts) + SPACE * (len(parts) - 1)
        if x + wide > room and (x > cells.indent or not lines):
            lines.append([])
            x = cells.indent
        for part in parts:
            if x + width(part.words) > room and x > cells.indent:
                lines.append([])
                x = cells.indent
            lines[-1].append(_not_drawn(part, Point(x, 0)))
            x += width(part.words) + SPACE
        x += BETWEEN
    return lines


def _by_state(runs: Sequence[Run]) -> list[list[Run]]:
    """The runs that are not drawn by what they are, those that are reserved, say, together."""
    found: dict[str, list[Run]] = {}
    for run in runs:
        if not run.place:
            found.setdefault(run.state, []).append(run)
    return list(found.values())


class _Part(NamedTuple):
    """Words of what is not drawn; ``run``: the positions that they name."""

    words: str
    run: Run | None = None


def _parts(group: Sequence[Run]) -> Iterator[_Part]:
    """The numbers of runs and behind them what they are."""
    *before, last = group
    yield from (_Part(f"{_numbers(run)},", run) for run in before)
    yield _Part(_numbers(last), last)
    if last.state:
        yield _Part(last.state)


def _not_drawn(part: _Part, at: Point) -> Mark:
    words = letter(at, part.words, colour=styles.TEXT_GREY)
    if part.run is None:
        return words
    return Group((words,), _ref(part.run, f"{_numbers(part.run)}: {part.run.state or 'listed'}"))


def _numbers(run: Run) -> str:
    numbers = str(run.first) if run.first == run.last else f"{run.first}–{run.last}"
    return f"{run.row}{numbers}"


def _cell(run: Run, at: Point, behind: int) -> Group:
    """Positions and close behind them their place; a group that leads there."""
    numbers = _numbers(run)
    words = letter(at.moved(behind - WITHIN, 0), numbers, anchor="end")
    number = letter(at.moved(behind, 0), run.place, weight="bold")
    if run.place.isdecimal():
        led = _ref(run, f"{numbers} on sheet {run.place}", ("sheet", run.place))
    else:
        led = _ref(run, f"{numbers} in {run.place}", ("sheet", "1"), ("zone", run.place))
    return Group((words, number), led)


def _ref(run: Run, title: str, *where: tuple[str, str]) -> Ref:
    data = (("at", str(run.jack)), ("first", str(run.first)), ("last", str(run.last)))
    return Ref(("bay-run",), (*data, *where), title=title)
