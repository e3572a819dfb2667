"""The block that says what feeds each priority input, box by box with the sheets that show it."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from typing import NamedTuple

from slinediag.address import Address
from slinediag.chart import symbols
from slinediag.chart.blocks import FIRST_BASELINE, Block, Item
from slinediag.chart.chains import Chain, Leg, led_from, legs_of, sheets_of_last
from slinediag.chart.lettering import SMALL
from slinediag.chart.page_names import FED
from slinediag.chart.pointers import Pointer, pointing
from slinediag.chart.ranges import number_ranges
from slinediag.geometry import Point
from slinediag.model.equipment import Equipment
from slinediag.model.facility import Facility
from slinediag.tracing.phrases import listed, port_names

INDENT = 7_000
ARROW = "→"
NOTHING = "nothing, as filed"
JACKS = "jacks"
"""What is said of a sheet that shows nothing else between two boxes."""
SILENT = "nothing: SILENT"
NAMED = 3
"""Boxes that lead to the first of a chain are named up to this many where sheets are, too."""
MOST = 6
"""The same where no sheets are named; beyond it some are counted."""


def priority_ways(
    facility: Facility,
    chains: Sequence[Chain],
    sheet: Mapping[Address, int],
    room: int,
    *,
    terse: bool = False,
) -> Block:
    """A line for each chain, the box it leads to first; ``sheet``: of each port and jack
    that is drawn. ``terse``: without what the boxes are, and those together that are led to in one
    way."""
    boxes = [chain.links[-1].box for chain in chains]
    several = {box for box in boxes if boxes.count(box) > 1}
    rows: list[_Row] = []
    for chain in chains:
        row = _row(facility, chain, sheet, several, terse=terse)
        if row is None:
            continue
        alike = terse and rows and rows[-1].alike(row)
        rows[-1:] = [rows[-1].and_with(row)] if alike else [*rows[-1:], row]
    return Block(FED, "What feeds the priority inputs", tuple(row.item(room) for row in rows))


class _Row(NamedTuple):
    """Boxes of one priority, each with its sheets, and what leads to them all.

    ``end``: of what leads there, the sheet of its last box where that is the box's own.
    """

    priority: int
    heads: Sequence[Sequence[Pointer]]
    way: Sequence[Pointer]
    end: Sequence[Pointer]

    def alike(self, other: _Row) -> bool:
        """Whether boxes of one priority are led to in one way, but for the last sheet of it."""
        same = self.priority == other.priority and self.way == other.way
        return same and bool(other.end) and bool(self.end or len(self.heads) > 1)

    def and_with(self, other: _Row) -> _Row:
        """The boxes of both; each is on the sheet where its way ends."""
        return self._replace(heads=(*self.heads, *other.heads), end=())

    def item(self, room: int) -> Item:
        """All of it in lines behind the priority."""
        words: list[Pointer] = []
        for number, head in enumerate(self.heads, 1):
            *begun, last = head
            mark = "," if number < len(self.heads) else ":"
            words += [*begun, last._replace(words=f"{last.words}{mark}")]
        disc = symbols.priority_mark(Point(2_400, FIRST_BASELINE - SMALL // 2), self.priority)
        return pointing((*words, *self.way, *self.end), room, disc, INDENT)


def _row(
    facility: Facility,
    chain: Chain,
    sheet: Mapping[Address, int],
    several: Collection[str],
    *,
    terse: bool,
) -> _Row | None:
    """The last box of a chain with its sheets, then what leads there, sheet by sheet; its inputs
    too where it is among those to which ``several`` chains lead."""
    legs = legs_of(chain, sheet)
    if not legs:
        return None
    last = facility.equipment[chain.links[-1].box]
    on = sheets_of_last(chain, sheet)
    way = [*_sources(facility, chain, sheet), *_way(facility, chain, legs)]
    ends = bool(way) and way[-1].words in {f"({one})" for one in on}
    head = _head(chain, last, on, several, terse=terse)
    return _Row(chain.priority, (head,), way[:-1] if ends else way, way[-1:] if ends else ())


def _head(
    chain: Chain, last: Equipment, on: Sequence[int], several: Collection[str], *, terse: bool
) -> list[Pointer]:
    """A box with its sheets and, unless ``terse``, what it is."""
    printed = last.printed
    if last.id in several:
        ports = ", ".join(last.facts[p.port, p.side].label for p in chain.links[-1].entries)
        printed = f"{printed} {ports}"
    words = [Pointer(printed, on[-1], "bold", last.id)]
    for number, one in enumerate(on, 1):
        told = f"{'(' * (number == 1)}{one}{')' if number == len(on) else ','}"
        words.append(Pointer(told, one, "bold", last.id))
    if not terse and last.name.casefold() != last.printed.casefold():
        words[-1] = words[-1]._replace(words=f"{words[-1].words},")
        words += (Pointer(word) for word in last.name.split())
    return words


def _way(facility: Facility, chain: Chain, legs: Sequence[Leg]) -> Iterator[Pointer]:
    """The boxes on the way, each with its sheet where the way leaves that."""
    told = {chain.links[-1].box}
    arrow = bool(chain.sources)
    for leg in legs:
        if not leg.boxes:
            yield from [Pointer(ARROW)] * arrow
            yield Pointer(JACKS, leg.sheet)
            yield Pointer(f"({leg.sheet})", leg.sheet, "bold")
        boxes = [box for box in leg.boxes if box not in told]
        for box in boxes:
            yield from [Pointer(ARROW)] * arrow
            yield from _box(facility, chain, box, leg.sheet)
            arrow = True
        if boxes:
            yield Pointer(f"({leg.sheet})", leg.sheet, "bold", boxes[-1])
        told.update(boxes)


def _box(facility: Facility, chain: Chain, box: str, sheet: int) -> Iterator[Pointer]:
    """A box on the way; by its outputs, and how these lead on, where they do not as filed."""
    new = [out for link in chain.links if link.box == box for out in link.new]
    if not new:
        yield Pointer(facility.equipment[box].printed, sheet, at=box)
        return
    yield Pointer(f"{listed(port_names(facility, new), NAMED)},", sheet, at=box)
    yield Pointer(chain.newly)


def _sources(facility: Facility, chain: Chain, sheet: Mapping[Address, int]) -> Iterator[Pointer]:
    """What leads to the first box of a chain: the sheets on which its lines come in, or names."""
    if chain.silent:
        yield Pointer(SILENT, weight="bold")
        return
    names = [
        facility.equipment[box].printed + (f" {chain.newly}" if box in chain.new_sources else "")
        for box in chain.sources
    ]
    if not names:
        if len(chain.links) == 1:
            yield Pointer(NOTHING)
        return
    on = led_from(chain, sheet)
    box = chain.links[0].box
    if not on or (chain.new_sources and len(names) <= NAMED):
        told = (
            names if len(names) <= MOST else [*names[: MOST - 1], f"{len(names) - MOST + 1} more"]
        )
        yield from (Pointer(f"{name},") for name in told[:-1])
        yield Pointer(told[-1])
        return
    for new in chain.new_sources:
        yield Pointer(f"{facility.equipment[new].printed} {chain.newly},")
    yield Pointer("sheet" if len(on) == 1 else "sheets")
    runs = number_ranges(on).split(", ")
    for number, run in enumerate(runs, 1):
        first = int(run.partition("–")[0])
        yield Pointer(run if number == len(runs) else f"{run},", first, "bold", box)
