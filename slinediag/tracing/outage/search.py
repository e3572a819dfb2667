"""The patches of one silenced input, best first.

With up to two moves nothing better is left out, within :data:`WORK`. Every patch that restores has
a last cord, or a pulled cord's normal, by which wanted audio enters the inputs upstream. Beside it
stands nothing; or a move that carries audio to it (:mod:`chains`); or one that cures what it does
wrong (:mod:`cures`). Moves are tried in the order of the best they can come to, until that is worse
than what is listed. With three and four moves, two are searched on top of as many first moves as
:data:`OPENINGS` and :data:`STEPS` allow: what is found is sound, but better may be missed, and
:attr:`Search.cut_short` says so.
"""

from __future__ import annotations

from collections.abc import Callable

from slinediag.tracing.hearing import bits
from slinediag.tracing.outage.board import Move, Moves
from slinediag.tracing.outage.chains import chained, openings
from slinediag.tracing.outage.cures import cures
from slinediag.tracing.outage.detour import Detour
from slinediag.tracing.outage.jacks import JackChoice
from slinediag.tracing.outage.proof import Proof
from slinediag.tracing.outage.rank import (
    LISTED,
    Candidate,
    Outlook,
    grade_at_best,
    natural_order,
    with_mixes,
)
from slinediag.tracing.outage.task import Carrier, Task
from slinediag.tracing.outage.view import View, add

EXACT = 2
"""Moves up to which nothing better is left out."""

WORK = 800_000
"""How much the search for one and two moves may take for one input: steps, each counted once for
every input of the facility. Many times what the samples ask for; where large equipment has failed
that all else runs through, every pair of moves would take minutes."""

OPENINGS = 48
"""Cords of each sort that are taken as a first move where three or four are allowed."""

STEPS = 1500
"""Steps that the search for a third and fourth move may take for one input."""

LOOK = 20
"""Steps that looking over all cords at once counts for."""

FEWER = 4
"""For a fourth move so many times fewer openings are taken on top of each."""


class Search:
    """The search for the patches of one silenced input."""

    def __init__(
        self, base: View, choice: JackChoice, proof: Proof, number: int, keep: bool
    ) -> None:
        """``base`` is the view with no move made; searches may share it."""
        self._task = Task(base, choice, proof, number, keep)
        self._situation, self._number = base.situation, number
        self._tried: set[Moves] = set()
        self.cut_short = False
        """Whether not all was tried that so many moves can do."""
        self._accepts: Callable[[Candidate], bool] | None = None

    def run(
        self,
        moves: int,
        listed: int = LISTED,
        accepts: Callable[[Candidate], bool] | None = None,
    ) -> list[Candidate]:
        """The best patches of at most this many moves, so many of them at most.

        ``accepts`` says which may be listed; all may unless it is given.
        """
        task = self._task
        self._accepts = accepts
        task.start(listed)
        if self._tied_down():
            return []
        task.bound(max(1, WORK // len(self._situation.inputs)))
        self._look(task.base, min(moves, EXACT))
        self.cut_short = not task.spend(0)
        if moves > EXACT and not task.best.settled:
            self.cut_short = True
            task.bound(STEPS)
            self._deepen(task.base, moves - EXACT)
        return task.best.found

    def _tied_down(self) -> bool:
        """Whether outputs that no plug parts from the input keep every patch from it."""
        board, hearing = self._situation.board, self._situation.hearing
        tied = bits(board.outputs[board.cell_of_input[self._number]])
        return len(tied) > 1 or any(not hearing.inputs_behind(output) for output in tied)

    # ---- one and two moves

    def _look(self, view: View, moves: int) -> None:
        """Try all that up to this many moves more can do."""
        task = self._task
        carrying = self._single_moves(view, last=moves < 2)
        if moves < 2:
            return
        for pull in task.pulls_left(view):
            if not task.spend():
                return
            pulled = view.with_move(pull)
            self._single_moves(pulled, last=True)
            if task.hears_wanted(pulled):
                self._cure(pulled)
        for moved in chained(task, view):
            if not task.spend():
                return
            self.consider(moved)
        least = task.choice.shortest_of_all
        for cord in sorted(carrying, key=lambda carrier: (carrier.helped, carrier.move)):
            helped = cord.helped._replace(length=cord.helped.length + least)
            if task.best.beaten(helped) or not task.spend():
                break
            self._cure(view.with_move(cord.move))

    def _single_moves(self, view: View, last: bool = False) -> list[Carrier]:
        """Try one move more; the cords that bring wanted audio, best outlook first."""
        task = self._task
        for pull in task.pulls_left(view):
            self.consider(add(view.moves, pull))
        if not task.spend(LOOK):
            return []
        carrying = task.carrying(view, last=last)
        for cord in carrying:
            if cord.alone.grade.misfit or task.best.beaten(cord.alone):
                break
            self.consider(add(view.moves, cord.move))
        return carrying

    def _cure(self, view: View) -> None:
        for moves in cures(self._task, view):
            if not self._task.spend():
                return
            self.consider(moves)

    # ---- three and four moves

    def _deepen(self, view: View, extra: int, most: int = OPENINGS) -> None:
        """Search two moves on top of openings: pulls, cords that carry, first cords of chains."""
        task = self._task
        if task.best.settled or not task.spend(LOOK):
            return
        first: list[Move] = [*task.pulls_left(view)]
        first += [carrier.move for carrier in task.carrying(view, every=True)][:most]
        first += openings(task, view, most)
        for opening in first:
            if task.best.settled or not task.spend():
                return
            opened = view.with_move(opening)
            self._look(opened, EXACT)
            if extra > 1:
                self._deepen(opened, extra - 1, most // FEWER)

    # ---- one patch

    def consider(self, moves: Moves) -> None:
        """List these moves where they restore the input and are good enough."""
        if moves in self._tried:
            return
        self._tried.add(moves)
        situation, number, best = self._situation, self._number, self._task.best
        effect = situation.effect(moves)
        if not situation.restored(number, effect):
            return
        grade = grade_at_best(situation, number, effect, len(moves))
        least = self._task.choice.least(moves)
        if least is None or best.beaten(Outlook(grade, least)):
            return
        grade = with_mixes(grade, situation, number, effect)
        if best.beaten(Outlook(grade, least)):
            return
        detours = self._task.detours
        around = detours.gone_round(effect)
        if best.beaten(Outlook(grade, least, Detour(around, 0))):
            return
        detour = Detour(around, len(detours.misfits(effect)))
        pulls = tuple(situation.board.cords[m.pulled] for m in moves if m.pulled >= 0)
        for length, cords in self._task.choice.choices(moves):
            order = natural_order(situation, cords, pulls)
            candidate = Candidate(grade, length, detour, order, cords, pulls, moves)
            if best.beaten(Outlook(grade, length, detour)):
                return
            if not best.enters(candidate):
                continue
            if situation.loops(moves):
                return
            if not self._needed(candidate):
                continue
            if self._accepts is not None and not self._accepts(candidate):
                continue
            if not self._task.proof.holds(candidate, number, effect):
                return
            best.add(candidate)

    def _needed(self, candidate: Candidate) -> bool:
        """Whether no move can be left out without losing restoration or adding harm."""
        used = {jack for cord in candidate.cords for jack in cord}
        for move in candidate.moves:
            rest = tuple(m for m in candidate.moves if m is not move)
            if move.pulled >= 0 and used.intersection(self._situation.board.cords[move.pulled]):
                continue
            if rest and self._does_as_well(rest, candidate.moves):
                return False
        return True

    def _does_as_well(self, fewer: Moves, moves: Moves) -> bool:
        situation, number = self._situation, self._number
        less = situation.effect(fewer)
        if not situation.restored(number, less):
            return False
        harmed = situation.effect(moves).harmed | 1 << number
        return (
            not less.harmed & ~harmed and not situation.loops(fewer) and self._task.offered(fewer)
        )
