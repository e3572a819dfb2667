"""The ways to boxes with inputs of a priority, as a transmitter: what must be heard."""

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
    """The ways to inputs of the highest priority; in a part around an input those to that."""
    return next(iter(by_priority(bench).values()), ())


def by_priority(bench: Bench) -> Mapping[int, tuple[Way, ...]]:
    """By priority, the highest first, the units on each way in order of flow, from behind the last
    box with many inputs on; before them, as if of priority 0, those to what a part is drawn around.
    """
    asked = bench.plan.excerpt.asked if bench.plan.excerpt else frozenset()
    feeders, found = _feeders(bench), dict[int, list[Way]]()
    inputs = Counter(port.equipment for port in bench.wired if port.side == "in")
    for box in bench.plan.boxes:
        told = {slot.priority for slot in box.inputs if slot.priority}
        told |= {0 for slot in box.inputs if slot.port in asked}
        for priority in sorted(told):
            way = [box.equipment.id]
            for place in way:
                near = (p for p in feeders.get(place, ()) if inputs[p] <= FEW_INPUTS)
                way += [before for before in near if before not in way]
            units = tuple(unit for unit in reversed(way) if unit in bench.nets_at)
            if len(units) > 1:
                found.setdefault(priority, []).append(units)
    return {priority: tuple(dict.fromkeys(found[priority])) for priority in sorted(found)}


def _feeders(bench: Bench) -> Mapping[str, Way]:
    """By node or equipment, those that nets lead from there."""
    found: dict[str, list[str]] = {}
    for net in bench.plan.nets:
        for end in net.targets:
            found.setdefault(_place_of(end), []).extend(map(_place_of, net.sources))
    return {place: tuple(dict.fromkeys(feeders)) for place, feeders in found.items()}


def _place_of(end: RearEnd) -> str:
    return end.address.equipment if isinstance(end.address, PortAddress) else end.node
