"""Where things stand: places as files write them, and what stands at one."""

from __future__ import annotations

from collections.abc import Iterator

from slinediag.model.facility import Facility


def place_name(text: str) -> str:
    """The rack or room of a place such as ``Rack 3, U12``."""
    return text.partition(",")[0].strip()


def places(facility: Facility) -> tuple[str, ...]:
    """Every place that the file names: racks, rooms, and where equipment and bays stand."""
    named = [*facility.racks]
    named += [rack.room for rack in facility.racks.values() if rack.room is not None]
    named += [place_name(place) for place in _filed(facility)]
    return tuple(dict.fromkeys(named))


def _filed(facility: Facility) -> Iterator[str]:
    filed = [box.place for box in facility.equipment.values()]
    filed += [bay.place for bay in facility.bays.values()]
    yield from (place for place in filed if place is not None)


def stands_at(facility: Facility, place: str | None, where: str) -> bool:
    """Whether a filed place is at this rack or room, or in a rack of this room."""
    if place is None:
        return False
    name = place_name(place)
    rack = facility.racks.get(name)
    return name == where or (rack is not None and rack.room == where)
