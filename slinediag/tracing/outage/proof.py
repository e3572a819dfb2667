"""The last word on a patch: the circuit itself, worked as ``ask`` works it."""

from __future__ import annotations

from slinediag.model.facility import Facility
from slinediag.tracing.outage.board import Moves
from slinediag.tracing.outage.jacks import JackChoice
from slinediag.tracing.outage.rank import Candidate
from slinediag.tracing.outage.situation import Effect, Situation
from slinediag.tracing.trial import Glance, glance
from slinediag.tracing.values import CordEnds, Trial


class Proof:
    """Trials of patches on the circuit after the failure."""

    def __init__(self, situation: Situation, choice: JackChoice) -> None:
        self._situation = situation
        self._choice = choice
        self._clear: dict[Moves, bool] = {}

    def _try(
        self, cords: tuple[CordEnds, ...], pulls: tuple[CordEnds, ...], number: int = 0
    ) -> Glance:
        """What ``ask`` answers to a patch after the failure, of the input of a number alone."""
        trial = Trial(cords=cords, pulled_cords=pulls, failed=self._situation.dead_boxes)
        return glance(self._situation.now, trial, number)

    def holds(self, candidate: Candidate, number: int, effect: Effect) -> bool:
        """Whether the circuit gives the input what the search says, with no feedback or phantom.

        A patch on which circuit and search differ is never shown.
        """
        tried = self._try(candidate.cords, candidate.pulls, number)
        self._clear[candidate.moves] = clear = not onto_others(self._situation.now, tried)
        situation = self._situation
        heard = effect.hears.get(number, situation.hears[number])
        fed = effect.feeds.get(number, situation.feeds[number])
        return (tried.hears, tried.fed) == (heard, fed) and clear and not tried.feedback

    def clear(self, cords: tuple[CordEnds, ...], pulls: tuple[CordEnds, ...]) -> bool:
        """Whether the circuit shows no feedback, and no phantom where it should not be."""
        tried = self._try(cords, pulls)
        return not onto_others(self._situation.now, tried) and not tried.feedback

    def keeps_phantom_off(self, moves: Moves) -> bool:
        """Whether moves bring phantom onto no port that should not have it."""
        if not self._situation.tracer.phantom.givers:
            return True
        clear = self._clear.get(moves)
        if clear is None:
            picked = next(iter(self._choice.choices(moves)), None)
            pulls = tuple(self._situation.board.cords[m.pulled] for m in moves if m.pulled >= 0)
            clear = picked is None or not onto_others(
                self._situation.now, self._try(picked[1], pulls)
            )
            self._clear[moves] = clear
        return clear


def onto_others(facility: Facility, tried: Glance) -> bool:
    """Whether a trial brings phantom onto a port that does not take it."""
    return any(
        reach.new and facility.facts(reach.port).phantom != "takes" for reach in tried.phantom
    )
