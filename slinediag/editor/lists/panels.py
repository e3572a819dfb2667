"""The lists of what things stand in and run through: bays, racks, cables."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from slinediag.address import Jack, PortAddress
from slinediag.editor.lists import kinds, names
from slinediag.editor.lists.equipment import id_column
from slinediag.editor.lists.kinds import TEXT, YES, Kind
from slinediag.editor.lists.listing import (
    Column,
    Key,
    Listing,
    Shelf,
    field_column,
    fixed_column,
    read_column,
    texts_named,
)
from slinediag.editor.things import Box, Net, Thing
from slinediag.file.panels import (
    FIRST,
    MILLIMETRES,
    NORMALS,
    NUMBERINGS,
    OFFSET,
    POSITIONS,
    ROWS,
    SLEEVES,
    STYLES,
    TERMINATIONS,
    UNIT,
)
from slinediag.file.practice import CABLE_LENGTH, CAPACITANCE, PAIRS, RACK_PLACE, UNITS
from slinediag.model.bay import Bay
from slinediag.model.facility import Cable, Facility, Rack
from slinediag.model.items import with_bay, with_cable, with_rack, without_keys
from slinediag.model.labels import jack_name
from slinediag.model.removing import without_bays
from slinediag.model.renaming import (
    check_cable_id,
    check_owner_id,
    check_rack_name,
    rename_bay,
    rename_cable,
    rename_rack,
)

BAYS = Shelf(
    lambda facility, key: facility.bays[key], lambda facility, _key, bay: with_bay(facility, bay)
)
RACKS = Shelf(
    lambda facility, key: facility.racks[key],
    lambda facility, _key, rack: with_rack(facility, rack),
)
CABLES = Shelf(
    lambda facility, key: facility.cables[key],
    lambda facility, _key, cable: with_cable(facility, cable),
)


def bay_column(
    field: str, title: str, kind: Kind, about: str, usual: str = "", **more: Any
) -> Column:
    """A field of a bay; ``usual`` is what holds for any bay that says nothing."""
    if usual:
        more.setdefault("assumed", lambda _facility, _key: usual)
    more.setdefault("width", 10)
    return field_column(BAYS, field, title, kind, about, **more)


class Bays(Listing):
    """All bays."""

    title = "Bays"
    one = "bay"
    own_rows = True
    columns = (
        id_column(rename_bay, check_owner_id, "How addresses name it; renamed everywhere"),
        bay_column("name", "Name", TEXT, "What it is for", width=20, needed=True),
        bay_column(
            "label",
            "Label",
            TEXT,
            "Printed; where nothing is typed, the id",
            assumed=lambda _facility, key: str(key),
        ),
        bay_column(
            "style", "Style", kinds.word(STYLES), "bantam, long-frame or quarter-inch", "bantam"
        ),
        bay_column(
            "positions",
            "Positions",
            kinds.whole(POSITIONS),
            "Positions a row, 1 to 96",
            assumed=lambda facility, key: str(facility.bays[key].width),
        ),
        bay_column("rows", "Rows", kinds.whole(ROWS), "2: top and bottom; 1: top only", "2"),
        bay_column(
            "normal", "Normal", kinds.word(NORMALS), "Of positions that say nothing", "half"
        ),
        bay_column(
            "place",
            "Place",
            TEXT,
            "The rack it is in",
            names=texts_named(names.places),
            width=14,
        ),
        bay_column("unit", "Unit", kinds.whole(UNIT), "Rack unit, from the bottom"),
        bay_column(
            "numbering",
            "Numbering",
            kinds.word(NUMBERINGS),
            "As printed: rows (1–48 over 1–48) or through (1–48 over 49–96)",
            "rows",
        ),
        bay_column("first", "First", kinds.whole(FIRST), "The first number that is printed", "1"),
        bay_column(
            "sleeves",
            "Sleeves",
            kinds.word(SLEEVES),
            "single, rows, all, pairs or switched",
            "single",
        ),
        bay_column(
            "earthed",
            "Earthed",
            YES,
            "Whether the bus, or each sleeve, is bonded to technical earth",
            assumed=lambda facility, key: "yes" if facility.bays[key].bonded else "no",
        ),
        bay_column(
            "normals_out", "Normals out", YES, "Whether break contacts are at the rear", "no"
        ),
        bay_column(
            "terminations",
            "Terminations",
            kinds.word(TERMINATIONS),
            "idc, solder or connector",
            "idc",
        ),
        bay_column(
            "pitch",
            "Pitch",
            kinds.number(MILLIMETRES),
            "From jack to jack, mm",
            assumed=lambda facility, key: f"{facility.bays[key].jack_pitch:.2f}",
        ),
        bay_column(
            "window", "Window", kinds.number(MILLIMETRES), "Height of the strip's window, mm"
        ),
        bay_column(
            "offset", "Offset", kinds.number(OFFSET), "First jack from the window's left end, mm"
        ),
        bay_column("note", "Note", TEXT, "Anything worth keeping", width=20),
    )

    def keys(self, facility: Facility) -> tuple[Key, ...]:
        """As filed."""
        return tuple(facility.bays)

    def thing(self, facility: Facility, key: Any, column: Column) -> Thing | None:
        """Its first jack."""
        del facility, column
        return Jack(key, "T", 1)

    def key_of(self, facility: Facility, thing: Thing) -> Key | None:
        """The bay of a jack, or of a port's jack."""
        jack = facility.carriers.get(thing) if isinstance(thing, PortAddress) else thing
        return jack.bay if isinstance(jack, Jack) else None

    def begin(self, facility: Facility, texts: Mapping[str, str]) -> tuple[Facility, Key]:
        """A bay of an id and a name."""
        name = texts["Id"].strip()
        check_owner_id(facility, name)
        return with_bay(facility, Bay(name, kinds.says(TEXT, texts["Name"]))), name

    def remove(self, facility: Facility, keys: Sequence[Any]) -> Facility:
        """Without some bays and all that is at their jacks."""
        return without_bays(facility, keys)

    def removal_name(self, facility: Facility, keys: Sequence[Any]) -> str:
        """With what goes with them."""
        wired = sum(jack.bay in keys for jack in facility.wires)
        more = f" with {wired} wire{'' if wired == 1 else 's'}" if wired else ""
        return super().removal_name(facility, keys) + more


class Racks(Listing):
    """Racks and other places whose position is known."""

    title = "Racks"
    one = "rack"
    own_rows = True
    columns = (
        Column(
            "Place",
            lambda _facility, key: str(key),
            lambda facility, key, typed: rename_rack(facility, key, typed.strip()),
            "The rack's name, as places of equipment and bays say it; renamed everywhere",
            names=texts_named(names.places),
            check=lambda facility, typed: check_rack_name(facility, typed.strip()),
            called="Name",
            width=16,
            needed=True,
            renames=True,
            sound=True,
        ),
        field_column(RACKS, "room", "Room", TEXT, "The room it stands in", width=16),
        field_column(RACKS, "x", "From the left", kinds.number(RACK_PLACE), "Metres", width=13),
        field_column(RACKS, "units", "Units", kinds.whole(UNITS), "Its height in rack units"),
    )

    def keys(self, facility: Facility) -> tuple[Key, ...]:
        """As filed."""
        return tuple(facility.racks)

    def name(self, facility: Facility, key: Any) -> str:
        """Its name."""
        del facility
        return str(key)

    def begin(self, facility: Facility, texts: Mapping[str, str]) -> tuple[Facility, Key]:
        """A rack of a name."""
        name = texts["Place"].strip()
        check_rack_name(facility, name)
        return with_rack(facility, Rack(name)), name

    def remove(self, facility: Facility, keys: Sequence[Any]) -> Facility:
        """Without some racks; what stands in them keeps its place's name."""
        return replace(facility, racks=without_keys(facility.racks, frozenset(keys)))


def read_colours(_facility: Facility, typed: str) -> str | tuple[str, ...] | None:
    """The name of a scheme, or the colours of pairs parted by commas; a list of one ends in one."""
    if "," in typed:
        return tuple(kinds.says(kinds.several(TEXT), typed.rstrip().removesuffix(",")))
    found: str | None = kinds.says(TEXT, typed)
    return found


def show_colours(_facility: Facility, colours: str | tuple[str, ...]) -> str:
    """Colours as a text; a list of one has a comma behind it."""
    if isinstance(colours, str):
        return colours
    return ", ".join(colours) + ("," if len(colours) == 1 else "")


def cable_ends(facility: Facility, cable: str) -> list[Jack | PortAddress]:
    """Jacks whose wires run in a cable, and the first ends of lines that do."""
    found: list[Jack | PortAddress] = [
        jack
        for jack, wire in facility.wires.items()
        if wire.cable and wire.cable.partition("/")[0] == cable
    ]
    lines = facility.lines.values()
    found += [n.source for n in lines if n.cable and n.cable.partition("/")[0] == cable]
    return found


def used_at(facility: Facility, key: str) -> str:
    """Where a cable is used, in words."""
    ends = cable_ends(facility, key)
    shown = [jack_name(facility, e) if isinstance(e, Jack) else facility.spelled(e) for e in ends]
    return ", ".join(shown[:3]) + (f" and {len(shown) - 3} more" if len(shown) > 3 else "")


class Cables(Listing):
    """All cables of which more is known than their ids."""

    title = "Cables"
    one = "cable"
    own_rows = True
    columns = (
        id_column(rename_cable, check_cable_id, "As wires name it; renamed everywhere"),
        field_column(CABLES, "type", "Type", TEXT, "What it is", width=16),
        field_column(CABLES, "length", "Length", kinds.number(CABLE_LENGTH), "Metres", width=9),
        field_column(
            CABLES,
            "capacitance",
            "Capacitance",
            kinds.number(CAPACITANCE),
            "pF per metre, core to core",
            assumed=lambda _facility, _key: "100",
        ),
        field_column(CABLES, "pairs", "Pairs", kinds.whole(PAIRS), "How many pairs", width=8),
        read_column(
            CABLES,
            "colours",
            "Colours",
            read_colours,
            show_colours,
            "The name of a scheme, or the pairs' colours parted by commas",
            width=16,
        ),
        fixed_column("Used at", used_at, "The jacks and lines it serves", width=20),
        field_column(CABLES, "note", "Note", TEXT, "Anything worth keeping", width=20),
    )

    def keys(self, facility: Facility) -> tuple[Key, ...]:
        """As filed."""
        return tuple(facility.cables)

    def thing(self, facility: Facility, key: Any, column: Column) -> Thing | None:
        """The first jack or port that it serves."""
        del column
        return next(iter(cable_ends(facility, key)), None)

    def key_of(self, facility: Facility, thing: Thing) -> Key | None:
        """The cable at a jack or a port's jack."""
        if isinstance(thing, (Box, Net)):
            return None
        jack = facility.carriers.get(thing) if isinstance(thing, PortAddress) else thing
        wire = facility.wires.get(jack) if jack else None
        name = wire.cable.partition("/")[0] if wire and wire.cable else ""
        return name if name in facility.cables else None

    def begin(self, facility: Facility, texts: Mapping[str, str]) -> tuple[Facility, Key]:
        """A cable of an id; wires may name it already."""
        name = texts["Id"].strip()
        check_cable_id(facility, name)
        return with_cable(facility, Cable(name)), name

    def remove(self, facility: Facility, keys: Sequence[Any]) -> Facility:
        """Without some cables; wires go on naming them."""
        return replace(facility, cables=without_keys(facility.cables, frozenset(keys)))
