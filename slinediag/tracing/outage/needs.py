"""Silent inputs that nobody misses: what they passed on came only to what has failed."""

from __future__ import annotations

from slinediag.tracing.outage.situation import Situation


def leading_nowhere(situation: Situation) -> frozenset[int]:
    """The silenced inputs of no priority whose audio, as filed, came only to what has failed.

    A processor in the insert of a dead desk: a cord into it helps nobody. An input at which audio
    ends, or is recorded, is missed by itself; so is one behind an output that feeds nothing as
    filed, since a cord may take it from there.
    """
    return frozenset(
        number
        for number in situation.silenced
        if situation.facts[number].priority is None and _leads_nowhere(situation, number)
    )


def _leads_nowhere(situation: Situation, number: int) -> bool:
    filed, now = situation.before.hearing, situation.hearing
    dead = {*situation.dead_boxes}
    queue, seen = [number], {number}
    for entry in queue:
        outputs = now.outputs_beyond(entry)
        if situation.inputs[entry].equipment in dead and not outputs:
            continue
        if not outputs or any(situation.sources[output].origin for output in outputs):
            return False
        for output in outputs:
            if not filed.fed_by(output):
                return False
            queue += sorted(now.fed_by(output) - seen)
            seen |= now.fed_by(output)
    return True
