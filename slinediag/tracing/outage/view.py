"""The board as it stands under some moves, and what a plug more would meet there."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cached_property
from typing import NamedTuple

from slinediag.tracing.hearing import Hearing, bits
from slinediag.tracing.outage.board import Move, Moves, Plugs
from slinediag.tracing.outage.situation import Effect, Situation

UNCHANGED: Mapping[int, int] = {}


class Meets(NamedTuple):
    """What the springs of a kind meet with a plug in: by leg the outputs, inputs and origins.

    ``bridged`` where both legs are on one net.
    """

    outputs: tuple[int, int]
    inputs: tuple[int, int]
    audio: tuple[int, int]
    cells: frozenset[int]
    bridged: bool


class View:
    """Feeds, hearing and nets under some moves, worked out as they are asked for.

    A net none of whose cells a move touches is what it was at rest, and so is not followed anew.
    """

    def __init__(
        self, situation: Situation, moves: Moves = (), rest: dict[int, Meets] | None = None
    ) -> None:
        """``rest`` is what plugs meet with no move made; views may share and add to it."""
        self.situation = situation
        self.board = situation.board
        self.moves = moves
        self.effect = situation.effect(moves)
        self._rest: dict[int, Meets] = {} if rest is None else rest
        net_at_rest = self.board.net_at_rest
        self._stirred = {net_at_rest[cell] for cell in self.board.touched(moves)}
        self._meets: dict[int, Meets] = {} if moves else self._rest
        self._upstream: dict[int, int] = {}
        self._after: dict[Move, View] = {}
        self._dummies: dict[int, Effect] = {}
        self._at_output: dict[int, list[int]] = {}
        self._heard_at: dict[int, int] = {}

    def with_move(self, move: Move) -> View:
        """The view with one move more, kept since other inputs come by it too."""
        found = self._after.get(move)
        if found is None:
            found = self._after[move] = View(self.situation, add(self.moves, move), self._rest)
        return found

    def with_dummy(self, kind: int) -> Effect:
        """The effect of the moves with a dummy plug beside them."""
        found = self._dummies.get(kind)
        if found is None:
            found = self._dummies[kind] = self.situation.effect_of(*self._dummy(kind))
        return found

    def feeds_with_dummy(self, kind: int) -> dict[int, int]:
        """The feeds alone that the moves change with a dummy plug beside them."""
        return self.situation.feeds_of(*self._dummy(kind))

    def _dummy(self, kind: int) -> tuple[Plugs, list[int]]:
        """The moves with a dummy plug beside them, and the cells that they and it touch."""
        board, plugs = self.board, self.effect.plugs
        touched = [*board.touched(self.moves), *board.kinds[kind].cells]
        return Plugs(plugs.held | {kind}, plugs.joints), touched

    def feeds(self, number: int) -> int:
        """The outputs that feed an input."""
        return self.effect.feeds.get(number, self.situation.feeds[number])

    def hears(self, number: int) -> int:
        """The origins that an input hears."""
        return self.effect.hears.get(number, self.situation.hears[number])

    def audio(self, outputs: int) -> int:
        """The origins that a set of outputs carries."""
        return self._audio(outputs, self.effect.audio)

    def _audio(self, outputs: int, changed: dict[int, int]) -> int:
        found, rest = 0, self.situation.hearing
        for number in bits(outputs):
            found |= changed[number] if number in changed else rest.audio(number)
        return found

    @cached_property
    def _sounding(self) -> int:
        """The outputs whose audio may differ from rest."""
        return sum(1 << output for output in self.effect.audio)

    @cached_property
    def carried(self) -> tuple[int, ...]:
        """What each output carries, each set of origins once, the empty one among them."""
        return tuple(sorted({0, *(self.audio(1 << n) for n in range(len(self.situation.outputs)))}))

    def meets(self, kind: int) -> Meets:
        """What a plug in a jack of this kind meets."""
        found = self._meets.get(kind)
        if found is None:
            found = self._meets_at_rest(kind) if self.moves else None
            if found is None:
                found = self._find_meets(kind, self.effect)
            self._meets[kind] = found
        return found

    def _meets_at_rest(self, kind: int) -> Meets | None:
        """What a plug in this kind meets at rest, where no move has changed that."""
        if not self._stirred.isdisjoint(self.board.rest_nets_of_kind[kind]):
            return None
        found = self._rest.get(kind)
        if found is None:
            found = self._rest[kind] = self._find_meets(kind, self.situation.effect(()))
        return None if (found.outputs[0] | found.outputs[1]) & self._sounding else found

    def _find_meets(self, kind: int, effect: Effect) -> Meets:
        board, plugs, changed = self.board, effect.plugs, effect.audio
        if board.kinds[kind].behind:
            plugs = Plugs(plugs.held | {kind}, plugs.joints)
        (left, fed_left, tip), (right, fed_right, ring) = (
            board.meets(spring, plugs) for spring in board.kinds[kind].springs
        )
        audio = self._audio(left, changed), self._audio(right, changed)
        cells, bridged = frozenset((*tip, *ring)), ring[0] in tip
        return Meets((left, right), (fed_left, fed_right), audio, cells, bridged)

    def audio_at(self, kind: int) -> int:
        """The origins that a plug in this kind meets."""
        left, right = self.meets(kind).audio
        return left | right

    def heard_at(self, kind: int) -> int:
        """The origins that inputs hear on the nets at a kind's springs and behind its contacts."""
        found = self._heard_at.get(kind)
        if found is None:
            board, found = self.board, 0
            for net in board.nets_of(board.kinds[kind].cells, self.effect.plugs):
                for cell in net:
                    for number in bits(board.inputs[cell]):
                        found |= self.hears(number)
            self._heard_at[kind] = found
        return found

    def upstream(self, number: int) -> int:
        """The inputs whose audio comes to an input, itself included."""
        found = self._upstream.get(number)
        if found is None:
            found = upstream_of(self.situation.hearing, number, self.effect.feeds)
            self._upstream[number] = found
        return found

    def kinds_at_inputs(self, inputs: int) -> list[int]:
        """The kinds with free jacks on the nets of these inputs."""
        cells = [self.board.cell_of_input[n] for n in bits(inputs)]
        return self._kinds_on(cells)

    def kinds_that_carry(self, origins: int) -> list[int]:
        """The kinds with free jacks on the nets of outputs that carry any of these origins."""
        changed, hearing = self.effect.audio, self.situation.hearing
        cells = [
            cell
            for number, here in enumerate(self.board.cells_of_output)
            if (changed[number] if number in changed else hearing.audio(number)) & origins
            for cell in here
        ]
        return self._kinds_on(cells)

    def kinds_at_output(self, output: int) -> list[int]:
        """The kinds with jacks on the nets of an output."""
        found = self._at_output.get(output)
        if found is None:
            found = self._at_output[output] = self._kinds_on(self.board.cells_of_output[output])
        return found

    def kinds_newly_carrying(self, origins: int, move: Move) -> list[int]:
        """Those where a move has just brought any of these origins, at its jacks and beyond."""
        changed, hearing = self.effect.audio, self.situation.hearing
        cells = [
            cell
            for number, audio in changed.items()
            if audio & origins & ~hearing.audio(number)
            for cell in self.board.cells_of_output[number]
        ]
        cells += self.board.kinds[move.one].springs
        return self._kinds_on(cells)

    def _kinds_on(self, cells: Sequence[int]) -> list[int]:
        """The kinds on the nets of these cells."""
        board, stirred = self.board, self._stirred
        found: set[int] = set()
        numbers = {board.net_at_rest[cell] for cell in cells}
        for number in numbers - stirred:
            found |= board.kinds_at_rest[number]
        changed = [cell for cell in cells if board.net_at_rest[cell] in stirred]
        for net in board.nets_of(changed, self.effect.plugs):
            for cell in net:
                found.update(board.kinds_on[cell])
        return sorted(found)


def upstream_of(hearing: Hearing, number: int, changed: Mapping[int, int] = UNCHANGED) -> int:
    """The inputs whose audio comes to an input, itself too; ``changed``: feeds not as at rest."""
    found, queue = 1 << number, [number]
    for entry in queue:
        for output in bits(changed.get(entry, hearing.feeds[entry])):
            for behind in hearing.inputs_behind(output):
                if not found >> behind & 1:
                    found |= 1 << behind
                    queue.append(behind)
    return found


def add(moves: Moves, move: Move) -> Moves:
    """Moves with one more, in an order that does not depend on which came first."""
    return tuple(sorted((*moves, move)))
