"""Cords of which only a plug is wanted: a dummy plug in its jack does as well, and joins nothing.

A patch is made of cords alone, so one that is to open a normal comes with an end to spare, which
may lie in the jack of a microphone. Nobody need hang that.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from slinediag.address import Jack
from slinediag.tracing.outage.proof import onto_others
from slinediag.tracing.outage.situation import Effect, Situation
from slinediag.tracing.outage.values import Dummies
from slinediag.tracing.trial import glance
from slinediag.tracing.values import CordEnds, Trial

HANGS_NOTHING = "with nothing hung on a line"


class Plugging:
    """Cords and pulls on a situation, with dummy plugs in place of some of the cords."""

    def __init__(
        self, situation: Situation, cords: Sequence[CordEnds], pulls: Sequence[CordEnds]
    ) -> None:
        self._situation = situation
        board = situation.board
        self._standing = [cord for cord in board.cords if cord not in pulls]
        self._cords, self._pulls = list(cords), tuple(pulls)
        self._held = {jack for cord in self._standing for jack in cord}
        self._held |= {plug.jack for plug in situation.now.plugs}
        self._touched = board.cells_at({jack for cord in (*cords, *pulls) for jack in cord})

    def effect(self, dummies: Dummies) -> Effect:
        """What all that comes to with these cords replaced by dummy plugs."""
        joined = [cord for cord in self._cords if cord not in dummies]
        held = self._held | {jack for cord in joined for jack in cord}
        held |= {jack for jacks in dummies.values() for jack in jacks}
        plugs = self._situation.board.with_plugs(held, [*self._standing, *joined])
        return self._situation.effect_of(plugs, self._touched)

    def dummies(self, restored: Iterable[int]) -> Dummies:
        """For each cord that dummy plugs can replace, the jacks that they go into.

        The inputs restored hear the same at a level that fits as well, no more suffer, and phantom
        comes onto no port that should not have it.
        """
        numbers = tuple(restored)
        found: Dummies = {}
        whole = self.effect(found)
        for cord in self._cords:
            for jacks in ((cord[0],), (cord[1],), cord):
                if self._does_as_well({**found, cord: jacks}, whole, numbers):
                    found[cord] = jacks
                    break
        return found

    def _does_as_well(self, dummies: Dummies, whole: Effect, numbers: tuple[int, ...]) -> bool:
        situation = self._situation
        less = self.effect(dummies)
        return (
            all(_same(situation, n, less, whole) for n in numbers)
            and not less.harmed & ~whole.harmed
            and not situation.closes_loop(less)
            and self._keeps_phantom_off(dummies)
        )

    def _keeps_phantom_off(self, dummies: Dummies) -> bool:
        """Whether the circuit shows no phantom where it should not be; a dummy plug that leaves a
        normal closed which the cord opened may let it through."""
        situation = self._situation
        if not situation.tracer.phantom.givers:
            return True
        plugs = tuple(jack for jacks in dummies.values() for jack in jacks)
        joined = tuple(cord for cord in self._cords if cord not in dummies)
        trial = Trial(
            cords=joined, plugs=plugs, pulled_cords=self._pulls, failed=situation.dead_boxes
        )
        return not onto_others(situation.now, glance(situation.now, trial, 0))


def _same(situation: Situation, number: int, less: Effect, whole: Effect) -> bool:
    """Whether an input hears the same, and at a level that fits where it did."""
    at_rest = situation.hears[number]
    if less.hears.get(number, at_rest) != whole.hears.get(number, at_rest):
        return False
    if not situation.restored(number, less):
        return False
    changes = [
        situation.level_change(number, situation.level(number, each)) for each in (less, whole)
    ]
    return situation.fits(changes[0]) or not situation.fits(changes[1])


def dummy_cautions(dummies: Dummies) -> list[str]:
    """What to beware of with each cord that dummy plugs can replace."""
    return [
        f"{one}={other}: {_plugs_in(jacks)} as well as this cord, {HANGS_NOTHING}"
        for (one, other), jacks in dummies.items()
    ]


def _plugs_in(jacks: tuple[Jack, ...]) -> str:
    if len(jacks) == 1:
        return f"a dummy plug in {jacks[0]} does"
    return f"dummy plugs in {' and '.join(map(str, jacks))} do"
