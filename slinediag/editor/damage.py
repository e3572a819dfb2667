"""What failed bays, places and cables do, beside what a trial does, as the panels tell it."""

from __future__ import annotations

from slinediag.damage import NO_FAILURE, cut_ends, silenced_inputs
from slinediag.editor.things import Box, Thing
from slinediag.editor.trials import Item, with_failed
from slinediag.model.facility import Facility
from slinediag.tracing.outage.failure import Failure
from slinediag.tracing.values import Answer


def silenced_by(
    facility: Facility, failure: Failure, answer: Answer
) -> tuple[tuple[str, Thing | None], ...]:
    """What has failed beside boxes and which inputs are silent now, in one sentence that leads to
    the first of them."""
    if failure == NO_FAILURE:
        return ()
    words, named = silenced_inputs(facility, failure, answer)
    return ((words, named[0] if named else None),)


def failed_things(facility: Facility, item: Item) -> tuple[Thing, ...]:
    """What of the facility has failed with a bay, a place or a cable."""
    failure = with_failed(Failure(), item)
    boxes = tuple(Box(box) for box in failure.dead_boxes(facility))
    bays = failure.dead_bays(facility)
    jacks = tuple(j for bay in facility.bays.values() if bay.id in bays for j in bay.jacks())
    return (*boxes, *jacks, *(end for end, _ in cut_ends(facility, failure)))
