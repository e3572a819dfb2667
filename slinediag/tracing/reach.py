"""What a patch cord can reach, and how long it must be. Lengths in metres.

The straight way between two jacks by racks, units, rows and pitch, with slack for the hand and
the bend at each plug, rounded up to the lengths in stock.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

from slinediag.address import Jack
from slinediag.model.bay import Bay, Style
from slinediag.model.facility import Facility
from slinediag.tracing.places import place_name

SLACK = 0.3
"""Metres added to the way between two jacks: a cord that is taut pulls on its plugs."""

UNKNOWN = 1.0
"""Metres allowed where it is not known how the two bays stand to each other."""

UNIT = 0.04445
"""Metres a rack unit is high. Source: EIA-310-D, IEC 60297 (second-hand)."""

PITCH: Mapping[Style, float] = {"bantam": 0.00913, "long-frame": 0.01826, "quarter-inch": 0.01826}
"""Metres from jack to jack: 438.15 mm between the ears shared by 48 or by 24 positions."""

ROW_PITCH: Mapping[Style, float] = {"bantam": 0.016, "long-frame": 0.019, "quarter-inch": 0.019}
"""Metres from the top row down to the bottom row; common practice, from memory."""

CENTIMETRES = 100


class Reach:
    """The lengths of cords between the jacks of one facility."""

    def __init__(self, facility: Facility) -> None:
        self._facility = facility
        self._stock = sorted(facility.practice.cord_lengths)
        self._lengths: dict[tuple[Jack, Jack], float | None] = {}

    def length(self, one: Jack, other: Jack) -> float | None:
        """The cord that joins two jacks, in metres; None where no cord reaches."""
        ends = (one, other) if one <= other else (other, one)
        if ends not in self._lengths:
            self._lengths[ends] = self._measure(*ends)
        return self._lengths[ends]

    @property
    def least(self) -> float:
        """What every cord is at least as long as."""
        return self._stocked(SLACK) or 0.0

    def reaches(self, one: Jack, other: Jack) -> bool:
        """Whether a cord joins two jacks."""
        return self.length(one, other) is not None

    def _measure(self, one: Jack, other: Jack) -> float | None:
        here, there = self._facility.bays[one.bay], self._facility.bays[other.bay]
        if not self._within_reach(here, there):
            return None
        way = self._way(one, other)
        return self._stocked(UNKNOWN if way is None else way + SLACK)

    def _stocked(self, needed: float) -> float | None:
        """The shortest length in stock that will do; where no stock is filed, any length."""
        if not self._stock:
            return math.ceil(round(needed * CENTIMETRES, 6)) / CENTIMETRES
        return next((length for length in self._stock if length >= needed - 1e-9), None)

    def _within_reach(self, here: Bay, there: Bay) -> bool:
        """One place, racks of one room, or a place that is unset."""
        if here.id == there.id or here.place is None or there.place is None:
            return True
        one, other = place_name(here.place), place_name(there.place)
        if one == other:
            return True
        racks = self._facility.racks
        return one in racks and other in racks and racks[one].room == racks[other].room

    def _way(self, one: Jack, other: Jack) -> float | None:
        """Metres between two jacks in a straight line; None where that is not known."""
        here, there = self._facility.bays[one.bay], self._facility.bays[other.bay]
        across = _along(there, other) - _along(here, one)
        down = _below(there, other) - _below(here, one)
        if here.id != there.id:
            apart = self._between(here, there)
            if apart is None:
                return None
            across, down = across + apart[0], down + apart[1]
        return math.hypot(across, down)

    def _between(self, here: Bay, there: Bay) -> tuple[float, float] | None:
        """How far one bay's corner stands to the right of and below another's."""
        if here.place is None or there.place is None:
            return None
        if here.unit is None or there.unit is None:
            return None
        down = (here.unit - there.unit) * UNIT
        one, other = place_name(here.place), place_name(there.place)
        if one == other:
            return 0.0, down
        here_x, there_x = (self._facility.racks[place].x for place in (one, other))
        if here_x is None or there_x is None:
            return None
        return there_x - here_x, down


def _along(bay: Bay, jack: Jack) -> float:
    """How far right a jack stands in its panel, in metres."""
    pitch = bay.pitch / 1000 if bay.pitch is not None else PITCH[bay.jack_style]
    offset = bay.offset / 1000 if bay.offset is not None else 0.0
    return offset + (jack.position - 1) * pitch


def _below(bay: Bay, jack: Jack) -> float:
    """How far down a jack stands in its panel, in metres."""
    return ROW_PITCH[bay.jack_style] if jack.row == "B" else 0.0
