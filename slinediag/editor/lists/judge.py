"""Whether the file's reader would take a facility as it would be after an edit.

The judge knows one facility that is sound, and looks only at what another has changed: items are
told apart by identity, and changed ones are read again by the reader itself. Only where ports or
jacks are gone, which anything may name, is the whole read again.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from itertools import chain
from typing import TypeVar

from slinediag.editor.lists.kinds import placeless
from slinediag.editor.lists.reread import Rereader, read_all
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
from slinediag.model.bay import EMPTY_POINT, BayPoint
from slinediag.model.facility import Facility
from slinediag.problems import Problem

T = TypeVar("T")
Points = dict[str, dict[int, BayPoint]]


@dataclass
class Difference:
    """What two facilities differ in, as ids and positions; ``less`` where a thing that can be
    named, or a pair of a cable, is gone."""

    boxes: list[str] = field(default_factory=list)
    bays: list[str] = field(default_factory=list)
    old_points: Points = field(default_factory=dict)
    new_points: Points = field(default_factory=dict)
    sections: list[str] = field(default_factory=list)
    cables: list[str] = field(default_factory=list)
    racks: list[str] = field(default_factory=list)
    practice: bool = False
    less: bool = False


def difference(old: Facility, new: Facility) -> Difference:
    """What the new facility has changed, by identity of its items."""
    found = Difference(
        boxes=changed(old.equipment, new.equipment),
        cables=changed(old.cables, new.cables),
        racks=changed(old.racks, new.racks),
        practice=old.practice is not new.practice,
        sections=[s for s in SECTIONS if getattr(old, s) is not getattr(new, s)],
    )
    for name in changed(old.bays, new.bays):
        found.bays.append(name)
        found.new_points[name] = dict(new.bays[name].points)
        was = old.bays.get(name)
        if was is not None:
            kept = {n for n, point in was.points.items() if new.bays[name].points.get(n) is point}
            found.old_points[name] = {n: p for n, p in was.points.items() if n not in kept}
            for number in kept:
                del found.new_points[name][number]
    for name in old.bays.keys() - new.bays.keys():
        found.old_points[name] = dict(old.bays[name].points)
    found.less = loses(old, new, found)
    return found


def changed(old: Mapping[str, T], new: Mapping[str, T]) -> list[str]:
    """The ids of new and changed items."""
    if old is new:
        return []
    return [name for name, item in new.items() if old.get(name) is not item]


def loses(old: Facility, new: Facility, found: Difference) -> bool:
    """Whether an address of the old facility, or a pair of a cable, might be none of the new."""
    if not (old.equipment.keys() <= new.equipment.keys() and old.bays.keys() <= new.bays.keys()):
        return True
    for name in found.boxes:
        before = old.equipment.get(name)
        after = new.equipment[name]
        if before is not None and not {(p.id, p.side) for p in before.ports} <= {
            (p.id, p.side) for p in after.ports
        }:
            return True
    for name in found.bays:
        bay, was = new.bays[name], old.bays.get(name)
        if was is not None and (bay.width < was.width or len(bay.jack_rows) < len(was.jack_rows)):
            return True
    pairs = [(old.cables.get(name), new.cables[name]) for name in found.cables]
    return any(b.pairs is not None and (a is None or a.pairs != b.pairs) for a, b in pairs)


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
        if found.less:
            read_all(facility, mistakes)
        else:
            self._reread(facility, found, mistakes)
        errors = tuple(map(placeless, mistakes.errors))
        if found.less:
            # The whole has been read, with what is taken twice.
            return errors
        return errors + self._taken.clashes(
            gone_claims(self.facility, found), come_claims(facility, found)
        )

    def follow(self, facility: Facility) -> None:
        """Know another facility from now on, one that is sound."""
        if facility is self.facility:
            return
        found = difference(self.facility, facility)
        self._taken.drop(gone_claims(self.facility, found))
        self._taken.add(come_claims(facility, found))
        if found.boxes or found.bays or found.less:
            self.register = self._register(facility, found)
        self.facility = facility

    def _reread(self, facility: Facility, found: Difference, mistakes: Mistakes) -> None:
        register = self._register(facility, found) if found.boxes or found.bays else self.register
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
        if found.less:
            return register_of(facility)
        register = Register(dict(self.register.ports), dict(self.register.bays))
        for name in found.boxes:
            register.ports.pop(name, None)
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
