"""A facility's circuit and its hearing at rest, kept for as long as questions are asked of it."""

from __future__ import annotations

import threading
from functools import cached_property

from slinediag.address import Address, PortAddress
from slinediag.circuit.circuit import Circuit
from slinediag.model.facility import Facility
from slinediag.model.kept import Kept
from slinediag.tracing.hearing import Hearing, bits
from slinediag.tracing.levels import level_at
from slinediag.tracing.line import LineFacts, line_at
from slinediag.tracing.phantom import Phantom
from slinediag.tracing.reach import Reach
from slinediag.tracing.sides import Sides
from slinediag.tracing.treble import cable_capacitances, cord_capacitances


class Tracer:
    """The circuit of one facility, what every input hears at rest, and at what level in dBu.

    ``phantom_at_rest`` are the ports with phantom on them at rest that should have none.
    A trial changes the circuit and puts it back; ``lock`` is held meanwhile.
    """

    def __init__(self, facility: Facility) -> None:
        self.facility = facility
        self.circuit = Circuit(facility)
        self.hearing = Hearing(self.circuit)
        self.levels = tuple(
            level_at(self.circuit, number, feeds, frozenset())
            for number, feeds in enumerate(self.hearing.feeds)
        )
        self.phantom = Phantom(facility)
        self.phantom_at_rest = self.phantom.reached(self.circuit)
        self.reach = Reach(facility)
        self.lock = threading.Lock()
        self._lines: dict[int, LineFacts] = {}
        self._named: dict[int, tuple[PortAddress, ...]] = {}

    @cached_property
    def capacitances(self) -> dict[Address, float]:
        """The capacitance of cables in pF, by one of the ends that each joins."""
        return cable_capacitances(self.facility)

    @cached_property
    def cautioned(self) -> frozenset[str]:
        """The equipment that does something for safety or the law."""
        boxes = self.facility.equipment.values()
        return frozenset(box.id for box in boxes if box.caution is not None)

    @cached_property
    def sides(self) -> Sides:
        """Which inputs and outputs are the left and the right of stereo pairs."""
        return Sides(self.facility, self.circuit.inputs, self.circuit.outputs)

    def line_at_rest(self, number: int) -> LineFacts:
        """The line at an input at rest; to be asked under ``lock``, with no trial on."""
        found = self._lines.get(number)
        if found is None:
            cords = cord_capacitances((cord.source, cord.length) for cord in self.facility.cords)
            found = line_at(self.circuit, number, frozenset(), self.capacitances, cords)
            self._lines[number] = found
        return found

    def named(self, mask: int) -> tuple[PortAddress, ...]:
        """The outputs of a set, in natural order."""
        found = self._named.get(mask)
        if found is None:
            outputs = self.circuit.outputs
            found = self._named[mask] = tuple(outputs[n] for n in bits(mask))
        return found

    def feeds(self, port: PortAddress) -> tuple[PortAddress, ...]:
        """The outputs that feed an input at rest."""
        return self.named(self.hearing.feeds[self.circuit.input_number[port]])

    def hears(self, port: PortAddress) -> tuple[PortAddress, ...]:
        """The origins an input hears at rest."""
        return self.named(self.hearing.hears[self.circuit.input_number[port]])


_tracers = Kept(Tracer)


def tracer_of(facility: Facility) -> Tracer:
    """The facility's tracer, made at the first question and kept for the next ones."""
    return _tracers.of(facility)
