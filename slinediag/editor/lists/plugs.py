"""The lists of what is left in jacks by intent: standing cords and dummy plugs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from slinediag.address import Jack
from slinediag.editor.lists import kinds, names
from slinediag.editor.lists.addresses import read_jack
from slinediag.editor.lists.joins import jack_column
from slinediag.editor.lists.kinds import DATE, TEXT
from slinediag.editor.lists.listing import (
    Column,
    Key,
    Listing,
    Name,
    Shelf,
    field_column,
    texts_named,
)
from slinediag.editor.things import Thing
from slinediag.file.practice import CORD_LENGTH
from slinediag.model.edits import with_cord
from slinediag.model.facility import Cord, Facility, Plug


def cord_at(facility: Facility, key: Jack) -> Cord:
    """The standing cord whose first-named end is in a jack."""
    return next(cord for cord in facility.cords if cord.source == key)


def plug_at(facility: Facility, key: Jack) -> Plug:
    """The dummy plug in a jack."""
    return next(plug for plug in facility.plugs if plug.jack == key)


CORDS = Shelf(
    cord_at,
    lambda facility, key, cord: replace(
        facility, cords=tuple(cord if c.source == key else c for c in facility.cords)
    ),
)
PLUGS = Shelf(
    plug_at,
    lambda facility, key, plug: replace(
        facility, plugs=tuple(plug if p.jack == key else p for p in facility.plugs)
    ),
)


def free_jacks(facility: Facility, _key: Any) -> tuple[Name, ...]:
    """The jacks that hold no plug."""
    return names.free_jacks(facility)


def stock(facility: Facility, _key: Any) -> tuple[Name, ...]:
    """The lengths of cords in stock."""
    return names.words(map(kinds.show_number, facility.practice.cord_lengths))


def remarks(shelf: Shelf) -> tuple[Column, ...]:
    """Since when, by whom and why something is left in."""
    return (
        field_column(shelf, "since", "Since", DATE, "The day it was put in: 2026-03-01"),
        field_column(
            shelf, "by", "By", TEXT, "Who put it in", names=texts_named(names.people), width=14
        ),
        field_column(shelf, "note", "Note", TEXT, "Why it stays", width=30),
    )


class Cords(Listing):
    """Standing cords; each is known by the jack of its first-named end."""

    title = "Standing cords"
    one = "standing cord"
    own_rows = True
    columns = (
        jack_column(
            CORDS, "source", "From", "The first-named end", names=free_jacks, renames=True, width=12
        ),
        jack_column(CORDS, "target", "To", "The other end", names=free_jacks, width=12),
        field_column(
            CORDS, "length", "Length", kinds.number(CORD_LENGTH), "Metres", names=stock, width=9
        ),
        *remarks(CORDS),
    )

    def keys(self, facility: Facility) -> tuple[Key, ...]:
        """As filed."""
        return tuple(cord.source for cord in facility.cords)

    def name(self, facility: Facility, key: Any) -> str:
        """As its two jacks."""
        return f"cord {cord_at(facility, key)}"

    def thing(self, facility: Facility, key: Any, column: Column) -> Thing | None:
        """The end that a column is about, else the first."""
        return cord_at(facility, key).target if column.title == "To" else key

    def key_of(self, facility: Facility, thing: Thing) -> Key | None:
        """The cord in a jack."""
        cords = facility.cords
        return next((c.source for c in cords if thing in (c.source, c.target)), None)

    def begin(self, facility: Facility, texts: Mapping[str, str]) -> tuple[Facility, Key]:
        """A cord from a jack to a jack."""
        source, target = read_jack(facility, texts["From"]), read_jack(facility, texts["To"])
        return with_cord(facility, (source, target)), source

    def remove(self, facility: Facility, keys: Sequence[Any]) -> Facility:
        """Without some cords."""
        return replace(facility, cords=tuple(c for c in facility.cords if c.source not in keys))

    def renamed(self, facility: Facility, key: Any, column: Column, text: str) -> Key:
        """The jack of the first-named end now."""
        del key, column
        return read_jack(facility, text)


class DummyPlugs(Listing):
    """Dummy plugs left in jacks."""

    title = "Dummy plugs"
    one = "dummy plug"
    own_rows = True
    columns = (
        jack_column(
            PLUGS, "jack", "Jack", "The jack it is in", names=free_jacks, renames=True, width=12
        ),
        *remarks(PLUGS),
    )

    def keys(self, facility: Facility) -> tuple[Key, ...]:
        """As filed."""
        return tuple(plug.jack for plug in facility.plugs)

    def name(self, facility: Facility, key: Any) -> str:
        """By its jack."""
        del facility
        return f"plug in {key}"

    def thing(self, facility: Facility, key: Any, column: Column) -> Thing | None:
        """Its jack."""
        del facility, column
        jack: Jack = key
        return jack

    def key_of(self, facility: Facility, thing: Thing) -> Key | None:
        """The plug in a jack."""
        return next((plug.jack for plug in facility.plugs if plug.jack == thing), None)

    def begin(self, facility: Facility, texts: Mapping[str, str]) -> tuple[Facility, Key]:
        """A plug in a jack."""
        jack = read_jack(facility, texts["Jack"])
        return replace(facility, plugs=(*facility.plugs, Plug(jack))), jack

    def remove(self, facility: Facility, keys: Sequence[Any]) -> Facility:
        """Without some plugs."""
        return replace(facility, plugs=tuple(p for p in facility.plugs if p.jack not in keys))

    def renamed(self, facility: Facility, key: Any, column: Column, text: str) -> Key:
        """The jack it is in now."""
        del key, column
        return read_jack(facility, text)
