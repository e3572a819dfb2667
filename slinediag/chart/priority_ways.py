"""The block that says what feeds each priority input, box by box with the sheets that show it."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence

from slinediag.address import Address
from slinediag.chart import symbols
from slinediag.chart.blocks import FIRST_BASELINE, Block, Item
from slinediag.chart.chains import Chain, led_from, legs_of
from slinediag.chart.lettering import SMALL
from slinediag.chart.page_names import FED
from slinediag.chart.pointers import Pointer, pointing
from slinediag.geometry import Point
from slinediag.model.facility import Facility
from slinediag.tracing.phrases import listed, port_names

INDENT = 7_000
ARROW = "→"
NOTHING = "nothing, as filed"
JACKS = "jacks"
"""What is said of a sheet that shows nothing else between two boxes."""
SILENT = "nothing: SILENT"
NAMED = 3
"""Boxes that lead to the first of a chain are named up to this many, else counted."""


def priority_ways(
    facility: Facility,
    chains: Sequence[Chain],
    sheet: Mapping[Address, int],
    room: int,
) -> Block:
    """A line for each chain, the box it leads to first; ``sheet``: of each port and jack
    that is drawn."""
    boxes = [chain.links[-1].box for chain in chains]
    several = {box for box in boxes if boxes.count(box) > 1}
    rows = (_row(facility, chain, sheet, room, several) for chain in chains)
    items = [row for row in rows if row]
    return Block(FED, "What feeds the priority inputs", tuple(items))


def _row(
    facility: Facility,
    chain: Chain,
    sheet: Mapping[Address, int],
    room: int,
    several: Collection[str],
) -> Item | None:
    """The last box of a chain with its sheet, then what leads there, sheet by sheet; its inputs
    too where it is among those to which ``several`` chains lead."""
    legs = legs_of(chain, sheet)
    if not legs:
        return None
    last, on = facility.equipment[chain.links[-1].box], legs[-1].sheet
    printed = last.printed
    if last.id in several:
        ports = ", ".join(last.facts[p.port, p.side].label for p in chain.links[-1].entries)
        printed = f"{printed} {ports}"
    words = [Pointer(printed, on, "bold", last.id), Pointer(f"({on}):", on, "bold", last.id)]
    if last.name.casefold() != last.printed.casefold():
        words += (Pointer(word) for word in f"{last.name}:".split())
        words[1] = Pointer(f"({on}),", on, "bold", last.id)
    words += _sources(facility, chain, sheet)
    told: set[str] = {last.id}
    arrow = bool(chain.sources)
    for leg in legs:
        if not leg.boxes:
            words += [Pointer(ARROW)] * arrow
            words += [Pointer(JACKS, leg.sheet), Pointer(f"({leg.sheet})", leg.sheet, "bold")]
        boxes = [box for box in leg.boxes if box not in told]
        for box in boxes:
            words += [Pointer(ARROW)] * arrow
            words += _box(facility, chain, box, leg.sheet)
            arrow = True
        if boxes:
            words.append(Pointer(f"({leg.sheet})", leg.sheet, "bold", boxes[-1]))
        told.update(boxes)
    disc = symbols.priority_mark(Point(2_400, FIRST_BASELINE - SMALL // 2), chain.priority)
    return pointing(words, room, disc, INDENT)


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
        yield Pointer(", ".join(names) if len(names) <= NAMED else f"{len(names)} boxes")
        return
    for new in chain.new_sources:
        yield Pointer(f"{facility.equipment[new].printed} {chain.newly},")
    yield Pointer("sheet" if len(on) == 1 else "sheets")
    for number, one in enumerate(on):
        yield Pointer(f"{one}," if number + 1 < len(on) else str(one), one, "bold", box)
