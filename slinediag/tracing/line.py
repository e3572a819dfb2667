"""What the line at an input does to audio, as the circuit stands: level, treble, tied outputs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from slinediag.address import Address, Jack, PortAddress
from slinediag.circuit.circuit import Circuit
from slinediag.tracing.levels import Arrival, TiedOutput, arrival_at, parallel, tied_outputs
from slinediag.tracing.treble import Treble, capacitance_of, treble_of


@dataclass(frozen=True, slots=True)
class LineFacts:
    """The line at one input.

    ``arrival`` is None unless exactly one feed, of working equipment, is on it; ``tied`` holds
    its outputs where there are several; ``treble`` is None where no output is on it;
    ``unbalanced`` are its ports that ground one leg.
    """

    input: PortAddress
    arrival: Arrival | None
    tied: tuple[TiedOutput, ...]
    treble: Treble | None
    unbalanced: tuple[PortAddress, ...]


def line_at(
    circuit: Circuit, number: int, dead: frozenset[int], *capacitances: Mapping[Address, float]
) -> LineFacts:
    """The line at an input as the circuit stands.

    ``dead`` are the numbers of outputs of failed equipment; ``capacitances`` in pF, by ends, of
    the cables and of the cords that are in.
    """
    entry = circuit.inputs[number]
    ends = circuit.ends_with(entry)
    ports = [circuit.facility.facts(end) for end in ends if not isinstance(end, Jack)]
    outputs = [port for port in ports if port.address.side == "out"]
    inputs = [port for port in ports if port.address.side == "in"]
    works = [circuit.output_number[port.address] not in dead for port in outputs]
    treble = treble_of(
        parallel(port.impedance for port in ports), capacitance_of(ends, *capacitances)
    )
    return LineFacts(
        input=entry,
        arrival=arrival_at(circuit, number, circuit.feeds(number), dead),
        tied=tied_outputs(list(zip(outputs, works, strict=True)), inputs),
        treble=treble if outputs else None,
        unbalanced=tuple(port.address for port in ports if not port.balanced),
    )
