"""Whether the file's reader would take a facility as it would be after an edit.

The judge knows one facility that is sound, and looks only at what another has changed: items are
told apart by identity, and changed ones are read again by the reader itself, with those that name
something that is gone.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from itertools import chain
from typing import TypeVar

from slinediag.address import PortAddress
from slinediag.editor.lists.kinds import placeless
from slinediag.editor.lists.reread import Rereader
from slinediag.editor.lists.taken import (
    SECTIONS,
    Claim,
    Taken,
    claims_of_point,
    claims_of_section,
)
from slinediag.file.mistakes import Mistakes
from slinediag.file.nodes import Places
from slinediag.file.outline import Speller
from slinediag.file.register import Register
from slinediag.model.bay import EMPTY_POINT, Bay, BayPoint, Wire
from slinediag.model.equipment import Equipment
from slinediag.model.facility import Facility
from slinediag.problems import Problem, problem

T = TypeVar("T")
Points = dict[str, dict[int, BayPoint]]


@dataclass
class Difference:
    """What two facilities differ in, as ids and positions."""

    boxes: list[str] = field(default_factory=list)
    bays: list[str] = field(default_factory=list)
    old_points: Points = field(default_factory=dict)
    new_points: Points = field(default_factory=dict)
    sections: list[str] = field(default_factory=list)
    cables: list[str] = field(default_factory=list)
    racks: list[str] = field(default_factory=list)
    practice: bool = False
    fewer: bool = False
    """Whether equipment or a bay is gone."""


def difference(old: Facility, new: Facility) -> Difference:
    """What the new facility has changed, by identity of its items."""
    found = Difference(
        boxes=changed(old.equipment, new.equipment),
        bays=changed(old.bays, new.bays),
        cables=changed(old.cables, new.cables),
        racks=changed(old.racks, new.racks),
        practice=old.practice is not new.practice,
        sections=[s for s in SECTIONS if getattr(old, s) is not getattr(new, s)],
        fewer=not (old.equipment.keys() <= new.equipment.keys())
        or not (old.bays.keys() <= new.bays.keys()),
    )
    for name in found.bays:
        found.new_points[name] = dict(new.bays[name].points)
        was = old.bays.get(name)
        if was is not None and not shrunk(was, new.bays[name]):
            kept = {n for n, point in was.points.items() if new.bays[name].points.get(n) is point}
            found.old_points[name] = {n: p for n, p in was.points.items() if n not in kept}
            for number in kept:
                del found.new_points[name][number]
        elif was is not None:
            found.old_points[name] = dict(was.points)
            found.sections = [*SECTIONS]
    for name in old.bays.keys() - new.bays.keys():
        found.old_points[name] = dict(old.bays[name].points)
        found.sections = [*SECTIONS]
    cables = changed_pairs(old, new, found)
    if cables:
        add_users(new, cables, found)
    return found


def changed(old: Mapping[str, T], new: Mapping[str, T]) -> list[str]:
    """The ids of new and changed items."""
    if old is new:
        return []
    return [name for name, item in new.items() if old.get(name) is not item]


def shrunk(old: Bay, new: Bay) -> bool:
    """Whether a bay has lost jacks."""
    return new.width < old.width or len(new.jack_rows) < len(old.jack_rows)


def lost_ports(old: Facility, new: Facility, found: Difference) -> set[PortAddress]:
    """The ports that the new facility has no more."""
    names = [name for name in found.boxes if name in old.equipment]
    names += old.equipment.keys() - new.equipment.keys() if found.fewer else ()
    lost = set()
    for name in names:
        box = new.equipment.get(name)
        left = {(port.id, port.side) for port in box.ports} if box is not None else set()
        ports = old.equipment[name].ports
        lost |= {PortAddress(name, p.id, p.side) for p in ports if (p.id, p.side) not in left}
    return lost


def mentions(new: Facility, lost: set[PortAddress]) -> Iterator[Problem]:
    """What still names a lost port.

    The reader would not always say so: where the id is that of the other side's port as well, it
    would take that one.
    """
    hint = "Take it off there first, or keep the port"
    for jack, wire in new.wires.items():
        if wire.to in lost:
            yield problem("", f"{words_of(wire.to)} is wired at {jack}", hint)
    for line in new.lines.values():
        for end in (line.source, line.target):
            if isinstance(end, PortAddress) and end in lost:
                yield problem("", f"{words_of(end)} is joined by line {line.id}", hint)
    for box in new.equipment.values():
        for port in stand_ins(box):
            if port in lost:
                yield problem("", f"{words_of(port)} stands in for an input of {box.id}", hint)


def words_of(port: PortAddress) -> str:
    """A port in words."""
    side = "output" if port.side == "out" else "input"
    return f"the {side} {port.equipment}.{port.port}"


def add_users(new: Facility, cables: set[str], found: Difference) -> None:
    """Let what runs in some cables be looked at again."""

    def concerned(wire: Wire | None) -> bool:
        return wire is not None and (wire.cable or "").partition("/")[0] in cables

    for bay in new.bays.values():
        for number, point in bay.points.items():
            if concerned(point.top) or concerned(point.bottom):
                known = found.new_points.setdefault(bay.id, {})
                if number not in known:
                    # It is the same in both; what it takes goes and comes.
                    known[number] = point
                    found.old_points.setdefault(bay.id, {})[number] = point
    if "lines" not in found.sections:
        found.sections.append("lines")


def changed_pairs(old: Facility, new: Facility, found: Difference) -> set[str]:
    """The cables whose number of pairs has changed."""
    return {
        name
        for name in found.cables
        if name not in old.cables or old.cables[name].pairs != new.cables[name].pairs
    }


def stand_ins(box: Equipment) -> Iterator[PortAddress]:
    """The outputs that may stand in for some input of a box."""
    for keys in (box.defaults, *(port.keys for port in box.ports)):
        yield from keys.instead or ()


def register_of(facility: Facility) -> Register:
    """The register that a reader would make of a facility."""
    register = Register()
    for box in facility.equipment.values():
        register.add_equipment(box)
    register.bays.update(facility.bays)
    return register


class Judge:
    """Knows one facility, and what another would do wrong."""

    def __init__(self, facility: Facility) -> None:
        self.facility = facility
        self.register = register_of(facility)
        self._speller = Speller(facility)
        self._spells = facility.equipment
        self._taken = Taken()
        for bay in facility.bays.values():
            for number, point in bay.points.items():
                self._taken.add(claims_of_point(bay.id, number, point))
        for section in SECTIONS:
            self._taken.add(claims_of_section(facility, section))

    def faults(self, facility: Facility) -> tuple[Problem, ...]:
        """What the reader would find wrong with a facility that is an edit of the known one."""
        if facility is self.facility:
            return ()
        mistakes = Mistakes(Places(""))
        found = difference(self.facility, facility)
        lost = lost_ports(self.facility, facility, found)
        named = tuple(mentions(facility, lost)) if lost else ()
        if named:
            return named
        self._reread(facility, found, mistakes)
        return tuple(map(placeless, mistakes.errors)) + self._taken.clashes(
            gone_claims(self.facility, found), come_claims(facility, found)
        )

    def follow(self, facility: Facility) -> None:
        """Know another facility from now on, one that is sound."""
        if facility is self.facility:
            return
        found = difference(self.facility, facility)
        self._taken.drop(gone_claims(self.facility, found))
        self._taken.add(come_claims(facility, found))
        if found.boxes or found.bays or found.fewer:
            self.register = self._register(facility, found)
        self.facility = facility

    def _reread(self, facility: Facility, found: Difference, mistakes: Mistakes) -> None:
        register = self._register(facility, found)
        reader = Rereader(facility, register, self._speller_for(facility), mistakes)
        reader.boxes(found.boxes)
        reader.bays(name for name in found.bays if self._bay_itself_changed(facility, name))
        reader.bays(name for name in found.boxes if name in facility.bays)
        for bay, points in found.new_points.items():
            if points:
                reader.points(bay, points)
        for section in found.sections:
            reader.section(section)
        reader.cables(found.cables)
        reader.racks(found.racks)
        if found.practice:
            reader.practice()

    def _speller_for(self, facility: Facility) -> Speller:
        """The speller of a facility's addresses, kept while no equipment changes."""
        if self._spells is not facility.equipment:
            self._speller, self._spells = Speller(facility), facility.equipment
        return self._speller

    def _bay_itself_changed(self, facility: Facility, name: str) -> bool:
        """Whether a bay differs in more than its points."""
        was, bay = self.facility.bays.get(name), facility.bays[name]
        if was is None:
            return True
        return any(
            value != getattr(was, key) for key, value in vars(bay).items() if key != "points"
        )

    def _register(self, facility: Facility, found: Difference) -> Register:
        """The register of another facility, the known one where nothing in it differs."""
        if not found.boxes and not found.bays and not found.fewer:
            return self.register
        register = Register(dict(self.register.ports), dict(self.register.bays))
        for name in (*self.facility.equipment.keys() - facility.equipment.keys(), *found.boxes):
            register.ports.pop(name, None)
        for name in self.facility.bays.keys() - facility.bays.keys():
            register.bays.pop(name, None)
        for name in found.boxes:
            register.add_equipment(facility.equipment[name])
        for name in found.bays:
            register.bays[name] = facility.bays[name]
        return register


def gone_claims(facility: Facility, found: Difference) -> Iterator[Claim]:
    """The claims of the old facility that are none of the new one's."""
    return chain(
        _point_claims(found.old_points),
        *(claims_of_section(facility, section) for section in found.sections),
    )


def come_claims(facility: Facility, found: Difference) -> Iterator[Claim]:
    """The claims of the new facility that are none of the old one's."""
    return chain(
        _point_claims(found.new_points),
        *(claims_of_section(facility, section) for section in found.sections),
    )


def _point_claims(points: Points) -> Iterator[Claim]:
    for bay, rows in points.items():
        for number, point in rows.items():
            if point is not EMPTY_POINT:
                yield from claims_of_point(bay, number, point)
