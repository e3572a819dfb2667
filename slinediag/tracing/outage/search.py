"""The patches of one silenced input, best first.

With up to two moves nothing better is left out. Every patch that restores has a last cord, or a
pulled cord's normal, by which wanted audio enters the inputs upstream. Beside it stands nothing;
or a move that carries audio to it (:mod:`chains`); or one that cures what it does wrong
(:mod:`cures`). Moves are tried in the order of the best they can come to, until that is worse
than what is listed. With three and four moves, two are searched on top of as many first moves as
:data:`OPENINGS` and :data:`STEPS` allow: what is found is sound, but better may be missed.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from slinediag.tracing.hearing import bits
from slinediag.tracing.outage.board import Move, Moves, put
from slinediag.tracing.outage.chains import chained, openings
from slinediag.tracing.outage.cures import cures
from slinediag.tracing.outage.estimate import Estimator
from slinediag.tracing.outage.jacks import JackChoice
from slinediag.tracing.outage.proof import Proof
from slinediag.tracing.outage.rank import (
    LISTED,
    Best,
    Candidate,
    Grade,
    Harm,
    grade_of,
    harm_of,
    natural_order,
)
from slinediag.tracing.outage.view import View, add

EXACT = 2
"""Moves up to which nothing better is left out."""

OPENINGS = 48
"""Cords of each sort that are taken as a first move where three or four are allowed."""

STEPS = 1500
"""Steps that the search for a third and fourth move may take for one input."""

LOOK = 20
"""Steps that looking over all cords at once counts for."""

FEWER = 4
"""For a fourth move so many times fewer openings are taken on top of each."""


class Ranked(NamedTuple):
    """A cord with the best it can come to, alone and with one move more; length in mm."""

    grade: Grade
    length: int
    move: Move
    helped: Grade


class Search:
    """The search for the patches of one silenced input."""

    def __init__(
        self, base: View, choice: JackChoice, proof: Proof, number: int, keep: bool
    ) -> None:
        """``base`` is the view with no move made; searches may share it."""
        situation = base.situation
        self._base = base
        self.situation = situation
        self.choice = choice
        self.number = number
        self.best = Best()
        self.pulls = () if keep else situation.pulls
        self._proof = proof
        self._tried: set[Moves] = set()
        self._left: int | None = None

    def run(self, moves: int, listed: int = LISTED) -> list[Candidate]:
        """The best patches of at most this many moves, so many of them at most."""
        self.best = Best(listed)
        if self._tied_down():
            return []
        self._look(self._base, min(moves, EXACT))
        if moves > EXACT:
            self._left = STEPS
            self._deepen(self._base, moves - EXACT)
        return self.best.found

    def spend(self, steps: int = 1) -> bool:
        """Count steps of a search that is bounded; whether there are any left."""
        if self._left is not None:
            self._left -= steps
        return self._left is None or self._left > 0

    def _tied_down(self) -> bool:
        """Whether outputs that no plug parts from the input keep every patch from it."""
        situation = self.situation
        board, hearing = situation.board, situation.hearing
        tied = bits(board.outputs[board.cell_of_input[self.number]])
        return len(tied) > 1 or any(not hearing.inputs_behind(output) for output in tied)

    # ---- one and two moves

    def _look(self, view: View, moves: int) -> None:
        """Try all that up to this many moves more can do."""
        carrying = self._single_moves(view)
        if moves < 2:
            return
        for pull in self._pulls_left(view):
            if not self.spend():
                return
            pulled = view.with_move(pull)
            self._single_moves(pulled)
            if self._hears_wanted(pulled):
                self._cure(pulled)
        for moved in chained(self, view):
            if not self.spend():
                return
            self.consider(moved)
        least = self.choice.shortest_of_all
        for cord in sorted(carrying, key=lambda ranked: (ranked.helped, ranked[1:3])):
            if self.best.hardly_beats(cord.helped, cord.length + least) or not self.spend():
                break
            self._cure(view.with_move(cord.move))

    def _single_moves(self, view: View) -> list[Ranked]:
        """Try one move more; the cords that bring wanted audio, best outlook first."""
        for pull in self._pulls_left(view):
            self.consider(add(view.moves, pull))
        if not self.spend(LOOK):
            return []
        ranked = self.carrying(view)
        for outlook, length, move, _ in ranked:
            if outlook[0] or self.best.beaten(outlook, length):
                break
            self.consider(add(view.moves, move))
        return ranked

    def carrying(self, view: View, sources: Iterable[int] | None = None) -> list[Ranked]:
        """The cords by which wanted audio enters the inputs upstream, best outlook first.

        ``sources`` are the kinds to take it from; all that carry it unless given.
        """
        estimator = Estimator(view, self.number)
        entries = view.kinds_at_inputs(estimator.upstream)
        if sources is None:
            sources = view.kinds_that_carry(estimator.wanted)
        ranked: dict[Move, Ranked] = {}
        taken = self.choice.least(view.moves) or 0
        for source in sources:
            for entry in entries:
                found = estimator.of(source, entry)
                if found is None:
                    continue
                move = put(source, entry)
                length = self._length(view, move)
                if length is not None:
                    grade = found.grade if found.alone else _set_back(found.grade)
                    ranked[move] = Ranked(grade, taken + length, move, found.helped)
        return sorted(ranked.values())

    def _length(self, view: View, move: Move) -> int | None:
        return self.choice.shortest(move.one, move.other, self.choice.freed_by(view.moves))

    def _pulls_left(self, view: View) -> tuple[Move, ...]:
        return tuple(pull for pull in self.pulls if pull not in view.moves)

    def _hears_wanted(self, view: View) -> bool:
        return bool(view.hears(self.number) & self.situation.wanted[self.number])

    def _cure(self, view: View) -> None:
        for moves in cures(self, view):
            if not self.spend():
                return
            self.consider(moves)

    # ---- three and four moves

    def _deepen(self, view: View, extra: int, most: int = OPENINGS) -> None:
        """Search two moves on top of openings: pulls, cords that carry, first cords of chains."""
        if self.best.settled or not self.spend(LOOK):
            return
        first: list[Move] = [*self._pulls_left(view)]
        first += [ranked.move for ranked in self.carrying(view)][:most]
        first += openings(self, view, most)
        for opening in first:
            if self.best.settled or not self.spend():
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
        situation, number = self.situation, self.number
        effect = situation.effect(moves)
        if not situation.restored(number, effect):
            return
        grade = grade_of(situation, number, effect, len(moves))
        least = self.choice.least(moves)
        if least is None or self.best.beaten(grade, least) or situation.loops(moves):
            return
        for length, cords in self.choice.choices(moves):
            pulls = tuple(situation.board.cords[m.pulled] for m in moves if m.pulled >= 0)
            candidate = Candidate(
                grade, length, natural_order(situation, cords, pulls), cords, pulls, moves
            )
            if self.best.beaten(grade, length):
                return
            if not self.best.enters(candidate) or not self._needed(candidate):
                continue
            if not self._proof.holds(candidate, number, effect):
                return
            self.best.add(candidate)

    def _needed(self, candidate: Candidate) -> bool:
        """Whether no move can be left out without losing restoration or adding harm."""
        used = {jack for cord in candidate.cords for jack in cord}
        for move in candidate.moves:
            rest = tuple(m for m in candidate.moves if m is not move)
            if move.pulled >= 0 and used.intersection(self.situation.board.cords[move.pulled]):
                continue
            if rest and self._does_as_well(rest, candidate.moves):
                return False
        return True

    def _does_as_well(self, fewer: Moves, moves: Moves) -> bool:
        situation, number = self.situation, self.number
        less = situation.effect(fewer)
        if not situation.restored(number, less):
            return False
        harmed = situation.effect(moves).harmed | 1 << number
        return not less.harmed & ~harmed and not situation.loops(fewer) and self.offered(fewer)

    def offered(self, moves: Moves) -> bool:
        """Whether moves bring no phantom where it should not be."""
        return self._proof.keeps_phantom_off(moves)

    def harm(self, harmed: Sequence[int]) -> Harm:
        """Harm priority by priority."""
        return harm_of(self.situation, harmed)


def _set_back(grade: Grade) -> Grade:
    """The grade of a cord that does not restore by itself: behind all that may."""
    return True, *grade[1:]
