"""Levels: what a source loses into all the inputs that load it, and what arrives at each.

Voltages are worked out at one frequency in the middle of the band, where an output is a voltage
behind its impedance and an input is a resistance. Levels in dBu, losses in dB, impedances in ohm.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from slinediag.address import PortAddress
from slinediag.circuit.circuit import Circuit
from slinediag.model.equipment import PortFacts

ZERO_DBU = math.sqrt(0.6)
"""Volts at 0 dBu: 1 mW in 600 ohm. Source: IEC 60268-2, ITU-T practice (from memory)."""

HALVED = 20 * math.log10(2)
"""dB that a source with both legs driven loses where one of them is grounded: 6.02 dB."""


@dataclass(frozen=True, slots=True)
class Arrival:
    """What one working output brings to an input.

    ``level`` in dBu and ``loss`` in dB against no load; ``excess`` dB above (or, negative, below)
    the level the input is made for; ``headroom`` dB from there up to the first of the two, output
    or input, that clips: below nought one of them clips at its own nominal level.
    """

    output: PortAddress
    level: float
    loss: float
    excess: float
    headroom: float


@dataclass(frozen=True, slots=True)
class TiedOutput:
    """One of several outputs tied together, as if it alone were sending.

    ``level`` in dBu and ``loss`` in dB against no load, both None of failed equipment;
    ``current`` in mA is what it drives into the others at its full level.
    """

    output: PortAddress
    level: float | None
    loss: float | None
    current: float | None


def level_at(circuit: Circuit, number: int, feeds: int, dead: frozenset[int]) -> float | None:
    """The level at an input as the circuit stands, in dBu, not rounded.

    ``number`` is the input's, ``feeds`` the outputs that feed it, one bit for each, and ``dead``
    the numbers of outputs of failed equipment. None unless there is exactly one feed, of working
    equipment: a dead output still loads the line, so that two outputs make no level.
    """
    if feeds.bit_count() != 1:
        return None
    feed = feeds.bit_length() - 1
    if feed in dead:
        return None
    facts = circuit.facility.facts
    source = facts(circuit.outputs[feed])
    loads = [facts(circuit.inputs[n]) for n in circuit.inputs_with(circuit.inputs[number])]
    return source.level - line_loss(source, loads)


def arrival_at(circuit: Circuit, number: int, feeds: int, dead: frozenset[int]) -> Arrival | None:
    """What the one feed of an input brings to it; None where :func:`level_at` is."""
    level = level_at(circuit, number, feeds, dead)
    if level is None:
        return None
    output = circuit.outputs[feeds.bit_length() - 1]
    facts = circuit.facility.facts
    source, entry = facts(output), facts(circuit.inputs[number])
    return Arrival(
        output=output,
        level=level,
        loss=source.level - level,
        excess=level - entry.level,
        headroom=min(source.max - source.level, entry.max - level),
    )


def line_loss(source: PortFacts, loads: Sequence[PortFacts]) -> float:
    """What a source loses into all the inputs of its line, against no load; dB.

    A driven output sends half its voltage on either leg, one of them turned over. One unbalanced
    input ties a leg to its sleeve, and with that the leg of the whole line: between the legs half
    the voltage is left for every input on the line, the balanced ones as well, so that all fall by
    6.02 dB. (The grounded leg's share of the output's impedance no longer counts then; that is
    left out, under 0.05 dB at 100 ohm into 20 kilohm.) A floating output, as of a transformer or a
    cross-coupled stage, keeps its voltage between the legs. Source: the circuit; common practice.
    """
    grounded = source.drive == "driven" and not all(load.balanced for load in loads)
    load = parallel(load.impedance for load in loads)
    return loading_loss(source.impedance, load) + (HALVED if grounded else 0.0)


def tied_outputs(
    outputs: Sequence[tuple[PortFacts, bool]], inputs: Sequence[PortFacts]
) -> tuple[TiedOutput, ...]:
    """Each output of a line where it stands against the others; none where it is the only one.

    ``outputs`` are the line's outputs, each with whether its equipment works. The level of each
    is its voltage divided between its own impedance and all else in parallel.
    """
    if len(outputs) < 2:
        return ()
    return tuple(
        _tied(source, works, [o for o, _ in outputs if o is not source], inputs)
        for source, works in outputs
    )


def _tied(
    source: PortFacts, works: bool, others: Sequence[PortFacts], inputs: Sequence[PortFacts]
) -> TiedOutput:
    if not works:
        return TiedOutput(source.address, None, None, None)
    against = parallel(other.impedance for other in others)
    loss = loading_loss(source.impedance, parallel([against, *(i.impedance for i in inputs)]))
    current = 1000 * volts(source.max - loss) / against
    return TiedOutput(source.address, source.level - loss, loss, current)


def loading_loss(source: float, load: float) -> float:
    """What a source of this impedance loses into a load, against no load; dB.

    Source: the voltage divider, 20·log10((Zs + Zp) / Zp).
    """
    return 20 * math.log10(1 + source / load)


def parallel(impedances: Iterable[float]) -> float:
    """Impedances in parallel, in ohm; infinite where there are none."""
    # Summed exactly: the sum of floats depends on their order, and answers must not.
    conductance = math.fsum(1 / impedance for impedance in impedances)
    return 1 / conductance if conductance else math.inf


def volts(level: float) -> float:
    """A level in dBu as volts, r.m.s."""
    return float(ZERO_DBU * 10 ** (level / 20))
