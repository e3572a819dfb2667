"""A whole facility as a workbook: one sheet a kind of thing, to sort, filter and read in again."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from slinediag.file.outline import outline
from slinediag.file.plain import Plain, Points, Table, Text, Word
from slinediag.file.tables.columns import (
    ACCEPTED,
    BAYS,
    CABLES,
    CORDS,
    EQUIPMENT,
    FACILITY,
    LINES,
    NORMALS,
    PLUGS,
    POINTS,
    PORTS,
    RACKS,
    REVISIONS,
    Column,
    Value,
    encoded,
    text_cell,
)  # fmt: skip
from slinediag.file.tables.workbook import Page, workbook_bytes
from slinediag.file.write import check_texts
from slinediag.model.facility import Facility
from slinediag.problems import WriteError, problem

LONGEST_CELL = 32_767
"""Characters that a cell of a workbook may hold (ECMA-376; from memory)."""

SIDES = (("output", "outputs"), ("input", "inputs"))


def export_workbook(facility: Facility) -> bytes:
    """The workbook of a facility; WriteError where a text is too long for a cell."""
    sections = outline(facility)
    check_texts(sections, "")
    pages = tuple(pages_of(sections))
    problems = [
        problem(f"{page.name}, row {number}", "a text is too long for a cell", "Shorten it")
        for page in pages
        for number, row in enumerate(page.rows, 2)
        if any(isinstance(value, str) and len(value) > LONGEST_CELL for value in row)
    ]
    if problems:
        raise WriteError(problems)
    return workbook_bytes(pages, facility.name)


def pages_of(sections: Table) -> Iterator[Page]:
    """Every sheet; those of which the facility has nothing hold a header only."""
    practice = table(sections.rows["facility"])
    yield Page("Facility", ("key", "value"), (("slinediag", 1), *facility_rows(practice)))
    yield listed("Revisions", REVISIONS, practice.rows.get("revisions"))
    words = table(practice.rows.get("abbreviations")).rows
    shorts = tuple((text_cell(word), encoded(short, "text")) for word, short in words.items())
    yield Page("Abbreviations", ("word", "short form"), shorts)
    yield listed("Accepted", ACCEPTED, practice.rows.get("accept"))
    yield named("Racks", "place", RACKS, sections.rows.get("racks"))
    yield named("Equipment", "id", EQUIPMENT, sections.rows.get("equipment"))
    yield Page("Ports", ("equipment", "side", "port", *headings(PORTS)), tuple(port_rows(sections)))
    yield named("Bays", "id", BAYS, sections.rows.get("bays"))
    yield Page("Points", ("bay", "position", *headings(POINTS)), tuple(point_rows(sections)))
    yield listed("Normals", NORMALS, sections.rows.get("normals"))
    mults = table(sections.rows.get("mults")).rows
    jacks = tuple((name, encoded(value, "words")) for name, value in mults.items())
    yield Page("Mults", ("id", "jacks"), jacks)
    yield named("Lines", "id", LINES, sections.rows.get("lines"))
    yield named("Cables", "id", CABLES, sections.rows.get("cables"))
    yield listed("Cords", CORDS, sections.rows.get("cords"))
    yield listed("Plugs", PLUGS, sections.rows.get("plugs"))


def facility_rows(practice: Table) -> Iterator[tuple[Value, ...]]:
    """The keys and values of the facility, a row for each note."""
    for key, kind in FACILITY.items():
        if key == "notes":
            notes = practice.rows.get("notes")
            for note in notes if isinstance(notes, tuple) else ():
                yield key, encoded(note, kind)
            continue
        value = at(practice, tuple(key.split(".")))
        if value is not None:
            yield key, encoded(value, kind)


def port_rows(sections: Table) -> Iterator[tuple[Value, ...]]:
    """The ports of all equipment, and the keys that hold for all ports of one."""
    for name, box in table(sections.rows.get("equipment")).rows.items():
        defaults = table(box).rows.get("defaults")
        if defaults is not None:
            yield name, "defaults", None, *cells(PORTS, table(defaults))
        for side, key in SIDES:
            for port, keys in table(table(box).rows.get(key)).rows.items():
                yield name, side, port, *cells(PORTS, table(keys))


def point_rows(sections: Table) -> Iterator[tuple[Value, ...]]:
    """The filed positions of all bays."""
    for name, bay in table(sections.rows.get("bays")).rows.items():
        points = table(bay).rows.get("points")
        for position, point in points.rows.items() if isinstance(points, Points) else ():
            yield name, position, *cells(POINTS, point)


def named(title: str, key: str, columns: Sequence[Column], rows: Plain) -> Page:
    """The sheet of things that have an id."""
    filled = tuple(
        (text_cell(n), *cells(columns, table(row))) for n, row in table(rows).rows.items()
    )
    return Page(title, (key, *headings(columns)), filled)


def listed(title: str, columns: Sequence[Column], rows: Plain) -> Page:
    """The sheet of things in a list."""
    items = rows if isinstance(rows, tuple) else ()
    return Page(title, headings(columns), tuple(cells(columns, table(item)) for item in items))


def headings(columns: Sequence[Column]) -> tuple[str, ...]:
    """The header row."""
    return tuple(column.heading for column in columns)


def cells(columns: Sequence[Column], row: Table) -> tuple[Value, ...]:
    """The cells of one thing."""
    return tuple(encoded(at(row, column.path), column.kind) for column in columns)


def at(row: Table, path: Sequence[str]) -> Plain:
    """The value that some keys lead to; None where there is none."""
    value: Plain = row
    for key in path:
        value = table(value).rows.get(key)
    return value


EMPTY: Mapping[str, Plain] = {}


def table(value: Plain) -> Table:
    """A value as a table; an empty one where it is none."""
    if isinstance(value, (Text, Word, Points, tuple)):
        raise AssertionError(f"{value} is no table")
    return value if value is not None else Table(EMPTY)
