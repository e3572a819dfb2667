"""Levels at inputs: what a source loses into all the inputs that load it.

Voltages are worked out at one frequency in the middle of the band, where an output is a voltage
behind its impedance and an input is a resistance. Levels in dBu (0 dBu = 0.7746 V), losses in dB,
impedances in ohm.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from slinediag.circuit.circuit import Circuit

HALVED = 20 * math.log10(2)
"""dB that a source with both legs driven loses where one of them is grounded: 6.02 dB."""


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
    output = circuit.outputs[feed]
    source = facts(output)
    load = parallel(facts(circuit.inputs[n]).impedance for n in circuit.inputs_with(output))
    level = source.level - loading_loss(source.impedance, load)
    if source.drive == "driven" and not facts(circuit.inputs[number]).balanced:
        level -= HALVED
    return level


def loading_loss(source: float, load: float) -> float:
    """What a source of this impedance loses into a load, against no load; dB.

    Source: the voltage divider, 20·log10((Zs + Zp) / Zp).
    """
    return 20 * math.log10(1 + source / load)


def parallel(impedances: Iterable[float]) -> float:
    """Impedances in parallel, in ohm; infinite where there are none."""
    conductance = sum(1 / impedance for impedance in sorted(impedances))
    return 1 / conductance if conductance else math.inf
