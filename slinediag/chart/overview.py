"""The index of a set, and the whole at a glance: its sheets and the lines that lead between them.

Lengths in micrometres.
"""

from __future__ import annotations

import itertools
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from slinediag.address import Jack, natural
from slinediag.chart.blocks import Block, indent_for, prose
from slinediag.chart.graph import ChartGraph, Piece, settings_for
from slinediag.chart.islands import arrange_after
from slinediag.chart.laying import Laid
from slinediag.chart.lettering import LABEL, SMALL, letter
from slinediag.chart.points import PITCH
from slinediag.chart.ranges import compressed, number_ranges
from slinediag.chart.shares import ELSEWHERE, Share
from slinediag.chart.standing import Standing
from slinediag.chart.subject import Position
from slinediag.drawing import styles
from slinediag.drawing.marks import Group, Line, Mark, Rect, Ref
from slinediag.drawing.query import ink_box
from slinediag.geometry import Box, Point, to_mm, union
from slinediag.layout.graph import Edge, Graph, Node, Port
from slinediag.model.facility import Facility
from slinediag.text import shorten

NAMED = 5
"""Pieces of equipment that a sheet's heading names."""
COLUMN = 60_000
"""Boxes whose left edges lie within this stand in one column."""
CARD = 80_000
CARD_PADDING = 1_800


@dataclass(frozen=True, slots=True)
class Contents:
    """What a sheet is about: its equipment, and its positions by bay."""

    number: int
    heading: str
    positions: str


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
    return Contents(laid.share.number, heading or "Lines between bays", _positions(facility, laid))


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
    rows = [
        (str(c.number), f"{c.heading}. {c.positions}" if c.positions else c.heading) for c in found
    ]
    rows += [(str(number), words) for number, words in further]
    rows.sort(key=lambda row: int(row[0]))
    indent = indent_for(number for number, _ in rows)
    items = [prose(words, room, number, indent) for number, words in rows]
    if unused:
        subject = "Sheet {} is" if len(unused) == 1 else "Sheets {} are"
        items.append(prose(f"{subject.format(number_ranges(unused))} not used.", room))
    return Block("sheet-index", "Sheets of this set", tuple(items))


def bay_index(
    facility: Facility, laid: Iterable[Laid], listed: Iterable[Position], room: int
) -> Block:
    """Where each position is drawn: bay by bay, the numbers printed at it and the sheets.

    ``listed``: the positions that only the lists name.
    """
    sheet = {place: one.share.number for one in laid for place in one.share.positions}
    for place in listed:
        sheet.setdefault(place, 0)
    rows = []
    for id in sorted({place.bay for place in sheet}, key=natural):
        bay = facility.bays[id]
        first = bay.printed_number(Jack(id, "T", 1)) - 1
        own = sorted(place.number for place in sheet if place.bay == id)
        runs = itertools.groupby(own, key=lambda number: sheet[Position(id, number)])
        told = []
        for number, run in runs:
            numbers = number_ranges(position + first for position in run)
            told.append(f"{numbers} {f'on {number}' if number else 'listed'}")
        rows.append((bay.printed, "; ".join(told)))
    indent = min(indent_for(label for label, _ in rows), room // 2)
    items = [prose(words, room, label, indent) for label, words in rows]
    said = prose("Positions on sheet; listed: on none, see the lists at the end.", room)
    return Block("bay-index", "Where each position is", (said, *items))


def overview(
    found: Sequence[Contents], shares: Sequence[Share], aspect: float, before: Standing
) -> tuple[tuple[Mark, ...], Box, Standing]:
    """The sheets as cards, with a line for all that lead from one to another and their count; the
    room they take, and how they stand.

    ``aspect``: width to height that the cards are packed towards. ``before``: how cards of an
    earlier set stood, which stay.
    """
    bundles = _bundles(shares)
    entries: dict[int, list[tuple[int, int]]] = {c.number: [] for c in found}
    exits: dict[int, list[tuple[int, int]]] = {c.number: [] for c in found}
    for pair in sorted(bundles):
        exits[pair[0]].append(pair)
        entries[pair[1]].append(pair)
    nodes = tuple(_node(c.number, entries[c.number], exits[c.number]) for c in found)
    edges = tuple(
        Edge((str(one), f"to {other}"), (str(other), f"from {one}"))
        for one, other in sorted(bundles)
    )
    pieces = tuple(Piece(number, (number,)) for number in range(len(edges)))
    graph = ChartGraph(Graph(nodes, edges), pieces)
    there, standing = arrange_after(before, graph, settings_for("quick"), (), aspect)
    marks: list[Mark] = [
        Line(piece.runs, styles.FOLDED_LINE, Ref(("between-sheets",)))
        for piece in there.pieces
        if piece.runs
    ]
    for c in found:
        counts = ([bundles[p] for p in entries[c.number]], [bundles[p] for p in exits[c.number]])
        marks.append(_card(c, there.nodes[str(c.number)], *counts))
    return tuple(marks), union(map(ink_box, marks)), standing


def _bundles(shares: Iterable[Share]) -> Counter[tuple[int, int]]:
    """How many lines lead from a sheet to another, each counted where it leaves."""
    return Counter(
        (share.number, reference.mate)
        for share in shares
        for reference in share.references
        if reference.way == "to" and reference.mate != ELSEWHERE
    )


def _node(
    number: int, entries: Sequence[tuple[int, int]], exits: Sequence[tuple[int, int]]
) -> Node:
    rows = 1 + max(len(entries), len(exits))
    return Node(
        str(number),
        to_mm(CARD),
        to_mm(rows * PITCH),
        tuple(Port(f"from {one}", to_mm(_row(n))) for n, (one, _) in enumerate(entries, 1)),
        tuple(Port(f"to {other}", to_mm(_row(n))) for n, (_, other) in enumerate(exits, 1)),
    )


def _row(number: int) -> int:
    return number * PITCH + PITCH // 2


def _card(c: Contents, at: Box, entering: Sequence[int], leaving: Sequence[int]) -> Group:
    """A sheet as a card: number and heading, and at each line how many it stands for."""
    number = letter(
        at_head := Point(at.x + CARD_PADDING, at.y + PITCH // 2 + LABEL // 2),
        str(c.number),
        height=LABEL,
        weight="bold",
    )
    beside = at_head.moved(number.width + CARD_PADDING, -(LABEL - SMALL) // 2)
    words = shorten(c.heading, SMALL, at.right - CARD_PADDING - beside.x) or ""
    marks: list[Mark] = [Rect(at, styles.EQUIPMENT), number, letter(beside, words)]
    for n, count in enumerate(entering, 1):
        foot = Point(at.x + CARD_PADDING, at.y + _row(n) + SMALL // 2)
        marks.append(letter(foot, _lines(count)))
    for n, count in enumerate(leaving, 1):
        foot = Point(at.right - CARD_PADDING, at.y + _row(n) + SMALL // 2)
        marks.append(letter(foot, _lines(count), anchor="end"))
    ref = Ref(("sheet-card",), (("sheet", str(c.number)),), title=f"Sheet {c.number}: {c.heading}")
    return Group(tuple(marks), ref)


def _lines(count: int) -> str:
    return f"{count} line" if count == 1 else f"{count} lines"
