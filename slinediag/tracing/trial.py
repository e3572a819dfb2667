"""What a trial does: each plug as it goes in, then every input before and after."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from typing import NamedTuple

from slinediag.address import Jack, PortAddress, port_order
from slinediag.circuit.circuit import Circuit
from slinediag.model.facility import Facility
from slinediag.tracing.detour import gone_round
from slinediag.tracing.hearing import Hearing, bits
from slinediag.tracing.levels import level_at
from slinediag.tracing.line import LineFacts, line_at
from slinediag.tracing.phantom import Phantom, PhantomReach
from slinediag.tracing.request import refuse_impossible
from slinediag.tracing.sides import Exchange
from slinediag.tracing.tracer import Tracer, tracer_of
from slinediag.tracing.treble import cord_capacitances
from slinediag.tracing.values import (
    Act,
    Answer,
    Change,
    CordEnds,
    CordOutcome,
    InputOutcome,
    LineChange,
    LivePlug,
    PlugAct,
    PlugStep,
    Trial,
)

HARMFUL = frozenset({"doubled", "lost", "altered"})


def ask(facility: Facility, trial: Trial, *, every_input: bool = False) -> Answer:
    """What the trial does to the facility as filed.

    ``every_input`` lists unchanged inputs too. RequestError where the trial cannot be done.
    """
    refuse_impossible(facility, trial)
    tracer = tracer_of(facility)
    with tracer.lock:
        bench = Bench(tracer.circuit, tracer.hearing, tracer.phantom)
        try:
            bench.carry_out(trial)
            answer = _answer(tracer, bench, trial, every_input)
            lines = _lines_after(tracer, bench, answer)
        finally:
            bench.put_back()
        return replace(answer, lines=_with_lines_before(tracer, lines))


class Glance(NamedTuple):
    """What a trial does to one input, and what of it goes beyond that input.

    ``fed`` and ``hears`` are the outputs that feed the input and the origins that it hears,
    one bit each; ``feedback`` whether any cord closes a loop.
    """

    fed: int
    hears: int
    feedback: bool
    phantom: tuple[PhantomReach, ...]


def glance(facility: Facility, trial: Trial, number: int) -> Glance:
    """What ``ask`` says of the input of a number, with none of the rest worked out.

    RequestError where the trial cannot be done.
    """
    refuse_impossible(facility, trial)
    tracer = tracer_of(facility)
    hearing = tracer.hearing
    with tracer.lock:
        bench = Bench(tracer.circuit, hearing, tracer.phantom)
        try:
            bench.carry_out(trial)
            changed = bench.changed_feeds()
            hears = hearing.after(changed, trial.failed)
            cords = [_lost_without(bench, cord, changed) for cord in trial.cords]
            return Glance(
                changed.get(number, hearing.feeds[number]),
                hears.get(number, hearing.hears[number]),
                any(_feeds_back(bench, lost, changed, trial) for lost in cords),
                _phantom(tracer, trial),
            )
        finally:
            bench.put_back()


@dataclass
class Bench:
    """The circuit under a trial: does it, notes what each plug did, and puts all back."""

    circuit: Circuit
    hearing: Hearing
    phantom: Phantom
    steps: list[PlugStep] = field(default_factory=list)
    concerned: set[int] = field(default_factory=set)
    live: list[LivePlug] = field(default_factory=list)
    _done: list[tuple[str, CordEnds]] = field(default_factory=list)

    def carry_out(self, trial: Trial) -> None:
        """Pulls, then cords as given, first-named end first, then dummy plugs."""
        for cord in trial.pulled_cords:
            self._pull_cord(cord)
        for jack in trial.pulled_plugs:
            self._plug_out(jack, None)
        for cord in trial.cords:
            self._put_cord(cord)
        for jack in trial.plugs:
            self._put(jack, None)

    def put_back(self) -> None:
        """Undo everything, last first."""
        circuit = self.circuit
        undo = {
            "in": lambda ends: circuit.plug_out(ends[0]),
            "out": lambda ends: circuit.plug_in(ends[0]),
            "join": lambda ends: circuit.part_cord(*ends),
            "part": lambda ends: circuit.join_cord(*ends),
        }
        while self._done:
            what, ends = self._done.pop()
            undo[what](ends)

    def changed_feeds(self) -> dict[int, int]:
        """The inputs whose feeds differ from rest, with the outputs that feed them now."""
        return {
            number: mask
            for number in sorted(self.concerned)
            if (mask := self.circuit.feeds(number)) != self.hearing.feeds[number]
        }

    def without(self, cord: CordEnds) -> dict[int, int]:
        """What each input that the cord's conductors concern is fed by with them away."""
        concerned = self.circuit.part_cord(*cord)
        feeds = {number: self.circuit.feeds(number) for number in concerned}
        self.circuit.join_cord(*cord)
        return feeds

    def _pull_cord(self, cord: CordEnds) -> None:
        hot = self._givers(cord[0])
        self.concerned |= self.circuit.part_cord(*cord)
        self._done.append(("part", cord))
        for jack in cord:
            self._plug_out(jack, cord, hot)

    def _plug_out(
        self, jack: Jack, cord: CordEnds | None, hot: tuple[PortAddress, ...] = ()
    ) -> None:
        """Take a plug out; ``hot`` are inputs that give phantom at its cord's other end."""
        before = self._givers(jack)
        self.concerned |= self.circuit.plug_out(jack)
        self._done.append(("out", (jack, jack)))
        self._note_live(jack, "pull", cord, (*hot, *before, *self._givers(jack)))

    def _put_cord(self, cord: CordEnds) -> None:
        first, second = cord
        self._put(first, cord)
        self._put(second, cord, self._givers(first))
        self.concerned |= self.circuit.join_cord(*cord)
        self._done.append(("join", cord))

    def _put(self, jack: Jack, cord: CordEnds | None, hot: tuple[PortAddress, ...] = ()) -> None:
        """Put a plug in; ``hot`` are inputs that give phantom at its cord's other end."""
        normals = [(n, self.circuit.closed(n)) for n in self.circuit.normals_at(jack)]
        self._note_live(jack, "put", cord, (*hot, *self._givers(jack)))
        self.concerned |= self.circuit.plug_in(jack)
        self._done.append(("in", (jack, jack)))
        acts = tuple(
            Act(n, ("taps" if self.circuit.closed(n) else "breaks") if was else "open already")
            for n, was in normals
        )
        self.steps.append(PlugStep(jack, cord, acts))

    def _givers(self, jack: Jack) -> tuple[PortAddress, ...]:
        return self.phantom.givers_at(self.circuit, jack)

    def _note_live(
        self, jack: Jack, act: PlugAct, cord: CordEnds | None, givers: Iterable[PortAddress]
    ) -> None:
        """Note a plug that moves where phantom stands; none where no input gives it there."""
        found = tuple(sorted(set(givers), key=port_order))
        if found:
            self.live.append(LivePlug(jack, act, cord, found))


def _answer(tracer: Tracer, bench: Bench, trial: Trial, every_input: bool) -> Answer:
    changed = bench.changed_feeds()
    hears = tracer.hearing.after(changed, trial.failed) if changed or trial.failed else {}
    numbers = range(len(tracer.circuit.inputs)) if every_input else sorted(hears)
    dead = tracer.hearing.outputs_of(trial.failed)
    outcomes = (_outcome(tracer, n, changed, hears) for n in numbers)
    inputs = tuple(
        _with_levels(tracer, o, changed, dead)
        for o in outcomes
        if every_input or o.change != "unchanged"
    )
    cords = tuple(_cord_outcome(tracer, bench, cord, changed, trial) for cord in trial.cords)
    phantom = _phantom(tracer, trial)
    harmless = not (
        any(cord.feedback for cord in cords)
        or any(outcome.change in HARMFUL for outcome in inputs)
        or any(reach.new and not _takes(tracer.facility, reach.port) for reach in phantom)
    )
    return Answer(
        tracer.facility,
        trial,
        tuple(bench.steps),
        cords,
        inputs,
        harmless,
        phantom=phantom,
        live=tuple(bench.live),
        gone_round=gone_round(
            tracer.hearing, tracer.circuit.inputs, tracer.cautioned, changed, hears
        ),
        exchanges=_exchanges(tracer, changed),
    )


def _exchanges(tracer: Tracer, changed: dict[int, int]) -> tuple[Exchange, ...]:
    inputs, outputs = tracer.circuit.inputs, tracer.circuit.outputs
    pairs = tracer.sides.exchanged(changed, tracer.hearing.feeds, tracer.hearing.feeds)
    return tuple(Exchange(inputs[entry], outputs[output]) for entry, output in pairs)


def _phantom(tracer: Tracer, trial: Trial) -> tuple[PhantomReach, ...]:
    """Phantom where it should not be, on the nets at the trial's jacks and beyond them."""
    jacks = [jack for cord in (*trial.pulled_cords, *trial.cords) for jack in cord]
    jacks += [*trial.pulled_plugs, *trial.plugs]
    before = {reach.port for reach in tracer.phantom_at_rest}
    return tuple(
        replace(reach, new=reach.port not in before)
        for reach in tracer.phantom.reached_from(tracer.circuit, jacks)
    )


def _takes(facility: Facility, port: PortAddress) -> bool:
    return facility.facts(port).phantom == "takes"


def _outcome(
    tracer: Tracer, number: int, changed: dict[int, int], hears: dict[int, int]
) -> InputOutcome:
    hearing = tracer.hearing
    feeds = hearing.feeds[number], changed.get(number, hearing.feeds[number])
    heard = hearing.hears[number], hears.get(number, hearing.hears[number])
    return InputOutcome(
        input=tracer.circuit.inputs[number],
        change=change_of(feeds, heard),
        feeds_before=tracer.named(feeds[0]),
        feeds_after=tracer.named(feeds[1]),
        hears_before=tracer.named(heard[0]),
        hears_after=tracer.named(heard[1]),
    )


def _with_levels(
    tracer: Tracer, outcome: InputOutcome, changed: dict[int, int], dead: frozenset[int]
) -> InputOutcome:
    """The outcome with its level at rest and its level as the circuit stands now."""
    number = tracer.circuit.input_number[outcome.input]
    feeds = changed.get(number, tracer.hearing.feeds[number])
    return replace(
        outcome,
        level_before=tracer.levels[number],
        level_after=level_at(tracer.circuit, number, feeds, dead),
    )


def _lines_after(tracer: Tracer, bench: Bench, answer: Answer) -> tuple[LineFacts, ...]:
    """The lines at the inputs whose nets the trial changes, as the circuit stands now."""
    trial = answer.trial
    dead = tracer.hearing.outputs_of(trial.failed)
    pulled = {frozenset(cord) for cord in trial.pulled_cords}
    standing = [
        (cord.source, cord.length)
        for cord in tracer.facility.cords
        if frozenset((cord.source, cord.target)) not in pulled
    ]
    cords = cord_capacitances([*standing, *((c.cord[0], c.length) for c in answer.cords)])
    return tuple(
        line_at(tracer.circuit, number, dead, tracer.capacitances, cords)
        for number in sorted(bench.concerned)
    )


def _with_lines_before(tracer: Tracer, lines: tuple[LineFacts, ...]) -> tuple[LineChange, ...]:
    """The same lines at rest, beside what they are after the trial; those that differ."""
    numbers = tracer.circuit.input_number
    changes = (LineChange(tracer.line_at_rest(numbers[line.input]), line) for line in lines)
    return tuple(change for change in changes if change.before != change.after)


def change_of(feeds: tuple[int, int], heard: tuple[int, int]) -> Change:
    """The first change that holds, from the sets of feeds and of origins before and after."""
    if feeds[1].bit_count() > 1 and feeds[0] != feeds[1]:
        return "doubled"
    if heard[0] != heard[1]:
        if not heard[1]:
            return "lost"
        return "altered" if heard[0] else "gained"
    return "unchanged" if feeds[0] == feeds[1] else "rerouted"


def _cord_outcome(
    tracer: Tracer, bench: Bench, cord: CordEnds, changed: dict[int, int], trial: Trial
) -> CordOutcome:
    lost = _lost_without(bench, cord, changed)
    feedback = _feeds_back(bench, lost, changed, trial)
    return CordOutcome(cord, not lost, feedback, tracer.reach.length(*cord))


def _lost_without(bench: Bench, cord: CordEnds, changed: dict[int, int]) -> dict[int, int]:
    """The feeds that inputs lose with a cord's conductors away."""
    rest = bench.hearing.feeds
    return {
        number: gone
        for number, mask in bench.without(cord).items()
        if (gone := changed.get(number, rest[number]) & ~mask)
    }


def _feeds_back(bench: Bench, lost: dict[int, int], changed: dict[int, int], trial: Trial) -> bool:
    """Whether any of these feeds, which a cord brings, closes a loop."""
    return any(
        bench.hearing.closes_cycle(output, number, changed, trial.failed)
        for number, mask in sorted(lost.items())
        for output in bits(mask)
    )
