"""Names of ports, lists of names and counted things, as sentences use them."""

from __future__ import annotations

from collections.abc import Iterable

from slinediag.address import PortAddress, Side
from slinediag.model.facility import Facility
from slinediag.model.labels import port_label

NAMED = 5
"""How many things a sentence names before it counts the rest."""

ALL = 10**6
"""Names are never counted where someone must act on them."""


def listed(names: Iterable[str], most: int = NAMED) -> str:
    """Names as a list in words; beyond ``most`` the rest are counted."""
    known = list(names)
    if len(known) > most:
        return f"{', '.join(known[: most - 1])} and {len(known) - most + 1} more"
    if len(known) < 2:
        return "".join(known)
    return f"{', '.join(known[:-1])} and {known[-1]}"


def counted(count: int, word: str) -> str:
    """How many there are of a thing, in words: ``1 jack``, ``3 jacks``."""
    return f"{count} {word}" if count == 1 else f"{count} {word}s"


def port_names(facility: Facility, ports: Iterable[PortAddress]) -> list[str]:
    """The printed labels of ports, each with its side where both sides bear the same label."""
    return [port_name(facility, port) for port in ports]


def port_name(facility: Facility, port: PortAddress) -> str:
    """The printed label of a port; with ``in`` or ``out`` where its id is both."""
    label = port_label(facility, port)
    other: Side = "in" if port.side == "out" else "out"
    twin = facility.equipment[port.equipment].facts.get((port.port, other))
    return f"{label} {port.side}" if twin else label
