"""What leads from sheet to sheet of a set: lines that flags interrupt, and ways through equipment
in parts, in on one sheet and out on another.

No line is interrupted in such equipment, so that no flag says it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from slinediag.address import Jack, PortAddress, natural
from slinediag.chart.laying import Laid
from slinediag.chart.shares import ELSEWHERE, Share
from slinediag.model.equipment import Equipment


@dataclass(frozen=True, slots=True)
class Joint:
    """Equipment in parts that joins sheets: how many of its inputs on each lead to another, and
    how many of its outputs on each are led to from another."""

    equipment: Equipment
    entering: Mapping[int, int]
    leaving: Mapping[int, int]

    @property
    def sheets(self) -> tuple[int, ...]:
        """The sheets that it joins."""
        return tuple(sorted({*self.entering, *self.leaving}))


def sheets_of_ports(laid: Iterable[Laid]) -> Mapping[PortAddress, int]:
    """The sheet on which each port with a line is drawn."""
    return {
        port: one.share.number
        for one in laid
        for box in one.boxes
        for slot in box.slots
        for port in slot.ports
    }


def sheets_of_jacks(laid: Iterable[Laid]) -> Mapping[Jack, int]:
    """The sheet on which each jack is drawn."""
    return {jack: one.share.number for one in laid for point in one.points for jack in point.jacks}


Flags = Mapping[tuple[int, int], int]
"""How many lines lead by flags from one sheet to another."""


Ways = tuple[Flags, Sequence["Joint"]]
"""What leads between sheets: by flags, and through equipment in parts."""


def flags_of(shares: Iterable[Share]) -> Flags:
    """The lines that flags interrupt between sheets, counted where they leave."""
    return Counter(
        (share.number, reference.mate)
        for share in shares
        for reference in share.references
        if reference.way == "to" and reference.mate != ELSEWHERE
    )


def joints_of(laid: Iterable[Laid]) -> tuple[Joint, ...]:
    """The joints of a set, in natural order of the equipment."""
    sheets = tuple(laid)
    sheet = sheets_of_ports(sheets)
    parted = {
        box.equipment.id: box.equipment for one in sheets for box in one.boxes if box.parts > 1
    }
    found = (_joint(parted[id], sheet) for id in sorted(parted, key=natural))
    return tuple(joint for joint in found if joint.entering)


def _joint(box: Equipment, sheet: Mapping[PortAddress, int]) -> Joint:
    entering: dict[PortAddress, int] = {}
    leaving: dict[PortAddress, int] = {}
    for one, other in box.ways:
        entry, out = PortAddress(box.id, one, "in"), PortAddress(box.id, other, "out")
        here, there = sheet.get(entry), sheet.get(out)
        if here is not None and there is not None and here != there:
            entering[entry], leaving[out] = here, there
    return Joint(box, _counted(entering.values()), _counted(leaving.values()))


def _counted(sheets: Iterable[int]) -> Mapping[int, int]:
    found: dict[int, int] = {}
    for sheet in sorted(sheets):
        found[sheet] = found.get(sheet, 0) + 1
    return found
