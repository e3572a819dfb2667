"""What may be taken once only, and who takes it: kept up as a facility is edited."""

from __future__ import annotations

from collections.abc import Hashable, Iterator

from slinediag.address import Jack
from slinediag.file.claims import (
    CABLE_USE,
    ended_twice,
    paired_twice,
    plugged_twice,
    tied_twice,
    wired_twice,
)
from slinediag.model.bay import BayPoint
from slinediag.model.facility import Facility
from slinediag.problems import Problem, problem

Claim = tuple[str, Hashable, str]
"""The sort of a claim, the thing that is claimed, and the user as messages name it."""

WORDS = {
    "wired": wired_twice,
    "plugged": plugged_twice,
    "tied": tied_twice,
    "ended": ended_twice,
    "paired": paired_twice,
}
SECTIONS = ("cross_normals", "mults", "lines", "cords", "plugs")


def claims_of_point(bay: str, number: int, point: BayPoint) -> Iterator[Claim]:
    """What the wires of one position take."""
    for jack, wire in ((Jack(bay, "T", number), point.top), (Jack(bay, "B", number), point.bottom)):
        if wire is not None:
            user = f"at {jack}"
            yield "wired", jack, user
            yield "wired", wire.to, user
            yield from _claims_of_cable(wire.cable, user)


def claims_of_section(facility: Facility, section: str) -> Iterator[Claim]:
    """What a section that joins jacks and ports takes."""
    if section == "cross_normals":
        for cross in facility.cross_normals:
            yield "ended", cross.target, f"{cross.source}={cross.target}"
    elif section == "mults":
        for mult in facility.mults.values():
            for jack in mult.jacks:
                yield "tied", jack, f"in {mult.id}"
    elif section == "lines":
        for line in facility.lines.values():
            user = f"by line {line.id}"
            yield "wired", line.source, user
            yield "wired", line.target, user
            yield from _claims_of_cable(line.cable, user)
    elif section == "cords":
        for cord in facility.cords:
            yield "plugged", cord.source, f"the cord {cord}"
            yield "plugged", cord.target, f"the cord {cord}"
    elif section == "plugs":
        for plug in facility.plugs:
            yield "plugged", plug.jack, "a dummy plug"


def _claims_of_cable(cable: str | None, user: str) -> Iterator[Claim]:
    found = CABLE_USE.match(cable) if cable else None
    if found and found[2]:
        yield "paired", cable, user


class Taken:
    """Who takes what in one facility."""

    def __init__(self) -> None:
        self._users: dict[tuple[str, Hashable], list[str]] = {}

    def add(self, claims: Iterator[Claim]) -> None:
        """Enter claims."""
        for sort, thing, user in claims:
            self._users.setdefault((sort, thing), []).append(user)

    def drop(self, claims: Iterator[Claim]) -> None:
        """Take claims out."""
        for sort, thing, user in claims:
            self._users[sort, thing].remove(user)

    def clashes(self, gone: Iterator[Claim], come: Iterator[Claim]) -> tuple[Problem, ...]:
        """What would be taken twice if some claims went and others came; nothing is entered."""
        users: dict[tuple[str, Hashable], list[str]] = {}
        fresh: dict[tuple[str, Hashable], None] = {}

        def at(sort: str, thing: Hashable) -> list[str]:
            key = (sort, thing)
            if key not in users:
                users[key] = list(self._users.get(key, ()))
            return users[key]

        for sort, thing, user in gone:
            at(sort, thing).remove(user)
        for sort, thing, user in come:
            at(sort, thing).append(user)
            fresh[sort, thing] = None
        return tuple(_clash(key, users[key]) for key in fresh if len(users[key]) > 1)


def _clash(key: tuple[str, Hashable], users: list[str]) -> Problem:
    sort, thing = key
    what, hint = WORDS[sort](thing)
    return problem("", f"{what}: {users[0]} and {users[-1]}", hint)
