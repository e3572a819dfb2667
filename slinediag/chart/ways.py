"""The ways to what comes first: to boxes with inputs of the highest priority, as a transmitter."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping

from slinediag.address import PortAddress
from slinediag.chart.division import Bench
from slinediag.chart.rear import RearEnd

FEW_INPUTS = 4
"""Equipment with more is where a way begins: limiters and amplifiers have no more."""

Way = tuple[str, ...]


def ways(bench: Bench) -> tuple[Way, ...]:
    """The units on each way in order of flow, from behind the last box with many inputs on."""
    asked = {slot.priority for box in bench.plan.boxes for slot in box.inputs if slot.priority}
    first, feeders = min(asked, default=0), _feeders(bench)
    inputs = Counter(port.equipment for port in bench.wired if port.side == "in")
    found = []
    for box in bench.plan.boxes:
        if first and any(slot.priority == first for slot in box.inputs):
            way = [box.equipment.id]
            for place in way:
                near = (p for p in feeders.get(place, ()) if inputs[p] <= FEW_INPUTS)
                way += [before for before in near if before not in way]
            found.append(tuple(unit for unit in reversed(way) if unit in bench.nets_at))
    return tuple(dict.fromkeys(way for way in found if len(way) > 1))


def _feeders(bench: Bench) -> Mapping[str, Way]:
    """By node or equipment, those that nets lead from there."""
    found: dict[str, list[str]] = {}
    for net in bench.plan.nets:
        for end in net.targets:
            found.setdefault(_place_of(end), []).extend(map(_place_of, net.sources))
    return {place: tuple(dict.fromkeys(feeders)) for place, feeders in found.items()}


def _place_of(end: RearEnd) -> str:
    return end.address.equipment if isinstance(end.address, PortAddress) else end.node
