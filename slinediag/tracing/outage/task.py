"""One silenced input to be restored: what all searches for its patches share."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from slinediag.tracing.outage.board import Move, Moves, put
from slinediag.tracing.outage.detour import Detour, Detours
from slinediag.tracing.outage.estimate import Estimate, Estimator
from slinediag.tracing.outage.jacks import JackChoice
from slinediag.tracing.outage.proof import Proof
from slinediag.tracing.outage.rank import LISTED, Best, Grade, Harm, Outlook, harm_of
from slinediag.tracing.outage.view import View


class Carrier(NamedTuple):
    """A cord that brings wanted audio, with the best it can come to.

    ``alone`` with no other move, ``helped`` with one move more beside it.
    """

    alone: Outlook
    move: Move
    helped: Outlook


class Hope:
    """Whether a cord can still come to anything that is listed, with a view's moves."""

    def __init__(self, task: Task, moves: int, taken: int, last: bool) -> None:
        """The cord is one of so many moves; the others take so many mm of cord."""
        self._task, self._moves, self._last = task, moves, last
        self._least = task.choice.shortest_of_all
        self._shortest = taken + self._least
        self._gone: dict[int, bool] = {}

    def gone(self, missing: int) -> bool:
        """Whether there is none where at best these origins stay unheard; help may bring all."""
        found = self._gone.get(missing)
        if found is None:
            best, outlook = self._task.best, self._task.outlook
            found = best.beaten(outlook(missing, self._moves, self._shortest))
            if found and not self._last:
                length = self._shortest + self._least
                found = best.beaten(outlook(0, self._moves + 1, length))
            self._gone[missing] = found
        return found

    def gone_for(self, carrier: Carrier) -> bool:
        """Whether there is none for a cord, alone and with help."""
        best, (alone, _, helped) = self._task.best, carrier
        if not (alone.grade.misfit or best.beaten(alone)):
            return False
        return self._last or best.beaten(helped._replace(length=helped.length + self._least))


class Task:
    """The input to be restored, the best patches so far, and the steps that may be spent."""

    def __init__(
        self, base: View, choice: JackChoice, proof: Proof, number: int, keep: bool
    ) -> None:
        """``base`` is the view with no move made; tasks may share it."""
        self.base = base
        self.situation = base.situation
        self.choice = choice
        self.proof = proof
        self.number = number
        self.pulls = () if keep else base.situation.pulls
        self.detours = Detours(base.situation, number)
        self.best = Best()
        self._left: int | None = None

    def start(self, listed: int = LISTED) -> None:
        """Begin anew with nothing found and no bound on the steps."""
        self.best = Best(listed)
        self._left = None

    def bound(self, steps: int) -> None:
        """Let the search spend so many steps and no more."""
        self._left = steps

    def spend(self, steps: int = 1) -> bool:
        """Count steps of a search that is bounded; whether there are any left."""
        if self._left is not None:
            self._left -= steps
        return self._left is None or self._left > 0

    def carrying(
        self,
        view: View,
        sources: Iterable[int] | None = None,
        *,
        last: bool = False,
        every: bool = False,
    ) -> list[Carrier]:
        """The cords by which wanted audio enters the inputs upstream, best outlook first.

        ``sources`` are the kinds to take it from; all that carry it unless given. Where the cord
        is the ``last`` move there is no help to come. Cords of which nothing can come that is
        still listed are left out, unless ``every`` one is asked for.
        """
        taken = self.choice.least(view.moves) or 0
        hope = Hope(self, len(view.moves) + 1, taken, last)
        if not every and hope.gone(0):
            return []
        estimator = Estimator(view, self.number, self.detours, None if every else hope.gone)
        entries = view.kinds_at_inputs(estimator.upstream)
        if sources is None:
            sources = view.kinds_that_carry(estimator.wanted)
        found: dict[Move, Carrier] = {}
        freed = self.choice.freed_by(view.moves)
        for source in sources:
            for entry in entries if every else estimator.worth_trying(source, entries):
                estimate = estimator.of(source, entry, last)
                if estimate is None:
                    continue
                length = self.choice.shortest(entry, source, freed)
                if length is None:
                    continue
                carrier = _carrier(estimate, taken + length, put(source, entry))
                if every or not hope.gone_for(carrier):
                    found[carrier.move] = carrier
        return sorted(found.values())

    def pulls_left(self, view: View) -> tuple[Move, ...]:
        """The standing cords that may still be pulled."""
        return tuple(pull for pull in self.pulls if pull not in view.moves)

    def hears_wanted(self, view: View) -> bool:
        """Whether the input hears anything that restores it."""
        return bool(view.hears(self.number) & self.situation.wanted[self.number])

    def offered(self, moves: Moves) -> bool:
        """Whether moves bring no phantom where it should not be."""
        return self.proof.keeps_phantom_off(moves)

    def harm(self, harmed: int) -> Harm:
        """Harm of a set of inputs, priority by priority."""
        return harm_of(self.situation, harmed)

    def outlook(self, missing: int, moves: int, length: int, harm: Harm | None = None) -> Outlook:
        """The best with so many moves of this length while these origins stay unheard."""
        harm = self.situation.no_harm if harm is None else harm
        grade = Grade(False, bool(missing), harm, moves, missing.bit_count())
        return Outlook(grade, length, Detour(self.detours.gone_round_at_least(missing), 0))


def _carrier(estimate: Estimate, length: int, move: Move) -> Carrier:
    grade = estimate.grade if estimate.alone else _set_back(estimate.grade)
    return Carrier(
        Outlook(grade, length, Detour(estimate.gone_round, 0)),
        move,
        Outlook(estimate.helped, length, Detour(estimate.gone_round_helped, 0)),
    )


def _set_back(grade: Grade) -> Grade:
    """The grade of a cord that does not restore by itself: behind all that may."""
    return grade._replace(misfit=True)
