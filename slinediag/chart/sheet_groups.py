"""Groups of the sheets of a set: what lines and equipment in parts hold together, and its name."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from slinediag.address import natural
from slinediag.chart.joints import Flags, Joint
from slinediag.chart.laying import Laid
from slinediag.chart.ranges import compressed, number_ranges
from slinediag.model.facility import Facility
from slinediag.tracing.places import place_name

MOST = 6
"""Sheets of a group: more are no longer taken in at a look."""
MOSTLY = 0.6
"""The share of a group's equipment that stands in one room from which the group is called so."""
OTHERS, ALL = "Other sheets", "Sheets"
"""What the sheets are called that are in no group: some, or all of them."""
NAMED = 4
"""Bays that the name of a group tells."""


@dataclass(frozen=True, slots=True)
class SheetGroup:
    """Sheets that belong together: their room or bays, and the equipment in parts that joins no
    others."""

    name: str
    sheets: tuple[int, ...]
    joints: tuple[Joint, ...]


def sheet_groups(
    facility: Facility, laid: Sequence[Laid], flags: Flags, joints: Sequence[Joint]
) -> tuple[SheetGroup, ...]:
    """The groups in the order of their first sheets; last the sheets that are in none."""
    on = {one.share.number: one for one in laid}
    held = sorted(_held_together(on, flags, joints))
    found = [
        (_name(facility, [on[number] for number in sheets]), sheets)
        for sheets in held
        if len(sheets) > 1
    ]
    others = [number for sheets in held if len(sheets) == 1 for number in sheets]
    found += [(OTHERS if found else ALL, others)] if others else []
    return tuple(
        SheetGroup(name, tuple(sheets), tuple(j for j in joints if {*j.sheets} <= {*sheets}))
        for name, sheets in found
    )


def _held_together(on: Iterable[int], flags: Flags, joints: Sequence[Joint]) -> list[list[int]]:
    """The sheets put together in the order of what holds them, the strongest first, up to so many
    in a group."""
    group: dict[int, list[int]] = {number: [number] for number in on}
    ties: Counter[tuple[int, ...]] = Counter()
    for (one, other), lines in flags.items():
        ties[min(one, other), max(one, other)] += lines
    for joint in joints:
        ties[joint.sheets] += sum((*joint.entering.values(), *joint.leaving.values()))
    for sheets, _ in sorted(ties.items(), key=lambda tie: (-tie[1], tie[0])):
        whole = sorted({number for sheet in sheets for number in group[sheet]})
        if len(whole) <= MOST:
            group.update(dict.fromkeys(whole, whole))
    return [list(sheets) for sheets in dict.fromkeys(map(tuple, group.values()))]


def _name(facility: Facility, sheets: Sequence[Laid]) -> str:
    """The room in which most of the equipment stands, or else the bays, those with most first."""
    rooms: Counter[str] = Counter()
    boxes = {box.equipment.id: box.equipment for one in sheets for box in one.boxes}
    for box in boxes.values():
        place = place_name(box.place or "")
        rack = facility.racks.get(place)
        rooms[rack.room if rack is not None and rack.room else place] += 1
    room = min(rooms, key=lambda room: (-rooms[room], natural(room)), default="")
    if room and rooms[room] >= MOSTLY * len(boxes):
        return room
    bays = Counter(position.bay for one in sheets for position in one.share.positions)
    most = sorted(bays, key=lambda bay: (-bays[bay], natural(bay)))[:NAMED]
    labels = [facility.bays[bay].printed for bay in sorted(most, key=natural)]
    more = " and more" if len(bays) > NAMED else ""
    return f"{compressed(labels)}{more}" if labels else room


def beyond(number: int, flags: Flags, joints: Sequence[Joint], group: SheetGroup) -> str:
    """What a sheet is fed by and feeds of all that is not in its group: sheets by number, and
    equipment in parts by name."""
    own = {*group.sheets}
    outside = [joint for joint in joints if joint not in group.joints]

    def told(way: str, sheets: set[int], through: Iterable[Joint]) -> str:
        names = [joint.equipment.printed for joint in through]
        words = ", ".join(filter(None, (number_ranges(sheets - own), *names)))
        return f"{way} {words}" if words else ""

    fed = {one for one, other in flags if other == number}
    feeds = {other for one, other in flags if one == number}
    ways = (
        told("from", fed, (j for j in outside if j.leaving.get(number))),
        told("to", feeds, (j for j in outside if j.entering.get(number))),
    )
    return " · ".join(filter(None, ways))
