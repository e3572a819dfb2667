"""What an input that is restored hears, held against what it heard before.

That it hears the same origins is not all: a desk's second programme is mixed from the same
microphones as its first. So the mixes by which the audio comes are compared too.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from slinediag.tracing.hearing import Hearing, bits
from slinediag.tracing.outage.situation import Effect, Situation
from slinediag.tracing.outage.values import Heard

MIXED = 3
"""Inputs behind an output from which it counts as a mix; two are the sides of one stereo pair."""

NOTHING: Mapping[int, int] = {}


class Listener:
    """Says of the inputs of one situation what they hear under some moves."""

    def __init__(self, situation: Situation) -> None:
        self._situation = situation
        self._mixes_before: dict[int, int] = {}

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
        now, was = self._mixes(number, effect)
        return Heard(port, "instead", named(now), named(was), mix=True) if now else Heard(port)

    def also(self, number: int, effect: Effect) -> int:
        """The origins that an input hears and did not hear before."""
        situation = self._situation
        return effect.hears.get(number, situation.hears[number]) & ~situation.heard[number]

    def _mixes(self, number: int, effect: Effect) -> tuple[int, int]:
        """The mixes that an input gets in place of others, and those; none where it gets its own.

        A mix right behind a box that has failed was its own as well.
        """
        situation = self._situation
        before = self._mixes_before.get(number)
        if before is None:
            hearing, dead = situation.before.hearing, situation.dead_outputs
            before = _nearest(hearing, number, NOTHING, NOTHING, through=dead)
            self._mixes_before[number] = before
        now = _nearest(situation.hearing, number, effect.feeds, effect.audio)
        fresh, gone = now & ~before, before & ~now
        return (fresh, gone) if fresh and gone else (0, 0)


def _nearest(
    hearing: Hearing,
    number: int,
    feeds: Mapping[int, int],
    audio: Mapping[int, int],
    through: Iterable[int] = (),
) -> int:
    """The mixes next to an input on the ways that carry audio to it, a set of outputs.

    ``feeds`` and ``audio`` say what differs from the hearing at rest; behind a mix of ``through``
    the next ones count, too.
    """
    found, entries, seen, passed = 0, [number], {number}, frozenset(through)
    for entry in entries:
        for output in bits(feeds.get(entry, hearing.feeds[entry])):
            if not audio.get(output, hearing.audio(output)):
                continue
            behind = hearing.inputs_behind(output)
            if len(behind) >= MIXED:
                found |= 1 << output
                if output not in passed:
                    continue
            entries += [each for each in behind if each not in seen]
            seen.update(behind)
    return found
