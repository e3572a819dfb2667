"""What a person means: jacks, ports and equipment by address, or by a printed label that is unique.

Every finder returns the thing, or a Problem that names what comes nearest.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from typing import TypeVar

from slinediag.address import (
    Address,
    Jack,
    PortAddress,
    Side,
    natural,
    read_jack_part,
    read_spelling,
    suggestion,
)
from slinediag.model.equipment import Equipment
from slinediag.model.facility import Facility
from slinediag.model.labels import jack_label, port_label
from slinediag.problems import Problem, problem

T = TypeVar("T")
Found = Jack | PortAddress | Equipment

SHOWN = 4
"""How many candidates a message names."""
LEAST_WORD = 3
"""Letters of a word by which equipment is looked for in its name."""
FORMS = {
    "jack": "Name a jack as PB1.T3, or by the label printed at it",
    "equipment": "Name equipment by its id or its printed label",
    "jack, port or equipment": "Name it as PB1.T3, LIM.L:out or LIM, or by its printed label",
}
"""How each kind of thing is named, said where nothing known is near."""


def find_jack(facility: Facility, text: str, side: Side | None = None) -> Jack | Problem:
    """The jack of an address, of a name as printed (``PB1 T3``), or of a unique label.

    ``side`` settles what is both: ``out`` takes the jack of the output, as the first-named end of
    a cord does, ``in`` that of the input.
    """
    at = _jack_at(facility, text)
    if at is not None:
        return at
    ports = _on_side(_ports_at(facility, text), side)
    if len(ports) == 1:
        carrier = facility.carriers.get(ports[0])
        if carrier is None:
            return problem(text, "no jack carries this port", "Name a jack, as PB1.T3")
        return carrier
    if ports:
        return _both_sides(text, ports)
    found = _labelled(_jacks_by_label(facility), text) or _carriers_by_label(facility, text)
    if len(found) > 1:
        found = [jack for jack in found if _carries(facility, jack, side)] or found
    if not found:
        told = _ports_told(facility, text)
        found = [facility.carriers[port] for port in told if port in facility.carriers]
    if len(found) == 1:
        return found[0]
    refused = _near_miss(facility, text, bool(found))
    return refused or _not_one(text, "jack", [str(j) for j in found], _jack_names(facility))


def _on_side(ports: list[PortAddress], side: Side | None) -> list[PortAddress]:
    return [port for port in ports if port.side == side] or ports


def _carries(facility: Facility, jack: Jack, side: Side | None) -> bool:
    wire = facility.wires.get(jack)
    return wire is not None and wire.to.side == side


def find_equipment(facility: Facility, text: str) -> str | Problem:
    """The id of the equipment of this id or of this unique label."""
    if text in facility.equipment:
        return text
    labels: dict[str, list[str]] = {}
    for box in facility.equipment.values():
        for label in {box.printed, box.name}:
            labels.setdefault(label, []).append(box.id)
    found = _labelled(labels, text)
    if len(found) == 1:
        return found[0]
    if not found and any(text in (bay.id, bay.printed) for bay in facility.bays.values()):
        hint = "Name equipment; outage tells of a bay that fails"
        return problem(text, "this is a bay, not equipment", hint)
    names = [*facility.equipment, *labels]
    meant = None if found else _named_by_words(facility, text, "equipment")
    return meant or _not_one(text, "equipment", found, names)


def find_thing(facility: Facility, text: str) -> Found | Problem:
    """The jack, port or equipment of an address, an id, or a label that is unique."""
    at = _jack_at(facility, text)
    if at is not None:
        return at
    named = _ports_at(facility, text)
    if named:
        return named[0] if len(named) == 1 else _both_sides(text, named)
    if text in facility.equipment:
        return facility.equipment[text]
    ports = _labelled(_ports_by_label(facility), text)
    if len(ports) == 1:
        return ports[0]
    jacks = _labelled(_jacks_by_label(facility), text)
    if len(jacks) == 1 and not ports:
        return jacks[0]
    if not ports and not jacks:
        box = find_equipment(facility, text)
        if isinstance(box, str):
            return facility.equipment[box]
        ports = _ports_told(facility, text)
        if len(ports) == 1:
            return ports[0]
    addresses: list[Address] = [*ports, *jacks]
    found = [facility.spelled(address) for address in addresses]
    names = [*_jack_names(facility), *facility.equipment, *_ports_by_label(facility)]
    names += [name for box in facility.equipment.values() for name in (box.printed, box.name)]
    names += [facility.spelled(port) for port in (*facility.outputs(), *facility.inputs())]
    kind = "jack, port or equipment"
    meant = None if found else _named_by_words(facility, text, kind)
    refused = _near_miss(facility, text, bool(found))
    return refused or meant or _not_one(text, kind, found, names)


def find_several(facility: Facility, text: str) -> tuple[Address, ...]:
    """The things that belong together and are all meant by a text which names no single one.

    They are the jacks of one mult or of one position, or the output and the input of a box that
    bear one id or label; empty where the text means none of these.
    """
    mult = facility.mults.get(text.strip())
    at_position = _jacks_of_position(facility, text)
    if mult is not None or at_position:
        return tuple(mult.jacks) if mult is not None else tuple(at_position)
    ports = _ports_at(facility, text) or _labelled(_ports_by_label(facility), text)
    jacks = _labelled(_jacks_by_label(facility), text)
    carried = [facility.wires[jack].to for jack in jacks if jack in facility.wires]
    both = sorted({*ports, *carried}, key=lambda port: port.side, reverse=True)
    if len(carried) == len(jacks) and [port.side for port in both] == ["out", "in"]:
        return tuple(both) if both[0].equipment == both[1].equipment else ()
    at_mult = any(set(jacks) <= set(mult.jacks) for mult in facility.mults.values())
    at_one = len({(jack.bay, jack.position) for jack in jacks}) == 1
    return tuple(jacks) if not ports and (at_mult or at_one) else ()


def _named_by_words(facility: Facility, text: str, kind: str) -> Problem | None:
    """What to say of words that all stand in the names of equipment, as they begin there."""
    words = text.casefold().split()
    if not any(len(word) >= LEAST_WORD for word in words):
        return None

    def stand(name: str) -> bool:
        there = name.casefold().split()
        return all(any(one.startswith(word) for one in there) for word in words)

    boxes = sorted(facility.equipment.values(), key=lambda box: natural(box.name))
    found = [f"{box.printed} ({box.name})" for box in boxes if stand(f"{box.name} {box.printed}")]
    if not found:
        return None
    some = " or ".join(found[:SHOWN]) + (" or another" if len(found) > SHOWN else "")
    return problem(text, f"there is no such {kind}", f"Did you mean {some}?")


def _jack_at(facility: Facility, text: str) -> Jack | None:
    """The jack at an address or a printed name; None where there is none."""
    spelling = read_spelling(text)
    if spelling is not None and spelling.side is None and spelling.owner in facility.bays:
        part = read_jack_part(spelling.part)
        jack = Jack(spelling.owner, *part) if part else None
        return jack if jack is not None and _exists(facility, jack) else None
    label, _, part_text = text.strip().rpartition(" ")
    part = read_jack_part(part_text)
    bays = [bay for bay in facility.bays.values() if label in (bay.id, bay.printed)]
    if part is None or len(bays) != 1:
        return None
    jack = Jack(bays[0].id, *part)
    return jack if _exists(facility, jack) else None


def _exists(facility: Facility, jack: Jack) -> bool:
    bay = facility.bays[jack.bay]
    return jack.row in bay.jack_rows and 1 <= jack.position <= bay.width


def _ports_at(facility: Facility, text: str) -> list[PortAddress]:
    """The ports at an address: two where the id is both and no suffix says which."""
    spelling = read_spelling(text)
    box = facility.equipment.get(spelling.owner) if spelling else None
    if spelling is None or box is None:
        return []
    sides: tuple[Side, ...] = ("out", "in") if spelling.side is None else (spelling.side,)
    return [
        PortAddress(box.id, spelling.part, side)
        for side in sides
        if (spelling.part, side) in box.facts
    ]


def _ports_told(facility: Facility, text: str) -> list[PortAddress]:
    """The ports that are called so where a label is an output's and an input's: ``DELAY L out``."""
    label, _, side = " ".join(text.split()).rpartition(" ")
    return [
        port
        for port in _labelled(_ports_by_label(facility), label)
        if label and port.side == side.casefold()
    ]


def _both_sides(text: str, ports: Sequence[PortAddress]) -> Problem:
    which = " or ".join(map(str, ports))
    return problem(text, "this is both an output and an input", f"Say which: {which}")


def _near_miss(facility: Facility, text: str, labelled: bool) -> Problem | None:
    """What to say of a text that is nearly an address; a label that several bear stays one."""
    whole = None if labelled else _more_than_a_jack(facility, text)
    joined = None if labelled else _what_joins(facility, text.strip())
    return whole or joined or _out_of_range(facility, text)


def _what_joins(facility: Facility, text: str) -> Problem | None:
    """What to say where a line, a mult or a cable is named and not what it joins."""
    line, mult = facility.lines.get(text), facility.mults.get(text)
    if line is not None:
        ends = " or ".join(facility.spelled(end) for end in (line.source, line.target))
        return problem(text, "this is a line", f"Name an end of it: {ends}")
    if mult is not None:
        jacks = " or ".join(map(str, mult.jacks[:SHOWN]))
        return problem(text, "this is a mult", f"Name a jack of it, as {jacks}")
    if text in facility.cables:
        hint = "Name a jack or port that it leads to; the outage of a cut cable tells of all"
        return problem(text, "this is a cable", hint)
    return None


def _out_of_range(facility: Facility, text: str) -> Problem | None:
    """What the bay or the equipment of an address has, where it has not what is asked for."""
    spelling = read_spelling(text)
    if spelling is None:
        return None
    bay, box = facility.bays.get(spelling.owner), facility.equipment.get(spelling.owner)
    if bay is not None:
        rows = " and ".join(f"{row}1 to {row}{bay.width}" for row in bay.jack_rows)
        return problem(text, "there is no such jack", f"Bay {bay.id} has {rows}")
    if box is None:
        return None
    ports = [facility.spelled(PortAddress(box.id, p.id, p.side)) for p in box.ports]
    return problem(text, f"{box.id} has no such port", suggestion(text, ports, "See its ports"))


def _more_than_a_jack(facility: Facility, text: str) -> Problem | None:
    """What to say where a bay or a position is named and not one of its jacks."""
    for bay in facility.bays.values():
        if text.strip() in (bay.id, bay.printed):
            return problem(text, "this is a whole bay", f"Name one of its jacks, as {bay.id}.T1")
    there = " or ".join(map(str, _jacks_of_position(facility, text)))
    return problem(text, "this is a position", f"Say which jack: {there}") if there else None


def _jacks_of_position(facility: Facility, text: str) -> list[Jack]:
    """The jacks of a position that is named by its bay and number: ``PB2 7`` or ``PB2.7``."""
    named = re.fullmatch(r"(.+?)[ .](\d+)", text.strip())
    bays = [bay for bay in facility.bays.values() if named and named[1] in (bay.id, bay.printed)]
    if named is None or len(bays) != 1:
        return []
    jacks = [Jack(bays[0].id, row, int(named[2])) for row in bays[0].jack_rows]
    return [jack for jack in jacks if _exists(facility, jack)]


def _jacks_by_label(facility: Facility) -> dict[str, list[Jack]]:
    labels: dict[str, list[Jack]] = {}
    for jack in facility.jacks:
        label = jack_label(facility, jack)
        if label:
            labels.setdefault(label, []).append(jack)
    return labels


def _ports_by_label(facility: Facility) -> dict[str, list[PortAddress]]:
    labels: dict[str, list[PortAddress]] = {}
    for port in (*facility.outputs(), *facility.inputs()):
        labels.setdefault(port_label(facility, port), []).append(port)
    return labels


def _carriers_by_label(facility: Facility, text: str) -> list[Jack]:
    """The jacks that carry the ports of this label, where strips print another."""
    ports = _labelled(_ports_by_label(facility), text)
    return [facility.carriers[port] for port in ports if port in facility.carriers]


def _labelled(labels: Mapping[str, list[T]], text: str) -> list[T]:
    """What bears the label: as written, else where only case and spaces differ."""
    exact = labels.get(text.strip())
    if exact:
        return exact
    folded = " ".join(text.split()).casefold()
    return [
        thing
        for label, things in labels.items()
        if " ".join(label.split()).casefold() == folded
        for thing in things
    ]


def _jack_names(facility: Facility) -> list[str]:
    return [*map(str, facility.jacks), *_jacks_by_label(facility)]


def _not_one(text: str, kind: str, found: Sequence[str], known: Iterable[str]) -> Problem:
    """Why a text names no single thing: it names several, or none; with the nearest that is."""
    if len(found) > 1:
        some = ", ".join(found[:SHOWN]) + (", …" if len(found) > SHOWN else "")
        return problem(text, f"{len(found)} things bear this label", f"Say which: {some}")
    return problem(text, f"there is no such {kind}", suggestion(text, known, FORMS[kind]))
