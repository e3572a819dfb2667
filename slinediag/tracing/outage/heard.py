"""What an input that is restored hears, held against what it heard before.

That it hears the same origins is not all: a desk's second programme is mixed from the same
microphones as its first. So the mixes by which the audio comes are compared too.
"""

from __future__ import annotations

from slinediag.tracing.outage.situation import Effect, Situation
from slinediag.tracing.outage.values import Heard


class Listener:
    """Says of the inputs of one situation what they hear under some moves."""

    def __init__(self, situation: Situation) -> None:
        self._situation = situation

    def heard(self, number: int, effect: Effect) -> Heard:
        """All that it heard, a part of that, or something else instead."""
        situation = self._situation
        port, named = situation.inputs[number], situation.tracer.named
        before = situation.heard[number]
        hears = effect.hears.get(number, situation.hears[number])
        if not hears & before & ~situation.standby:
            return Heard(port, "instead", named(hears), named(before))
        if before & ~hears:
            return Heard(port, "part")
        now, was = situation.another_mix(number, effect)
        return Heard(port, "instead", named(now), named(was), mix=True) if now else Heard(port)

    def also(self, number: int, effect: Effect) -> int:
        """The origins that an input hears and did not hear before."""
        situation = self._situation
        return effect.hears.get(number, situation.hears[number]) & ~situation.heard[number]
