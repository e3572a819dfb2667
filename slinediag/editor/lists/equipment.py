"""The list of equipment: one row a box, with what holds for all its ports."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from slinediag.address import PORT_ID, Jack, PortAddress, Side
from slinediag.editor.lists import kinds, names
from slinediag.editor.lists.kinds import TEXT, YES, Kind
from slinediag.editor.lists.listing import (
    Column,
    Key,
    Listing,
    Shelf,
    field_column,
    read_column,
    texts_named,
    words_named,
)
from slinediag.editor.lists.path_texts import read_pairs, read_paths, show_pairs, show_paths
from slinediag.editor.things import Box, Net, Thing
from slinediag.file.boxes import DRAWN, DRIVES, IMPEDANCE, LEVEL, PHANTOMS, PRIORITY, STATES
from slinediag.model.equipment import Equipment, Port
from slinediag.model.facility import Facility
from slinediag.model.items import with_box
from slinediag.model.removing import wires_of, without_equipment
from slinediag.model.renaming import check_owner_id, rename_equipment
from slinediag.problems import RequestError, problem

BOXES = Shelf(
    lambda facility, key: facility.equipment[key],
    lambda facility, _key, box: with_box(facility, box),
)
DEFAULTS = Shelf(
    lambda facility, key: facility.equipment[key].defaults,
    lambda facility, key, keys: with_box(facility, replace(facility.equipment[key], defaults=keys)),
)


def id_column(rename: Any, check: Any, about: str) -> Column:
    """The column of ids: what is typed over one renames it everywhere."""
    return Column(
        "Id",
        lambda _facility, key: str(key),
        lambda facility, key, typed: rename(facility, key, typed.strip()),
        about,
        check=lambda facility, typed: check(facility, typed.strip()),
        called="Id",
        width=10,
        needed=True,
        renames=True,
        sound=True,
    )


def ports_column(side: Side) -> Column:
    """The ids of a box's outputs or inputs; those that stay keep what is said of them."""
    field, word = ("outputs", "output") if side == "out" else ("inputs", "input")

    def read(_facility: Facility, typed: str) -> tuple[str, ...]:
        ids = [part.strip() for part in typed.split(",")] if typed.strip() else []
        for number, name in enumerate(ids):
            if not PORT_ID.match(name):
                hint = "A port id is letters, digits, _ and -; write them as L, R"
                raise RequestError([problem("", f'"{name}" cannot be a port id', hint)])
            if name in ids[:number]:
                what = f"the port id {name} stands here twice"
                raise RequestError([problem("", what, "Give each port an id of its own")])
        return tuple(ids)

    def put(facility: Facility, key: str, typed: str) -> Facility:
        box: Equipment = facility.equipment[key]
        known = {port.id: port for port in getattr(box, field)}
        ports = tuple(known.get(name, Port(name, side)) for name in read(facility, typed))
        changes: dict[str, Any] = {field: ports}
        return with_box(facility, replace(box, **changes))

    return Column(
        field.capitalize(),
        lambda facility, key: ", ".join(p.id for p in getattr(facility.equipment[key], field)),
        put,
        f"The ids of its {word}s: L, R",
        check=read,
        width=14,
    )


def paths_column(field: str, title: str, about: str) -> Column:
    """Paths, or those that stand when it has failed."""
    return read_column(
        BOXES,
        field,
        title,
        lambda _facility, typed: read_paths(typed),
        lambda _facility, value: show_paths(value),
        about,
        names=words_named(("straight", "all")),
    )


def default_column(field: str, kind: Kind, about: str) -> Column:
    """What holds for all ports of a box that say nothing else."""
    title = f"{field.capitalize()} of ports"
    return field_column(DEFAULTS, field, title, kind, about, width=len(title) + 1)


class EquipmentList(Listing):
    """All equipment."""

    title = "Equipment"
    one = "box"
    own_rows = True
    columns = (
        id_column(rename_equipment, check_owner_id, "How addresses name it; renamed everywhere"),
        field_column(BOXES, "name", "Name", TEXT, "What it is", width=20, needed=True),
        field_column(
            BOXES,
            "label",
            "Label",
            TEXT,
            "Printed on strips and the chart; where nothing is typed, the id",
            assumed=lambda facility, key: facility.equipment[key].id,
        ),
        field_column(
            BOXES,
            "place",
            "Place",
            TEXT,
            "Rack or room, and unit: Rack 3, U12",
            names=texts_named(names.places),
            width=14,
        ),
        ports_column("out"),
        ports_column("in"),
        paths_column(
            "paths",
            "Paths",
            "straight, all, or OUTPUT: INPUT, INPUT; OUTPUT: … Where nothing is typed, its outputs "
            "are origins",
        ),
        paths_column("bypass", "Bypass", "The paths that stand when it has failed, as for paths"),
        read_column(
            BOXES,
            "pairs",
            "Pairs",
            lambda _facility, typed: read_pairs(typed),
            lambda _facility, value: show_pairs(value),
            "Stereo pairs, as L/R, 5L/5R; where nothing is typed, by a final L and R",
            assumed=lambda facility, key: show_pairs(facility.equipment[key].stereo_pairs),
        ),
        field_column(
            BOXES, "priority", "Priority", kinds.whole(PRIORITY), "1 is highest: never to be silent"
        ),
        field_column(BOXES, "state", "State", kinds.word(STATES), "used, spare or removed"),
        field_column(
            BOXES,
            "earthed",
            "Earthed",
            YES,
            "Whether its chassis is bonded to protective earth",
            assumed=lambda _facility, _key: "yes",
            width=10,
        ),
        field_column(
            BOXES,
            "drawn",
            "Drawn",
            kinds.word(DRAWN),
            "parts: beside its lines; whole: as one box",
            assumed=lambda _facility, _key: "parts",
            width=10,
        ),
        field_column(
            BOXES,
            "caution",
            "Caution",
            TEXT,
            "What it does for safety or the law; printed wherever a patch goes round it",
            width=18,
        ),
        field_column(BOXES, "note", "Note", TEXT, "Anything worth keeping", width=20),
        default_column("level", kinds.number(LEVEL), "Nominal level of all its ports, dBu"),
        default_column("max", kinds.number(LEVEL), "Level at clipping of all its ports, dBu"),
        default_column("impedance", kinds.number(IMPEDANCE), "Of all its ports, ohm at 1 kHz"),
        default_column("balanced", YES, "Whether all its ports are balanced"),
        default_column("drive", kinds.word(DRIVES), "Of its outputs: floating or driven"),
        default_column("phantom", kinds.word(PHANTOMS), "What all its ports have to do with 48 V"),
    )

    def keys(self, facility: Facility) -> tuple[Key, ...]:
        """As filed."""
        return tuple(facility.equipment)

    def thing(self, facility: Facility, key: Any, column: Column) -> Thing | None:
        """The box."""
        del facility, column
        return Box(key)

    def key_of(self, facility: Facility, thing: Thing) -> Key | None:
        """The box of a thing."""
        return box_of(facility, thing)

    def begin(self, facility: Facility, texts: Mapping[str, str]) -> tuple[Facility, Key]:
        """A box of an id and a name."""
        name = texts["Id"].strip()
        check_owner_id(facility, name)
        return with_box(facility, Equipment(name, kinds.says(TEXT, texts["Name"]))), name

    def remove(self, facility: Facility, keys: Sequence[Any]) -> Facility:
        """Without some boxes and their wires."""
        return without_equipment(facility, keys)

    def removal_name(self, facility: Facility, keys: Sequence[Any]) -> str:
        """With the wires that go."""
        count = wires_of(facility, lambda port: port.equipment in keys)
        wires = f" and {count} wire{'' if count == 1 else 's'}" if count else ""
        return super().removal_name(facility, keys) + wires


def box_of(facility: Facility, thing: Thing) -> str | None:
    """The id of the box that a thing is, is a port of, or is wired to."""
    if isinstance(thing, Box):
        return thing.id
    if isinstance(thing, PortAddress):
        return thing.equipment
    ends = thing.ends if isinstance(thing, Net) else (thing,)
    for end in ends:
        if isinstance(end, PortAddress):
            return end.equipment
        wire = facility.wires.get(end) if isinstance(end, Jack) else None
        if wire is not None:
            return wire.to.equipment
    return None
