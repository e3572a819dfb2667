"""A facility before and after a failure, and what moves made then come to.

*Before* is the facility as filed; *after* is that facility with what has failed, and what moves
do is measured against that. Sets of outputs, and of inputs, are whole numbers with one bit each.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import cached_property
from typing import NamedTuple

from slinediag.model.equipment import PortFacts
from slinediag.model.facility import Facility
from slinediag.tracing.hearing import Hearing, bits
from slinediag.tracing.levels import line_loss
from slinediag.tracing.outage.board import Board, Move, Moves, Plugs
from slinediag.tracing.outage.mixes import Mixes
from slinediag.tracing.reach import Reach
from slinediag.tracing.tracer import Tracer, tracer_of
from slinediag.tracing.values import CordEnds

MISMATCH = 12.0
"""dB that a level may differ from before and still fit, unless the file says otherwise."""


class Effect(NamedTuple):
    """What moves change against the failure alone.

    ``feeds`` and ``hears`` by input, ``audio`` by output, where they may differ; ``harmed`` are
    the inputs of working equipment that suffer, the one to be restored perhaps among them.
    """

    plugs: Plugs
    feeds: dict[int, int]
    hears: dict[int, int]
    audio: dict[int, int]
    harmed: int


class Situation:
    """What each input heard before, hears now, and may hear; and the effects of moves."""

    def __init__(
        self,
        filed: Facility,
        now: Facility,
        dead_boxes: Iterable[str] = (),
        dead_bays: frozenset[str] = frozenset(),
        pullable: Iterable[CordEnds] | None = None,
        board: Board | None = None,
        reach: Reach | None = None,
    ) -> None:
        self.filed, self.now = filed, now
        self.dead_boxes, self.dead_bays = tuple(dead_boxes), dead_bays
        self.before: Tracer = tracer_of(filed)
        self.tracer: Tracer = tracer_of(now)
        self.board = Board(now, dead_bays) if board is None else board
        self.hearing = Hearing(self.tracer.circuit, self.dead_boxes)
        self.reach = Reach(filed) if reach is None else reach
        self.dead_outputs = self.hearing.outputs_of(self.dead_boxes)
        self._effects: dict[Moves, Effect] = {}
        self._spreads: dict[
            frozenset[tuple[int, int]], tuple[dict[int, int], dict[int, int], int]
        ] = {}
        self._looped: dict[Moves, bool] = {}
        self._beyond: dict[int, int] = {}
        self._judge_inputs()
        may = None if pullable is None else set(pullable)
        pulls = (
            self.board.pull(number)
            for number, cord in enumerate(self.board.cords)
            if may is None or cord in may
        )
        self.pulls = tuple(pull for pull in pulls if self._leads_anywhere(pull))

    def _leads_anywhere(self, pull: Move) -> bool:
        """Whether a cord's jacks are joined to any port, with the cord in or out."""
        board = self.board
        touched = board.touched((pull,))
        return any(
            board.inputs[cell] or board.outputs[cell]
            for plugs in (board.at_rest, board.after((pull,)))
            for net in board.nets_of(touched, plugs)
            for cell in net
        )

    def _judge_inputs(self) -> None:
        circuit = self.tracer.circuit
        self.inputs, self.outputs = circuit.inputs, circuit.outputs
        equipment, facts = self.now.equipment, self.now.facts
        gone = {*self.dead_boxes, *(box.id for box in equipment.values() if box.removed)}
        self.working = [port.equipment not in gone for port in self.inputs]
        self.facts: list[PortFacts] = [facts(port) for port in self.inputs]
        self.sources: list[PortFacts] = [facts(port) for port in self.outputs]
        self.standby = sum(1 << n for n, port in enumerate(self.sources) if port.standby)
        stand_ins = [
            sum(1 << circuit.output_number[port] for port in set(entry.instead))
            for entry in self.facts
        ]
        self.heard, self.hears = self.before.hearing.hears, self.hearing.hears
        self.feeds = self.hearing.feeds
        pairs = list(zip(self.heard, stand_ins, strict=True))
        self.wanted = [(heard | other) & ~self.standby for heard, other in pairs]
        self.known = [
            heard | other | now for (heard, other), now in zip(pairs, self.hears, strict=True)
        ]
        ranks = sorted({f.priority for f in self.facts if f.priority is not None})
        self.ranks = {priority: place for place, priority in enumerate(ranks)}
        self._rank_of = [
            len(ranks) if f.priority is None else self.ranks[f.priority] for f in self.facts
        ]
        self.no_harm = (0,) * (len(ranks) + 1)
        self.inputs_by_rank = [0] * (len(ranks) + 1)
        for number, rank in enumerate(self._rank_of):
            self.inputs_by_rank[rank] |= 1 << number
        self.silenced = [n for n in range(len(self.inputs)) if self._falls_silent(n)]
        self.silenced.sort(key=lambda n: (self.rank(n), n))
        self.weakened = [
            n
            for n in range(len(self.inputs))
            if self.working[n] and self.heard[n] & ~self.hears[n] and n not in self.silenced
        ]

    @cached_property
    def gaining(self) -> list[int]:
        """The inputs of working equipment that the failure makes hear more, and nothing less."""
        return [
            n
            for n, (heard, now) in enumerate(zip(self.heard, self.hears, strict=True))
            if self.working[n] and now & ~heard and not heard & ~now
        ]

    @cached_property
    def bits_of_boxes(self) -> list[int]:
        """For each output the bit that stands for its box in sets of boxes."""
        numbers: dict[str, int] = {}
        return [1 << numbers.setdefault(port.equipment, len(numbers)) for port in self.outputs]

    @cached_property
    def has_loops(self) -> bool:
        """Whether audio goes round anywhere after the failure, before any move."""
        return any(
            self.hearing.closes_cycle(output, number, {})
            for number, mask in enumerate(self.feeds)
            for output in bits(mask)
        )

    def _falls_silent(self, number: int) -> bool:
        heard, now = self.heard[number] & ~self.standby, self.hears[number] & ~self.standby
        return self.working[number] and bool(heard) and not now

    def rank(self, number: int) -> int:
        """The place of an input's priority among those filed, highest first, unset last."""
        return self._rank_of[number]

    def outputs_beyond(self, number: int) -> int:
        """The outputs that an input's audio comes to after the failure, before any move."""
        found = self._beyond.get(number)
        if found is None:
            found = self._beyond[number] = self.hearing.outputs_far_beyond(number)
        return found

    # ---- effects

    def effect(self, moves: Moves) -> Effect:
        """What moves change against the failure alone."""
        found = self._effects.get(moves)
        if found is None:
            touched = self.board.touched(moves)
            found = self._effects[moves] = self.effect_of(self.board.after(moves), touched)
        return found

    def effect_of(self, plugs: Plugs, touched: Iterable[int]) -> Effect:
        """What these plugs and cords change, ``touched`` being all cells where they differ."""
        changed = self.feeds_of(plugs, touched)
        return Effect(plugs, changed, *self._spread(changed))

    def feeds_of(self, plugs: Plugs, touched: Iterable[int]) -> dict[int, int]:
        """The inputs that these plugs and cords feed otherwise, with the outputs that do then."""
        changed: dict[int, int] = {}
        feeds = self.feeds
        for fed, sources in self.board.ports_of(touched, plugs):
            for number in bits(fed):
                if feeds[number] != sources:
                    changed[number] = sources
        return changed

    def _spread(self, changed: dict[int, int]) -> tuple[dict[int, int], dict[int, int], int]:
        """What inputs hear and outputs carry with these feeds, and the inputs that suffer.

        Kept, since plugs in many jacks change the same feeds.
        """
        key = frozenset(changed.items())
        found = self._spreads.get(key)
        if found is None:
            hears, audio = self.hearing.spread(changed) if changed else ({}, {})
            harmed, rest = 0, self.hears
            for number, now in hears.items():
                if now == rest[number] and number not in changed:
                    continue
                if self.suffers(number, changed.get(number, self.feeds[number]), now):
                    harmed |= 1 << number
            found = self._spreads[key] = hears, audio, harmed
        return found

    def suffers(self, number: int, fed: int, hears: int) -> bool:
        """Whether an input loses something, hears what it should not, or becomes doubled.

        It is fed by these outputs, and hears these origins.
        """
        if not self.working[number]:
            return False
        if self.hears[number] & ~hears:
            return True
        if self.heard[number] and hears & ~self.known[number]:
            return True
        return fed.bit_count() > 1 and self.feeds[number].bit_count() < 2

    def exchanged(self, effect: Effect) -> list[tuple[int, int]]:
        """(input, output) where an input newly gets the other side of a stereo pair."""
        return self.tracer.sides.exchanged(effect.feeds, self.feeds, self.before.hearing.feeds)

    @cached_property
    def _mixes(self) -> Mixes:
        return Mixes(self.before.hearing, self.hearing, self.dead_outputs)

    def another_mix(self, number: int, effect: Effect) -> tuple[int, int]:
        """The mixes that an input gets in place of others, and those; none if it gets its own."""
        return self._mixes.another(number, effect.feeds, effect.audio)

    def fed_another_mix(
        self, number: int, effect: Effect
    ) -> tuple[tuple[int, ...], tuple[int, ...]]:
        """The other inputs fed anew that get another mix: on the way to an input, and elsewhere."""
        feeds, audio = effect.feeds, effect.audio
        fed = [
            entry
            for entry in feeds
            if entry != number
            and self.working[entry]
            and self._mixes.newly_another(entry, feeds, audio)
        ]
        if not fed:
            return (), ()
        way = self._mixes.on_the_way(number, feeds, audio)
        return tuple(n for n in fed if n in way), tuple(n for n in fed if n not in way)

    def restored(self, number: int, effect: Effect) -> bool:
        """Whether a silenced input hears what it should again, nothing else, from one feed."""
        hears = effect.hears.get(number, self.hears[number])
        wanted = self.wanted[number]
        if not hears & wanted or hears & ~(wanted | self.standby):
            return False
        return effect.feeds.get(number, self.feeds[number]).bit_count() < 2

    def level(self, number: int, effect: Effect) -> float | None:
        """The level at an input in dBu; None unless it has one feed, of working equipment."""
        feeds = effect.feeds.get(number, self.feeds[number])
        if feeds.bit_count() != 1:
            return None
        loads = 0
        for net in self.board.nets_of(self.board.cells_of_input[number], effect.plugs):
            for cell in net:
                loads |= self.board.inputs[cell]
        return self.level_from(feeds.bit_length() - 1, bits(loads))

    def level_from(self, feed: int, loads: Iterable[int]) -> float | None:
        """The level at inputs that one output feeds, in dBu; None of failed equipment."""
        if feed in self.dead_outputs:
            return None
        source = self.sources[feed]
        return source.level - line_loss(source, [self.facts[n] for n in loads])

    def level_change(self, number: int, level: float | None) -> float | None:
        """How much a level is above what the input had before, in dB; None where unknown."""
        before = self.before.levels[number]
        return None if level is None or before is None else level - before

    def fits(self, change: float | None) -> bool:
        """Whether a change of level is within the mismatch that the file allows, or unknown."""
        allowed = self.filed.practice.limits.mismatch
        limit = MISMATCH if allowed is None else allowed
        return change is None or abs(change) <= limit + 1e-9

    def loops(self, moves: Moves) -> bool:
        """Whether a cord of these moves is feedback, or a feed that is new closes a loop."""
        found = self._looped.get(moves)
        if found is None:
            effect = self.effect(moves)
            found = self._looped[moves] = self.closes_loop(effect) or any(
                self._feeds_back(move, effect) for move in moves if move.pulled < 0
            )
        return found

    def closes_loop(self, effect: Effect) -> bool:
        """Whether a feed that is new closes a loop."""
        return any(
            self.hearing.closes_cycle(output, number, effect.feeds)
            for number, mask in effect.feeds.items()
            for output in bits(mask & ~self.feeds[number])
        )

    def _feeds_back(self, cord: Move, effect: Effect) -> bool:
        """Whether taking a cord's conductors away, its plugs left in, takes a loop away."""
        board = self.board
        joints = dict(effect.plugs.joints)
        for one, other in zip(
            board.kinds[cord.one].springs, board.kinds[cord.other].springs, strict=True
        ):
            for here, there in ((one, other), (other, one)):
                rest = list(joints[here])
                rest.remove(there)
                joints[here] = tuple(rest)
        parted = Plugs(effect.plugs.held, joints)
        for fed, sources in board.ports_of(board.touched((cord,)), parted):
            for number in bits(fed):
                lost = effect.feeds.get(number, self.feeds[number]) & ~sources
                if any(
                    self.hearing.closes_cycle(output, number, effect.feeds) for output in bits(lost)
                ):
                    return True
        return False
