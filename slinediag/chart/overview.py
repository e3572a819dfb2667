"""The index of a set: what each of its sheets shows, and where each position is."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from slinediag.address import Jack, natural
from slinediag.chart.blocks import FIRST_BASELINE, Block, Item, indent_for, prose
from slinediag.chart.laying import Laid
from slinediag.chart.lettering import LEADING, SMALL, letter
from slinediag.chart.pointers import leading
from slinediag.chart.ranges import compressed, number_ranges
from slinediag.chart.subject import Position
from slinediag.drawing import styles
from slinediag.drawing.marks import Group, Line, Mark, Ref
from slinediag.geometry import Point
from slinediag.model.facility import Facility
from slinediag.text import shorten

CELL, CELL_SHEET = 23_000, 8_500
"""The room of some positions with their sheet, and of the sheet's number in it."""
ROWS = 6
"""Of cells that stay together."""
RULE = 800
"""Between a rule and what stands below it."""
NAMED = 5
"""Pieces of equipment that a sheet's heading names."""
BETWEEN = "Lines between bays"
"""What a sheet without equipment is about."""
COLUMN = 60_000
"""Boxes whose left edges lie within this stand in one column."""


@dataclass(frozen=True, slots=True)
class Contents:
    """What a sheet is about: its equipment, and its positions by bay.

    ``names``: of what stands there whole, or of all where nothing does. ``priorities``: those of
    the inputs there.
    """

    number: int
    heading: str
    positions: str
    names: tuple[str, ...] = ()
    priorities: tuple[int, ...] = ()


def contents(facility: Facility, laid: Laid) -> Contents:
    """The equipment on a sheet, what stands there whole first; and the positions there.

    In the order of its place, down column by column; labels that count up by their ends.
    """
    parted = {box.equipment.id for box in laid.boxes if box.parts > 1}
    at = laid.there.nodes
    ranked = sorted(
        laid.boxes,
        key=lambda box: (box.equipment.id in parted, at[box.id].x // COLUMN, at[box.id].y),
    )
    names = list(dict.fromkeys(box.equipment.printed for box in ranked))
    told = compressed(names).split(", ")
    heading = ", ".join(told[:NAMED]) + (" and more" if len(told) > NAMED else "")
    whole = [box.equipment.printed for box in ranked if box.equipment.id not in parted]
    alone = compressed(list(dict.fromkeys(whole))).split(", ") if whole else told
    return Contents(
        laid.share.number,
        heading or BETWEEN,
        _positions(facility, laid),
        tuple(filter(None, alone)) or (BETWEEN,),
        tuple(sorted({s.priority for b in laid.boxes for s in b.inputs if s.priority is not None})),
    )


def _positions(facility: Facility, laid: Laid) -> str:
    bays: dict[str, list[int]] = {}
    for position in laid.share.positions:
        bays.setdefault(position.bay, []).append(position.number)
    told = []
    for id, numbers in bays.items():
        bay = facility.bays[id]
        first = bay.printed_number(Jack(id, "T", 1)) - 1
        told.append(f"{bay.printed} {number_ranges(number + first for number in numbers)}")
    return "; ".join(told)


def index(
    found: Iterable[Contents],
    room: int,
    further: Sequence[tuple[int, str]] = (),
    unused: Sequence[int] = (),
) -> Block:
    """The sheets of the set by number, with what each shows; and the numbers that none has."""
    rows = [(c.number, f"{c.heading}. {c.positions}" if c.positions else c.heading) for c in found]
    rows = sorted([*rows, *further])
    indent = indent_for(str(number) for number, _ in rows)
    items = [leading(prose(words, room, str(n), indent), n) for n, words in rows]
    if unused:
        subject = "Sheet {} is" if len(unused) == 1 else "Sheets {} are"
        items.append(prose(f"{subject.format(number_ranges(unused))} not used.", room))
    return Block("sheet-index", "Sheets of this set", tuple(items))


@dataclass(frozen=True, slots=True)
class Run:
    """Positions of a bay that follow each other and stand on one sheet, 0 for none, by the numbers
    printed at them; ``jack``: the first one's."""

    jack: Jack
    first: int
    last: int
    sheet: int


def bay_index(
    facility: Facility, laid: Iterable[Laid], listed: Iterable[Position], room: int
) -> Block:
    """Where each position is drawn: bay by bay, the numbers printed at it and the sheets.

    ``listed``: the positions that only the lists name.
    """
    sheet = {place: one.share.number for one in laid for place in one.share.positions}
    for place in listed:
        sheet.setdefault(place, 0)
    bays = sorted({place.bay for place in sheet}, key=natural)
    labels = [facility.bays[id].printed for id in bays]
    indent = min(indent_for(labels), room // 3)
    said = prose("Positions, and in bold their sheet; no sheet: see the lists at the end.", room)
    items = [
        item
        for id, label in zip(bays, labels, strict=True)
        for item in _grid(label, _runs(facility, id, sheet), room, indent)
    ]
    return Block("bay-index", "Where each position is", (said, *items) if items else ())


def _runs(facility: Facility, bay: str, sheet: Mapping[Position, int]) -> list[Run]:
    """The positions of a bay as runs."""
    first = facility.bays[bay].printed_number(Jack(bay, "T", 1)) - 1
    runs: list[Run] = []
    for place in sorted((p for p in sheet if p.bay == bay), key=lambda p: p.number):
        number, on = place.number + first, sheet[place]
        if runs and runs[-1].sheet == on and runs[-1].last == number - 1:
            runs[-1] = replace(runs[-1], last=number)
        else:
            runs.append(Run(Jack(bay, "T", place.number), number, number, on))
    return runs


def _grid(label: str, runs: Sequence[Run], room: int, indent: int) -> Iterator[Item]:
    """The runs of a bay in rows and columns, read along the rows, ruled above; a few rows stay
    together."""
    count = max(1, (room - indent) // CELL)
    across = (room - indent) // count
    for start in range(0, len(runs), count * ROWS):
        rule = Line(((Point(0, 0), Point(room, 0)),), styles.TABLE_RULE)
        name = shorten(label, SMALL, indent - 1_000, "bold") or ""
        foot = Point(0, FIRST_BASELINE + RULE)
        marks: list[Mark] = [rule, letter(foot, name, weight="bold")]
        some = runs[start : start + count * ROWS]
        for number, run in enumerate(some):
            row, column = divmod(number, count)
            marks += _cell(run, foot.moved(indent + column * across, row * LEADING))
        rows = -(-len(some) // count)
        yield Item(rows * LEADING + 2 * RULE, tuple(marks))


def _cell(run: Run, at: Point) -> Iterator[Mark]:
    """Positions and their sheet; a group that leads there."""
    numbers = str(run.first) if run.first == run.last else f"{run.first}–{run.last}"
    data = (("at", str(run.jack)), ("first", str(run.first)), ("last", str(run.last)))
    words = letter(at, numbers, colour=styles.BLACK if run.sheet else styles.TEXT_GREY)
    if not run.sheet:
        yield Group((words,), Ref(("bay-run",), data, title=f"{numbers}, listed"))
        return
    number = letter(at.moved(CELL - CELL_SHEET, 0), str(run.sheet), weight="bold")
    title = f"{numbers} on sheet {run.sheet}"
    yield Group((words, number), Ref(("bay-run",), (*data, ("sheet", str(run.sheet))), title))
