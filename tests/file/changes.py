"""One change to one item of a facility, and the keys that lead to that item in its file."""

from __future__ import annotations

import datetime
import random
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any, TypeVar

from slinediag.address import Jack
from slinediag.model.bay import BayPoint
from slinediag.model.equipment import Port, PortKeys
from slinediag.model.facility import Acceptance, Cable, Cord, Facility, Plug, Rack, Revision

T = TypeVar("T")
Keys = tuple[str | int, ...]
NEW_TEXTS = ["changed", "a: b", "~", "two\nlines", "no", "Studio 3, by the door", "", "🎚"]


@dataclass(frozen=True)
class Change:
    """The facility after the change, and where in the file it is: section, id, key, position."""

    facility: Facility
    keys: Keys


def changes(facility: Facility, dice: random.Random) -> Change | None:
    """One change by the dice; None where this facility has nothing to change in that way."""
    return dice.choice(WAYS)(facility, dice)


def pick(values: Mapping[str, T], dice: random.Random) -> tuple[str, T] | None:
    return dice.choice(sorted(values.items(), key=lambda item: item[0])) if values else None


def put(values: Mapping[str, T], key: str, value: T) -> dict[str, T]:
    return {**values, key: value}


def without(values: Mapping[Any, T], key: Any) -> dict[Any, T]:
    return {k: v for k, v in values.items() if k != key}


def practice_text(facility: Facility, dice: random.Random) -> Change | None:
    key = dice.choice(["name", "owner", "drawing", "revision", "drawn_by"])
    text: str | None = dice.choice(
        ["Altered", "1", "A: b"] if key == "name" else [*NEW_TEXTS, None]
    )
    practice = replace(facility.practice, **{key: text})
    return Change(replace(facility, practice=practice), ("facility", key))


def practice_lists(facility: Facility, dice: random.Random) -> Change | None:
    practice = facility.practice
    way = dice.randrange(4)
    if way == 0:
        notes = (*practice.notes, "one more")
        return Change(
            replace(facility, practice=replace(practice, notes=notes)), ("facility", "notes")
        )
    if way == 1:
        rows = (*practice.revisions[1:], Revision("Z", datetime.date(2026, 3, 1), "RW"))
        return Change(
            replace(facility, practice=replace(practice, revisions=rows)), ("facility", "revisions")
        )
    if way == 2:
        accept = (Acceptance("rule", "PB1.T1", "because"), *practice.accept)
        return Change(
            replace(facility, practice=replace(practice, accept=accept)), ("facility", "accept")
        )
    words = put(practice.abbreviations, "PROGRAMME", "PGM")
    return Change(
        replace(facility, practice=replace(practice, abbreviations=words)),
        ("facility", "abbreviations"),
    )


def box_text(facility: Facility, dice: random.Random) -> Change | None:
    found = pick(facility.equipment, dice)
    if found is None:
        return None
    name, box = found
    key = dice.choice(
        ["label", "place", "note", "caution", "priority", "earthed", "drawn", "state"]
    )
    values: dict[str, list[Any]] = {
        "priority": [1, 2, None], "earthed": [True, False, None], "drawn": ["whole", None], "state": ["spare", None],
    }  # fmt: skip
    value = dice.choice(values.get(key, [*NEW_TEXTS, None]))
    box = replace(box, **{key: value})
    return Change(
        replace(facility, equipment=put(facility.equipment, name, box)), ("equipment", name, key)
    )


def port_keys(facility: Facility, dice: random.Random) -> Change | None:
    found = pick(facility.equipment, dice)
    if found is None or not found[1].outputs:
        return None
    name, box = found
    at = dice.randrange(len(box.outputs))
    keys = replace(
        box.outputs[at].keys, level=dice.choice([None, -10.0, 4.0]), label=dice.choice(NEW_TEXTS)
    )
    outputs = (*box.outputs[:at], replace(box.outputs[at], keys=keys), *box.outputs[at + 1 :])
    box = replace(box, outputs=outputs)
    return Change(
        replace(facility, equipment=put(facility.equipment, name, box)),
        ("equipment", name, "outputs"),
    )


def port_more(facility: Facility, dice: random.Random) -> Change | None:
    found = pick(facility.equipment, dice)
    if found is None or found[1].paths == "straight" or found[1].bypass == "straight":
        return None
    name, box = found
    at = dice.randint(0, len(box.outputs))
    port = Port("newest", "out", dice.choice([PortKeys(), PortKeys(level=0.0)]))
    box = replace(box, outputs=(*box.outputs[:at], port, *box.outputs[at:]))
    return Change(
        replace(facility, equipment=put(facility.equipment, name, box)),
        ("equipment", name, "outputs"),
    )


def bay_text(facility: Facility, dice: random.Random) -> Change | None:
    found = pick(facility.bays, dice)
    if found is None:
        return None
    name, bay = found
    key, value = dice.choice(
        [("label", "B"), ("note", "a: b"), ("normal", "full"), ("unit", 7), ("pitch", 9.13), ("label", None), ("place", None)]
    )  # fmt: skip
    bay = replace(bay, **{key: value})
    return Change(replace(facility, bays=put(facility.bays, name, bay)), ("bays", name, key))


def point_text(facility: Facility, dice: random.Random) -> Change | None:
    found = pick(facility.bays, dice)
    if found is None:
        return None
    name, bay = found
    position = dice.randint(1, bay.width)
    if bay.points and dice.random() < 0.7:
        position = dice.choice(sorted(bay.points))
    key, value = dice.choice(
        [("label_top", "NEW"), ("note", "changed"), ("normal", "none"), ("state", "spare"), ("label_top", None), ("note", None), ("normal", None)]
    )  # fmt: skip
    point = replace(bay.point(position), **{key: value})
    return with_point(facility, name, position, point)


def point_wire(facility: Facility, dice: random.Random) -> Change | None:
    found = pick(facility.bays, dice)
    wired = [n for n, p in found[1].points.items() if p.top] if found else []
    if found is None or not wired:
        return None
    position = dice.choice(wired)
    point = found[1].points[position]
    assert point.top is not None
    wire = replace(point.top, cable=dice.choice([None, "S99"]), swapped=dice.random() < 0.5)
    return with_point(facility, found[0], position, replace(point, top=dice.choice([None, wire])))


def point_gone(facility: Facility, dice: random.Random) -> Change | None:
    found = pick(facility.bays, dice)
    if found is None or not found[1].points:
        return None
    return with_point(facility, found[0], dice.choice(sorted(found[1].points)), BayPoint())


def with_point(facility: Facility, name: str, position: int, point: BayPoint) -> Change:
    bay = facility.bays[name]
    points = without(bay.points, position)
    if point != BayPoint():
        points[position] = point
    bay = replace(bay, points=points)
    keys: Keys = ("bays", name, "points", position) if points else ("bays", name, "points")
    return Change(replace(facility, bays=put(facility.bays, name, bay)), keys)


def free_jacks(facility: Facility) -> list[Jack]:
    held = {j for c in facility.cords for j in (c.source, c.target)} | {
        p.jack for p in facility.plugs
    }
    return [jack for jack in facility.jacks if jack not in held]


def cord_more(facility: Facility, dice: random.Random) -> Change | None:
    free = free_jacks(facility)
    if len(free) < 2:
        return None
    cord = Cord(free[0], free[-1], dice.choice([None, 0.6]), dice.choice([None, "why: so"]))
    return Change(replace(facility, cords=(*facility.cords, cord)), ("cords", len(facility.cords)))


def cord_gone(facility: Facility, dice: random.Random) -> Change | None:
    if not facility.cords:
        return None
    at = dice.randrange(len(facility.cords))
    cords = (*facility.cords[:at], *facility.cords[at + 1 :])
    return Change(replace(facility, cords=cords), ("cords", at) if cords else ("cords",))


def cord_text(facility: Facility, dice: random.Random) -> Change | None:
    if not facility.cords:
        return None
    at = dice.randrange(len(facility.cords))
    cord = replace(facility.cords[at], note=dice.choice([*NEW_TEXTS, None]))
    return Change(
        replace(facility, cords=(*facility.cords[:at], cord, *facility.cords[at + 1 :])),
        ("cords", at),
    )


def plug_more(facility: Facility, dice: random.Random) -> Change | None:
    free = free_jacks(facility)
    if not free:
        return None
    plug = Plug(dice.choice(free), dice.choice([None, "held"]))
    return Change(replace(facility, plugs=(*facility.plugs, plug)), ("plugs", len(facility.plugs)))


def cable_any(facility: Facility, dice: random.Random) -> Change | None:
    found = pick(facility.cables, dice)
    if found is not None and dice.random() < 0.3:
        rest = without(facility.cables, found[0])
        return Change(replace(facility, cables=rest), ("cables", found[0]) if rest else ("cables",))
    name = found[0] if found is not None and dice.random() < 0.5 else "NEWCABLE"
    cable = replace(
        facility.cables.get(name, Cable(name)), length=dice.choice([1.5, 20.0]), pairs=60
    )
    return Change(replace(facility, cables=put(facility.cables, name, cable)), ("cables", name))


def rack_any(facility: Facility, dice: random.Random) -> Change | None:
    found = pick(facility.racks, dice)
    name = found[0] if found is not None and dice.random() < 0.5 else "Rack 99"
    rack = replace(
        facility.racks.get(name, Rack(name)),
        room=dice.choice(NEW_TEXTS),
        x=dice.choice([None, 2.4]),
    )
    return Change(replace(facility, racks=put(facility.racks, name, rack)), ("racks", name))


def mult_any(facility: Facility, dice: random.Random) -> Change | None:
    found = pick(facility.mults, dice)
    if found is None or not found[1].jacks:
        return None
    name, mult = found
    at = dice.randrange(len(mult.jacks))
    mult = replace(mult, jacks=(*mult.jacks[:at], *mult.jacks[at + 1 :]))
    return Change(replace(facility, mults=put(facility.mults, name, mult)), ("mults", name))


def line_any(facility: Facility, dice: random.Random) -> Change | None:
    found = pick(facility.lines, dice)
    if found is None:
        return None
    name, line = found
    line = replace(line, shield=dice.choice([None, "both"]), swapped=not line.swapped)
    return Change(replace(facility, lines=put(facility.lines, name, line)), ("lines", name))


def cross_gone(facility: Facility, dice: random.Random) -> Change | None:
    if not facility.cross_normals:
        return None
    at = dice.randrange(len(facility.cross_normals))
    rest = (*facility.cross_normals[:at], *facility.cross_normals[at + 1 :])
    return Change(replace(facility, cross_normals=rest), ("normals", at) if rest else ("normals",))


WAYS: list[Callable[[Facility, random.Random], Change | None]] = [
    practice_text, practice_lists, box_text, port_keys, port_more, bay_text, point_text, point_wire,
    point_gone, cord_more, cord_gone, cord_text, plug_more, cable_any, rack_any, mult_any, line_any,
    cross_gone,
]  # fmt: skip
