"""The board as it stands under some moves, and what a plug more would meet there."""

from __future__ import annotations

from functools import cached_property
from typing import NamedTuple

from slinediag.tracing.hearing import bits
from slinediag.tracing.outage.board import Kind, Move, Moves
from slinediag.tracing.outage.situation import Situation


class Meets(NamedTuple):
    """What the springs of a kind meet with a plug in: by leg the outputs, inputs and origins."""

    outputs: tuple[int, int]
    inputs: tuple[int, int]
    audio: tuple[int, int]
    cells: frozenset[int]


class View:
    """Feeds, hearing and nets under some moves, worked out as they are asked for."""

    def __init__(self, situation: Situation, moves: Moves = ()) -> None:
        self.situation = situation
        self.board = situation.board
        self.moves = moves
        self.effect = situation.effect(moves)
        self._meets: dict[int, Meets] = {}
        self._upstream: dict[int, int] = {}
        self._pulled: dict[Move, View] = {}

    def with_move(self, move: Move) -> View:
        """The view with one move more; that of a pull is kept."""
        if move.pulled < 0:
            return View(self.situation, add(self.moves, move))
        found = self._pulled.get(move)
        if found is None:
            found = self._pulled[move] = View(self.situation, add(self.moves, move))
        return found

    def feeds(self, number: int) -> int:
        """The outputs that feed an input."""
        return self.effect.feeds.get(number, self.situation.feeds[number])

    def hears(self, number: int) -> int:
        """The origins that an input hears."""
        return self.effect.hears.get(number, self.situation.hears[number])

    def audio(self, outputs: int) -> int:
        """The origins that a set of outputs carries."""
        found = 0
        changed, rest = self.effect.audio, self.situation.hearing
        for number in bits(outputs):
            found |= changed[number] if number in changed else rest.audio(number)
        return found

    @cached_property
    def carried(self) -> tuple[int, ...]:
        """What each output carries, each set of origins once, the empty one among them."""
        return tuple(sorted({0, *(self.audio(1 << n) for n in range(len(self.situation.outputs)))}))

    def meets(self, kind: int) -> Meets:
        """What a plug in a jack of this kind meets."""
        found = self._meets.get(kind)
        if found is None:
            found = self._meets[kind] = self._find_meets(self.board.kinds[kind], kind)
        return found

    def _find_meets(self, kind: Kind, number: int) -> Meets:
        board, plugs = self.board, self.effect.plugs
        if kind.behind:
            plugs = plugs._replace(held=plugs.held | {number})
        outputs, inputs, cells = [], [], set()
        for spring in kind.springs:
            net = board.net(spring, plugs)
            cells.update(net)
            sources = fed = 0
            for cell in net:
                sources |= board.outputs[cell]
                fed |= board.inputs[cell]
            outputs.append(sources)
            inputs.append(fed)
        audio = (self.audio(outputs[0]), self.audio(outputs[1]))
        return Meets((outputs[0], outputs[1]), (inputs[0], inputs[1]), audio, frozenset(cells))

    def upstream(self, number: int) -> int:
        """The inputs whose audio comes to an input, itself included."""
        found = self._upstream.get(number)
        if found is None:
            found, queue = 1 << number, [number]
            for entry in queue:
                for output in bits(self.feeds(entry)):
                    for behind in self.situation.hearing.inputs_behind(output):
                        if not found >> behind & 1:
                            found |= 1 << behind
                            queue.append(behind)
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

    def _kinds_on(self, cells: list[int]) -> list[int]:
        board = self.board
        found: set[int] = set()
        for net in board.nets_of(cells, self.effect.plugs):
            for cell in net:
                found.update(board.kinds_on[cell])
        return sorted(found)


def add(moves: Moves, move: Move) -> Moves:
    """Moves with one more, in an order that does not depend on which came first."""
    return tuple(sorted((*moves, move)))
