"""Edits of a facility as pure functions: a facility in, a facility out.

Positions are rearranged one for one, and all that is at a jack goes along: wires, labels, normals,
ties, mults, cords, plugs and accepted findings. What is joined to what stays as it was. Each edit
refuses with RequestError what would leave the facility wrong.
"""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import replace
from typing import NamedTuple

from slinediag.address import Address, Jack, read_jack_part, read_spelling
from slinediag.model.bay import EMPTY_POINT, Bay, BayPoint
from slinediag.model.facility import Acceptance, Cord, Facility
from slinediag.problems import Problem, RequestError, problem


class Position(NamedTuple):
    """A position of a bay: the bay's id and the number, from 1."""

    bay: str
    number: int

    def __str__(self) -> str:
        return f"{self.bay} {self.number}"


Rearranged = Mapping[Position, Position]
"""Where each position's things go; the positions that are left and those that are taken are the
same ones."""


def with_cord(
    facility: Facility,
    ends: tuple[Jack, Jack],
    *,
    length: float | None = None,
    note: str | None = None,
    since: datetime.date | None = None,
    by: str | None = None,
) -> Facility:
    """The facility with one standing cord more, first-named end first; length in metres.

    RequestError where a plug is in one of the jacks, or there is no such jack.
    """
    known, held = set(facility.jacks), plugged(facility)
    problems = [problem(str(jack), "there is no such jack") for jack in ends if jack not in known]
    problems += [
        problem(str(jack), "this jack holds a plug; a jack holds one", "Pull what is in it first")
        for jack in ends
        if jack in held
    ]
    if ends[0] == ends[1]:
        problems.append(problem(str(ends[0]), "a cord has its two plugs in two jacks"))
    if problems:
        raise RequestError(problems)
    cord = Cord(ends[0], ends[1], length, note, since, by)
    return replace(facility, cords=(*facility.cords, cord))


def without_cord(facility: Facility, ends: tuple[Jack, Jack]) -> Facility:
    """The facility without the standing cord between two jacks; RequestError where none is."""
    left = tuple(c for c in facility.cords if {c.source, c.target} != set(ends))
    if len(left) == len(facility.cords):
        name = f"{ends[0]}={ends[1]}"
        raise RequestError([problem(name, "there is no such standing cord", "See the cords list")])
    return replace(facility, cords=left)


def without_plug(facility: Facility, jack: Jack) -> Facility:
    """The facility without the dummy plug in a jack; RequestError where none is."""
    left = tuple(plug for plug in facility.plugs if plug.jack != jack)
    if len(left) == len(facility.plugs):
        raise RequestError([problem(str(jack), "there is no dummy plug in this jack")])
    return replace(facility, plugs=left)


def plugged(facility: Facility) -> frozenset[Jack]:
    """The jacks that hold a plug of a standing cord or a dummy plug."""
    cords = {jack for cord in facility.cords for jack in (cord.source, cord.target)}
    return frozenset(cords | {plug.jack for plug in facility.plugs})


def move_position(facility: Facility, position: Position, to: Position) -> Facility:
    """Move all that is at a position to a free one.

    RequestError where the place is taken or cannot hold it.
    """
    if position == to:
        return facility
    _refuse(_unknown(facility, position, to))
    if not is_free(facility, to):
        hint = "Swap the two, insert a gap, or choose a free position"
        raise RequestError([problem(str(to), "this position is in use", hint)])
    return rearranged(facility, {position: to, to: position})


def swap_positions(facility: Facility, one: Position, other: Position) -> Facility:
    """Let two positions change places, with all that is at them; RequestError as in moving."""
    if one == other:
        return facility
    _refuse(_unknown(facility, one, other))
    return rearranged(facility, {one: other, other: one})


def insert_gap(facility: Facility, at: Position) -> Facility:
    """Free a position: it and those behind it move up by one, as far as the next free one.

    RequestError where none behind it is free.
    """
    _refuse(_unknown(facility, at))
    bay = facility.bays[at.bay]
    behind = (Position(bay.id, n) for n in range(at.number, bay.width + 1))
    free = next((position for position in behind if is_free(facility, position)), None)
    if free is None:
        what = "no position from here to the end of the bay is free"
        raise RequestError([problem(str(at), what, "Free one first, or begin further left")])
    if free == at:
        return facility
    places = {Position(bay.id, n): Position(bay.id, n + 1) for n in range(at.number, free.number)}
    return rearranged(facility, {**places, free: at})


def is_free(facility: Facility, position: Position) -> bool:
    """Whether nothing is at a position: no wire, tie, mult, normal across, plug, label or note."""
    point = facility.bays[position.bay].point(position.number)
    bare = replace(point, normal=None, state=None if point.state == "spare" else point.state)
    return bare == EMPTY_POINT and position not in _tied(facility)


def _tied(facility: Facility) -> frozenset[Position]:
    """The positions that something besides their own wires and normals holds on to."""
    jacks = set(plugged(facility))
    for cross in facility.cross_normals:
        jacks |= {cross.source, cross.target}
    for mult in facility.mults.values():
        jacks |= set(mult.jacks)
    for line in facility.lines.values():
        jacks |= {end for end in (line.source, line.target) if isinstance(end, Jack)}
    return frozenset(Position(jack.bay, jack.position) for jack in jacks)


def _unknown(facility: Facility, *positions: Position) -> list[Problem]:
    problems = []
    for position in positions:
        bay = facility.bays.get(position.bay)
        if bay is None:
            problems.append(problem(str(position), f"there is no bay {position.bay}"))
        elif not 1 <= position.number <= bay.width:
            hint = f"Bay {bay.id} has positions 1 to {bay.width}"
            problems.append(problem(str(position), "there is no such position", hint))
    return problems


def _refuse(problems: list[Problem]) -> None:
    if problems:
        raise RequestError(problems)


def rearranged(facility: Facility, places: Rearranged) -> Facility:
    """The facility with the things of each position at another; RequestError where one cannot be.

    A bay of one row cannot take what is in a bottom jack.
    """
    _refuse(_without_row(facility, places))

    def to(jack: Jack) -> Jack:
        place = places.get(Position(jack.bay, jack.position))
        return Jack(place.bay, jack.row, place.number) if place else jack

    def end(address: Address) -> Address:
        return to(address) if isinstance(address, Jack) else address

    return replace(
        facility,
        bays=_moved_points(facility, places),
        cross_normals=tuple(
            replace(c, source=to(c.source), target=to(c.target)) for c in facility.cross_normals
        ),
        mults={
            name: replace(mult, jacks=tuple(map(to, mult.jacks)))
            for name, mult in facility.mults.items()
        },
        lines={
            name: replace(line, source=end(line.source), target=end(line.target))
            for name, line in facility.lines.items()
        },
        cords=tuple(replace(c, source=to(c.source), target=to(c.target)) for c in facility.cords),
        plugs=tuple(replace(plug, jack=to(plug.jack)) for plug in facility.plugs),
        practice=replace(
            facility.practice,
            accept=tuple(_accepted(facility, a, places) for a in facility.practice.accept),
        ),
    )


def _without_row(facility: Facility, places: Rearranged) -> list[Problem]:
    """What cannot go where it should, since the bay there has no bottom row."""
    used = {Position(jack.bay, jack.position) for jack in _bottom_jacks(facility)}
    return [
        problem(str(to), f"bay {to.bay} has no bottom row for what is in {old}")
        for old, to in places.items()
        if old in used and "B" not in facility.bays[to.bay].jack_rows
    ]


def _bottom_jacks(facility: Facility) -> set[Jack]:
    """The bottom jacks that anything at all is at."""
    jacks = set(facility.wires) | plugged(facility)
    for cross in facility.cross_normals:
        jacks |= {cross.source, cross.target}
    for mult in facility.mults.values():
        jacks |= set(mult.jacks)
    for line in facility.lines.values():
        jacks |= {end for end in (line.source, line.target) if isinstance(end, Jack)}
    return {jack for jack in jacks if jack.row == "B"}


def _moved_points(facility: Facility, places: Rearranged) -> dict[str, Bay]:
    points = {name: dict(bay.points) for name, bay in facility.bays.items()}
    for old in places:
        points[old.bay].pop(old.number, None)
    for old, to in places.items():
        point = _carried(facility, old, to)
        if point != EMPTY_POINT:
            points[to.bay][to.number] = point
    touched = {position.bay for position in places}
    return {
        name: replace(bay, points=dict(sorted(points[name].items()))) if name in touched else bay
        for name, bay in facility.bays.items()
    }


def _carried(facility: Facility, old: Position, to: Position) -> BayPoint:
    """The point as it is to be filed at its new place: its normal named where it would change."""
    bay, other = facility.bays[old.bay], facility.bays[to.bay]
    point = bay.point(old.number)
    if bay.id == other.id or is_free(facility, old):
        return point
    kind = bay.normal_at(old.number)
    default = replace(other, points={}).normal_at(to.number)
    return replace(point, normal=None if kind == default else kind)


def _accepted(facility: Facility, accepted: Acceptance, places: Rearranged) -> Acceptance:
    """An accepted finding, at the new place of the jack that it names."""
    spelling = read_spelling(accepted.where or "")
    part = read_jack_part(spelling.part) if spelling else None
    if spelling is None or part is None or spelling.owner not in facility.bays:
        return accepted
    place = places.get(Position(spelling.owner, part[1]))
    if place is None:
        return accepted
    return replace(accepted, where=str(Jack(place.bay, part[0], place.number)))
