"""Jacks by what a plug in them does, so that a search need not try each jack by itself.

With a plug in every jack the contacts of a facility fall into *cells* that no plug parts. What
joins two cells is a break contact that no plug lifts, or a cord. Jacks whose springs lie in the
same cells, and which break nothing, are of one *kind*: a plug in one does what it does in
another. A jack that breaks a normal is a kind of its own. Cells come from the circuit itself.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from copy import copy
from dataclasses import dataclass, field
from typing import NamedTuple

from slinediag.address import Address, Jack
from slinediag.circuit.circuit import Circuit
from slinediag.model.facility import Facility
from slinediag.tracing.values import CordEnds


class Move(NamedTuple):
    """A cord put in between two kinds of jack, or the standing cord of a number pulled.

    ``pulled`` is -1 where a cord is put in, else ``one`` and ``other`` are the kinds it frees.
    """

    pulled: int
    one: int
    other: int


Moves = tuple[Move, ...]


def put(one: int, other: int) -> Move:
    """A cord between two kinds of jack."""
    return Move(-1, one, other) if one <= other else Move(-1, other, one)


@dataclass(slots=True)
class Kind:
    """Jacks alike: the cells of tip and ring, those behind their break contacts, and the jacks."""

    springs: tuple[int, int]
    behind: tuple[int, int] | None
    jacks: list[Jack] = field(default_factory=list)

    @property
    def cells(self) -> tuple[int, ...]:
        """All cells that a plug in such a jack may part or join."""
        return self.springs if self.behind is None else (*self.springs, *self.behind)


class Plugs(NamedTuple):
    """Which breaking kinds hold a plug, and which cells cords join."""

    held: frozenset[int]
    joints: Mapping[int, tuple[int, ...]]


class Board:
    """The cells and kinds of one facility, its standing cords and dummy plugs.

    ``place`` is where each jack stands in natural order.
    """

    def __init__(self, facility: Facility, closed_bays: frozenset[str] = frozenset()) -> None:
        self.facility = facility
        circuit = Circuit(facility)
        self.place = {jack: number for number, jack in enumerate(circuit.jacks)}
        self.cords: tuple[CordEnds, ...] = tuple((c.source, c.target) for c in facility.cords)
        for cord in self.cords:
            circuit.part_cord(*cord)
        self.occupied = frozenset(jack for jack in circuit.jacks if circuit.plugged(jack))
        for jack in circuit.jacks:
            if not circuit.plugged(jack):
                circuit.plug_in(jack)
        self._number_cells(circuit)
        self._sort_jacks(circuit, closed_bays)
        self._place_ports(circuit)
        self.at_rest = self._rest()
        self._number_nets()

    def with_cords(self, facility: Facility) -> Board:
        """The board of a facility that differs in its standing cords alone.

        Cells and kinds hang on no cord, so they are shared.
        """
        board = copy(self)
        board.facility = facility
        board.cords = tuple((c.source, c.target) for c in facility.cords)
        plugs = (plug.jack for plug in facility.plugs)
        board.occupied = frozenset((*(jack for cord in board.cords for jack in cord), *plugs))
        board.at_rest = board._rest()
        board._number_nets()
        return board

    def _number_cells(self, circuit: Circuit) -> None:
        """The cells of every jack's and port's contacts, numbered as they are met."""
        numbers: dict[int, int] = {}
        addresses: list[Address] = [*circuit.jacks, *circuit.outputs, *circuit.inputs]
        self._cells_at = {
            address: tuple(
                numbers.setdefault(n, len(numbers)) for n in circuit.contact_nets(address)
            )
            for address in addresses
        }
        self.size = len(numbers)

    def _sort_jacks(self, circuit: Circuit, closed_bays: frozenset[str]) -> None:
        self.kinds: list[Kind] = []
        self.kind_of: dict[Jack, int] = {}
        self.kinds_on: list[list[int]] = [[] for _ in range(self.size)]
        self._ways: list[list[tuple[int, int]]] = [[] for _ in range(self.size)]
        alike: dict[tuple[int, int], int] = {}
        for jack in circuit.jacks:
            tip, ring, tip_normal, ring_normal = self._cells_at[jack]
            behind = (tip_normal, ring_normal) if circuit.breaks(jack) else None
            number = len(self.kinds) if behind else alike.setdefault((tip, ring), len(self.kinds))
            if number == len(self.kinds):
                self.kinds.append(Kind((tip, ring), behind))
                self._enter(number)
            self.kind_of[jack] = number
            if jack.bay not in closed_bays:
                self.kinds[number].jacks.append(jack)

    def _enter(self, number: int) -> None:
        """Note where a new kind's springs are, and the ways that its contacts close."""
        kind = self.kinds[number]
        for cell in dict.fromkeys(kind.springs):
            self.kinds_on[cell].append(number)
        for spring, rest in zip(kind.springs, kind.behind or (), strict=False):
            self._ways[spring].append((number, rest))
            self._ways[rest].append((number, spring))

    def _place_ports(self, circuit: Circuit) -> None:
        self.outputs = [0] * self.size
        self.inputs = [0] * self.size
        self.cells_of_output = [self._cells_at[port] for port in circuit.outputs]
        self.cells_of_input = [self._cells_at[port] for port in circuit.inputs]
        self.cell_of_input = [cells[0] for cells in self.cells_of_input]
        for number, cells in enumerate(self.cells_of_output):
            for cell in cells:
                self.outputs[cell] |= 1 << number
        for number, cell in enumerate(self.cell_of_input):
            self.inputs[cell] |= 1 << number

    def _rest(self) -> Plugs:
        held = frozenset(
            kind for jack in self.occupied if self.kinds[kind := self.kind_of[jack]].behind
        )
        joints: dict[int, tuple[int, ...]] = {}
        for one, other in self.cords:
            self._join(joints, self.kind_of[one], self.kind_of[other])
        return Plugs(held, joints)

    def _join(self, joints: dict[int, tuple[int, ...]], one: int, other: int) -> None:
        ends = zip(self.kinds[one].springs, self.kinds[other].springs, strict=True)
        for here, there in ends:
            joints[here] = (*joints.get(here, ()), there)
            joints[there] = (*joints.get(there, ()), here)

    def _number_nets(self) -> None:
        """The nets at rest, and for each cell the number of the one it is on."""
        self.nets_at_rest: list[list[int]] = []
        self.net_at_rest = [0] * self.size
        for net in self.nets_of(range(self.size), self.at_rest):
            for cell in net:
                self.net_at_rest[cell] = len(self.nets_at_rest)
            self.nets_at_rest.append(net)
        self.rest_nets_of_kind = [
            frozenset(self.net_at_rest[cell] for cell in kind.cells) for kind in self.kinds
        ]
        self.kinds_at_rest = [
            frozenset(kind for cell in net for kind in self.kinds_on[cell])
            for net in self.nets_at_rest
        ]

    def cells_at(self, jacks: Iterable[Jack]) -> list[int]:
        """The cells that plugs in these jacks touch, in the order of the jacks."""
        return [cell for jack in sorted(jacks) for cell in self.kinds[self.kind_of[jack]].cells]

    def pull(self, cord: int) -> Move:
        """The move that pulls a standing cord."""
        one, other = self.cords[cord]
        return Move(cord, self.kind_of[one], self.kind_of[other])

    def after(self, moves: Iterable[Move]) -> Plugs:
        """The plugs and cords once these moves are made."""
        puts = [move for move in moves if move.pulled < 0]
        pulled = {move.pulled for move in moves if move.pulled >= 0}
        freed = {kind for n in pulled for kind in map(self.kind_of.__getitem__, self.cords[n])}
        held = (self.at_rest.held - freed) | self._breaking(k for m in puts for k in m[1:])
        if pulled:
            joints: dict[int, tuple[int, ...]] = {}
            for number, (one, other) in enumerate(self.cords):
                if number not in pulled:
                    self._join(joints, self.kind_of[one], self.kind_of[other])
        else:
            joints = dict(self.at_rest.joints)
        for move in puts:
            self._join(joints, move.one, move.other)
        return Plugs(held, joints)

    def with_plugs(self, plugged: Iterable[Jack], cords: Iterable[CordEnds]) -> Plugs:
        """The state in which these jacks hold plugs and these cords have both ends in."""
        joints: dict[int, tuple[int, ...]] = {}
        for one, other in cords:
            self._join(joints, self.kind_of[one], self.kind_of[other])
        return Plugs(self._breaking(self.kind_of[jack] for jack in plugged), joints)

    def _breaking(self, kinds: Iterable[int]) -> frozenset[int]:
        return frozenset(kind for kind in kinds if self.kinds[kind].behind)

    def net(self, cell: int, plugs: Plugs) -> list[int]:
        """The cells on one net with a cell, itself first."""
        held, joints = plugs
        found = [cell]
        seen = {cell}
        for here in found:
            for kind, there in self._ways[here]:
                if there not in seen and kind not in held:
                    seen.add(there)
                    found.append(there)
            if here in joints:
                for there in joints[here]:
                    if there not in seen:
                        seen.add(there)
                        found.append(there)
        return found

    def nets_of(self, cells: Iterable[int], plugs: Plugs) -> Iterator[list[int]]:
        """The nets that these cells are on, each once."""
        seen: set[int] = set()
        for cell in cells:
            if cell not in seen:
                net = self.net(cell, plugs)
                seen.update(net)
                yield net

    def meets(self, cell: int, plugs: Plugs) -> tuple[int, int, list[int]]:
        """The outputs and inputs on the net of a cell, one bit each, and its cells."""
        net = self.net(cell, plugs)
        sources = fed = 0
        for here in net:
            sources |= self.outputs[here]
            fed |= self.inputs[here]
        return sources, fed, net

    def ports_of(self, cells: Iterable[int], plugs: Plugs) -> list[tuple[int, int]]:
        """The inputs and outputs, one bit each, on each of the nets that these cells are on.

        Nets without an input are left out.
        """
        held, joints = plugs
        ways, inputs, outputs = self._ways, self.inputs, self.outputs
        ports: list[tuple[int, int]] = []
        seen: set[int] = set()
        for cell in cells:
            if cell in seen:
                continue
            seen.add(cell)
            net = [cell]
            fed = sources = 0
            for here in net:
                fed |= inputs[here]
                sources |= outputs[here]
                for kind, there in ways[here]:
                    if there not in seen and kind not in held:
                        seen.add(there)
                        net.append(there)
                if here in joints:
                    for there in joints[here]:
                        if there not in seen:
                            seen.add(there)
                            net.append(there)
            if fed:
                ports.append((fed, sources))
        return ports

    def touched(self, moves: Iterable[Move]) -> list[int]:
        """The cells at the jacks that moves plug or free."""
        return [cell for move in moves for kind in move[1:] for cell in self.kinds[kind].cells]
