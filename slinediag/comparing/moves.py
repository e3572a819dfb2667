"""Positions whose things stand at another position in the new revision, and facts carried along."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from slinediag.address import (
    Jack,
    PortAddress,
    jack_order,
    natural,
    read_jack_part,
    read_spelling,
)
from slinediag.comparing.facts import Facts, Key
from slinediag.comparing.renames import Renames
from slinediag.model.edits import Position, is_free
from slinediag.model.facility import Facility

Places = Mapping[Position, Position]


def renamed(facts: Facts, names: Renames) -> dict[Key, Any]:
    """Old facts under new names."""
    sections = {
        name: getattr(names, name)
        for name in ("equipment", "bays", "racks", "cables", "lines", "mults")
    }

    def key_of(key: Key) -> Key:
        mapping = sections.get(key[0])
        if mapping is not None:
            key = (key[0], mapping.get(key[1], key[1]), *key[2:])
        if key[0] == "equipment" and len(key) >= 4:
            return _renamed_port_key(key, names)
        if key[0] == "accept":
            return ("accept", key[1], _accepted_under(key[2], names), key[3])
        return in_order(tuple(_respelled(part, names) for part in key))

    return {key_of(key): _new_value(key, value, names) for key, value in facts.items()}


def in_order(key: Key) -> Key:
    """A key with a cord's jacks in natural order."""
    if key[0] != "cords":
        return key
    return ("cords", *sorted(key[1:3], key=jack_order), *key[3:])


def _accepted_under(where: str | None, names: Renames) -> str | None:
    """The place of an accepted finding under its new name."""
    if where is None:
        return None
    owner, dot, part = where.partition(".")
    return f"{names.equipment.get(owner, names.bays.get(owner, owner))}{dot}{part}"


def _renamed_port_key(key: Key, names: Renames) -> Key:
    box = key[1]
    if key[2] in ("path", "bypass"):
        entry = names.ports.get(PortAddress(box, key[3], "in"))
        leaving = names.ports.get(PortAddress(box, key[4], "out"))
        return (*key[:3], entry.port if entry else key[3], leaving.port if leaving else key[4])
    port = names.ports.get(PortAddress(box, key[3], key[2]))
    return (*key[:3], port.port if port else key[3], *key[4:])


def _new_value(key: Key, value: Any, names: Renames) -> Any:
    if key[0] in ("wire", "lines") and key[-1] == "cable":
        return names.cable(value)
    if key[0] in ("equipment", "bays") and key[-1] == "place":
        return names.place(value)
    if key[0] == "equipment" and key[-1] == "pairs":
        called = {(port.equipment, port.port): new.port for port, new in names.ports.items()}
        box = names.equipment.get(key[1], key[1])
        return tuple(sorted((called.get((box, a), a), called.get((box, b), b)) for a, b in value))
    return _sorted(key, _respelled(value, names))


def _sorted(key: Key, value: Any) -> Any:
    """A value whose order says nothing, in order."""
    if key[0] == "mults" and len(key) == 2:
        return tuple(sorted(value, key=jack_order))
    return tuple(sorted(value)) if key[-1] == "instead" else value


def _respelled(value: Any, names: Renames) -> Any:
    if isinstance(value, Jack):
        return names.jack(value)
    if isinstance(value, PortAddress):
        return names.port(value)
    return tuple(_respelled(v, names) for v in value) if type(value) is tuple else value


def find_moves(old: Facility, new: Facility, names: Renames) -> dict[Position, Position]:
    """Where each position went that stands whole at another one; those that made room with them.

    Positions under their new bays' names. One that something stood at, and that is not itself
    moved, is no place to move to: then single wires were re-terminated.
    """
    here = {
        Position(names.bays.get(p.bay, p.bay), p.number): frozenset(
            (row, names.address(end) if isinstance(end, (Jack, PortAddress)) else end)
            for row, end in held
        )
        for p, held in _held(_with_line_names(old, names)).items()
    }
    there = _held(_with_line_names(new, Renames()))
    at = {held: p for p, held in there.items() if held}
    unique = _counted(here)
    places = {
        p: at[held]
        for p, held in here.items()
        if held and unique[held] == 1 and at.get(held, p) != p and there.get(p) != held
    }
    back = {new_name: name for name, new_name in names.bays.items()}
    free = {
        to
        for to in places.values()
        if to not in places and _was_free(old, Position(back.get(to.bay, to.bay), to.number))
    }
    return _closed(places, free)


Held = frozenset[tuple[str, Any]]


def _with_line_names(facility: Facility, names: Renames) -> list[tuple[Jack, Any]]:
    """What is at the rear of each jack: a port, or the name of a tie line and which end of it."""
    found: list[tuple[Jack, Any]] = [(jack, wire.to) for jack, wire in facility.wires.items()]
    for line in facility.lines.values():
        name = names.lines.get(line.id, line.id)
        for end, word in ((line.source, "from"), (line.target, "to")):
            if isinstance(end, Jack):
                found.append((end, (name, word)))
    return found


def _held(rear: list[tuple[Jack, Any]]) -> dict[Position, Held]:
    found: dict[Position, set[tuple[str, Any]]] = {}
    for jack, end in rear:
        found.setdefault(Position(jack.bay, jack.position), set()).add((jack.row, end))
    return {position: frozenset(held) for position, held in found.items()}


def _counted(here: Mapping[Position, Held]) -> dict[Held, int]:
    counts: dict[Held, int] = {}
    for held in here.values():
        counts[held] = counts.get(held, 0) + 1
    return counts


def _was_free(old: Facility, position: Position) -> bool:
    bay = old.bays.get(position.bay)
    return bay is not None and position.number <= bay.width and is_free(old, position)


def _closed(places: dict[Position, Position], free: set[Position]) -> dict[Position, Position]:
    """The moves whose targets are free or moved themselves; what was free takes their old place."""
    while True:
        kept = {p: to for p, to in places.items() if to in places or to in free}
        if len(kept) == len(places):
            break
        places = kept
    left = sorted((p for p in places if p not in places.values()), key=_natural)
    entered = sorted((to for to in places.values() if to not in places), key=_natural)
    return {**places, **dict(zip(entered, left, strict=True))}


def _natural(position: Position) -> tuple[object, ...]:
    return natural(position.bay), position.number


def moved(facts: Facts, places: Places) -> dict[Key, Any]:
    """Facts with all that is at each position at another one."""
    if not places:
        return dict(facts)

    def to(value: Any) -> Any:
        if isinstance(value, Jack):
            place = places.get(Position(value.bay, value.position))
            return Jack(place.bay, value.row, place.number) if place else value
        return tuple(map(to, value)) if type(value) is tuple else value

    def key_of(key: Key) -> Key:
        if key[0] == "bays" and len(key) > 2 and isinstance(key[2], int):
            place = places.get(Position(key[1], key[2]))
            return ("bays", *place, *key[3:]) if place else key
        if key[0] == "accept":
            return ("accept", key[1], _accepted_at(key[2], places), *key[3:])
        return in_order(tuple(map(to, key)))

    return {key_of(key): _sorted(key, to(value)) for key, value in facts.items()}


def _accepted_at(where: str | None, places: Places) -> str | None:
    spelling = read_spelling(where or "")
    part = read_jack_part(spelling.part) if spelling else None
    place = places.get(Position(spelling.owner, part[1])) if spelling and part else None
    return str(Jack(place.bay, part[0], place.number)) if place and part else where


def worthwhile(places: Places, old: Facts, new: Facts) -> dict[Position, Position]:
    """The moves that leave less to tell than the wires one by one would.

    Where wires went and normals, cords and notes stayed, wires were re-terminated: no position
    moved.
    """
    kept: dict[Position, Position] = {}
    for ring in _rings(places):
        if _unlike(moved(old, ring), new) < _unlike(old, new):
            kept.update(ring)
    return kept


def _rings(places: Places) -> list[dict[Position, Position]]:
    """The moves that hang together, each position's with that of the place it takes."""
    rings: list[dict[Position, Position]] = []
    seen: set[Position] = set()
    for start in places:
        ring: dict[Position, Position] = {}
        at = start
        while at not in seen:
            seen.add(at)
            ring[at] = at = places[at]
        if ring:
            rings.append(ring)
    return rings


def _unlike(old: Facts, new: Facts) -> int:
    """How many facts differ."""
    return sum(old.get(key) != new.get(key) for key in {*old, *new})
