"""Edits of the facility file that readings speak for: what is wired, filed as it is.

None is made unless someone asks for it by number; as often the wiring is what is to be changed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from slinediag.address import Address, Jack
from slinediag.commissioning.cause_words import explanation_text
from slinediag.commissioning.diagnosis import Diagnosis
from slinediag.commissioning.exchanged import Exchange
from slinediag.commissioning.faults import Cause
from slinediag.commissioning.points import MeasuringPoint
from slinediag.model.bay import BayPoint, NormalKind, Shield, Wire
from slinediag.model.facility import CrossKind, Facility, Line, LineShield
from slinediag.tracing.shields.metal import line_shield, wire_shield
from slinediag.tracing.words import NORMAL_NAMES

Edit = Callable[[Facility], Facility]
CROSSED: dict[NormalKind, CrossKind] = {"half": "half", "full": "full", "parallel": "parallel"}
"""The kinds that a normal across can be filed as."""


@dataclass(frozen=True)
class Proposal:
    """One edit: its number, the point it is for, what it would file, and why.

    ``sole`` where the readings leave no other cause; ``evidence`` are the readings' codes.
    """

    number: int
    where: str
    text: str
    because: str
    evidence: tuple[str, ...]
    sole: bool
    edit: Edit

    def applied_to(self, facility: Facility) -> Facility:
        """The facility with the edit made."""
        return self.edit(facility)


def find_proposals(
    diagnoses: Sequence[Diagnosis], exchanges: Sequence[Exchange], facility: Facility
) -> tuple[Proposal, ...]:
    """Every edit that a likeliest explanation speaks for, numbered from 1."""
    found: list[Proposal] = []
    for exchange in exchanges:
        edit = _exchange_edit(facility, exchange)
        if edit is not None:
            one, other = exchange.one, exchange.other
            text = f"file the wires of {one} and {other} in each other's place"
            because = f"wires of {one} and {other} exchanged"
            where = f"{one}={other}"
            number = len(found) + 1
            found.append(Proposal(number, where, text, because, (), exchange.sole, edit))
    for diagnosis in diagnoses:
        if diagnosis.verdict != "fault":
            continue
        least = len(diagnosis.explanations[0].causes)
        for explanation in diagnosis.explanations[:1] if least > 1 else diagnosis.explanations:
            for text, edit in _edits(diagnosis.point, explanation.causes, facility):
                because = explanation_text(diagnosis.point, explanation)
                sole = len(diagnosis.explanations) == 1
                where, evidence = diagnosis.point.name, diagnosis.off
                number = len(found) + 1
                found.append(Proposal(number, where, text, because, evidence, sole, edit))
    return tuple(found)


def _edits(
    point: MeasuringPoint, causes: Sequence[Cause], facility: Facility
) -> Iterator[tuple[str, Edit]]:
    for cause in causes:
        if cause.kind == "another normal" and cause.normal is not None:
            edit = _normal_edit(facility, point, cause.normal)
            if edit is not None:
                yield f"file {point.name} as {NORMAL_NAMES[cause.normal]}", edit
        elif cause.kind == "legs swapped" and cause.place is not None:
            jack = point.jack(cause.place)
            yield f"file the line at {jack} with its legs the other way", _swapped_edit(jack)
        elif cause.kind in ("shield lifted", "shield joined") and cause.place is not None:
            jack, near = point.jack(cause.place), cause.legs == "N"
            end = "the jack" if near else "the far end"
            act = "lifted" if cause.kind == "shield lifted" else "joined"
            text = f"file the shield of the line at {jack} as {act} at {end}"
            yield text, _shield_edit(facility, jack, near=near)


def _normal_edit(facility: Facility, point: MeasuringPoint, kind: NormalKind) -> Edit | None:
    """File another normal at a position, or across; None where the file cannot say it.

    A position in which a normal from another one ends has none of its own.
    """
    if not point.across:
        bay, position = point.a.bay, point.a.position
        if any(
            (c.target.bay, c.target.position) == (bay, position) for c in facility.cross_normals
        ):
            return None
        return lambda f: _with_point(
            f, bay, position, replace(f.bays[bay].point(position), normal=kind)
        )
    crossed = CROSSED.get(kind)
    if crossed is None:
        return None
    return lambda facility: replace(
        facility,
        cross_normals=tuple(
            replace(c, kind=crossed) if (c.source, c.target) == (point.a, point.b) else c
            for c in facility.cross_normals
        ),
    )


def _with_point(facility: Facility, bay: str, position: int, point: BayPoint) -> Facility:
    found = facility.bays[bay]
    points = dict(sorted({**found.points, position: point}.items()))
    return replace(facility, bays={**facility.bays, bay: replace(found, points=points)})


def _with_wire(facility: Facility, jack: Jack, wire: Wire | None) -> Facility:
    point = facility.point(jack)
    changed = replace(point, top=wire) if jack.row == "T" else replace(point, bottom=wire)
    return _with_point(facility, jack.bay, jack.position, changed)


def _line_at(facility: Facility, jack: Jack) -> Line:
    return next(line for line in facility.lines.values() if jack in (line.source, line.target))


def _with_line(facility: Facility, line: Line) -> Facility:
    return replace(facility, lines={**facility.lines, line.id: line})


def _swapped_edit(jack: Jack) -> Edit:
    def edit(facility: Facility) -> Facility:
        wire = facility.wires.get(jack)
        if wire is not None:
            return _with_wire(facility, jack, replace(wire, swapped=not wire.swapped))
        line = _line_at(facility, jack)
        return _with_line(facility, replace(line, swapped=not line.swapped))

    return edit


SHIELDS: dict[tuple[bool, bool], Shield] = {
    (True, True): "both",
    (True, False): "bay",
    (False, True): "equipment",
    (False, False): "none",
}
"""A wire's shield by whether it is joined at the bay and at the equipment."""
LINE_SHIELDS: dict[tuple[bool, bool], LineShield] = {
    (True, True): "both",
    (True, False): "from",
    (False, True): "to",
    (False, False): "none",
}


def _shield_edit(facility: Facility, jack: Jack, *, near: bool) -> Edit:
    """File the shield the other way at the jack, or at the far end."""
    wire = facility.wires.get(jack)
    if wire is not None:
        shield = wire_shield(facility, wire)
        at_bay, at_box = shield in ("both", "bay"), shield in ("both", "equipment")
        made = SHIELDS[(not at_bay, at_box) if near else (at_bay, not at_box)]
        return lambda f: _with_wire(f, jack, replace(f.wires[jack], shield=made))
    line = _line_at(facility, jack)
    where = line_shield(facility, line)
    at_source, at_target = where in ("both", "from"), where in ("both", "to")
    source = (line.source == jack) == near
    filed = LINE_SHIELDS[(not at_source, at_target) if source else (at_source, not at_target)]
    return lambda f: _with_line(f, replace(f.lines[line.id], shield=filed))


def _exchange_edit(facility: Facility, exchange: Exchange) -> Edit | None:
    """File what runs to two jacks, wires or ends of tie lines, in each other's place.

    None where a jack has neither, and where both are the ends of one tie line.
    """
    one, other = exchange.one, exchange.other
    jacks: set[Address] = {one, other}
    ties: list[set[Address]] = [{line.source, line.target} for line in facility.lines.values()]
    carried = set[Address](facility.wires).union(*ties)
    if not jacks <= carried or jacks in ties:
        return None
    instead: dict[Address, Address] = {one: other, other: one}

    def edit(facility: Facility) -> Facility:
        wires = facility.wires
        made = _with_wire(_with_wire(facility, one, wires.get(other)), other, wires.get(one))
        for line in facility.lines.values():
            ends = instead.get(line.source, line.source), instead.get(line.target, line.target)
            if ends != (line.source, line.target):
                made = _with_line(made, replace(line, source=ends[0], target=ends[1]))
        return made

    return edit
