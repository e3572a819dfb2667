"""What can be pointed at, selected and gone to."""

from __future__ import annotations

from dataclasses import dataclass

from slinediag.address import Address, Jack, PortAddress


@dataclass(frozen=True, slots=True)
class Box:
    """A piece of equipment, by its id."""

    id: str


@dataclass(frozen=True, slots=True)
class Net:
    """A line of the chart: the addresses it joins, sources first."""

    ends: tuple[Address, ...]


Thing = Jack | PortAddress | Box | Net


def touches(thing: Thing, address: Address) -> bool:
    """Whether a jack or port is a thing, at it, or on it."""
    if isinstance(thing, Box):
        return isinstance(address, PortAddress) and address.equipment == thing.id
    if isinstance(thing, Net):
        return address in thing.ends
    return address == thing
