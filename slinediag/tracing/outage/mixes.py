"""The mixes by which inputs hear what they hear, before a failure and with a patch.

A desk's second programme is made of the same microphones as its first, and two desks that hear
each other carry the same origins: what an input hears says nothing of who is on the fader.
"""

from __future__ import annotations

from collections.abc import Iterable

from slinediag.tracing.hearing import Hearing, Masks, bits

MIXED = 3
"""Inputs behind an output from which it counts as a mix; two are the sides of one stereo pair."""

NOTHING: Masks = {}


class Mixes:
    """The mixes next to the inputs of one failure, sets of outputs, as they are asked for.

    ``feeds`` by input and ``audio`` by output are what moves change against the failure alone.
    """

    def __init__(self, before: Hearing, now: Hearing, dead_outputs: Iterable[int]) -> None:
        """``dead_outputs``: those of failed boxes. A mix right behind one was there as well."""
        self._hearing_before, self._hearing = before, now
        self._dead = frozenset(dead_outputs)
        self._before: dict[int, int] = {}
        self._at_rest: dict[int, int] = {}

    def another(self, number: int, feeds: Masks, audio: Masks) -> tuple[int, int]:
        """The mixes that an input gets in place of others, and those; none if it gets its own."""
        before = self.before(number)
        if not before:
            return 0, 0
        now = _nearest(self._hearing, number, feeds, audio)
        fresh, gone = now & ~before, before & ~now
        return (fresh, gone) if fresh and gone else (0, 0)

    def newly_another(self, number: int, feeds: Masks, audio: Masks) -> bool:
        """Whether an input gets a mix in place of others that the failure did not bring it."""
        fresh, _ = self.another(number, feeds, audio)
        return bool(fresh & ~self._after_failure(number)) if fresh else False

    def on_the_way(self, number: int, feeds: Masks, audio: Masks) -> set[int]:
        """The inputs by which the audio comes to an input, itself too."""
        hearing, found, entries = self._hearing, {number}, [number]
        for entry in entries:
            for output in bits(feeds[entry] if entry in feeds else hearing.feeds[entry]):
                if audio[output] if output in audio else hearing.audio(output):
                    behind = hearing.inputs_behind(output)
                    entries += [each for each in behind if each not in found]
                    found.update(behind)
        return found

    def before(self, number: int) -> int:
        """The mixes next to an input before the failure."""
        found = self._before.get(number)
        if found is None:
            hearing, dead = self._hearing_before, self._dead
            found = _nearest(hearing, number, NOTHING, NOTHING, through=dead)
            self._before[number] = found
        return found

    def _after_failure(self, number: int) -> int:
        """The mixes next to an input with the failure alone."""
        found = self._at_rest.get(number)
        if found is None:
            found = self._at_rest[number] = _nearest(self._hearing, number, NOTHING, NOTHING)
        return found


def _nearest(
    hearing: Hearing,
    number: int,
    feeds: Masks,
    audio: Masks,
    through: frozenset[int] = frozenset(),
) -> int:
    """The mixes next to an input on the ways that carry audio to it, a set of outputs.

    ``feeds`` and ``audio`` say what differs from the hearing at rest; behind a mix of ``through``
    the next ones count, too.
    """
    found, entries, seen = 0, [number], {number}
    for entry in entries:
        for output in bits(feeds[entry] if entry in feeds else hearing.feeds[entry]):
            if not (audio[output] if output in audio else hearing.audio(output)):
                continue
            behind = hearing.inputs_behind(output)
            if len(behind) >= MIXED:
                found |= 1 << output
                if output not in through:
                    continue
            entries += [each for each in behind if each not in seen]
            seen.update(behind)
    return found
