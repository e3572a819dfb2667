"""The list of ports: one row an output or input, all equipment or one."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from slinediag.address import Jack, PortAddress, Side
from slinediag.editor.lists import kinds, names
from slinediag.editor.lists.addresses import read_port
from slinediag.editor.lists.equipment import box_of
from slinediag.editor.lists.kinds import TEXT, YES, Kind
from slinediag.editor.lists.listing import (
    Column,
    Key,
    Listing,
    Shelf,
    field_column,
    fixed_column,
    read_column,
)
from slinediag.editor.things import Thing
from slinediag.file.boxes import DRIVES, IMPEDANCE, LEVEL, PHANTOMS, PRIORITY
from slinediag.model.equipment import Port, PortKeys
from slinediag.model.facility import Facility
from slinediag.model.find import find_equipment
from slinediag.model.items import with_port
from slinediag.model.labels import jack_name
from slinediag.model.removing import wires_of, without_ports
from slinediag.model.renaming import rename_port
from slinediag.problems import Problem, RequestError

WORDS: dict[Side, str] = {"out": "output", "in": "input"}


def port_of(facility: Facility, key: PortAddress) -> Port:
    """The port of an address."""
    box = facility.equipment[key.equipment]
    ports = box.outputs if key.side == "out" else box.inputs
    return next(port for port in ports if port.id == key.port)


def with_keys(facility: Facility, key: PortAddress, keys: PortKeys) -> Facility:
    """The facility with other keys at a port."""
    return with_port(facility, key.equipment, replace(port_of(facility, key), keys=keys))


KEYS = Shelf(lambda facility, key: port_of(facility, key).keys, with_keys)


def fact(field: str, kind: Kind) -> Any:
    """What holds for a port where it says nothing."""

    def text(facility: Facility, key: PortAddress) -> str:
        value = getattr(facility.facts(key), field)
        return "" if value is None else kind.show(value)

    return text


def key_column(field: str, title: str, kind: Kind, about: str, **more: Any) -> Column:
    """One of a port's keys."""
    more.setdefault("width", 10)
    return field_column(KEYS, field, title, kind, about, assumed=fact(field, kind), **more)


def read_box(facility: Facility, typed: str) -> str:
    """The id of equipment that a text names; RequestError where it names none."""
    found = find_equipment(facility, typed.strip())
    if isinstance(found, Problem):
        raise RequestError([found])
    return found


def read_side(typed: str) -> Side:
    """The side that a text names; RequestError where it names none."""
    word = kinds.says(kinds.word(tuple(WORDS.values())), typed)
    return "out" if word == "output" else "in"


def read_stand_ins(facility: Facility, typed: str) -> tuple[PortAddress, ...] | None:
    """The outputs that may stand in, by address or label."""
    if not typed.strip():
        return None
    return tuple(read_port(facility, part, "out") for part in typed.split(","))


def wired_to(facility: Facility, key: PortAddress) -> str:
    """Where a port is wired: a jack, or a line."""
    jack = facility.carriers.get(key)
    if jack is not None:
        return jack_name(facility, jack)
    lines = facility.lines.values()
    return next((line.id for line in lines if key in (line.source, line.target)), "")


def rename(facility: Facility, key: PortAddress, typed: str) -> Facility:
    """A port under another id, everywhere."""
    return rename_port(facility, key, typed.strip())


class Ports(Listing):
    """Every output and input."""

    title = "Ports"
    one = "port"
    parts = "Equipment"
    all_parts = "All equipment"
    own_rows = True
    columns = (
        fixed_column(
            "Equipment",
            lambda _facility, key: key.equipment,
            "The equipment it is on",
            names=lambda facility, _key: names.owners(facility),
            check=read_box,
            needed=True,
        ),
        fixed_column(
            "Side",
            lambda _facility, key: WORDS[key.side],
            "output or input",
            names=lambda _facility, _key: names.words(WORDS.values()),
            check=lambda _facility, typed: read_side(typed),
            needed=True,
            width=8,
        ),
        Column(
            "Port",
            lambda _facility, key: key.port,
            rename,
            "Its id, as addresses name it; renamed everywhere",
            needed=True,
            renames=True,
            sound=True,
            called="Id",
            width=8,
        ),
        key_column(
            "label",
            "Label",
            TEXT,
            "Printed behind the equipment's label; two quotes for nothing at all",
            width=12,
        ),
        fixed_column("Wired to", wired_to, "The jack or line it is wired to"),
        key_column("level", "Level", kinds.number(LEVEL), "Nominal level, dBu"),
        key_column("max", "Max", kinds.number(LEVEL), "Level at clipping, dBu"),
        key_column("impedance", "Impedance", kinds.number(IMPEDANCE), "ohm, at 1 kHz"),
        key_column("balanced", "Balanced", YES, "no: tip and sleeve, the ring tied to the sleeve"),
        key_column("drive", "Drive", kinds.word(DRIVES), "Of an output: floating or driven"),
        key_column(
            "phantom",
            "Phantom",
            kinds.word(PHANTOMS),
            "none, gives 48 V, takes it, harmed by it, or passes it on",
        ),
        key_column("priority", "Priority", kinds.whole(PRIORITY), "Of an input: 1 is highest"),
        key_column("origin", "Origin", YES, "Of an output: an origin though paths lead to it"),
        key_column("standby", "Standby", YES, "Of an output: an origin that is mostly quiet"),
        read_column(
            KEYS,
            "instead",
            "Instead",
            read_stand_ins,
            lambda facility, ports: ", ".join(names.spelled(facility, p, "out") for p in ports),
            "Of an input: outputs that may stand in when its own audio is lost",
            names=names.outputs,
            width=14,
            several=True,
        ),
    )

    def keys(self, facility: Facility) -> tuple[Key, ...]:
        """Box by box, outputs first."""
        return tuple(
            PortAddress(box.id, port.id, port.side)
            for box in facility.equipment.values()
            for port in box.ports
        )

    def name(self, facility: Facility, key: Any) -> str:
        """Its address."""
        return facility.spelled(key)

    def part(self, key: Any) -> str:
        """Its equipment."""
        box: str = key.equipment
        return box

    def thing(self, facility: Facility, key: Any, column: Column) -> Thing | None:
        """The port."""
        del facility, column
        port: PortAddress = key
        return port

    def key_of(self, facility: Facility, thing: Thing) -> Key | None:
        """The port, the one at a jack, or the first of a box."""
        if isinstance(thing, PortAddress):
            return thing
        if isinstance(thing, Jack):
            wire = facility.wires.get(thing)
            return wire.to if wire else None
        name = box_of(facility, thing)
        box = facility.equipment.get(name) if name else None
        port = next(box.ports, None) if box else None
        return PortAddress(box.id, port.id, port.side) if box and port else None

    def begin(self, facility: Facility, texts: Mapping[str, str]) -> tuple[Facility, Key]:
        """A port of a box, a side and an id."""
        box, side = read_box(facility, texts["Equipment"]), read_side(texts["Side"])
        name = texts["Port"].strip()
        if (name, side) in facility.equipment[box].facts:
            what = f"{box} has an {WORDS[side]} {name} already"
            raise RequestError([Problem(0, 0, "", what, "Choose another id")])
        return with_port(facility, box, Port(name, side)), PortAddress(box, name, side)

    def remove(self, facility: Facility, keys: Sequence[Any]) -> Facility:
        """Without some ports and their wires."""
        return without_ports(facility, keys)

    def removal_name(self, facility: Facility, keys: Sequence[Any]) -> str:
        """With the wires that go."""
        count = wires_of(facility, set(keys).__contains__)
        wires = f" and {count} wire{'' if count == 1 else 's'}" if count else ""
        return super().removal_name(facility, keys) + wires

    def renamed(self, facility: Facility, key: Any, column: Column, text: str) -> Key:
        """The address with another id."""
        del facility, column
        port: PortAddress = key
        return port._replace(port=text.strip())
