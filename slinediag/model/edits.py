"""Edits of a facility as pure functions: a facility in, a facility out.

Each refuses with RequestError what would leave the facility wrong: an unknown place, a second
thing on one jack.
"""

from __future__ import annotations

import datetime
from dataclasses import replace

from slinediag.address import Jack
from slinediag.model.facility import Cord, Facility


def with_cord(
    facility: Facility,
    ends: tuple[Jack, Jack],
    *,
    length: float | None = None,
    note: str | None = None,
    since: datetime.date | None = None,
    by: str | None = None,
) -> Facility:
    """The facility with one standing cord more, first-named end first; length in metres."""
    cord = Cord(ends[0], ends[1], length, note, since, by)
    return replace(facility, cords=(*facility.cords, cord))
