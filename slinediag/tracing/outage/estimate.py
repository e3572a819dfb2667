"""What a cord can at best come to, told from what its plugs meet, before it is worked out.

An estimate is never worse than the truth, so that what an estimate rules out need not be tried.
It rests on this: with no loop about, a cord that brings audio to a silent input cannot change
what its own source carries.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import cached_property
from typing import NamedTuple

from slinediag.tracing.hearing import bits
from slinediag.tracing.outage.detour import Detours
from slinediag.tracing.outage.rank import Grade, harm_of, level_steps
from slinediag.tracing.outage.situation import Situation
from slinediag.tracing.outage.view import Meets, View


class Estimate(NamedTuple):
    """The best a cord can come to.

    ``alone`` where it may restore with no other move; ``helped`` with one move more beside it,
    by which what stands against it may be cured, and what its source carries grow; ``gone_round``
    and ``gone_round_helped`` are the boxes gone round at least.
    """

    alone: bool
    grade: Grade
    helped: Grade
    gone_round: int = 0
    gone_round_helped: int = 0


class Estimator:
    """Estimates for one silenced input under the moves of one view."""

    def __init__(
        self,
        view: View,
        number: int,
        detours: Detours,
        hopeless: Callable[[int], bool] | None = None,
    ) -> None:
        """``hopeless`` says whether a cord comes to nothing where these origins stay unheard.

        What it rules out is not estimated. What is kept holds for this input under this view.
        """
        situation = view.situation
        self._hopeless = hopeless
        self._with_help: dict[int, int] = {}
        self._at_entries: int | None = None
        self._detours = detours
        self.view = view
        self.number = number
        self.wanted = situation.wanted[number]
        self.allowed = self.wanted | situation.standby
        self.heard = situation.heard[number]
        self.upstream = view.upstream(number)
        self.at_ends = view.hears(number)
        # What it hears already may be parted from it by the cord's own plugs.
        self._loose = situation.has_loops or bool(self.at_ends & ~situation.standby)
        self._steps = self._steps_at_rest()
        moves = len(view.moves) + 1
        self._unknown = Estimate(True, self._best(moves), self._best(moves + 1))
        self._doubled = self._unknown._replace(alone=False)

    def _steps_at_rest(self) -> int:
        """The change of level while the input's own feed stays, in steps."""
        situation, number = self.view.situation, self.number
        level = situation.level(number, self.view.effect)
        return level_steps(situation.level_change(number, level))

    def of(self, one: int, other: int, last: bool = False) -> Estimate | None:
        """What a cord between two kinds can come to; None where it brings nothing wanted, or is
        ruled out.

        For the ``last`` of the moves it is not worked out what help may come to.
        """
        here, there = self.view.meets(one), self.view.meets(other)
        (tip, ring), (here_tip, here_ring) = here.audio, here.inputs
        (tip_there, ring_there), (there_tip, there_ring) = there.audio, there.inputs
        reached = heard = 0
        if (audio := tip | tip_there) & self.wanted:
            entries = (here_tip | there_tip) & self.upstream
            if entries:
                reached, heard = entries, audio
        if (audio := ring | ring_there) & self.wanted:
            entries = (here_ring | there_ring) & self.upstream
            if entries:
                reached |= entries
                heard |= audio
        if not reached:
            return None
        if self._loose or not here.cells.isdisjoint(there.cells):
            return self._doubled if self._doubles(one, other) else self._unknown
        return self._apart(here, there, (reached, heard), last)

    def worth_trying(self, source: int, entries: Sequence[int]) -> Sequence[int]:
        """Those of all entries to which a cord from a source is not ruled out at once.

        Where it is by all that they hear already beside what the source carries, those on its
        own net are left, of which nothing is known.
        """
        if self._loose or self._hopeless is None:
            return entries
        meets = self.view.meets(source)
        heard = meets.audio[0] | meets.audio[1] | self._heard_at(entries)
        if not self._hopeless(self.heard & ~heard):
            return entries
        return [e for e in entries if not meets.cells.isdisjoint(self.view.meets(e).cells)]

    def _heard_at(self, entries: Sequence[int]) -> int:
        if self._at_entries is None:
            self._at_entries = self.at_ends
            for entry in entries:
                self._at_entries |= self.view.audio_at(entry)
        return self._at_entries

    @cached_property
    def _net(self) -> frozenset[int]:
        """The cells on the net of the input."""
        board = self.view.board
        return frozenset(board.net(board.cell_of_input[self.number], self.view.effect.plugs))

    def _doubles(self, one: int, other: int) -> bool:
        """Whether the input has two feeds surely, since the cord's plugs open nothing at it."""
        kinds = self.view.board.kinds
        ends = kinds[one], kinds[other]
        if any(end.behind and not self._net.isdisjoint(end.cells) for end in ends):
            return False
        feeds = self.view.feeds(self.number)
        for near, far in (ends, ends[::-1]):
            for leg in (0, 1):
                if near.springs[leg] in self._net:
                    feeds |= self.view.board.outputs[far.springs[leg]]
        return feeds.bit_count() > 1

    def _best(self, moves: int) -> Grade:
        return Grade(False, False, self.view.situation.no_harm, moves, 0)

    def _apart(
        self, here: Meets, there: Meets, joined: tuple[int, int], last: bool
    ) -> Estimate | None:
        """The estimate where the two plugs meet nets that are apart.

        ``joined`` are the inputs upstream that the cord reaches, and the origins heard there.
        """
        number, (reached, heard) = self.number, joined
        moves = len(self.view.moves) + 1
        steps, single = self._steps, True
        direct = reached >> number & 1
        missing = self.heard & ~(heard if direct else heard | self.at_ends)
        if self._hopeless is not None and self._hopeless(missing):
            return None
        if direct:
            leg = 0 if (here.inputs[0] | there.inputs[0]) >> number & 1 else 1
            feeds = here.outputs[leg] | there.outputs[leg]
            single = feeds.bit_count() == 1
            steps = self._steps_from(feeds, here, there) if single else 0
        else:
            heard |= self.at_ends
            single = self.view.feeds(number).bit_count() < 2
        alone = single and not heard & ~self.allowed
        harm = harm_of(self.view.situation, self._harmed(here, there))
        grade = Grade(
            False, bool(missing), harm, moves, missing.bit_count(), steps=steps if alone else 0
        )
        around = self._detours.gone_round_at_least(missing)
        if last:
            return Estimate(alone, grade, grade, around, around)
        at_most = self._missing_with_help(here, there, missing)
        none = self.view.situation.no_harm
        return Estimate(
            alone,
            grade,
            Grade(False, bool(at_most), none, moves + 1, at_most.bit_count()),
            around,
            self._detours.gone_round_at_least(at_most) if at_most == missing else 0,
        )

    def _missing_with_help(self, here: Meets, there: Meets, missing: int) -> int:
        """The fewest origins missing with one move more, by which more may come to the source."""
        sources = here.outputs[0] | here.outputs[1] | there.outputs[0] | there.outputs[1]
        if not missing or not sources & self.view.situation.hearing.passing_on:
            return missing
        found = self._with_help.get(missing)
        if found is None:
            found = min((missing & ~audio for audio in self.view.carried), key=int.bit_count)
            self._with_help[missing] = found
        return found

    def _steps_from(self, feed: int, here: Meets, there: Meets) -> int:
        """The change of level where one output feeds the input over the cord, in steps."""
        situation, number = self.view.situation, self.number
        loads = here.inputs[0] | here.inputs[1] | there.inputs[0] | there.inputs[1]
        level = situation.level_from(feed.bit_length() - 1, bits(loads))
        return level_steps(situation.level_change(number, level))

    def _harmed(self, here: Meets, there: Meets) -> int:
        """The inputs on the joined nets that cannot but suffer."""
        found, others = 0, ~(1 << self.number)
        for leg in (0, 1):
            audio = here.audio[leg] | there.audio[leg]
            doubled = (here.outputs[leg] | there.outputs[leg]).bit_count() > 1
            entries = (here.inputs[leg] | there.inputs[leg]) & others
            if entries:
                situation = self.view.situation
                found |= those_that_suffer(situation, entries, audio, audio, doubled)
        return found


def those_that_suffer(
    situation: Situation, entries: int, least: int, most: int, doubled: bool
) -> int:
    """Those of a set of inputs that are harmed where they hear at least and at most these."""
    found = 0
    for number in bits(entries):
        if not situation.working[number]:
            continue
        if (
            situation.hears[number] & ~most
            or (situation.heard[number] and least & ~situation.known[number])
            or (doubled and situation.feeds[number].bit_count() < 2)
        ):
            found |= 1 << number
    return found
