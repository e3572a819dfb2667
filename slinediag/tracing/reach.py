"""What a patch cord can reach, and how long it must be. Lengths in metres.

The straight way between two jacks by racks, units, rows and pitch, with slack for the hand and
the bend at each plug, rounded up to the lengths in stock.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Mapping

from slinediag.address import Jack, Row
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

Lengths = Mapping[str, tuple[int | None, ...]]
"""By row the cords to the jacks of a bay, by position, in millimetres; none where out of reach."""


class Reach:
    """The lengths of cords between the jacks of one facility."""

    def __init__(self, facility: Facility) -> None:
        self._facility = facility
        self._stock = sorted(facility.practice.cord_lengths)
        self._from_jack: dict[tuple[Jack, str], Lengths] = {}

    def length(self, one: Jack, other: Jack) -> float | None:
        """The cord that joins two jacks, in metres; None where no cord reaches."""
        here, there = self._facility.bays[one.bay], self._facility.bays[other.bay]
        if not self._within_reach(here, there):
            return None
        apart = self._between(here, there)
        if apart is None:
            return self._stocked(UNKNOWN)
        across = _along(there, other.position) - _along(here, one.position) + apart[0]
        down = _below(there, other.row) - _below(here, one.row) + apart[1]
        return self._stocked(math.hypot(across, down) + SLACK)

    def lengths(self, one: Jack, bay: str) -> Lengths:
        """The cords from a jack to all jacks of a bay; kept, since it is asked again and again."""
        found = self._from_jack.get((one, bay))
        if found is None:
            found = self._from_jack[one, bay] = self._to_bay(one, self._facility.bays[bay])
        return found

    def _to_bay(self, one: Jack, there: Bay) -> Lengths:
        here = self._facility.bays[one.bay]
        if not self._within_reach(here, there):
            return {}
        apart = self._between(here, there)
        if apart is None:
            unknown = _millimetres(self._stocked(UNKNOWN))
            return dict.fromkeys(there.jack_rows, (None, *((unknown,) * there.width)))
        found: dict[str, tuple[int | None, ...]] = {}
        right, below = _along(here, one.position), _below(here, one.row)
        columns = [_along(there, n) - right + apart[0] for n in range(1, there.width + 1)]
        for row in there.jack_rows:
            down = _below(there, row) - below + apart[1]
            ways = (math.hypot(across, down) + SLACK for across in columns)
            found[row] = (None, *(_millimetres(self._stocked(way)) for way in ways))
        return found

    @property
    def least(self) -> float:
        """What every cord is at least as long as."""
        return self._stocked(SLACK) or 0.0

    def reaches(self, one: Jack, other: Jack) -> bool:
        """Whether a cord joins two jacks."""
        return self.length(one, other) is not None

    def _stocked(self, needed: float) -> float | None:
        """The shortest length in stock that will do; where no stock is filed, any length."""
        if not self._stock:
            return math.ceil(round(needed * CENTIMETRES, 6)) / CENTIMETRES
        place = bisect_left(self._stock, needed - 1e-9)
        return self._stock[place] if place < len(self._stock) else None

    def _within_reach(self, here: Bay, there: Bay) -> bool:
        """One place, racks of one room, or a place that is unset."""
        if here.id == there.id or here.place is None or there.place is None:
            return True
        one, other = place_name(here.place), place_name(there.place)
        if one == other:
            return True
        racks = self._facility.racks
        return one in racks and other in racks and racks[one].room == racks[other].room

    def _between(self, here: Bay, there: Bay) -> tuple[float, float] | None:
        """How far one bay's corner stands to the right of and below another's; None: not known."""
        if here.id == there.id:
            return 0.0, 0.0
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


def _along(bay: Bay, position: int) -> float:
    """How far right a position stands in a panel, in metres."""
    pitch = bay.pitch / 1000 if bay.pitch is not None else PITCH[bay.jack_style]
    offset = bay.offset / 1000 if bay.offset is not None else 0.0
    return offset + (position - 1) * pitch


def _below(bay: Bay, row: Row) -> float:
    """How far down a row of jacks stands in a panel, in metres."""
    return ROW_PITCH[bay.jack_style] if row == "B" else 0.0


def _millimetres(metres: float | None) -> int | None:
    return None if metres is None else round(1000 * metres)
