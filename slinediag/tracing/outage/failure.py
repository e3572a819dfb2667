"""What has failed: equipment, places, bays, cables; and the facility as it then stands."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace

from slinediag.address import Jack, natural, read_spelling, suggestion
from slinediag.model.bay import Bay, BayPoint
from slinediag.model.facility import Facility, Line, Mult
from slinediag.model.find import find_equipment
from slinediag.problems import Problem, RequestError, problem
from slinediag.tracing.places import places, stands_at


@dataclass(frozen=True, slots=True)
class Failure:
    """What was named as failed: ids of equipment, bays and places, and cables or pairs."""

    boxes: tuple[str, ...] = ()
    bays: tuple[str, ...] = ()
    places: tuple[str, ...] = ()
    cables: tuple[str, ...] = ()

    @property
    def named(self) -> tuple[str, ...]:
        """What was named, as answers write it: ``LIM``, ``bay PB1``, ``place Rack 1``, …"""
        return (
            *self.boxes,
            *(f"bay {bay}" for bay in self.bays),
            *(f"place {place}" for place in self.places),
            *(f"cable {cable}" for cable in self.cables),
        )

    def dead_boxes(self, facility: Facility) -> tuple[str, ...]:
        """All equipment that has failed, that at the places included, in the order of the file."""
        return tuple(
            box.id
            for box in facility.equipment.values()
            if not box.removed and (box.id in self.boxes or self._at(facility, box.place))
        )

    def dead_bays(self, facility: Facility) -> frozenset[str]:
        """All bays that have failed, those at the places included."""
        return frozenset(
            bay.id
            for bay in facility.bays.values()
            if bay.id in self.bays or self._at(facility, bay.place)
        )

    def cuts(self, cable: str | None) -> bool:
        """Whether a wire in this cable, or pair of a cable, is open."""
        return cable is not None and any(cable == c or base(cable) == c for c in self.cables)

    def _at(self, facility: Facility, place: str | None) -> bool:
        return any(stands_at(facility, place, where) for where in self.places)


OPTIONS = (
    ("boxes", "--failed"),
    ("bays", "--failed-bay"),
    ("places", "--failed-place"),
    ("cables", "--cut"),
)


def outage_command(facility: Facility, failure: Failure) -> str:
    """What to type for the whole outage; names of more than one word in quotes."""
    called = replace(failure, boxes=tuple(_as_called(facility, box) for box in failure.boxes))
    named = (f"{option} {_quoted(n)}" for kind, option in OPTIONS for n in getattr(called, kind))
    return " ".join(("slinediag outage FILE", *named))


def _as_called(facility: Facility, box: str) -> str:
    """Equipment by its printed label where that means it and nothing else, else by its id."""
    label = facility.equipment[box].printed
    plain = re.fullmatch(r"\w[\w ./:+-]*", label) is not None
    return label if plain and find_equipment(facility, label) == box else box


def _quoted(name: str) -> str:
    return name if re.fullmatch(r"[\w./:+-]+", name) else f'"{name}"'


def base(cable: str) -> str:
    """The cable of a pair: ``S12`` of ``S12/3``."""
    return cable.partition("/")[0]


KEYWORDS = {
    "equipment": 'failed=["{}"]',
    "bay": 'failed_bays=["{}"]',
    "place": 'failed_places=["{}"]',
    "cable": 'cut=["{}"]',
}
"""How a program says what has failed, by what it is."""


def read_failure(
    facility: Facility,
    failed: Iterable[str] = (),
    failed_bays: Iterable[str] = (),
    failed_places: Iterable[str] = (),
    cut: Iterable[str] = (),
    *,
    forms: Mapping[str, str] = KEYWORDS,
) -> Failure:
    """The failure that these names ask for; RequestError with every name that is unknown.

    ``forms``: how whoever asks would name equipment, a bay, a place or a cable; what may not be
    named is left out.
    """
    problems: list[Problem] = []

    def read(kind: str, names: Iterable[str]) -> tuple[str, ...]:
        found = [(name, FINDERS[kind](facility, name)) for name in names]
        problems.extend(
            _of_another_kind(facility, kind, name, forms) or thing
            for name, thing in found
            if isinstance(thing, Problem)
        )
        return tuple(dict.fromkeys(thing for _, thing in found if isinstance(thing, str)))

    failure = Failure(
        read("equipment", failed),
        read("bay", failed_bays),
        read("place", failed_places),
        read("cable", cut),
    )
    if problems:
        raise RequestError(problems)
    return failure


def _of_another_kind(
    facility: Facility, wanted: str, text: str, forms: Mapping[str, str]
) -> Problem | None:
    """What to say where a name is that of another kind of thing, or of a jack or port of one."""
    spelling = read_spelling(text)
    owner = spelling.owner if spelling else text
    for name in dict.fromkeys((text, owner)):
        for kind, form in forms.items():
            if isinstance(FINDERS[kind](facility, name), str):
                what = f"this is {CALLED[kind]}" if name == text else f"this is part of {name}"
                return problem(text, f"{what}, not {CALLED[wanted]}", f"Say {form.format(name)}")
    return None


def find_bay(facility: Facility, text: str) -> str | Problem:
    """The id of the bay of this id, or of this label or name where it is unique."""
    if text in facility.bays:
        return text
    bays = facility.bays.values()
    found = [bay.id for bay in bays if text in (bay.printed, bay.name)]
    if len(found) == 1:
        return found[0]
    if found:
        return problem(text, f"{len(found)} bays bear this name", f"Say which: {', '.join(found)}")
    known = [name for bay in bays for name in (bay.id, bay.printed, bay.name)]
    otherwise = f"Bays: {', '.join(facility.bays)}"
    return problem(text, "there is no such bay", suggestion(text, known, otherwise))


def find_place(facility: Facility, text: str) -> str | Problem:
    """A rack or room that the file names, else what to say, with all places that bear the word."""
    known = places(facility)
    if text in known:
        return text
    otherwise = f"Places: {', '.join(known)}" if known else "The file says of nothing where it is"
    word = text.strip().casefold()
    bearing = [name for name in known if word and word in name.casefold()]
    *others, last = bearing or [""]
    meant = f"Did you mean {', '.join(others)}{' or ' if others else ''}{last}?"
    hint = meant if bearing else suggestion(text, known, otherwise)
    return problem(text, "nothing stands at such a place", hint)


def find_cable(facility: Facility, text: str) -> str | Problem:
    """A cable, or a pair of one, that the file knows."""
    known = cables(facility)
    pairs = {cable for cable in _pairs(facility) if cable != base(cable)}
    if text in known or text in pairs:
        return text
    filed = facility.cables.get(base(text))
    number = text.partition("/")[2]
    if filed is not None and filed.pairs is not None and number.isdecimal():
        if 1 <= int(number) <= filed.pairs:
            return text
        return problem(text, f"cable {filed.id} has pairs 1 to {filed.pairs}")
    otherwise = f"Cables: {', '.join(known)}" if known else "The file names no cables"
    hint = suggestion(text, [*known, *sorted(pairs, key=natural)], otherwise)
    return problem(text, "there is no such cable or pair", hint)


FINDERS: Mapping[str, Callable[[Facility, str], str | Problem]] = {
    "equipment": find_equipment,
    "bay": find_bay,
    "place": find_place,
    "cable": find_cable,
}
CALLED = {
    "equipment": "equipment",
    "bay": "a bay",
    "place": "a rack or room",
    "cable": "a cable or pair",
}


def cables(facility: Facility) -> tuple[str, ...]:
    """Every cable of the file, those that only wires name included, in natural order."""
    named = {*facility.cables, *(base(pair) for pair in _pairs(facility))}
    return tuple(sorted(named, key=natural))


def _pairs(facility: Facility) -> set[str]:
    """What wires and lines say of their cable: a cable or a pair of one."""
    wires = (wire.cable for wire in facility.wires.values())
    lines = (line.cable for line in facility.lines.values())
    return {cable for cable in (*wires, *lines) if cable is not None}


def damaged(facility: Facility, failure: Failure) -> Facility:
    """The facility with the wires of cut cables open, and all that was on failed bays.

    Equipment stays: that it is dead is said beside. The same facility where no wire is open.
    """
    dead = failure.dead_bays(facility)
    if not dead and not failure.cables:
        return facility
    lost = [n for n in facility.cross_normals if n.source.bay in dead or n.target.bay in dead]
    orphaned = {(n.target.bay, n.target.position) for n in lost}
    return replace(
        facility,
        bays={
            bay.id: _open_bay(bay) if bay.id in dead else _with_cuts(bay, failure, orphaned)
            for bay in facility.bays.values()
        },
        cross_normals=tuple(n for n in facility.cross_normals if n not in lost),
        mults={
            mult.id: Mult(mult.id, tuple(j for j in mult.jacks if j.bay not in dead))
            for mult in facility.mults.values()
        },
        lines={
            line.id: line
            for line in facility.lines.values()
            if not failure.cuts(line.cable) and not _ends_on(line, dead)
        },
    )


def _open_bay(bay: Bay) -> Bay:
    """A bay whose jacks and normals are open."""
    return replace(bay, points={}, normal="none")


def _with_cuts(bay: Bay, failure: Failure, orphaned: set[tuple[str, int]]) -> Bay:
    """A bay without the wires that are cut.

    ``orphaned`` are positions whose cross normal is open: it had replaced the position's own.
    """
    positions = {*bay.points, *(n for owner, n in orphaned if owner == bay.id)}
    points = {n: _cut_point(bay.point(n), failure) for n in sorted(positions)}
    return replace(
        bay,
        points={
            n: replace(point, normal="none") if (bay.id, n) in orphaned else point
            for n, point in points.items()
        },
    )


def _cut_point(point: BayPoint, failure: Failure) -> BayPoint:
    top = None if point.top is not None and failure.cuts(point.top.cable) else point.top
    bottom = None if point.bottom is not None and failure.cuts(point.bottom.cable) else point.bottom
    return replace(point, top=top, bottom=bottom)


def _ends_on(line: Line, bays: frozenset[str]) -> bool:
    return any(isinstance(end, Jack) and end.bay in bays for end in (line.source, line.target))
