"""The rear of a bay: which contacts are brought out, where on the block, and what goes there.

Order on a block of two rows: top 1 to 48, bottom 49 to 96; for each jack T, R, S, then TN and RN
where they are brought out, left to right (common practice).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

from slinediag.address import Jack, Row, partner
from slinediag.circuit.contacts import WIRING, Contact
from slinediag.model.bay import Bay
from slinediag.model.facility import Facility, Normal

Spring = Literal["T", "R", "S", "TN", "RN"]

AT_BAY: Mapping[str, str] = {"idc": "block", "solder": "lug", "connector": "pin"}
"""What a termination is called, by the bay's terminations."""
TERMINATIONS: Mapping[str, str] = {
    "idc": "insulation displacement posts, for 22 to 26 AWG",
    "solder": "solder lugs",
    "connector": "multiway connectors",
}
"""What a bay's terminations are, in words."""


@dataclass(frozen=True, slots=True)
class Termination:
    """One contact of a jack, and its number in the order wired."""

    jack: Jack
    spring: Spring
    number: int


@dataclass(frozen=True, slots=True)
class Strap:
    """A rear connection between two jacks of both legs: of a normal, or of a mult.

    ``springs`` are pairs of contacts, first jack's and second's.
    """

    what: str
    one: Jack
    other: Jack
    springs: tuple[tuple[Spring, Spring], ...]


@dataclass(frozen=True, slots=True)
class Tied:
    """What one contact is strapped to, and what the strap is of."""

    what: str
    jack: Jack
    spring: Spring

    def __str__(self) -> str:
        return f"{self.jack} {self.spring}"


def springs_of(bay: Bay, row: Row) -> tuple[Spring, ...]:
    """The contacts of a row's jacks that are brought to the rear.

    Where normals are brought out: the break contacts of each row in which the bay's normals use
    any; both rows' where it has none wired. So half throughout comes to 384 on 96 points.
    """
    if not bay.normals_out or row not in _rows_that_break(bay):
        return "T", "R", "S"
    return "T", "R", "S", "TN", "RN"


def _rows_that_break(bay: Bay) -> set[Row]:
    rows: set[Row] = set()
    for position in range(1, bay.width + 1):
        wiring = WIRING.get(bay.normal_at(position))
        if wiring and wiring.source is Contact.BREAK:
            rows.add("T")
        if wiring and wiring.target is Contact.BREAK:
            rows.add("B")
    return rows or {"T", "B"}


def terminations(bay: Bay) -> Iterator[Termination]:
    """Every termination of a bay, in the order wired."""
    number = 0
    for jack in bay.jacks():
        for spring in springs_of(bay, jack.row):
            number += 1
            yield Termination(jack, spring, number)


def straps_of(facility: Facility) -> tuple[Strap, ...]:
    """What is strapped at the rear: normals that are brought out or run across positions, mults.

    The normals of a bay that are not brought out are made within it.
    """
    found = [_normal_strap(normal) for normal in facility.normals if at_rear(facility, normal)]
    for mult in facility.mults.values():
        for one, other in zip(mult.jacks, mult.jacks[1:], strict=False):
            legs: tuple[tuple[Spring, Spring], ...] = (("T", "T"), ("R", "R"), ("S", "S"))
            found.append(Strap(f"mult {mult.id}", one, other, legs))
    return tuple(found)


def at_rear(facility: Facility, normal: Normal) -> bool:
    """Whether a normal is strapped at the rear."""
    own = normal.source == partner(normal.target)
    return not own or bool(facility.bays[normal.source.bay].normals_out)


def _normal_strap(normal: Normal) -> Strap:
    wiring = WIRING[normal.kind]
    source = _legs(wiring.source)
    target = _legs(wiring.target)
    name = "parallel" if normal.kind == "parallel" else f"{normal.kind}-normal"
    return Strap(name, normal.source, normal.target, tuple(zip(source, target, strict=True)))


def _legs(contact: Contact) -> tuple[Spring, Spring]:
    return ("TN", "RN") if contact is Contact.BREAK else ("T", "R")


def strapped(straps: tuple[Strap, ...]) -> Mapping[tuple[Jack, Spring], tuple[Tied, ...]]:
    """By jack and contact what is strapped to it."""
    found: dict[tuple[Jack, Spring], list[Tied]] = {}
    for strap in straps:
        for one, other in strap.springs:
            found.setdefault((strap.one, one), []).append(Tied(strap.what, strap.other, other))
            found.setdefault((strap.other, other), []).append(Tied(strap.what, strap.one, one))
    return {key: tuple(value) for key, value in found.items()}
