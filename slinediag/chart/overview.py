"""The index of a set: what each of its sheets shows, and where each position is."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from slinediag.address import Jack, natural
from slinediag.chart.bay_grid import NOT_DRAWN, Run, grid, joined, state_at
from slinediag.chart.blocks import Block, in_units, indent_for, prose
from slinediag.chart.equipment import BoxPlan
from slinediag.chart.laying import Laid
from slinediag.chart.page import AND_MORE
from slinediag.chart.pointers import leading
from slinediag.chart.ranges import called_sheets, compressed, number_ranges
from slinediag.chart.subject import Position
from slinediag.model.facility import Facility

NAMED = 5
"""Pieces of equipment that a sheet's heading names."""
BETWEEN = "Lines between bays"
"""What a sheet without equipment is about."""
PART, PARTS = "part of", "parts of"
"""Before the names on a card of a sheet on which no equipment stands whole."""
COLUMN = 60_000
"""Boxes whose left edges lie within this stand in one column."""


@dataclass(frozen=True, slots=True)
class Contents:
    """What a sheet is about: its equipment, and its positions by bay.

    ``names``: of what stands there whole or has inputs of a priority there, or of all where nothing
    is whole; ``every``: of all. ``priorities``: of the inputs there, ``leading``: the names of the
    equipment that has them.
    ``tags``: what a trial makes of the sheet, each in a word.
    """

    number: int
    heading: str
    positions: str
    names: tuple[str, ...] = ()
    priorities: tuple[int, ...] = ()
    leading: tuple[str, ...] = ()
    every: tuple[str, ...] = ()
    tags: tuple[str, ...] = ()


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
    whole = [box.equipment.printed for box in ranked if box.equipment.id not in parted]
    leading = tuple(b.equipment.printed for b in ranked if any(s.priority for s in b.inputs))
    alone = compressed(list(dict.fromkeys((*whole, *leading)))).split(", ") if whole else told
    if not whole and told[0]:
        alone = [f"{PART if len(told) == 1 else PARTS} {told[0]}", *told[1:]]
    return Contents(
        laid.share.number,
        _heading(ranked, told) or BETWEEN,
        _positions(facility, laid),
        tuple(filter(None, alone)) or (BETWEEN,),
        tuple(sorted({s.priority for b in laid.boxes for s in b.inputs if s.priority is not None})),
        leading,
        tuple(filter(None, told)) or (BETWEEN,),
    )


def _heading(boxes: Sequence[BoxPlan], told: Sequence[str]) -> str:
    """The names of equipment on a sheet; where these are too many, first of what has an input of
    high priority."""
    if len(told) <= NAMED:
        return ", ".join(told)

    def first(box: BoxPlan) -> float:
        return min((s.priority for s in box.inputs if s.priority is not None), default=math.inf)

    names = dict.fromkeys(box.equipment.printed for box in sorted(boxes, key=first))
    return ", ".join(compressed(list(names)).split(", ")[:NAMED]) + AND_MORE


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
    *,
    brief: bool = False,
) -> Block:
    """The sheets of the set by number, with all equipment and positions of each, if ``brief`` with
    the first of the equipment; and the numbers that none has."""
    told = dict(further)
    shown = {one.number: _told(one, brief=brief) for one in found}
    indent = indent_for(map(str, (*told, *shown)))
    rows = {n: prose(words, room, str(n), indent) for n, words in told.items()}
    for n, units in shown.items():
        rows[n] = in_units(units, room, str(n), indent)
    items = [leading(item, n) for n, item in sorted(rows.items())]
    if unused:
        subject = "Sheet {} is" if len(unused) == 1 else "Sheets {} are"
        items.append(prose(f"{subject.format(number_ranges(unused))} not used.", room))
    return Block("sheet-index", "Sheets of this set", tuple(items))


def _told(one: Contents, *, brief: bool) -> list[str]:
    """What the index says of a sheet, in pieces that stay on one line."""
    if brief:
        return _pieces(one.heading)
    names = [f"{name}," for name in one.every[:-1]] + [*one.every[-1:]]
    return [*names[:-1], f"{names[-1]}.", *_pieces(one.positions)] if one.positions else names


def _pieces(words: str) -> list[str]:
    """Names, and bays with their first positions, each with the mark behind it."""
    return re.split("(?<=[,;]) ", words)


def bay_index(
    facility: Facility,
    laid: Iterable[Laid],
    listed: Iterable[Position],
    room: int,
    on: Sequence[int] = (),
) -> Block:
    """Where each position is drawn: bay by bay, the numbers printed at it and the sheets.

    ``listed``: the positions that only the lists name; ``on``: the sheets with their list, none
    where these are not known.
    """
    sheet = {place: one.share.number for one in laid for place in one.share.positions}
    for place in listed:
        sheet.setdefault(place, 0)
    bays = sorted({place.bay for place in sheet}, key=natural)
    words = "In bold the sheet."
    if any(not on for on in sheet.values()):
        words = f"{words} {NOT_DRAWN}{f' (listed on {called_sheets(on)})' if on else ''}."
    said = prose(words, room)
    rows = [(facility.bays[id].printed, _runs(facility, id, sheet)) for id in bays]
    items = tuple(grid(rows, room))
    return Block("bay-index", "Where each position is", (said, *items) if items else ())


def _runs(facility: Facility, bay: str, sheet: Mapping[Position, int]) -> list[Run]:
    """The positions of a bay as runs on one sheet each; those that are listed are on none."""
    first = facility.bays[bay].printed_number(Jack(bay, "T", 1)) - 1
    numbered = sorted((p for p in sheet if p.bay == bay), key=lambda p: p.number)
    return list(
        joined(
            Run(
                Jack(bay, "T", p.number),
                p.number + first,
                p.number + first,
                str(sheet[p] or ""),
                state="" if sheet[p] else state_at(facility, p),
            )
            for p in numbered
        )
    )
