"""Where a first cord may end so that another carries its audio onward, and what may come of it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from slinediag.tracing.hearing import bits
from slinediag.tracing.outage.detour import Detour
from slinediag.tracing.outage.estimate import those_that_suffer
from slinediag.tracing.outage.rank import Grade, Harm, Outlook
from slinediag.tracing.outage.task import Task
from slinediag.tracing.outage.view import View


class Ahead(NamedTuple):
    """The origins that an output ahead of a hop carries at least and at most."""

    least: int
    most: int


NOTHING = Ahead(0, 0)

Missing = tuple[bool, int, int]
"""Whether some of what was heard is missing at best, how many origins, and boxes gone round."""


class Hops:
    """The kinds at which a cord may end so that another can carry its audio onward.

    What a box beyond a hop carries already comes along, so only such outputs lead on as carry
    nothing that the silenced input must not hear. ``far`` takes those too from which no cord
    reaches where audio may enter: with more cords one may. ``groups`` are the kinds with the same
    outputs ahead, of which the same may come. All that is kept holds for one input under one view.
    """

    def __init__(self, task: Task, view: View, far: bool = False) -> None:
        self._task = task
        self._view = view
        self._far = far
        self._fits: dict[tuple[int, int], tuple[Ahead, ...]] = {}
        situation, number = task.situation, task.number
        self._heard = situation.heard[number]
        self._allowed = situation.wanted[number] | situation.standby
        self._entries = view.kinds_at_inputs(view.upstream(number))
        self._reaching: dict[int, bool] = {}
        self._leaving: dict[int, bool] = {}
        self._loose = situation.has_loops
        self._at_ends = view.hears(number)
        self._one_feeds = not self._loose and view.upstream(number) == 1 << number
        self.kinds = [k for k in range(len(view.board.kinds)) if self._leads_on(k)]
        by_ahead: dict[tuple[Ahead, ...], list[int]] = {}
        for kind in self.kinds:
            by_ahead.setdefault(self._outputs_ahead(kind), []).append(kind)
        self.groups = list(by_ahead.values())
        self._group_of = {k: group for group, kinds in enumerate(self.groups) for k in kinds}
        self._ahead = [*by_ahead, tuple(sorted({each for ahead in by_ahead for each in ahead}))]
        self._known_missing: dict[tuple[int, int], Missing] = {}
        self._worths: dict[int, list[tuple[Missing, frozenset[int]]]] = {}

    def __contains__(self, kind: int) -> bool:
        return kind in self._group_of

    def _leads_on(self, kind: int) -> bool:
        """Whether another free jack is on the net of a plug, or an output that leads on beyond."""
        free = len(self._task.choice.free(kind))
        if not free:
            return False
        meets = self._view.meets(kind)
        if free > 1 and self._reaches(kind):
            return True
        beyond = self._outputs_beyond(meets.inputs[0] | meets.inputs[1])
        if self._fitting(beyond, self._cut_by(kind)):
            return True
        return self._leaves_from(meets.cells, kind)

    def _leaves_from(self, cells: Iterable[int], but: int = -1) -> bool:
        """Whether a cord leads on from a jack on these cells, one kind left out."""
        kinds_on = self._view.board.kinds_on
        return any(k != but and self._reaches(k) for cell in cells for k in kinds_on[cell])

    def _reaches(self, kind: int) -> bool:
        """Whether a cord reaches from a kind to where audio may enter."""
        found = self._reaching.get(kind)
        if found is None:
            choice = self._task.choice
            found = bool(choice.free(kind)) and (
                self._far or any(choice.lengths(e)[kind] is not None for e in self._entries)
            )
            self._reaching[kind] = found
        return found

    def leads_away(self, source: int, hop: int) -> bool:
        """Whether a jack on the net of a hop is out of the source's reach."""
        choice, board = self._task.choice, self._view.board
        return any(
            choice.free(kind) and choice.shortest(source, kind) is None and kind != source
            for cell in self._view.meets(hop).cells
            for kind in board.kinds_on[cell]
        )

    def _leads_out(self, output: int) -> bool:
        """Whether a cord leads on from the net of an output."""
        found = self._leaving.get(output)
        if found is None:
            found = any(map(self._reaches, self._view.kinds_at_output(output)))
            self._leaving[output] = found
        return found

    def _outputs_ahead(self, kind: int) -> tuple[Ahead, ...]:
        """What the outputs on the net or beyond it carry, those left out that lead nowhere."""
        meets = self._view.meets(kind)
        beyond = self._outputs_beyond(meets.inputs[0] | meets.inputs[1])
        return self._fitting(meets.outputs[0] | meets.outputs[1] | beyond, self._cut_by(kind))

    def _fitting(self, outputs: int, cut: int) -> tuple[Ahead, ...]:
        """What outputs carry that lead on and need not bring what must not be heard."""
        found = self._fits.get((outputs, cut))
        if found is None:
            carried = {
                self._view.audio(1 << output) for output in bits(outputs) if self._leads_out(output)
            }
            ahead = (Ahead(0 if self._loose else audio & ~cut, audio) for audio in sorted(carried))
            found = tuple(each for each in ahead if not each.least & ~self._allowed)
            self._fits[outputs, cut] = found
        return found

    def _cut_by(self, kind: int) -> int:
        """The origins that a plug may keep from what is beyond it, since it breaks a normal."""
        return self._view.heard_at(kind) if self._view.board.kinds[kind].behind else 0

    def _outputs_beyond(self, inputs: int) -> int:
        found = 0
        for number in bits(inputs):
            found |= self._task.situation.outputs_beyond(number)
        return found

    def best_from(self, source: int, length: int) -> Outlook:
        """The best that can come of a first cord from a source, wherever it ends.

        ``length`` is that of all cords at least, in millimetres.
        """
        return self._outlook(source, len(self.groups), self._task.harm(0), length)

    def by_worth(self, source: int, partly: bool) -> list[tuple[Missing, frozenset[int]]]:
        """The hops sorted by what is missing at best after a cord from a source.

        Those after which some of what was heard is missing are left out unless asked for as well.
        """
        carried = self._view.audio_at(source)
        found = self._worths.get(carried)
        if found is None:
            kinds: dict[Missing, list[int]] = {}
            for group, hops in enumerate(self.groups):
                if partly or not self._partly(carried, self._ahead[group]):
                    kinds.setdefault(self._missing_after(carried, group), []).extend(hops)
            found = [(missing, frozenset(hops)) for missing, hops in sorted(kinds.items())]
            self._worths[carried] = found
        return found

    def harmless(self, missing: Missing, length: int) -> Outlook:
        """What comes of a first cord after which this is missing, if nothing suffers."""
        return self._outlook_of(missing, self._task.harm(0), length)

    def outlook(self, source: int, hop: int, length: int) -> Outlook:
        """The best that can come of a first cord from a source to a hop."""
        harm = self._task.harm(self._harmed(source, hop))
        return self._outlook(source, self._group_of[hop], harm, length)

    def _outlook(self, source: int, group: int, harm: Harm, length: int) -> Outlook:
        missing = self._missing_after(self._view.audio_at(source), group)
        return self._outlook_of(missing, harm, length)

    def _outlook_of(self, missing: Missing, harm: Harm, length: int) -> Outlook:
        part, unheard, around = missing
        moves = len(self._view.moves) + 2
        return Outlook(Grade(False, part, harm, moves, unheard), length, Detour(around, 0))

    def _missing_after(self, carried: int, group: int) -> Missing:
        """What is missing at best after a cord that carries these origins to a group."""
        found = self._known_missing.get((carried, group))
        if found is None:
            found = self._missing(carried, self._ahead[group])
            self._known_missing[carried, group] = found
        return found

    def _missing(self, carried: int, ahead: tuple[Ahead, ...]) -> Missing:
        """What is missing at best after a cord that carries these origins to outputs ahead."""
        heard, around = self._heard, self._task.detours.gone_round_at_least
        part = self._partly(carried, ahead)
        if self._one_feeds:
            missing = {heard & ~(carried | most) for _, most in (NOTHING, *ahead)}
            return part, min(map(int.bit_count, missing)), min(map(around, missing))
        together = carried | self._at_ends
        for each in ahead:
            together |= each.most
        missed = heard & ~together
        return part, missed.bit_count(), around(missed)

    def _partly(self, carried: int, ahead: tuple[Ahead, ...]) -> bool:
        """Whether some of what was heard is missing at best.

        Where the silenced input alone can be fed, one output ahead feeds it; else there may be
        several, and of those only such as do not spoil a full patch.
        """
        heard = self._heard
        if self._one_feeds:
            lacking = heard & ~carried
            return bool(carried & ~heard) or bool(
                lacking and all(lacking & ~most or least & ~heard for least, most in ahead)
            )
        fullest = carried | self._at_ends
        for least, most in ahead:
            if self._loose or not least & ~heard:
                fullest |= most
        return bool(heard & ~fullest)

    def _harmed(self, source: int, hop: int) -> int:
        """The inputs that no plug parts from the cord, and that cannot but suffer of it."""
        task, view = self._task, self._view
        situation, board = task.situation, view.board
        if self._loose:
            return 0
        ends = board.kinds[source].springs, board.kinds[hop].springs
        meets = view.meets(source), view.meets(hop)
        found = 0
        for leg in (0, 1):
            cells = ends[0][leg], ends[1][leg]
            entries = (board.inputs[cells[0]] | board.inputs[cells[1]]) & ~(1 << task.number)
            if not entries:
                continue
            sources = board.outputs[cells[0]] | board.outputs[cells[1]]
            least = view.audio(sources)
            most = meets[0].audio[leg] | meets[1].audio[leg] | situation.standby
            doubled = sources.bit_count() > 1
            found |= those_that_suffer(situation, entries, least, most, doubled)
        return found
