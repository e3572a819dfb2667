"""The answer to an outage: what falls silent, and the patches of each input."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cached_property

from slinediag.model.facility import Facility
from slinediag.problems import RequestError, problem
from slinediag.tracing.outage.board import Board
from slinediag.tracing.outage.dummies import dummy_cautions
from slinediag.tracing.outage.failure import Failure, damaged
from slinediag.tracing.outage.jacks import JackChoice
from slinediag.tracing.outage.needs import leading_nowhere
from slinediag.tracing.outage.patches import Moved, PatchWriter, live
from slinediag.tracing.outage.pause import collector_paused
from slinediag.tracing.outage.proof import Proof
from slinediag.tracing.outage.rank import Candidate
from slinediag.tracing.outage.reasons import Reasons
from slinediag.tracing.outage.search import Search
from slinediag.tracing.outage.sharing import best_side_by_side
from slinediag.tracing.outage.situation import Situation
from slinediag.tracing.outage.together import SideBySide, Taken
from slinediag.tracing.outage.values import (
    FEW,
    Dummies,
    Outage,
    SilencedInput,
    Stage,
    Step,
    Together,
    WeakenedInput,
)
from slinediag.tracing.outage.view import View
from slinediag.tracing.values import CordEnds

MOST_MOVES = 4


def outage(
    facility: Facility, failure: Failure, *, moves: int = 2, keep_cords: bool = False
) -> Outage:
    """What falls silent in a failure and what restores it with at most this many moves.

    ``keep_cords`` pulls no standing cord. RequestError where moves is not 1 to 4.
    """
    refuse_moves(moves)
    with collector_paused():
        return Inquiry(facility, failure, moves, keep_cords).answer()


def refuse_moves(moves: int) -> None:
    """RequestError unless a number of moves is 1 to 4."""
    if not 1 <= moves <= MOST_MOVES:
        raise RequestError(
            [problem(f"moves {moves}", "a patch has 1 to 4 moves", "Ask for 2, or up to 4")]
        )


class Inquiry:
    """One failure of one facility, and the searches it takes."""

    def __init__(
        self,
        facility: Facility,
        failure: Failure,
        moves: int,
        keep: bool,
        board: Board | None = None,
        mended: Situation | None = None,
    ) -> None:
        """``board`` and ``mended``, nothing failed, are of the facility as filed, if there yet."""
        now = damaged(facility, failure)
        board = mended.board if mended is not None else board
        self.failure = failure
        self.moves = moves
        self.keep = keep
        self.situation = Situation(
            facility,
            now,
            failure.dead_boxes(facility),
            failure.dead_bays(facility),
            board=board if now is facility else None,
            reach=None if mended is None else mended.reach,
        )
        self._mended = mended
        self.cut_short = set[int]()
        """The inputs for which not all moves were tried, once there are candidates."""
        self.base = View(self.situation)
        self.choice = JackChoice(self.situation)
        self.proof = Proof(self.situation, self.choice)

    @cached_property
    def nowhere(self) -> frozenset[int]:
        """The silenced inputs that nobody misses."""
        return leading_nowhere(self.situation)

    def candidates(self) -> dict[int, list[Candidate]]:
        """The best patches of every silenced input, those first that stand first."""
        found = {}
        for number in self.situation.silenced:
            search = Search(self.base, self.choice, self.proof, number, self.keep)
            found[number] = search.run(self.moves)
            if search.cut_short:
                self.cut_short.add(number)
        return found

    def answer(self) -> Outage:
        """The whole answer, with steps and cautions."""
        situation = self.situation
        found = self.candidates()
        mended = self._mended or self._mend()
        writer = PatchWriter(situation, mended)
        reasons = Reasons(situation, self.choice, self.keep)
        return Outage(
            facility=situation.filed,
            failure=self.failure,
            moves=self.moves,
            silenced=tuple(
                self._silenced(number, found[number], writer, reasons)
                for number in situation.silenced
            ),
            weakened=tuple(self.weakened(number) for number in situation.weakened),
            gaining=tuple(self.weakened(number) for number in situation.gaining),
            together=self.together(found, writer),
        )

    def _mend(self) -> Situation:
        """The facility as filed with nothing failed."""
        situation = self.situation
        board = situation.board if situation.now is situation.filed else None
        return Situation(situation.filed, situation.filed, board=board, reach=situation.reach)

    def together(self, found: dict[int, list[Candidate]], writer: PatchWriter) -> Together:
        """The patches that can stand side by side."""
        chosen = best_side_by_side(self.situation, self.proof, self.keep, self.moves, found)
        put, pulls = chosen.chosen
        cords = writer.turned(put, pulls)
        patches = [_in_order(taken, cords) for taken in chosen.taken]
        back_again = sorted(chosen.restored, key=self.situation.silenced.index)
        dummies = writer.dummies(cords, pulls, chosen.restored)
        steps, back = writer.steps(patches), writer.steps_back(patches)
        effect = self.situation.effect(chosen.moves)
        cautions = (
            *writer.cautions(effect, chosen.restored),
            *dummy_cautions(dummies),
            *live(steps),
        )
        by_hand = writer.steps(patches, dummies) if dummies else steps
        return Together(
            cords=cords,
            pulls=tuple(sorted(pulls)),
            restores=tuple(self.situation.inputs[n] for n in back_again),
            harmed=writer.named(chosen.harmed),
            outcomes=tuple(writer.outcome(effect, n) for n in back_again),
            cautions=tuple(dict.fromkeys(cautions)),
            steps=steps,
            steps_back=back,
            stages=tuple(self._stages(patches, chosen, dummies, by_hand, writer)),
            back_by_hand=writer.steps_back(patches, dummies) if dummies else back,
        )

    def _stages(
        self,
        patches: Sequence[Moved],
        chosen: SideBySide,
        dummies: Dummies,
        steps: Sequence[Step],
        writer: PatchWriter,
    ) -> Iterator[Stage]:
        """What no patch, the first, the first two, and so on, come to; what those for inputs of a
        priority do, and all."""
        ends = [0, *(number for number, step in enumerate(steps, 1) if step.last)]
        for count, end in enumerate(ends):
            few = sum(len(cords) + len(pulls) for cords, pulls in patches[:count]) <= FEW
            if few or count in (chosen.ranked, len(patches)):
                yield writer.stage(patches[:count], chosen.restored, dummies, steps[:end])

    def _silenced(
        self, number: int, found: list[Candidate], writer: PatchWriter, reasons: Reasons
    ) -> SilencedInput:
        situation = self.situation
        cut_short = number in self.cut_short
        reason, cure = (None, None) if found else reasons.of(number, self.moves, cut_short)
        return SilencedInput(
            input=situation.inputs[number],
            priority=situation.facts[number].priority,
            hears_before=situation.tracer.named(situation.heard[number]),
            patches=tuple(writer.write(candidate, number) for candidate in found),
            reason=reason,
            cure=cure,
            cut_short=cut_short,
            hears_after=situation.tracer.named(situation.hears[number]),
            missed=number not in self.nowhere,
        )

    def weakened(self, number: int) -> WeakenedInput:
        """What an input that still hears something hears less and more than before."""
        situation = self.situation
        heard, hears, named = (
            situation.heard[number],
            situation.hears[number],
            situation.tracer.named,
        )
        lost, gained = named(heard & ~hears), named(hears & ~heard)
        return WeakenedInput(situation.inputs[number], lost, gained, named(hears))


def _in_order(taken: Taken, turned: Sequence[CordEnds]) -> Moved:
    """A patch with its cords turned: through a mult the one into it first."""
    own = [frozenset(cord) for cord in taken.moved.cords]
    cords = [cord for cord in turned if frozenset(cord) in own]
    if taken.shared:
        cords.sort(key=lambda cord: own.index(frozenset(cord)))
    return tuple(cords), taken.moved.pulls
