"""Outages worked out before they happen: every box on the way to a priority input."""

from __future__ import annotations

from slinediag.model.facility import Facility
from slinediag.progress import Tell, silent, through
from slinediag.tracing.outage.answer import Inquiry
from slinediag.tracing.outage.failure import Failure
from slinediag.tracing.outage.pause import collector_paused
from slinediag.tracing.outage.situation import Situation
from slinediag.tracing.outage.values import Outage


def prepared_outages(
    facility: Facility, *, moves: int = 2, tell: Tell = silent
) -> tuple[Outage, ...]:
    """The outage of each box whose failure silences an input of a priority, in the file's order."""
    mended = Situation(facility, facility)
    found = []
    boxes = [box for box in facility.equipment.values() if not box.removed]
    for box in through(boxes, tell, "what to patch when a box fails"):
        with collector_paused():
            inquiry = Inquiry(facility, Failure(boxes=(box.id,)), moves, False, mended=mended)
            situation = inquiry.situation
            if any(situation.facts[number].priority is not None for number in situation.silenced):
                found.append(inquiry.answer())
    return tuple(found)
