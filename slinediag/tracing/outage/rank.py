"""Which of two patches is better, and the best few found so far.

Best first: fits before not; full before not; least harm, compared priority by priority, highest
first; fewest moves; most of what was heard before; by the same mixes as before, at the input and
on the way; fewest inputs elsewhere that get another mix; fewest inputs that get the other side of
a stereo pair; smallest change of level, in steps of 0.1 dB; shortest cords; the
:class:`~slinediag.tracing.outage.detour.Detour`: fewest working boxes gone round, then fewest
levels amiss on the way; natural order of the jacks.

The detour stands before natural order because patches level in all else are common, and the
number of a jack says nothing of their worth: a patch right round a dead limiter keeps the delay
that one from farther back would lose, and a player into the delay needs no gain where a
microphone would. Mixes and sides stand before level and length: another desk's programme, or left
and right exchanged, is not worth a tenth of a decibel or thirty centimetres of cord.

A :data:`Grade` is that order as far as it does not depend on which jack of a kind is taken;
lengths are in millimetres.
"""

from __future__ import annotations

from bisect import insort
from collections.abc import Iterable
from typing import NamedTuple

from slinediag.address import Jack
from slinediag.tracing.outage.board import Moves
from slinediag.tracing.outage.detour import STRAIGHT, Detour
from slinediag.tracing.outage.situation import Effect, Situation
from slinediag.tracing.values import CordEnds

LISTED = 5
"""How many patches an answer lists."""

UNKNOWN_STEPS = 10**6
"""Where a change of level that is not known stands: behind every known one."""

Harm = tuple[int, ...]


class Grade(NamedTuple):
    """A part of the order of patches, less being better.

    Whether the level does not fit, and not just what was heard is heard; harmed inputs by
    priority; moves; origins that stay unheard; whether the others come by another mix, and how
    many inputs elsewhere get another; how many inputs get the other side of a pair; 0.1 dB steps.
    """

    misfit: bool
    part: bool
    harm: Harm
    moves: int
    unheard: int
    mixed: bool = False
    others_mixed: int = 0
    exchanged: int = 0
    steps: int = 0


class Outlook(NamedTuple):
    """The best that something may come to; a part of the order of patches."""

    grade: Grade
    length: int
    detour: Detour = STRAIGHT


class Candidate(NamedTuple):
    """A patch with its jacks; sorts best first."""

    grade: Grade
    length: int
    detour: Detour
    order: tuple[object, ...]
    cords: tuple[CordEnds, ...]
    pulls: tuple[CordEnds, ...]
    moves: Moves


class Best:
    """The best candidates so far, best first, each set of cords and pulls once."""

    def __init__(self, size: int = LISTED) -> None:
        self._size = size
        self.found: list[Candidate] = []
        self._known: set[frozenset[frozenset[Jack]]] = set()

    def beaten(self, outlook: Outlook) -> bool:
        """Whether nothing of this outlook, or worse, can still be listed."""
        return len(self.found) == self._size and outlook > self.found[-1][:3]

    @property
    def worst(self) -> Outlook | None:
        """What nothing that is still listed may be behind; None while there is room."""
        return Outlook(*self.found[-1][:3]) if len(self.found) == self._size else None

    def enters(self, candidate: Candidate) -> bool:
        """Whether a candidate would be listed and is not yet."""
        if _content(candidate) in self._known:
            return False
        return len(self.found) < self._size or candidate[:4] < self.found[-1][:4]

    def add(self, candidate: Candidate) -> None:
        """List a candidate and drop the last where there are too many."""
        self._known.add(_content(candidate))
        insort(self.found, candidate, key=lambda c: c[:4])
        for gone in self.found[self._size :]:
            self._known.discard(_content(gone))
        del self.found[self._size :]

    @property
    def settled(self) -> bool:
        """Whether all that are listed fit, are full and do no harm."""
        return len(self.found) == self._size and not any(
            grade.misfit or grade.part or any(grade.harm) for grade in (c.grade for c in self.found)
        )


def _content(candidate: Candidate) -> frozenset[frozenset[Jack]]:
    return frozenset(frozenset(ends) for ends in (*candidate.cords, *candidate.pulls))


def harm_of(situation: Situation, harmed: int) -> Harm:
    """How many of a set of inputs there are at each priority, highest first, unset last."""
    if not harmed:
        return situation.no_harm
    return tuple((harmed & rank).bit_count() for rank in situation.inputs_by_rank)


def grade_at_best(situation: Situation, number: int, effect: Effect, moves: int) -> Grade:
    """The grade of moves that restore an input, mixes and sides taken to be as before."""
    before = situation.heard[number]
    now = effect.hears.get(number, situation.hears[number])
    change = situation.level_change(number, situation.level(number, effect))
    return Grade(
        not situation.fits(change),
        now != before,
        harm_of(situation, effect.harmed & ~(1 << number)),
        moves,
        (before & ~now).bit_count(),
        steps=level_steps(change),
    )


def with_mixes(grade: Grade, situation: Situation, number: int, effect: Effect) -> Grade:
    """A grade with mixes and sides as they are."""
    on_the_way, elsewhere = situation.fed_another_mix(number, effect)
    return Grade(
        *grade[:5],
        mixed=bool(on_the_way) or situation.another_mix(number, effect) != (0, 0),
        others_mixed=len(elsewhere),
        exchanged=len(situation.exchanged(effect)),
        steps=grade.steps,
    )


def level_steps(change: float | None) -> int:
    """A change of level in whole steps of 0.1 dB; unknown ones behind all others."""
    return UNKNOWN_STEPS if change is None else round(abs(change) * 10)


def natural_order(
    situation: Situation, cords: Iterable[CordEnds], pulls: Iterable[CordEnds]
) -> tuple[object, ...]:
    """Sort key by the jacks of cords, then of pulls, each cord's lower address first."""
    place = situation.board.place
    return tuple(
        sorted(tuple(sorted(place[jack] for jack in ends)) for ends in group)
        for group in (cords, pulls)
    )
