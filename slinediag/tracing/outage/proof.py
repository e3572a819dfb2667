"""The last word on a patch: the circuit itself, worked as ``ask`` works it."""

from __future__ import annotations

from slinediag.tracing.outage.board import Moves
from slinediag.tracing.outage.jacks import JackChoice
from slinediag.tracing.outage.rank import Candidate
from slinediag.tracing.outage.situation import Effect, Situation
from slinediag.tracing.trial import ask
from slinediag.tracing.values import Answer, CordEnds, Trial


class Proof:
    """Trials of patches on the circuit after the failure."""

    def __init__(self, situation: Situation, choice: JackChoice) -> None:
        self._situation = situation
        self._choice = choice
        self._clear: dict[Moves, bool] = {}

    def ask(self, cords: tuple[CordEnds, ...], pulls: tuple[CordEnds, ...]) -> Answer:
        """What ``ask`` answers to a patch after the failure."""
        trial = Trial(cords=cords, pulled_cords=pulls, failed=self._situation.dead_boxes)
        return ask(self._situation.now, trial)

    def holds(self, candidate: Candidate, number: int, effect: Effect) -> bool:
        """Whether the circuit gives the input what the search says, with no feedback or phantom.

        A patch on which circuit and search differ is never shown.
        """
        answer = self.ask(candidate.cords, candidate.pulls)
        self._clear[candidate.moves] = clear = not onto_others(answer)
        situation = self._situation
        tracer, entry = situation.tracer, situation.inputs[number]
        heard = effect.hears.get(number, situation.hears[number])
        fed = effect.feeds.get(number, situation.feeds[number])
        found = next(
            ((o.hears_after, o.feeds_after) for o in answer.inputs if o.input == entry),
            (tracer.hears(entry), tracer.feeds(entry)),
        )
        agreed = found == (tracer.named(heard), tracer.named(fed))
        return agreed and clear and not any(cord.feedback for cord in answer.cords)

    def clear(self, cords: tuple[CordEnds, ...], pulls: tuple[CordEnds, ...]) -> bool:
        """Whether the circuit shows no feedback, and no phantom where it should not be."""
        answer = self.ask(cords, pulls)
        return not onto_others(answer) and not any(cord.feedback for cord in answer.cords)

    def keeps_phantom_off(self, moves: Moves) -> bool:
        """Whether moves bring phantom onto no port that should not have it."""
        if not self._situation.tracer.phantom.givers:
            return True
        clear = self._clear.get(moves)
        if clear is None:
            picked = next(iter(self._choice.choices(moves)), None)
            pulls = tuple(self._situation.board.cords[m.pulled] for m in moves if m.pulled >= 0)
            clear = picked is None or not onto_others(self.ask(picked[1], pulls))
            self._clear[moves] = clear
        return clear


def onto_others(answer: Answer) -> bool:
    """Whether a trial brings phantom onto a port that does not take it."""
    facts = answer.facility.facts
    return any(reach.new and facts(reach.port).phantom != "takes" for reach in answer.phantom)
