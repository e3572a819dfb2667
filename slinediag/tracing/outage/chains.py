"""Two cords in a row: one carries audio to a net or a box, the other from there onward."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from slinediag.tracing.hearing import bits
from slinediag.tracing.outage.board import Move, Moves, put
from slinediag.tracing.outage.detour import Detour
from slinediag.tracing.outage.estimate import those_that_suffer
from slinediag.tracing.outage.rank import Harm, Outlook
from slinediag.tracing.outage.task import Task
from slinediag.tracing.outage.view import View, add


class Ahead(NamedTuple):
    """The origins that an output ahead of a hop carries at least and at most."""

    least: int
    most: int


NOTHING = Ahead(0, 0)


class Hops:
    """The kinds at which a cord may end so that another can carry its audio onward.

    What a box beyond a hop carries already comes along, so only such outputs lead on as carry
    nothing that the silenced input must not hear. ``far`` takes those too from which no cord
    reaches where audio may enter: with more cords one may.
    """

    def __init__(self, task: Task, view: View, far: bool = False) -> None:
        self._task = task
        self._view = view
        self._far = far
        self._beyond: dict[int, int] = {}
        situation, number = task.situation, task.number
        self._heard = situation.heard[number]
        self._allowed = situation.wanted[number] | situation.standby
        self._entries = view.kinds_at_inputs(view.upstream(number))
        self._reaching: dict[int, bool] = {}
        self._leaving: dict[int, bool] = {}
        self._loose = situation.has_loops
        self._at_ends = view.hears(number)
        self._alone = view.upstream(number) == 1 << number
        self.kinds = [k for k in range(len(view.board.kinds)) if self._leads_on(k)]
        self._ahead = {kind: self._outputs_ahead(kind) for kind in self.kinds}
        self._all_ahead = tuple(sorted({each for ahead in self._ahead.values() for each in ahead}))
        self._known_missing: dict[int, dict[tuple[Ahead, ...], tuple[bool, int, int]]] = {}

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
                self._far or any(choice.shortest(kind, e) is not None for e in self._entries)
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
            board, plugs = self._view.board, self._view.effect.plugs
            nets = board.nets_of(board.cells_of_output[output], plugs)
            found = self._leaving[output] = any(self._leaves_from(net) for net in nets)
        return found

    def _outputs_ahead(self, kind: int) -> tuple[Ahead, ...]:
        """What the outputs on the net or beyond it carry, those left out that lead nowhere."""
        meets = self._view.meets(kind)
        beyond = self._outputs_beyond(meets.inputs[0] | meets.inputs[1])
        return self._fitting(meets.outputs[0] | meets.outputs[1] | beyond, self._cut_by(kind))

    def _fitting(self, outputs: int, cut: int) -> tuple[Ahead, ...]:
        """What outputs carry that lead on and need not bring what must not be heard."""
        carried = {
            self._view.audio(1 << output) for output in bits(outputs) if self._leads_out(output)
        }
        ahead = (Ahead(0 if self._loose else audio & ~cut, audio) for audio in sorted(carried))
        return tuple(each for each in ahead if not each.least & ~self._allowed)

    def _cut_by(self, kind: int) -> int:
        """The origins that a plug may keep from what is beyond it, since it breaks a normal."""
        board = self._view.board
        if not board.kinds[kind].behind:
            return 0
        cut = 0
        for net in board.nets_of(board.kinds[kind].cells, self._view.effect.plugs):
            for cell in net:
                for number in bits(board.inputs[cell]):
                    cut |= self._view.hears(number)
        return cut

    def _outputs_beyond(self, inputs: int) -> int:
        found = 0
        for number in bits(inputs):
            if number not in self._beyond:
                self._beyond[number] = self._follow(number)
            found |= self._beyond[number]
        return found

    def _follow(self, number: int) -> int:
        """The outputs that an input's audio comes to."""
        hearing, found = self._task.situation.hearing, 0
        seen, queue = {number}, [number]
        for entry in queue:
            for output in hearing.outputs_beyond(entry):
                if not found >> output & 1:
                    found |= 1 << output
                    fed = sorted(hearing.fed_by(output) - seen)
                    seen.update(fed)
                    queue += fed
        return found

    def best_from(self, source: int, length: int) -> Outlook:
        """The best that can come of a first cord from a source, wherever it ends.

        ``length`` is that of all cords at least, in millimetres.
        """
        return self._outlook(source, self._all_ahead, self._task.harm(0), length)

    def outlook(self, source: int, hop: int, length: int) -> Outlook:
        """The best that can come of a first cord from a source to a hop."""
        harm = self._task.harm(self._harmed(source, hop))
        return self._outlook(source, self._ahead[hop], harm, length)

    def harmless(self, source: int, hop: int, length: int) -> Outlook:
        """The same if nothing suffered; it takes less to tell."""
        return self._outlook(source, self._ahead[hop], self._task.harm(0), length)

    def _outlook(self, source: int, ahead: tuple[Ahead, ...], harm: Harm, length: int) -> Outlook:
        carried = _audio(self._view, source)
        known = self._known_missing.setdefault(carried, {})
        if ahead not in known:
            known[ahead] = self._missing(carried, ahead)
        part, unheard, around = known[ahead]
        moves = len(self._view.moves) + 2
        return Outlook((False, part, harm, moves, unheard, 0), 0, length, Detour(around, 0))

    def _missing(self, carried: int, ahead: tuple[Ahead, ...]) -> tuple[bool, int, int]:
        """Whether some of what was heard is missing at best, how many origins of it, and how
        many boxes are gone round for that.

        Where the silenced input alone can be fed, one output ahead feeds it; else there may be
        several, and of those only such as do not spoil a full patch.
        """
        heard, around = self._heard, self._task.detours.gone_round_at_least
        exact = [each.most for each in ahead if self._loose or not each.least & ~heard]
        if not self._loose and self._alone:
            part = bool(carried & ~heard) or all(heard & ~(carried | most) for most in (0, *exact))
            missing = [heard & ~(carried | most) for _, most in (NOTHING, *ahead)]
            return part, min(map(int.bit_count, missing)), min(map(around, missing))
        together = fullest = carried | self._at_ends
        for each in ahead:
            together |= each.most
        for most in exact:
            fullest |= most
        missed = heard & ~together
        return bool(heard & ~fullest), missed.bit_count(), around(missed)

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


def chained(task: Task, view: View) -> Iterator[Moves]:
    """Pairs of cords in a row on top of a view, best outlook first."""
    wanted = task.situation.wanted[task.number]
    sources = [k for k in view.kinds_that_carry(wanted) if _serves(task, view, k)]
    sources = [k for k in sources if _may_be_listed(task, view, k)]
    if not sources:
        return
    known = {k for k in view.kinds_that_carry(wanted) if _carries(view, k, wanted)}
    for outlook, first in _first_cords(task, view, sources):
        if task.best.beaten(outlook) or not task.spend():
            return
        opened = view.with_move(first)
        onward = [k for k in opened.kinds_newly_carrying(wanted, first) if k not in known]
        for last in task.carrying(opened, onward, last=True) if onward else ():
            if last.alone.grade[0] or task.best.beaten(last.alone):
                break
            yield add(opened.moves, last.move)


def openings(task: Task, view: View, most: int) -> list[Move]:
    """First cords for chains of three and more, those first that lead out of the source's reach."""
    wanted = task.situation.wanted[task.number]
    sources = [k for k in view.kinds_that_carry(wanted) if _serves(task, view, k)]
    hops = Hops(task, view, far=True)
    ranked = []
    for source in sources:
        for hop in hops.kinds:
            length = task.choice.shortest(source, hop)
            if length is not None:
                near = not hops.leads_away(source, hop)
                ranked.append((near, hops.outlook(source, hop, length), put(source, hop)))
    return list(dict.fromkeys(move for *_, move in sorted(ranked)))[:most]


def _serves(task: Task, view: View, kind: int) -> bool:
    """Whether what a kind carries is wanted, and nothing with it that is not."""
    situation, number = task.situation, task.number
    meets = view.meets(kind)
    allowed = situation.wanted[number] | situation.standby
    return any(
        audio & situation.wanted[number] and (situation.has_loops or not audio & ~allowed)
        for audio in meets.audio
    )


def _carries(view: View, kind: int, wanted: int) -> bool:
    """Whether a kind still carries any of these origins with a plug in."""
    return any(audio & wanted for audio in view.meets(kind).audio)


def _audio(view: View, kind: int) -> int:
    """The origins that a plug in this kind meets."""
    meets = view.meets(kind)
    return meets.audio[0] | meets.audio[1]


def _may_be_listed(task: Task, view: View, source: int) -> bool:
    """Whether a chain from a source can be good enough, whatever output leads on from it."""
    heard, moves = task.situation.heard[task.number], len(view.moves) + 2
    length = 2 * task.choice.shortest_of_all
    if task.situation.has_loops or view.upstream(task.number) != 1 << task.number:
        return not task.best.beaten(task.outlook(0, moves, length))
    carried = _audio(view, source)
    return not all(
        task.best.beaten(task.outlook(heard & ~(carried | audio), moves, length))
        for audio in view.carried
    )


def _to_be_touched(task: Task, view: View) -> frozenset[int]:
    """The cells of which a first cord must touch one, where a last cord alone doubles the input.

    Where the input is fed, though it hears nothing, and stays so with a plug in any jack on its
    net, a last cord restores it only if the first one's plugs change that net. None otherwise.
    """
    situation, number = task.situation, task.number
    if situation.has_loops or view.upstream(number) != 1 << number:
        return frozenset()
    for entry in view.kinds_at_inputs(1 << number):
        meets = view.meets(entry)
        for inputs, outputs in zip(meets.inputs, meets.outputs, strict=True):
            if inputs >> number & 1 and not outputs:
                return frozenset()
    board = view.board
    return frozenset(board.net(board.cell_of_input[number], view.effect.plugs))


def _first_cords(task: Task, view: View, sources: list[int]) -> list[tuple[Outlook, Move]]:
    """The cords from sources to hops that may come to something, best outlook first."""
    hops = Hops(task, view)
    found: dict[Move, tuple[Outlook, Move]] = {}
    least = task.choice.shortest_of_all
    kinds, net = view.board.kinds, _to_be_touched(task, view)
    touching = [hop for hop in hops.kinds if not net.isdisjoint(kinds[hop].cells)]
    taken = (task.choice.least(view.moves) or 0) + least
    for source in sources:
        if task.best.beaten(hops.best_from(source, taken + least)):
            continue
        anywhere = not net or not net.isdisjoint(kinds[source].cells)
        for hop in hops.kinds if anywhere else touching:
            length = task.choice.shortest(source, hop)
            if length is None:
                continue
            if task.best.beaten(hops.harmless(source, hop, taken + length)):
                continue
            outlook = hops.outlook(source, hop, taken + length)
            if not task.best.beaten(outlook):
                move = put(source, hop)
                found[move] = outlook, move
    return sorted(found.values())
