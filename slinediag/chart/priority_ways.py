"""The block that says what feeds each priority input, box by box with the sheets that show it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from slinediag.address import PortAddress
from slinediag.chart import symbols
from slinediag.chart.blocks import FIRST_BASELINE, Block, Item
from slinediag.chart.chains import Chain, led_from, legs_of
from slinediag.chart.lettering import SMALL
from slinediag.chart.pointers import Pointer, pointing
from slinediag.geometry import Point
from slinediag.model.facility import Facility

INDENT = 7_000
ARROW = "→"
NOTHING = "nothing"
NAMED = 3
"""Boxes that lead to the first of a chain are named up to this many, else counted."""


def priority_ways(
    facility: Facility,
    chains: Sequence[Chain],
    sheet: Mapping[PortAddress, int],
    room: int,
) -> Block:
    """A line for each chain; ``sheet``: of each port that is drawn."""
    items = [item for chain in chains if (item := _row(facility, chain, sheet, room))]
    return Block("priority-ways", "What feeds the priority inputs", tuple(items))


def _row(
    facility: Facility, chain: Chain, sheet: Mapping[PortAddress, int], room: int
) -> Item | None:
    """The chain as the sheets that it runs through, each with its boxes."""
    legs = legs_of(chain, sheet)
    if not legs:
        return None
    words = [*_sources(facility, chain, sheet)]
    before = ""
    for leg in legs:
        if words:
            words.append(Pointer(ARROW))
        words.append(Pointer(f"{leg.sheet}:", leg.sheet, "bold", leg.boxes[0]))
        boxes = leg.boxes[1:] if leg.boxes[0] == before and len(leg.boxes) > 1 else leg.boxes
        words += _joined(facility, leg.sheet, boxes)
        before = leg.boxes[-1]
    disc = symbols.priority_mark(Point(2_400, FIRST_BASELINE - SMALL // 2), chain.priority)
    return pointing(words, room, disc, INDENT)


def _joined(facility: Facility, sheet: int, boxes: Iterable[str]) -> Iterator[Pointer]:
    for number, box in enumerate(boxes):
        if number:
            yield Pointer(ARROW)
        yield Pointer(facility.equipment[box].printed, sheet, at=box)


def _sources(
    facility: Facility, chain: Chain, sheet: Mapping[PortAddress, int]
) -> Iterator[Pointer]:
    """What leads to the first box of a chain: the sheets on which its lines come in, or names."""
    names = [facility.equipment[box].printed for box in chain.sources]
    if not names:
        if len(chain.links) == 1:
            yield Pointer(NOTHING)
        return
    on = led_from(chain, sheet)
    if not on:
        yield Pointer(", ".join(names) if len(names) <= NAMED else f"{len(names)} boxes")
    box = chain.links[0].box
    for number, one in enumerate(on):
        yield Pointer(f"{one}," if number + 1 < len(on) else str(one), one, "bold", box)
