"""The contacts of one measuring point as a bench: what is joined, how well, with which plugs in.

Contacts are named by jack and spring: ``AT`` the tip spring of jack A and its rear post, ``ATN``
its break contact, ``AS`` the sleeve, ``pAT`` the tip of a plug in it, ``eAT`` the pole of the far
end of its line that the tip is planned to meet, ``eAR`` the other, ``hA`` that line's shield,
``eAS`` the shield contact of the far connector. The rule of what a plug opens is that of jacks:
each spring rests on its break contact until a plug lifts it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Literal

from slinediag.commissioning.points import TIP_AND_RING, Place, Shape, own_joints
from slinediag.model.bay import NormalKind

State = Literal["", "A", "B", "AB"]
"""The jacks with a plug in."""

STATES: tuple[State, ...] = ("", "A", "AB", "B")
"""All four, one plug put in or pulled from each to the next."""

Joined = Literal["closed", "high", "open"]
"""How two contacts are joined: well, through a poor contact, or not."""

Condition = Literal["open", "high", "stuck"]
"""What ails a contact: parted, oxidised, or a break contact that does not open."""


@dataclass(frozen=True, slots=True)
class Ailment:
    """What is not as planned: another normal, ailing contacts, other joins, lines crossed.

    ``contacts`` are named by their two ends, as ``BT-BTN``.
    """

    kind: NormalKind | None = None
    contacts: Mapping[str, Condition] = field(default_factory=dict)
    joins: tuple[tuple[str, str], ...] = ()
    crossed: frozenset[str] = frozenset()


NOTHING = Ailment()


def together(one: Ailment, other: Ailment) -> Ailment | None:
    """Two ailments at once; None where they cannot be: both are of the same contact or kind."""
    if (one.kind and other.kind) or one.contacts.keys() & other.contacts.keys():
        return None
    if one.crossed & other.crossed:
        return None
    return Ailment(
        one.kind or other.kind,
        {**one.contacts, **other.contacts},
        one.joins + other.joins,
        one.crossed | other.crossed,
    )


class Bench:
    """A measuring point of one shape with an ailment, asked how its contacts are joined."""

    def __init__(self, shape: Shape, ailment: Ailment = NOTHING) -> None:
        self._shape, self._ailment = shape, ailment
        self._classes: dict[tuple[State, bool], dict[str, str]] = {}

    def joined(self, state: State, one: str, other: str) -> Joined:
        """How two contacts are joined with plugs in these jacks."""
        if self._same(state, one, other, poor=False):
            return "closed"
        return "high" if self._same(state, one, other, poor=True) else "open"

    def _same(self, state: State, one: str, other: str, *, poor: bool) -> bool:
        key = state, poor
        if key not in self._classes:
            self._classes[key] = _classes(self._edges(state, poor))
        classes = self._classes[key]
        return classes.get(one, one) == classes.get(other, other)

    def _edges(self, state: State, poor: bool) -> Iterator[tuple[str, str]]:
        """What is joined; through poor contacts too where asked."""
        contacts = self._ailment.contacts
        for one, other, breaks in _planned(self._shape, self._ailment.kind, state):
            condition = contacts.get(f"{one}-{other}")
            if condition == "open" or (condition == "high" and not poor):
                continue
            if breaks and condition != "stuck":
                continue
            yield self._turned(one, other)
        yield from self._ailment.joins

    def _turned(self, one: str, other: str) -> tuple[str, str]:
        """A joint as it is where the legs of a line or of the normal are crossed."""
        crossed = self._ailment.crossed
        of_line = one[0] == "e" and one[1] in crossed and one[2] in "TR"
        of_normal = "N" in crossed and one[0] == "A" and other[0] == "B"
        if not (of_line or of_normal):
            return one, other
        at = 2 if of_line else 1
        leg = "R" if one[at] == "T" else "T"
        return one[:at] + leg + one[at + 1 :], other


def _classes(edges: Iterable[tuple[str, str]]) -> dict[str, str]:
    """For each contact one contact that stands for all it is joined to."""
    parent: dict[str, str] = {}

    def root(contact: str) -> str:
        while (above := parent.setdefault(contact, contact)) != contact:
            contact = above
        return contact

    for one, other in edges:
        parent[root(one)] = root(other)
    return {contact: root(contact) for contact in parent}


@lru_cache(maxsize=4096)
def _planned(
    shape: Shape, kind: NormalKind | None, state: State
) -> tuple[tuple[str, str, bool], ...]:
    """The joints as planned, and whether a plug that is in opens each."""
    found: list[tuple[str, str, bool]] = []
    for place in shape.places:
        plugged = place in state
        for leg in TIP_AND_RING:
            spring = f"{place}{leg}"
            found.append((spring, f"{spring}N", plugged))
            if plugged:
                found.append((f"p{spring}", spring, False))
        if plugged:
            found.append((f"p{place}S", f"{place}S", False))
        found += _line(shape, place)
    if shape.paired:
        found += [(one, other, False) for one, other in own_joints(kind or shape.kind)]
    found += [(one, other, False) for one, other in sorted(shape.joins)]
    return tuple(found)


def _line(shape: Shape, place: Place) -> Iterator[tuple[str, str, bool]]:
    wire = shape.wire(place)
    if wire is None:
        return
    for leg in TIP_AND_RING:
        yield f"e{place}{leg}", f"{place}{leg}", False
    if wire.joined_near:
        yield f"{place}S", f"h{place}", False
    if wire.joined_far:
        yield f"h{place}", f"e{place}S", False
