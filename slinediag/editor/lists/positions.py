"""The list of positions: one row a position, as people keep them in spreadsheets."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from slinediag.address import Jack, PortAddress, Row, Side
from slinediag.editor.lists import kinds, names
from slinediag.editor.lists.addresses import read_cable, read_port
from slinediag.editor.lists.listing import (
    Column,
    Key,
    Listing,
    Shelf,
    field_column,
    fixed_column,
    texts_named,
    words_named,
)
from slinediag.editor.things import Box, Thing
from slinediag.file.panels import NORMALS, POINT_STATES, SHIELDS
from slinediag.model.bay import Wire
from slinediag.model.edits import Position
from slinediag.model.facility import Facility
from slinediag.model.items import with_point
from slinediag.model.labels import jack_label
from slinediag.problems import RequestError, problem

SIDES: dict[Row, Side] = {"T": "out", "B": "in"}
TITLES: dict[Row, str] = {"T": "Top", "B": "Bottom"}
FIELDS: dict[Row, str] = {"T": "top", "B": "bottom"}
WIRED: dict[Row, str] = {
    "T": "The output wired to the top jack, by address or label: PLY1.L",
    "B": "The input wired to the bottom jack, by address or label: DESK.5L",
}

POINTS = Shelf(
    lambda facility, key: facility.bays[key.bay].point(key.number),
    with_point,
)


def jack_at(row: Row, key: Position) -> Jack:
    """The jack of a row at a position."""
    return Jack(key.bay, row, key.number)


def wire_at(facility: Facility, row: Row, key: Position) -> Wire | None:
    """The wire in a row at a position."""
    wire: Wire | None = POINTS.get(facility, key).wire(row)
    return wire


def with_wire(facility: Facility, row: Row, key: Position, wire: Wire | None) -> Facility:
    """The facility with another wire at a position."""
    point = replace(POINTS.get(facility, key), **{FIELDS[row]: wire})
    return with_point(facility, key, point)


def port_column(row: Row) -> Column:
    """What is wired to the jacks of a row."""

    def text(facility: Facility, key: Position) -> str:
        wire = wire_at(facility, row, key)
        return names.spelled(facility, wire.to, SIDES[row]) if wire else ""

    def put(facility: Facility, key: Position, typed: str) -> Facility:
        if not typed.strip():
            return with_wire(facility, row, key, None)
        port = read_port(facility, typed, SIDES[row])
        wire = wire_at(facility, row, key)
        fresh = replace(wire, to=port) if wire else Wire(port)
        return with_wire(facility, row, key, fresh)

    return Column(
        TITLES[row],
        text,
        put,
        WIRED[row],
        names=lambda facility, _key: names.ports(facility, SIDES[row]),
        check=lambda facility, typed: typed.strip() and read_port(facility, typed, SIDES[row]),
        called="Wire",
        place=lambda _facility, key: str(jack_at(row, key)),
        width=13,
    )


def label_column(row: Row) -> Column:
    """What is printed at the jacks of a row."""
    return field_column(
        POINTS,
        f"label_{FIELDS[row]}",
        f"{TITLES[row]} label",
        kinds.TEXT,
        "Printed on the strip; where nothing is typed, the label of what is wired",
        assumed=lambda facility, key: jack_label(facility, jack_at(row, key)) or "",
        names=texts_named(names.labels),
        called="Label",
        place=lambda _facility, key: str(jack_at(row, key)),
        width=15,
    )


def wire_column(row: Row, title: str, about: str, **more: Any) -> Column:
    """A fact of the wires in a row: their cable, shield or polarity."""
    field = title.casefold()

    def text(facility: Facility, key: Position) -> str:
        wire = wire_at(facility, row, key)
        value = getattr(wire, field) if wire else None
        if field == "swapped":
            return "yes" if value else ""
        return value or ""

    def put(facility: Facility, key: Position, typed: str) -> Facility:
        wire = wire_at(facility, row, key)
        value = read_fact(facility, field, typed)
        if wire is None:
            if not value:
                return facility
            what = f"nothing is wired to {jack_at(row, key)}"
            hint = f"Say first what is: in the column {TITLES[row]}"
            raise RequestError([problem("", what, hint)])
        return with_wire(facility, row, key, replace(wire, **{field: value}))

    return Column(
        f"{TITLES[row]} {field}",
        text,
        put,
        about,
        check=lambda facility, typed: read_fact(facility, field, typed),
        called=title,
        place=lambda _facility, key: str(jack_at(row, key)),
        **more,
    )


def read_fact(facility: Facility, field: str, typed: str) -> Any:
    """The value of a wire's cable, shield or polarity."""
    if field == "cable":
        return read_cable(facility, typed)
    if field == "shield":
        return kinds.says(kinds.word(SHIELDS), typed)
    return bool(kinds.says(kinds.YES, typed))


def wire_columns(row: Row) -> tuple[Column, ...]:
    """Cable, shield and polarity of the wires in a row."""
    return (
        wire_column(
            row,
            "Cable",
            "The cable it runs in, or a pair of one: S12/3",
            names=lambda facility, _key: names.cables(facility),
        ),
        wire_column(
            row,
            "Shield",
            "Where its shield is joined: both, equipment, bay or none",
            names=words_named(SHIELDS),
        ),
        wire_column(
            row,
            "Swapped",
            "yes where + and − are exchanged on the way",
            names=words_named(("yes",)),
            width=10,
        ),
    )


class Positions(Listing):
    """Every position of every bay."""

    title = "Positions"
    one = "position"
    parts = "Bay"
    all_parts = "All bays"
    columns = (
        fixed_column(
            "Position",
            lambda facility, key: f"{facility.bays[key.bay].printed} {key.number}",
            "Bay and position; printed numbers may differ",
            width=10,
        ),
        label_column("T"),
        port_column("T"),
        field_column(
            POINTS,
            "normal",
            "Normal",
            kinds.word(NORMALS),
            "full, half, reverse-half, parallel or none; where nothing is typed, as the bay has it",
            assumed=lambda facility, key: facility.bays[key.bay].normal_at(key.number),
        ),
        port_column("B"),
        label_column("B"),
        field_column(
            POINTS,
            "group",
            "Group",
            kinds.TEXT,
            "What belongs together on the strip",
            names=texts_named(names.groups),
        ),
        field_column(
            POINTS,
            "state",
            "State",
            kinds.word(POINT_STATES),
            "used, spare or reserved",
            width=10,
        ),
        field_column(POINTS, "note", "Note", kinds.TEXT, "Anything worth keeping", width=20),
        *wire_columns("T"),
        *wire_columns("B"),
    )

    def keys(self, facility: Facility) -> tuple[Key, ...]:
        """Bay by bay, as filed."""
        return tuple(
            Position(bay.id, number)
            for bay in facility.bays.values()
            for number in range(1, bay.width + 1)
        )

    def name(self, facility: Facility, key: Any) -> str:
        """As PB1 3."""
        bay = facility.bays.get(key.bay)
        return f"{bay.printed if bay else key.bay} {key.number}"

    def part(self, key: Any) -> str:
        """Its bay."""
        bay: str = key.bay
        return bay

    def thing(self, facility: Facility, key: Any, column: Column) -> Thing | None:
        """The jack that a column is about, else the top one."""
        if key.bay not in facility.bays:
            return None
        bottom = column.title.startswith(TITLES["B"]) and facility.bays[key.bay].rows != 1
        return jack_at("B" if bottom else "T", key)

    def key_of(self, facility: Facility, thing: Thing) -> Key | None:
        """The position of a jack, of a port's jack, or of the first jack that carries a box."""
        jack = _jack_of(facility, thing)
        return Position(jack.bay, jack.position) if jack else None


def _jack_of(facility: Facility, thing: Thing) -> Jack | None:
    if isinstance(thing, Jack):
        return thing
    if isinstance(thing, PortAddress):
        return facility.carriers.get(thing)
    if isinstance(thing, Box):
        wires = facility.wires.items()
        return next((jack for jack, wire in wires if wire.to.equipment == thing.id), None)
    jacks: Sequence[Jack] = [end for end in thing.ends if isinstance(end, Jack)]
    return jacks[0] if jacks else None
