"""A cord beside moves that carry audio, for what they do wrong: doubling, loss, what is foreign.

Its plugs break what should be parted, or its conductors bring back what the first moves took.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Iterator
from functools import cached_property
from typing import NamedTuple

from slinediag.tracing.hearing import bits
from slinediag.tracing.outage.board import Move, Moves, put
from slinediag.tracing.outage.detour import Detour
from slinediag.tracing.outage.parting import Parting
from slinediag.tracing.outage.rank import Grade, Outlook, grade_at_best, with_mixes
from slinediag.tracing.outage.situation import Effect, Situation
from slinediag.tracing.outage.task import Task
from slinediag.tracing.outage.view import Meets, View, add

GLANCES = 32
"""Cords looked at but not tried that count for a step."""


def cures(task: Task, view: View) -> Iterator[Moves]:
    """The moves of a view with one cord more that may cure what they do wrong."""
    faults = _faults(task, view)
    if not faults:
        return
    parting = Parting(view, task.number)
    pulls = (pull for pull in task.pulls if pull not in view.moves)
    for move in itertools.chain(pulls, _cords(task, view, faults)):
        if parting.may_rid(move):
            yield add(view.moves, move)


def _cords(task: Task, view: View, faults: list[int]) -> Iterator[Move]:
    """The cords that may cure what is wrong."""
    yield from _returns(task, view, faults)
    breakers = _breakers(task, view, faults)
    yield from _broken_twice(task, view, faults, breakers)
    for breaker in breakers:
        if not task.spend():
            return
        yield from _broken_once(task, view, faults, breaker)


def _faults(task: Task, view: View) -> list[int]:
    """The inputs that the moves of a view leave wrong, the one to be restored among them."""
    situation, number = task.situation, task.number
    effect = view.effect
    wrong = [n for n in bits(effect.harmed) if n != number]
    spoilt = not situation.restored(number, effect) or situation.loops(view.moves)
    if spoilt or not task.offered(view.moves):
        wrong.append(number)
    return wrong


def _returns(task: Task, view: View, faults: list[int]) -> Iterator[Move]:
    """Cords that bring an input back what it lost."""
    situation, chances = task.situation, _Chances(task, view)
    for number in faults:
        lost = situation.hears[number] & ~view.hears(number)
        if not lost:
            continue
        entries = view.kinds_at_inputs(view.upstream(number))
        for source in view.kinds_that_carry(lost):
            for entry in entries:
                if chances.may_be_listed(entry, source):
                    yield put(source, entry)


def _breakers(task: Task, view: View, faults: list[int]) -> list[int]:
    """The free kinds that break something upstream of what is wrong."""
    upstream = 0
    for number in faults:
        upstream |= view.upstream(number)
    return _breaking(task, view, [view.board.cell_of_input[n] for n in bits(upstream)])


def _breaking(task: Task, view: View, cells: list[int]) -> list[int]:
    board = view.board
    held = view.effect.plugs.held
    found: set[int] = set()
    for net in board.nets_of([*cells, *board.touched(view.moves)], view.effect.plugs):
        for cell in net:
            found.update(k for k in board.kinds_on[cell] if board.kinds[k].behind and k not in held)
    return [k for k in sorted(found) if task.choice.free(k, task.choice.freed_by(view.moves))]


def _broken_twice(task: Task, view: View, faults: list[int], breakers: list[int]) -> Iterator[Move]:
    """Cords both of whose plugs break something, and only together cure a fault.

    Where one plug alone takes away all that is wrong with an input, its other end is tried
    everywhere (:func:`_broken_once`). So each of the two must take a part of it.
    """
    wrongs = [wrong for number in faults if (wrong := _wrong_with(task, view, number)) is not None]
    brought = 0
    for kind in breakers:
        brought |= view.audio_at(kind)
    least = task.choice.shortest_of_all
    best = _outlook(task, view, _missing(task, view, brought), least)
    if not wrongs or task.best.beaten(best):
        return
    breakers = [k for k in breakers if task.spend() and _takes_part(task, view, k, wrongs)]
    chances = _Chances(task, view)
    for number, (one, other) in enumerate(itertools.combinations(breakers, 2)):
        if number % GLANCES == 0 and not task.spend():
            return
        if chances.may_be_listed(one, other):
            yield put(one, other)


class _Wrong(NamedTuple):
    """What an input should not hear, whether it is doubled, and the inputs upstream of it."""

    number: int
    foreign: int
    doubled: bool
    upstream: int


def _wrong_with(task: Task, view: View, number: int) -> _Wrong | None:
    """What is wrong with an input that breaks may take away; None where nothing is."""
    situation = task.situation
    allowed = situation.known[number]
    if number == task.number:
        allowed = situation.wanted[number] | situation.standby
    foreign, doubled = view.hears(number) & ~allowed, view.feeds(number).bit_count() > 1
    return _Wrong(number, foreign, doubled, view.upstream(number)) if foreign or doubled else None


def _takes_part(task: Task, view: View, breaker: int, wrongs: list[_Wrong]) -> bool:
    """Whether a plug takes away a feed that brings some of what is wrong."""
    feeds = view.feeds_with_dummy(breaker)
    for number in {*feeds, *view.effect.feeds}:
        gone = view.feeds(number) & ~feeds.get(number, task.situation.feeds[number])
        if not gone:
            continue
        audio = view.audio(gone)
        if any(
            (wrong.upstream >> number & 1 and audio & wrong.foreign)
            or (wrong.doubled and wrong.number == number)
            for wrong in wrongs
        ):
            return True
    return False


class _Chances:
    """Whether cords more on top of a view reach, and may bring enough of what is missing.

    What is kept holds for one input and view, and until another patch is listed.
    """

    def __init__(self, task: Task, view: View) -> None:
        self._task, self._view = task, view
        self._freed = task.choice.freed_by(view.moves)
        self._brings: dict[int, tuple[int, bool]] = {}
        self._enough: dict[tuple[int, int], bool] = {}
        self._worst: Outlook | None = None

    def may_be_listed(self, one: int, other: int) -> bool:
        """Whether a cord between two kinds may; the length is looked up from the first."""
        task, view = self._task, self._view
        length = task.choice.shortest(one, other, self._freed)
        if length is None:
            return False
        (here, leads), (there, leads_there) = self._at(one), self._at(other)
        missing = _missing(task, view, (there if leads else 0) | (here if leads_there else 0))
        worst = task.best.worst
        if worst is not self._worst and worst != self._worst:
            self._enough.clear()
            self._worst = worst
        enough = self._enough.get((missing, length))
        if enough is None:
            enough = not task.best.beaten(_outlook(task, view, missing, length))
            self._enough[missing, length] = enough
        return enough

    def _at(self, kind: int) -> tuple[int, bool]:
        """What a plug in a kind meets, and whether that leads on to the input."""
        found = self._brings.get(kind)
        if found is None:
            leads = _leads_to_input(self._task, self._view, kind)
            found = self._brings[kind] = self._view.audio_at(kind), leads
        return found


def _missing(task: Task, view: View, brought: int) -> int:
    """What the input surely lacks of what it heard where a cord more brings these origins."""
    if task.situation.has_loops:
        return 0
    return task.situation.heard[task.number] & ~(view.hears(task.number) | brought)


def _outlook(task: Task, view: View, missing: int, length: int) -> Outlook:
    """The best with a cord more, of this length in mm, while these origins stay unheard."""
    taken = task.choice.least(view.moves) or 0
    return task.outlook(missing, len(view.moves) + 1, taken + length)


def _brought(task: Task, view: View, one: int, other: int) -> int:
    """The origins that a cord between two kinds may bring to the input to be restored."""
    brought = view.audio_at(other) if _leads_to_input(task, view, one) else 0
    return brought | (view.audio_at(one) if _leads_to_input(task, view, other) else 0)


def _leads_to_input(task: Task, view: View, kind: int) -> bool:
    meets = view.meets(kind)
    return bool((meets.inputs[0] | meets.inputs[1]) & view.upstream(task.number))


def _broken_once(task: Task, view: View, faults: list[int], breaker: int) -> Iterator[Move]:
    """Cords one of whose plugs breaks something, its other end wherever it does least."""
    situation, number = task.situation, task.number
    least = task.choice.shortest_of_all
    missing = {_missing(task, view, view.audio_at(breaker))}
    if _leads_to_input(task, view, breaker):
        missing = {lacking & ~audio for lacking in missing for audio in view.carried}
    if all(task.best.beaten(_outlook(task, view, each, least)) for each in missing):
        return
    broken = view.with_dummy(breaker)
    hears = broken.hears.get(number, situation.hears[number])
    wanted = situation.wanted[number]
    if situation.restored(number, broken):
        same = broken.harmed & ~(1 << number) == view.effect.harmed & ~(1 << number)
        kinds: Iterable[int] = range(len(view.board.kinds))
        if same and number not in faults:
            # Only what its cord brings can then be of use.
            kinds = view.kinds_that_carry(_lost(situation, broken))
        yield from _from(task, view, breaker, kinds, broken)
    elif not hears & wanted:
        # The plug takes the audio away with what was wrong: its cord must bring it again, from
        # the other end to this one or from this one to the other.
        ends = {*view.kinds_that_carry(wanted), *view.kinds_at_inputs(view.upstream(number))}
        yield from _from(task, view, breaker, sorted(ends), broken)


def _lost(situation: Situation, effect: Effect) -> int:
    """The origins that harmed inputs no longer hear."""
    lost = 0
    for number in bits(effect.harmed):
        lost |= situation.hears[number] & ~effect.hears[number]
    return lost


def _from(
    task: Task, view: View, breaker: int, kinds: Iterable[int], broken: Effect
) -> Iterator[Move]:
    """Cords from a breaker to each of these kinds, best outlook first, while one may be listed."""
    breaks = _Break(task, view, breaker, broken)
    if task.best.beaten(breaks.at_best()):
        return
    freed = task.choice.freed_by(view.moves)
    all_kinds = view.board.kinds
    goes_round = task.situation.closes_loop(broken)
    ranked = (
        (breaks.outlook(kind, length), kind)
        for kind in kinds
        # What goes round still does with one more cord, unless its other plug opens something.
        if not goes_round or all_kinds[kind].behind
        if kind != breaker and (length := task.choice.shortest(breaker, kind, freed)) is not None
    )
    for outlook, kind in sorted(ranked):
        if task.best.beaten(outlook):
            return
        yield put(breaker, kind)


class _Break:
    """A plug that breaks something, and what a cord from it can come to by its other end.

    That end may bring audio to what the break, or the moves before, took it from.
    """

    def __init__(self, task: Task, view: View, breaker: int, broken: Effect) -> None:
        situation, number = task.situation, task.number
        self._task, self._view = task, view
        self._heard = situation.heard[number]
        self._hears = broken.hears.get(number, situation.hears[number])
        asked = self._heard
        self._spoilt = 0
        self._lost: list[tuple[int, int]] = []
        for harmed in bits(broken.harmed & ~(1 << number)):
            lost = situation.hears[harmed] & ~broken.hears[harmed]
            asked |= lost
            if lost:
                self._lost.append((1 << harmed, lost))
            else:
                self._spoilt |= 1 << harmed
        self._carrying = frozenset(view.kinds_that_carry(asked))
        self._taken = task.choice.least(view.moves) or 0
        self._breaker, self._here = breaker, view.audio_at(breaker)
        self._broken, self._upstream = broken, view.upstream(number)

    @cached_property
    def _gone_round(self) -> int:
        """The boxes that are gone round with the plug in."""
        return self._task.detours.gone_round(self._broken)

    @cached_property
    def _as_it_is(self) -> tuple[Grade, Detour]:
        """What comes of the plug where its cord joins it to nothing at all."""
        task, moves = self._task, len(self._view.moves) + 1
        amiss = len(task.detours.misfits(self._broken))
        situation, number = task.situation, task.number
        grade = grade_at_best(situation, number, self._broken, moves)
        return with_mixes(grade, situation, number, self._broken), Detour(self._gone_round, amiss)

    def _brings_nothing(self, meets: Meets) -> bool:
        """Whether nothing comes to the input over a cord whose other end meets this.

        No output is there, nothing leads on to the input, and its legs do not join those here.
        """
        outputs, inputs = meets.outputs, meets.inputs
        if outputs[0] or outputs[1] or meets.bridged:
            return False
        return not (inputs[0] | inputs[1]) & self._upstream

    def at_best(self) -> Outlook:
        """The best that any cord from it can come to: all is brought back that can be."""
        harm = self._task.harm(self._spoilt)
        length = self._taken + self._task.choice.shortest_of_all
        return self._task.outlook(0, len(self._view.moves) + 1, length, harm)

    def outlook(self, kind: int, length: int) -> Outlook:
        """The best that a cord to this kind, of this length in mm, can come to."""
        meets = self._view.meets(kind)
        quiet = self._brings_nothing(meets)
        if quiet and not any(meets.inputs) and not self._view.board.kinds[kind].behind:
            grade, detour = self._as_it_is
            return Outlook(grade, self._taken + length, detour)
        brought = self._here
        if kind in self._carrying:
            brought |= self._view.audio_at(kind)
        missing = self._heard & ~self._hears
        if missing & brought and not quiet:
            missing &= ~_brought(self._task, self._view, self._breaker, kind)
        harmed = self._spoilt
        for entry, lost in self._lost:
            if lost & ~brought:
                harmed |= entry
        moves = len(self._view.moves) + 1
        harm = self._task.harm(harmed)
        found = self._task.outlook(missing, moves, self._taken + length, harm)
        return found._replace(detour=Detour(self._gone_round, 0)) if quiet else found
