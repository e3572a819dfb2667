"""Treble: what the capacitance of cables and cords takes from the top of the band.

The line is a resistance against a capacitance, first order. Capacitance in pF core to core,
resistance in ohm, frequency in Hz, loss in dB.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from slinediag.address import Address, Jack
from slinediag.model.facility import Facility

PICOFARADS = 100.0
"""pF per metre core to core of cords, and of cables where the file does not say."""

TOP = 20_000.0
"""Hz at which the loss of treble is told: the top of the audio band."""

UNKNOWN_CORD = 1.0
"""Metres of a cord of which no length is known."""

PICO = 1e-12


@dataclass(frozen=True, slots=True)
class Treble:
    """A line's capacitance in pF against the resistance in ohm that it meets.

    ``corner`` is the -3 dB frequency in Hz, None where there is no capacitance; ``loss`` in dB
    at 20 kHz.
    """

    capacitance: float
    resistance: float
    corner: float | None
    loss: float


def treble_of(resistance: float, capacitance: float) -> Treble:
    """The treble of a resistance in ohm against a capacitance in pF.

    Source: the first-order low pass, 1/(2πRC) and 10·log10(1 + (f/corner)²).
    """
    if not capacitance:
        return Treble(capacitance, resistance, None, 0.0)
    corner = 1 / (2 * math.pi * resistance * capacitance * PICO)
    return Treble(capacitance, resistance, corner, 10 * math.log10(1 + (TOP / corner) ** 2))


def cable_capacitances(facility: Facility) -> dict[Address, float]:
    """The capacitance in pF of wires and lines, each under one of the ends that it joins.

    A cable of unknown length counts as none. Wires and lines of removed equipment are left out:
    they join nothing.
    """
    found: dict[Address, float] = {}
    for jack, wire in facility.wires.items():
        if not facility.equipment[wire.to.equipment].removed:
            _add(found, jack, _picofarads(facility, wire.cable))
    for line in facility.lines.values():
        if not any(_removed(facility, end) for end in (line.source, line.target)):
            _add(found, line.source, _picofarads(facility, line.cable))
    return found


def cord_capacitances(cords: Iterable[tuple[Jack, float | None]]) -> dict[Address, float]:
    """The capacitance in pF of cords by one of their jacks, from their lengths in metres.

    A cord of unknown length counts as 1 m.
    """
    found: dict[Address, float] = {}
    for jack, length in cords:
        _add(found, jack, PICOFARADS * (UNKNOWN_CORD if length is None else length))
    return found


def capacitance_of(ends: Iterable[Address], *by_end: Mapping[Address, float]) -> float:
    """The capacitance in pF of the net with these jacks and ports on it."""
    return math.fsum(at.get(end, 0.0) for end in ends for at in by_end)


def _picofarads(facility: Facility, cable: str | None) -> float:
    """The capacitance of one run of a cable, named by its id or as a pair of it, ``S12/3``."""
    if cable is None:
        return 0.0
    filed = facility.cables.get(cable) or facility.cables.get(cable.partition("/")[0])
    if filed is None or filed.length is None:
        return 0.0
    return filed.length * (PICOFARADS if filed.capacitance is None else filed.capacitance)


def _removed(facility: Facility, end: Address) -> bool:
    return not isinstance(end, Jack) and facility.equipment[end.equipment].removed


def _add(found: dict[Address, float], end: Address, capacitance: float) -> None:
    if capacitance:
        found[end] = found.get(end, 0.0) + capacitance
