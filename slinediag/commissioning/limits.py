"""The figures by which a reading is judged. Resistances in ohm, levels in dB and dBu, in volts."""

from __future__ import annotations

from slinediag.model.facility import Facility

CONTACT = 50.0
"""Milliohm of a mated contact, at most; common practice, settable in the file."""

NORMAL = 100.0
"""Milliohm through a closed normal, at most; common practice, settable in the file."""

PER_METRE = 0.1
"""Ohm allowed for a metre of one leg: 24 AWG copper has 0.084 (from memory)."""

UNKNOWN_LINE = 2.0
"""Ohm allowed for a leg of a line whose length is not filed."""

SHIELD = 1.0
"""Ohm of a shield that is joined, less than; common practice."""

EARTH_WAY = 10.0
"""Ohm between two sleeves that are joined by way of chassis and earth; common practice."""

OPEN = 1000.0
"""Ohm from which two contacts count as parted: far above a poor contact, far below leakage."""

LEVEL = 0.5
"""dB that a level may differ from what the plan works out; common practice."""

PHANTOM, PHANTOM_SPREAD = 48.0, 4.0
"""Volts from each leg to the shield, open circuit. Source: IEC 61938 (second-hand)."""


def contact_limit(facility: Facility) -> float:
    """Ohm of a mated contact, at most."""
    filed = facility.practice.limits.contact
    return (CONTACT if filed is None else filed) / 1000


def normal_limit(facility: Facility) -> float:
    """Ohm through a closed normal, at most."""
    filed = facility.practice.limits.normal
    return (NORMAL if filed is None else filed) / 1000


def line_allowance(facility: Facility, cable: str | None) -> float:
    """Ohm allowed for one leg of a line in a cable."""
    found = facility.cables.get((cable or "").partition("/")[0])
    if found is None or found.length is None:
        return UNKNOWN_LINE
    return found.length * PER_METRE
