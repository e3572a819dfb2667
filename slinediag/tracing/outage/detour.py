"""How far a patch strays from the way by which the audio came before the failure.

Of two patches level in all else the one serves better that leaves more of that way in place,
and that asks for no setting of levels on it.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property
from typing import NamedTuple

from slinediag.tracing.hearing import Hearing, bits
from slinediag.tracing.outage.situation import Effect, Situation


class Detour(NamedTuple):
    """Boxes that a patch goes round, and inputs on its way whose level no longer fits."""

    gone_round: int
    amiss: int


STRAIGHT = Detour(0, 0)
"""What no patch is better than."""

NOTHING: Mapping[int, int] = {}


class Detours:
    """The equipment on the way to one input before the failure, and what patches make of it.

    Sets of boxes are whole numbers with one bit each. Boxes that have failed do not count.
    """

    def __init__(self, situation: Situation, number: int) -> None:
        self._situation = situation
        self._number = number
        self._boxes = situation.bits_of_boxes
        self._known: dict[int, int] = {0: 0}

    @cached_property
    def before(self) -> int:
        """The working boxes on the way before the failure."""
        boxes, _ = self._along(self._situation.before.hearing, NOTHING, NOTHING)
        for output in self._situation.dead_outputs:
            boxes &= ~self._boxes[output]
        return boxes

    def _along(
        self, hearing: Hearing, feeds: Mapping[int, int], audio: Mapping[int, int]
    ) -> tuple[int, list[int]]:
        """The boxes and inputs on the ways that carry audio to the input.

        ``feeds`` and ``audio`` say what differs from the hearing at rest.
        """
        boxes, entries, seen = 0, [self._number], {self._number}
        for entry in entries:
            for output in bits(feeds.get(entry, hearing.feeds[entry])):
                if not audio.get(output, hearing.audio(output)):
                    continue
                boxes |= self._boxes[output]
                for behind in hearing.inputs_behind(output):
                    if behind not in seen:
                        seen.add(behind)
                        entries.append(behind)
        return boxes, entries[1:]

    @cached_property
    def _only_sources(self) -> list[int]:
        """For each box on the way that has no other part in it: what was heard of its own.

        Boxes of which something may be heard now that was not before are left out.
        """
        situation, number = self._situation, self._number
        hearing, heard = situation.before.hearing, situation.heard[number]
        own: dict[int, int] = {}
        mixed = 0
        for output, box in enumerate(self._boxes):
            if not box & self.before:
                continue
            fresh = (situation.wanted[number] | situation.standby) & ~heard
            if hearing.inputs_behind(output) or fresh >> output & 1:
                mixed |= box
            if heard >> output & 1:
                own[box] = own.get(box, 0) | 1 << output
        return [origins for box, origins in own.items() if not box & mixed]

    def gone_round(self, effect: Effect) -> int:
        """How many boxes on the way before do not stand on it under some moves."""
        situation = self._situation
        boxes, _ = self._along(situation.hearing, effect.feeds, effect.audio)
        return (self.before & ~boxes).bit_count()

    def gone_round_at_least(self, missing: int) -> int:
        """How many boxes are gone round at least where these origins are heard no more."""
        found = self._known.get(missing)
        if found is None:
            found = sum(not origins & ~missing for origins in self._only_sources)
            self._known[missing] = found
        return found

    def misfits(self, effect: Effect) -> list[tuple[int, float]]:
        """The inputs on the way whose level no longer fits, and by how many dB it changes."""
        situation = self._situation
        found = []
        for entry in sorted(self._along(situation.hearing, effect.feeds, effect.audio)[1]):
            if entry not in effect.feeds:
                continue
            change = situation.level_change(entry, situation.level(entry, effect))
            if change is not None and not situation.fits(change):
                found.append((entry, change))
        return found

    def unsuited(self, effect: Effect) -> list[tuple[int, float]]:
        """The inputs on the way, this one too, that had no level before and now get none that
        suits them: by how many dB it is off what they are made for."""
        situation = self._situation
        entries = [*self._along(situation.hearing, effect.feeds, effect.audio)[1], self._number]
        found = []
        for entry in sorted(entries):
            level = situation.level(entry, effect) if entry in effect.feeds else None
            if level is None or situation.before.levels[entry] is not None:
                continue
            off = level - situation.facts[entry].level
            if not situation.fits(off):
                found.append((entry, off))
        return found
