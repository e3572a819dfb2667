"""In which order to put plugs in and pull them, so that least is interrupted on the way.

Until the second plug of a cord is in, the first acts like a dummy plug; and once one plug of a
cord is out, the other does. Where dummy plugs stand in for a cord, they alone go in and out.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal, NamedTuple

from slinediag.address import Jack, PortAddress
from slinediag.circuit.circuit import Circuit
from slinediag.tracing.hearing import bits
from slinediag.tracing.outage.heard import Listener
from slinediag.tracing.outage.rank import Harm, harm_of
from slinediag.tracing.outage.situation import Effect, Situation
from slinediag.tracing.outage.values import FREE_PLUG, PHANTOM, Dummies, Heard, NormalAct, Step
from slinediag.tracing.phrases import listed, port_names
from slinediag.tracing.values import CordEnds

Cost = tuple[int, Harm]
"""States that feed back, then inputs interrupted by priority, summed over the states."""


class PlugMove(NamedTuple):
    """One plug put in or pulled: of a cord, or a dummy plug that stands in for that cord."""

    act: Literal["put", "pull"]
    jack: Jack
    cord: CordEnds
    dummy: bool = False


@dataclass(frozen=True)
class Work:
    """Cords to put in and to pull, on a circuit on which some cords stand and some plugs are in.

    ``situation`` says what is an interruption: what loses, is doubled or hears what it should
    not against its state. ``plugs`` are those without a cord. ``dummies``: cords to put in or to
    pull in place of which dummy plugs go into these jacks, or come out of them.
    """

    situation: Situation
    standing: tuple[CordEnds, ...]
    plugs: frozenset[Jack]
    puts: tuple[CordEnds, ...]
    pulls: tuple[CordEnds, ...]
    dummies: Dummies = field(default_factory=dict)

    @property
    def plug_moves(self) -> tuple[PlugMove, ...]:
        """Every plug that moves: pulls first, far ends first; then cords, source ends first."""
        pulled = [
            PlugMove("pull", jack, cord, cord in self.dummies)
            for cord in self.pulls
            for jack in self.dummies.get(cord, cord)[::-1]
        ]
        put = [
            PlugMove("put", jack, cord, cord in self.dummies)
            for cord in self.puts
            for jack in self.dummies.get(cord, cord)
        ]
        return (*pulled, *put)

    def effect(self, done: Sequence[PlugMove]) -> Effect:
        """What the plugs moved so far change."""
        situation, board = self.situation, self.situation.board
        put = [move for move in done if move.act == "put"]
        out = {move.jack for move in done if move.act == "pull"}
        held = {jack for cord in self.standing for jack in cord} | self.plugs
        held = held - out | {move.jack for move in put}
        in_now = [cord for cord in self.standing if not out.intersection(cord)]
        ends = [move.jack for move in put if not move.dummy]
        in_now += [cord for cord in self.puts if all(jack in ends for jack in cord)]
        filed = [(cord.source, cord.target) for cord in situation.now.cords]
        jacks = {move.jack for move in self.plug_moves}
        jacks.update(jack for cord in set(filed) ^ set(self.standing) for jack in cord)
        jacks |= self.plugs ^ {plug.jack for plug in situation.now.plugs}
        return situation.effect_of(board.with_plugs(held, in_now), board.cells_at(jacks))


def plan(work: Work) -> tuple[Step, ...]:
    """The steps of some work, in the order that interrupts least, highest priority first."""
    moves = work.plug_moves
    whole = (1 << len(moves)) - 1
    effects = {0: work.effect(())}
    best: dict[int, tuple[Cost, tuple[int, ...]]] = {0: (_nothing(work), ())}
    for done in range(whole + 1):
        if done not in best:
            continue
        cost, order = best[done]
        for number, move in enumerate(moves):
            after = done | 1 << number
            if after == done or not _free(move, moves, done):
                continue
            if after not in effects:
                effects[after] = work.effect([moves[n] for n in bits(after)])
            total = _added(cost, _cost(work, effects[after]) if after != whole else _nothing(work))
            found = total, (*order, number)
            if after not in best or found < best[after]:
                best[after] = found
    order = best[whole][1]
    return _steps(work, [moves[n] for n in order], _effects_on_the_way(order, effects))


def _effects_on_the_way(order: tuple[int, ...], effects: dict[int, Effect]) -> list[Effect]:
    found, done = [effects[0]], 0
    for number in order:
        done |= 1 << number
        found.append(effects[done])
    return found


def _free(move: PlugMove, moves: Sequence[PlugMove], done: int) -> bool:
    """Whether a plug can move now: the jack it goes into holds none."""
    return move.act == "pull" or not any(
        other.act == "pull" and other.jack == move.jack and not done >> n & 1
        for n, other in enumerate(moves)
    )


def _nothing(work: Work) -> Cost:
    return 0, work.situation.no_harm


def _cost(work: Work, effect: Effect) -> Cost:
    return (
        int(work.situation.closes_loop(effect)),
        harm_of(work.situation, effect.harmed),
    )


def _added(one: Cost, other: Cost) -> Cost:
    return one[0] + other[0], tuple(a + b for a, b in zip(one[1], other[1], strict=True))


def _steps(work: Work, moves: Sequence[PlugMove], effects: Sequence[Effect]) -> tuple[Step, ...]:
    """The steps in this order, with what the circuit itself shows at each plug."""
    situation, tracer = work.situation, work.situation.tracer
    with tracer.lock:
        hand = _Hand(work, tracer.circuit)
        try:
            notes = [hand.move(move) for move in moves]
        finally:
            hand.put_back()
    steps: list[Step] = []
    listener = Listener(situation)
    for move, note, before, after in zip(moves, notes, effects, effects[1:], strict=False):
        fine, now = _fine(situation, before), _fine(situation, after)
        steps.append(
            Step(
                act=move.act,
                jack=move.jack,
                cord=move.cord,
                second=not move.dummy and any(step.cord == move.cord for step in steps),
                length=_stocked(situation, move),
                acts=note[0],
                restores=_named(situation, now & ~fine),
                interrupts=_named(situation, fine & ~now),
                caution=note[1],
                heard=_heard(situation, listener, now & ~fine, after),
                dummy=move.dummy,
                hangs=_hangs(steps, move),
            )
        )
    return tuple(steps)


def _hangs(done: Sequence[Step], move: PlugMove) -> Jack | None:
    """The jack from which the cord of a plug put in hangs, where it is not the only one to hang."""
    half: dict[CordEnds, Jack] = {}
    for step in done:
        if not step.dummy and half.pop(step.cord, None) is None:
            half[step.cord] = step.jack
    return half.get(move.cord) if move.act == "put" and len(half) > 1 else None


def _stocked(situation: Situation, move: PlugMove) -> float | None:
    """The length to take of the stock that is filed, for a cord put in."""
    if move.act == "pull" or move.dummy or not situation.filed.practice.cord_lengths:
        return None
    return situation.reach.length(*move.cord)


def _fine(situation: Situation, effect: Effect) -> int:
    """The inputs that hear as they should: silenced ones restored, all others not harmed."""
    fine = sum(1 << n for n, works in enumerate(situation.working) if works) & ~effect.harmed
    for number in situation.silenced:
        fine &= ~(1 << number)
        if situation.restored(number, effect):
            fine |= 1 << number
    return fine


def _heard(
    situation: Situation, listener: Listener, inputs: int, effect: Effect
) -> tuple[Heard, ...]:
    """How inputs are restored; those that a plug before had interrupted hear all again."""
    return tuple(
        listener.heard(n, effect) if n in situation.silenced else Heard(situation.inputs[n])
        for n in bits(inputs)
    )


def _named(situation: Situation, inputs: int) -> tuple[PortAddress, ...]:
    return tuple(situation.inputs[n] for n in bits(inputs))


class _Hand:
    """Moves plugs on the circuit one by one, notes what each does, and puts all back."""

    def __init__(self, work: Work, circuit: Circuit) -> None:
        self._work = work
        self._circuit = circuit
        self._done: list[PlugMove] = []
        filed = [(cord.source, cord.target) for cord in circuit.facility.cords]
        self._ends = {cord: set(cord) for cord in filed}
        for cord in filed:
            if cord not in work.standing:
                self._move_both("pull", cord)
        for cord in work.standing:
            if cord not in filed:
                self._move_both("put", cord)
        for jack in work.plugs - {plug.jack for plug in circuit.facility.plugs}:
            self._move(PlugMove("put", jack, (jack, jack), dummy=True))

    def _move_both(self, act: Literal["put", "pull"], cord: CordEnds) -> None:
        for jack in cord:
            self._move(PlugMove(act, jack, cord))

    def move(self, move: PlugMove) -> tuple[tuple[NormalAct, ...], str | None]:
        """Move one plug; what it does to the normals there, and what to beware of."""
        circuit = self._circuit
        normals = [(normal, circuit.closed(normal)) for normal in circuit.normals_at(move.jack)]
        hot = self._givers(move)
        self._move(move)
        hot |= self._givers(move)
        acts = []
        for normal, was in normals:
            now = circuit.closed(normal)
            if move.act == "put":
                acts.append(
                    NormalAct(normal, ("taps" if now else "breaks") if was else "open already")
                )
            elif now and not was:
                acts.append(NormalAct(normal, "closes"))
        return tuple(acts), self._caution(move, hot)

    def put_back(self) -> None:
        """Undo everything, last first."""
        while self._done:
            move = self._done.pop()
            back: Literal["put", "pull"] = "pull" if move.act == "put" else "put"
            self._move(move._replace(act=back), note=False)

    def _move(self, move: PlugMove, note: bool = True) -> None:
        circuit, cord = self._circuit, move.cord
        ends = set[Jack]() if move.dummy else self._ends.setdefault(cord, set())
        if move.act == "put":
            circuit.plug_in(move.jack)
            ends.add(move.jack)
            if len(ends) == 2:
                circuit.join_cord(*cord)
        else:
            if len(ends) == 2:
                circuit.part_cord(*cord)
            ends.discard(move.jack)
            circuit.plug_out(move.jack)
        if note:
            self._done.append(move)

    def _givers(self, move: PlugMove) -> set[PortAddress]:
        """The inputs whose phantom stands at a plug's jack, or at the other end of its cord."""
        phantom = self._work.situation.tracer.phantom
        ends = {move.jack, *(() if move.dummy else self._ends.get(move.cord, ()))}
        return {giver for jack in ends for giver in phantom.givers_at(self._circuit, jack)}

    def _caution(self, move: PlugMove, givers: set[PortAddress]) -> str | None:
        facility = self._work.situation.filed
        if givers:
            names = listed(port_names(facility, sorted(givers)))
            return f"{PHANTOM} {names}: switch it off, wait, then move the plug"
        held = () if move.dummy else self._ends[move.cord]
        if len(held) != 1:
            return None
        outputs = self._circuit.sources_at(next(iter(held))) & ~self._dead()
        if not outputs:
            return None
        names = listed(port_names(facility, self._work.situation.tracer.named(outputs)))
        return f"{FREE_PLUG} carries {names}: keep it off all metal"

    def _dead(self) -> int:
        return sum(1 << n for n in self._work.situation.dead_outputs)
