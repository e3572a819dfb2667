"""What a trial's cords do to shields, in sentences."""

from __future__ import annotations

from slinediag.model.labels import jack_name
from slinediag.tracing.phrases import listed, port_names
from slinediag.tracing.shields.closed import ShieldLoop
from slinediag.tracing.values import Answer

CURE = (
    "If it hums, take another way or put a line transformer in. Protective earth stays on every "
    "unit, always; local codes rule."
)


def shield_sentences(answer: Answer) -> list[str]:
    """A sentence for each ground loop that a cord closes, warnings first, then what to do."""
    loops = sorted(answer.ground_loops, key=lambda loop: loop.severity != "warning")
    found = [_loop_sentence(answer, loop) for loop in loops]
    return [*found, CURE] if any(loop.severity == "warning" for loop in loops) else found


def _loop_sentence(answer: Answer, loop: ShieldLoop) -> str:
    facility = answer.facility
    one, other = (jack_name(facility, jack) for jack in loop.cord)
    where = f"within bay {facility.bays[loop.bay].printed}" if loop.bay else "between chassis"
    names = listed(port_names(facility, loop.unbalanced))
    unbalanced = f", with {names} in it, unbalanced" if names else ""
    cord = f"cord {one} to {other} closes"
    if loop.severity == "warning":
        return f"WARNING: the {cord} a ground loop {where}{unbalanced}: {loop.way}."
    return f"Note: the {cord} a ground loop {where}, as a rule not heard: {loop.way}."
