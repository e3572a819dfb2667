"""A facility as single facts, free of order and of spelling: two files that say the same give the
same facts.

A fact is a key and a value. Defaults are filled in, so that a normal or level that is spelled out
is the same as one that is left to its default. Keys begin with their section::

    ("equipment", id) · ("equipment", id, field) · ("equipment", id, side, port[, field])
    ("equipment", id, "path" or "bypass", input, output)
    ("bays", id) · ("bays", id, field) · ("bays", id, position, field or "normal")
    ("wire", port) → jack · ("wire", port, "cable", "shield" or "swapped")
    ("cross", target jack) → source jack · ("cross", target jack, "kind")
    ("cords", jack, jack) · ("plugs", jack) · ("mults", id) → jacks · ("lines", id) · ("cables", id)
    ("racks", id) · ("facility", field) · ("accept", rule, where, n)
"""

from __future__ import annotations

import dataclasses
from collections import Counter
from collections.abc import Iterator, Mapping
from typing import Any

from slinediag.address import jack_order
from slinediag.model.bay import Bay
from slinediag.model.equipment import Equipment, Port, PortKeys, port_facts
from slinediag.model.facility import Facility, Practice
from slinediag.tracing.shields.metal import line_shield, wire_shield

Key = tuple[Any, ...]
Facts = Mapping[Key, Any]
CAPACITANCE = 100.0
"""pF per metre of a cable that files none; common practice for screened pairs."""

POINT_FIELDS = ("label_top", "label_bottom", "group", "state", "note")


def facts_of(facility: Facility) -> dict[Key, Any]:
    """All facts of a facility; what is unset has none."""
    return {key: value for key, value in _facts(facility) if value is not None}


def _facts(facility: Facility) -> Iterator[tuple[Key, Any]]:
    yield from _practice(facility.practice)
    for rack in facility.racks.values():
        yield from _item(("racks", rack.id), rack, ("room", "x", "units"))
    for box in facility.equipment.values():
        yield from _equipment(box)
    for bay in facility.bays.values():
        yield from _bay(bay)
    yield from _wires(facility)
    yield from _joints(facility)
    yield from _plugs(facility)
    for cable in facility.cables.values():
        fields = ("type", "length", "pairs", "colours", "note")
        yield from _item(("cables", cable.id), cable, fields)
        given = cable.capacitance
        yield ("cables", cable.id, "capacitance"), CAPACITANCE if given is None else given


def _item(key: Key, item: object, fields: tuple[str, ...]) -> Iterator[tuple[Key, Any]]:
    """That there is an item, and its fields."""
    yield key, True
    for field in fields:
        yield (*key, field), getattr(item, field)


def _practice(practice: Practice) -> Iterator[tuple[Key, Any]]:
    apart = {"cord_lengths", "abbreviations", "limits", "accept", "shields"}
    for field in dataclasses.fields(practice):
        if field.name not in apart:
            yield ("facility", field.name), getattr(practice, field.name) or None
    yield ("facility", "shields"), practice.shields or "bay"
    yield ("facility", "cord_lengths"), tuple(sorted(practice.cord_lengths)) or None
    for word, short in practice.abbreviations.items():
        yield ("facility", "abbreviations", word), short
    for field in dataclasses.fields(practice.limits):
        yield ("facility", "limits", field.name), getattr(practice.limits, field.name)
    seen: Counter[tuple[str, str | None]] = Counter()
    for accepted in practice.accept:
        name = accepted.rule, accepted.where
        yield (
            ("accept", *name, seen[name]),
            (accepted.reason, accepted.by, accepted.date),
        )
        seen[name] += 1


def _equipment(box: Equipment) -> Iterator[tuple[Key, Any]]:
    key = ("equipment", box.id)
    yield from _item(key, box, ("name", "place", "priority", "caution", "note"))
    yield (*key, "label"), box.label if box.label != box.id else None
    yield (*key, "earthed"), box.earthed is not False
    yield (*key, "drawn"), box.drawn or "parts"
    yield (*key, "state"), box.state or "used"
    if box.pairs is not None:
        yield (*key, "pairs"), tuple(sorted(box.pairs))
    for word, ways in (("path", box.ways), ("bypass", box.bypass_ways)):
        for entry, leaving in ways:
            yield (*key, word, entry, leaving), True
    for port in box.ports:
        yield from _port(box, port)


def _port(box: Equipment, port: Port) -> Iterator[tuple[Key, Any]]:
    """A port with its own and its equipment's keys, defaults filled in where they stand alone."""
    key = ("equipment", box.id, port.side, port.id)
    facts = port_facts(box, port)
    filed = port.keys.over(box.defaults)
    yield key, True
    for field in dataclasses.fields(PortKeys):
        alone = field.name not in ("label", "max", "priority", "instead")
        yield (*key, field.name), getattr(facts if alone else filed, field.name)
    yield (*key, "label"), filed.label if filed.label != port.id else None
    yield (*key, "instead"), tuple(sorted(filed.instead)) if filed.instead else None


def _bay(bay: Bay) -> Iterator[tuple[Key, Any]]:
    key = ("bays", bay.id)
    yield from _item(key, bay, ("name", "place", "unit", "window", "offset", "note"))
    yield (*key, "label"), bay.label if bay.label != bay.id else None
    for field, value in (
        ("style", bay.jack_style),
        ("positions", bay.width),
        ("rows", 1 if bay.rows == 1 else 2),
        ("numbering", bay.numbering or "rows"),
        ("first", 1 if bay.first is None else bay.first),
        ("sleeves", bay.sleeves or "single"),
        ("earthed", bay.bonded),
        ("normals_out", bool(bay.normals_out)),
        ("terminations", bay.terminations or "idc"),
        ("pitch", bay.pitch),
    ):
        yield (*key, field), value
    for position in range(1, bay.width + 1):
        point = bay.point(position)
        if bay.rows != 1:
            yield (*key, position, "normal"), bay.normal_at(position)
        for field in POINT_FIELDS:
            yield (*key, position, field), getattr(point, field)


def _wires(facility: Facility) -> Iterator[tuple[Key, Any]]:
    for jack, wire in facility.wires.items():
        key = ("wire", wire.to)
        yield key, jack
        yield (*key, "cable"), wire.cable
        yield (*key, "shield"), wire_shield(facility, wire)
        yield (*key, "swapped"), wire.swapped


def _joints(facility: Facility) -> Iterator[tuple[Key, Any]]:
    for cross in facility.cross_normals:
        yield ("cross", cross.target), cross.source
        yield ("cross", cross.target, "kind"), cross.wired
    for mult in facility.mults.values():
        yield ("mults", mult.id), tuple(sorted(mult.jacks, key=jack_order))
    for line in facility.lines.values():
        yield from _item(("lines", line.id), line, ("source", "target", "cable", "swapped"))
        yield ("lines", line.id, "shield"), line_shield(facility, line)


def _plugs(facility: Facility) -> Iterator[tuple[Key, Any]]:
    for cord in facility.cords:
        one, other = sorted((cord.source, cord.target), key=jack_order)
        key = ("cords", one, other)
        yield from _item(key, cord, ("source", "length", "note", "since", "by"))
    for plug in facility.plugs:
        yield from _item(("plugs", plug.jack), plug, ("note", "since", "by"))
