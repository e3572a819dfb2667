"""The lists of what joins jacks and ports beside wires: lines, mults, normals across positions."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from slinediag.address import Address, Jack, Side
from slinediag.editor.lists import kinds, names
from slinediag.editor.lists.addresses import read_cable, read_end, read_jack
from slinediag.editor.lists.equipment import id_column
from slinediag.editor.lists.listing import (
    Column,
    Key,
    Listing,
    Shelf,
    field_column,
    fixed_column,
    read_column,
    words_named,
)
from slinediag.editor.things import Box, Net, Thing
from slinediag.file.wiring import CROSS_KINDS, LINE_SHIELDS
from slinediag.model.facility import CrossNormal, Facility, Line, Mult
from slinediag.model.items import with_line, with_mult, without_keys
from slinediag.model.renaming import check_line_id, check_mult_id, rename_line, rename_mult
from slinediag.problems import RequestError, problem

LINES = Shelf(
    lambda facility, key: facility.lines[key],
    lambda facility, _key, line: with_line(facility, line),
)
MULTS = Shelf(
    lambda facility, key: facility.mults[key],
    lambda facility, _key, mult: with_mult(facility, mult),
)


def cross_at(facility: Facility, key: Jack) -> CrossNormal:
    """The normal across positions that ends at a jack."""
    return next(cross for cross in facility.cross_normals if cross.target == key)


def with_cross(facility: Facility, key: Jack, cross: CrossNormal) -> Facility:
    """The facility with another normal in the place of the one that ends at a jack."""
    rows = tuple(cross if c.target == key else c for c in facility.cross_normals)
    return replace(facility, cross_normals=rows)


CROSSES = Shelf(cross_at, with_cross)


def needed_jack(facility: Facility, typed: str) -> Jack:
    """The jack of a cell that may not be empty."""
    refuse_empty(typed)
    return read_jack(facility, typed)


def refuse_empty(typed: str) -> None:
    """RequestError where nothing is typed."""
    if not typed.strip():
        hint = "Name a jack, or remove the row (Alt+Del)"
        raise RequestError([problem("", "this may not be empty", hint)])


def jack_column(shelf: Shelf, field: str, title: str, about: str, **more: Any) -> Column:
    """One end of what runs from jack to jack."""
    more.setdefault("names", lambda facility, _key: names.jacks(facility))
    return read_column(
        shelf,
        field,
        title,
        needed_jack,
        lambda _facility, jack: str(jack),
        about,
        needed=True,
        **more,
    )


def end_column(field: str, title: str, side: Side) -> Column:
    """One end of a line."""

    def read(facility: Facility, typed: str) -> Address:
        refuse_empty(typed)
        return read_end(facility, typed, side)

    return read_column(
        LINES,
        field,
        title,
        read,
        lambda facility, end: names.spelled(facility, end, side),
        "A port of a direct line, or a jack of a tie line, by address or label",
        names=lambda facility, _key: names.ends(facility, side),
        needed=True,
        width=14,
    )


class Lines(Listing):
    """Direct lines and tie lines."""

    title = "Lines"
    one = "line"
    own_rows = True
    columns = (
        id_column(rename_line, check_line_id, "Its name; renamed everywhere"),
        end_column("source", "From", "out"),
        end_column("target", "To", "in"),
        fixed_column(
            "Kind",
            lambda facility, key: "tie line" if facility.lines[key].tie else "direct line",
            "A tie line runs from jack to jack, a direct line from port to port",
            width=11,
        ),
        read_column(
            LINES,
            "cable",
            "Cable",
            read_cable,
            lambda _facility, cable: str(cable),
            "The cable it runs in, or a pair of one: S12/3",
            names=lambda facility, _key: names.cables(facility),
        ),
        field_column(
            LINES,
            "shield",
            "Shield",
            kinds.word(LINE_SHIELDS),
            "Where its shield is joined: both, from, to or none",
        ),
        read_column(
            LINES,
            "swapped",
            "Swapped",
            lambda _facility, typed: bool(kinds.says(kinds.YES, typed)),
            lambda _facility, swapped: "yes" if swapped else "",
            "yes where + and − are exchanged on the way",
            names=words_named(("yes",)),
            width=10,
        ),
    )

    def keys(self, facility: Facility) -> tuple[Key, ...]:
        """As filed."""
        return tuple(facility.lines)

    def thing(self, facility: Facility, key: Any, column: Column) -> Thing | None:
        """The end that a column is about, else where it begins."""
        line = facility.lines[key]
        return line.target if column.title == "To" else line.source

    def key_of(self, facility: Facility, thing: Thing) -> Key | None:
        """The line that ends there."""
        ends = thing.ends if isinstance(thing, Net) else (thing,)
        if isinstance(thing, Box):
            return None
        lines = facility.lines.values()
        return next((n.id for n in lines if n.source in ends or n.target in ends), None)

    def begin(self, facility: Facility, texts: Mapping[str, str]) -> tuple[Facility, Key]:
        """A line of an id and two ends."""
        name = texts["Id"].strip()
        check_line_id(facility, name)
        source = read_end(facility, texts["From"], "out")
        target = read_end(facility, texts["To"], "in")
        return with_line(facility, Line(name, source, target)), name

    def remove(self, facility: Facility, keys: Sequence[Any]) -> Facility:
        """Without some lines."""
        return replace(facility, lines=without_keys(facility.lines, frozenset(keys)))


def read_jacks(facility: Facility, typed: str) -> tuple[Jack, ...]:
    """Several jacks, parted by commas."""
    return tuple(read_jack(facility, part) for part in typed.split(",") if part.strip())


class Mults(Listing):
    """Jacks tied in parallel."""

    title = "Mults"
    one = "mult"
    own_rows = True
    columns = (
        id_column(rename_mult, check_mult_id, "Its name; renamed everywhere"),
        read_column(
            MULTS,
            "jacks",
            "Jacks",
            read_jacks,
            lambda _facility, jacks: ", ".join(map(str, jacks)),
            "The jacks that are tied in parallel: PB1.T40, PB1.T41",
            names=lambda facility, _key: names.jacks(facility),
            width=50,
            several=True,
        ),
    )

    def keys(self, facility: Facility) -> tuple[Key, ...]:
        """As filed."""
        return tuple(facility.mults)

    def thing(self, facility: Facility, key: Any, column: Column) -> Thing | None:
        """Its first jack."""
        del column
        return next(iter(facility.mults[key].jacks), None)

    def key_of(self, facility: Facility, thing: Thing) -> Key | None:
        """The mult that a jack is in."""
        mults = facility.mults.values()
        return next((mult.id for mult in mults if thing in mult.jacks), None)

    def begin(self, facility: Facility, texts: Mapping[str, str]) -> tuple[Facility, Key]:
        """A mult of an id."""
        name = texts["Id"].strip()
        check_mult_id(facility, name)
        return with_mult(facility, Mult(name, ())), name

    def remove(self, facility: Facility, keys: Sequence[Any]) -> Facility:
        """Without some mults."""
        return replace(facility, mults=without_keys(facility.mults, frozenset(keys)))


class Crosses(Listing):
    """Normals across positions; each is known by the jack where it ends."""

    title = "Normals across"
    one = "normal across positions"
    own_rows = True
    columns = (
        jack_column(CROSSES, "source", "From", "Where it begins", width=12),
        jack_column(
            CROSSES,
            "target",
            "To",
            "Where it ends: it takes this jack's break contacts",
            renames=True,
            width=12,
        ),
        field_column(
            CROSSES,
            "kind",
            "Kind",
            kinds.word(CROSS_KINDS),
            "half, full or parallel; a reverse half is a half the other way",
            assumed=lambda _facility, _key: "half",
        ),
    )

    def keys(self, facility: Facility) -> tuple[Key, ...]:
        """As filed."""
        return tuple(cross.target for cross in facility.cross_normals)

    def name(self, facility: Facility, key: Any) -> str:
        """As its two jacks."""
        cross = cross_at(facility, key)
        return f"{cross.source}={cross.target}"

    def thing(self, facility: Facility, key: Any, column: Column) -> Thing | None:
        """The end that a column is about, else where it ends."""
        return cross_at(facility, key).source if column.title == "From" else key

    def key_of(self, facility: Facility, thing: Thing) -> Key | None:
        """The normal that ends or begins at a jack."""
        crosses = facility.cross_normals
        found = next((c.target for c in crosses if c.target == thing), None)
        return found or next((c.target for c in crosses if c.source == thing), None)

    def begin(self, facility: Facility, texts: Mapping[str, str]) -> tuple[Facility, Key]:
        """A normal from a jack to a jack."""
        source, target = read_jack(facility, texts["From"]), read_jack(facility, texts["To"])
        cross = CrossNormal(source, target)
        return replace(facility, cross_normals=(*facility.cross_normals, cross)), target

    def remove(self, facility: Facility, keys: Sequence[Any]) -> Facility:
        """Without some of them."""
        left = tuple(cross for cross in facility.cross_normals if cross.target not in keys)
        return replace(facility, cross_normals=left)

    def renamed(self, facility: Facility, key: Any, column: Column, text: str) -> Key:
        """The jack where it ends now."""
        del key, column
        return read_jack(facility, text)
