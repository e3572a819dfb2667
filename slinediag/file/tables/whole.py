"""An exported workbook read in again: sheets → plain values → facility, every mistake told.

The workbook's cells are put into the form of a facility file and read by the reader of those, so
that both mean the same and are held to the same rules.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence

from slinediag.file.emit import file_lines
from slinediag.file.plain import Plain, Points, Table, Text, Word
from slinediag.file.read import parse
from slinediag.file.tables.book import Book
from slinediag.file.tables.cells import CellRef, Sheet, clean
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
    Kind,
    cell_text,
    decoded,
)  # fmt: skip
from slinediag.file.tables.ledger import Mark
from slinediag.model.facility import Facility
from slinediag.problems import FileErrors, Problem, problem

VERSION_KEY = "slinediag"
LISTS: Mapping[str, tuple[str, Sequence[Column]]] = {
    "Normals": ("normals", NORMALS), "Cords": ("cords", CORDS), "Plugs": ("plugs", PLUGS),
    "Revisions": ("revisions", REVISIONS), "Accepted": ("accept", ACCEPTED),
}  # fmt: skip
ITEMS: Mapping[str, tuple[str, str, Sequence[Column]]] = {
    "Racks": ("racks", "place", RACKS), "Equipment": ("equipment", "id", EQUIPMENT),
    "Bays": ("bays", "id", BAYS), "Lines": ("lines", "id", LINES),
    "Cables": ("cables", "id", CABLES),
    "Mults": ("mults", "id", (Column("jacks", (), "words"),)),
    "Abbreviations": ("abbreviations", "word", (Column("short form", ()),)),
}  # fmt: skip
PORT_SIDES = {"output": "outputs", "input": "inputs", "defaults": "defaults"}
HEADS: Mapping[str, Sequence[Column]] = {
    "Facility": (Column("key", ()), Column("value", ())),
    "Ports": (Column("equipment", ()), Column("side", ()), Column("port", ()), *PORTS),
    "Points": (Column("bay", ()), Column("position", ()), *POINTS),
    **{title: columns for title, (_, columns) in LISTS.items()},
    **{title: (Column(key, ()), *columns) for title, (_, key, columns) in ITEMS.items()},
}
Rows = Mapping[str, Plain]


def is_whole(book: Book) -> bool:
    """Whether a book is a workbook that was exported."""
    return any(
        sheet.name == "Facility"
        and any(sheet.text(row, 1) == VERSION_KEY for row in range(1, len(sheet.rows) + 1))
        for sheet in book.sheets
    )


def read_whole(book: Book) -> tuple[Facility, tuple[Mark, ...]]:
    """The facility of an exported workbook, and what was added to it that no key holds.

    FileErrors with every mistake and its cell. What people add beside the tables is kept as notes
    of the facility; a heading that is not known is a mistake, since it may be a known one misspelt.
    """
    reader = WholeReader(book)
    sections = reader.sections()
    if reader.problems:
        raise FileErrors(reader.problems, book.name)
    data = ("\n".join(file_lines(sections)) + "\n").encode("utf-8", errors="replace")
    try:
        return parse(data, book.name).facility, tuple(reader.marks)
    except FileErrors as errors:
        placed = tuple(dict.fromkeys(reader.placed(found) for found in errors.errors))
        raise FileErrors(placed, book.name) from None


class WholeReader:
    """Reads the sheets of one workbook."""

    def __init__(self, book: Book) -> None:
        self._sheets = {sheet.name: sheet for sheet in book.sheets}
        self.problems: list[Problem] = []
        self.marks: list[Mark] = []
        self._notes: list[str] = []
        self._cells: dict[str, str] = {}

    def sections(self) -> Table:
        """The whole facility as plain values."""
        for name, sheet in self._sheets.items():
            if name not in HEADS:
                self._further_sheet(sheet)
            for (row, column), text in sheet.remarks.items():
                self._kept(sheet.ref(row, column), clean(text), "comment")
        items = {title: self._items(title) for title in ITEMS}
        self._ports(items["Equipment"])
        self._points(items["Bays"])
        lists = {title: self._list(title) for title in LISTS}
        practice = self._practice()
        practice["revisions"] = lists["Revisions"] or None
        practice["abbreviations"] = Table(items["Abbreviations"])
        practice["accept"] = lists["Accepted"] or None
        notes = practice["notes"] if isinstance(practice["notes"], tuple) else ()
        practice["notes"] = (*notes, *map(Text, self._notes)) or None
        sections: dict[str, Plain] = {"slinediag": Word("1"), "facility": spread(practice)}
        for title in ("Racks", "Equipment", "Bays", "Lines", "Mults", "Cables"):
            if items[title]:
                sections[ITEMS[title][0]] = Table(items[title], spread=True)
        for title in ("Normals", "Cords", "Plugs"):
            if lists[title]:
                sections[LISTS[title][0]] = lists[title]
        return Table(sections, spread=True)

    def placed(self, found: Problem) -> Problem:
        """A problem of the facility with its cell in place of its line."""
        where = found.where
        keys = [
            key for key in self._cells if where == key or where.startswith((f"{key}.", f"{key}["))
        ]
        cell = self._cells[max(keys, key=len)] if keys else ""
        # Messages name both places of what stands twice by lines of a file that no one sees.
        what = re.sub(r" \(line \d+\)", "", found.what)
        return problem(f"{cell}: {where}" if cell and where else where or cell, what, found.hint)

    def _wrong(self, where: str, what: str, hint: str = "") -> None:
        self.problems.append(problem(where, what, hint))

    def _further_sheet(self, sheet: Sheet) -> None:
        """Keep a sheet that is none of a facility's; refuse it where it may be one renamed."""
        missing = [name for name in HEADS if name not in self._sheets]
        if missing:
            what = f"no sheet of a facility has this name, and {missing[0]} is not there"
            self._wrong(sheet.name, what, f"Call it {missing[0]} if it is that; or delete it")
            return
        for row in range(1, len(sheet.rows) + 1):
            if filled := sheet.filled(row):
                text = " | ".join(sheet.text(row, column) for column in filled)
                self._kept(sheet.ref(row, filled[0]), text, "no sheet of a facility")

    def _kept(self, cell: CellRef, text: str, why: str) -> None:
        """Keep a text that no key of a facility holds, and tell it."""
        self._notes.append(f"{'comment at ' if why == 'comment' else ''}{cell}: {text}")
        self.marks.append(Mark(cell, text, f"{why}: kept as a note of the facility"))

    def _rows(self, title: str) -> Iterator[tuple[str, dict[str, str]]]:
        """The rows of a sheet as heading → cell, each with the place of its first cell."""
        sheet = self._sheets.get(title)
        if sheet is None:
            return
        known = [column.heading for column in HEADS[title]]
        at = {c: sheet.text(1, c) for c in range(1, sheet.width + 1)}
        for column, heading in at.items():
            twice = heading and list(at.values()).count(heading) > 1
            if (heading and heading not in known) or twice:
                what = (
                    f"the heading {heading!r} stands twice"
                    if twice
                    else f"no column is called {heading!r}"
                )
                hint = f"Known here: {', '.join(known)}. Columns of your own go on another sheet"
                self._wrong(str(sheet.ref(1, column)), what, hint)
        for row in range(2, len(sheet.rows) + 1):
            cells = {at[c]: value for c in at if (value := sheet.raw(row, c)).strip()}
            for column in sheet.filled(row):
                if not at[column]:
                    cell, text = sheet.ref(row, column), sheet.text(row, column)
                    self._kept(cell, text, "under no heading")
            cells.pop("", None)
            if cells:
                yield str(sheet.ref(row, 1)), cells

    def _list(self, title: str) -> tuple[Plain, ...]:
        key, columns = LISTS[title]
        found: list[Plain] = []
        for place, cells in self._rows(title):
            self._cells[f"{key}[{len(found) + 1}]"] = place
            found.append(Table(values(columns, cells)))
        return tuple(found)

    def _items(self, title: str) -> dict[str, Plain]:
        section, key, columns = ITEMS[title]
        found: dict[str, Plain] = {}
        for place, cells in self._rows(title):
            name = cell_text(cells.get(key, ""))
            if key not in cells or name in found:
                what = (
                    f"the {key} {name} stands twice" if name in found else f"this row has no {key}"
                )
                self._wrong(place, what, "Give every row one of its own")
                continue
            self._cells[f"{section}.{name}"] = place
            if columns[0].path:
                found[name] = Table(values(columns, cells), spread=section == "bays")
            else:
                found[name] = decoded(cells.get(columns[0].heading, ""), columns[0].kind) or (
                    () if columns[0].kind == "words" else Text("")
                )
        return found

    def _ports(self, boxes: dict[str, Plain]) -> None:
        """Put the ports into their equipment."""
        found: dict[tuple[str, str], dict[str, Plain]] = {}
        for place, cells in self._rows("Ports"):
            name, port = cell_text(cells.get("equipment", "")), cell_text(cells.get("port", ""))
            side = PORT_SIDES.get(cells.get("side", "").strip().casefold(), "")
            ports = found.setdefault((name, side), {})
            if name not in boxes:
                self._wrong(
                    place, f"there is no equipment {name!r}", "Add it to the sheet Equipment"
                )
            elif not side:
                self._wrong(
                    place, "the side is neither output, input nor defaults", "Write one of them"
                )
            elif bool(port) == (side == "defaults"):
                what = "defaults are of no port" if port else "this row has no port"
                self._wrong(place, what, "Write defaults for what holds for all ports")
            elif port in ports:
                self._wrong(place, f"the port {port} stands twice", "Keep one of the rows")
            ports[port] = Table(values(PORTS, cells))
            self._cells[f"equipment.{name}.{side}" + (f".{port}" if port else "")] = place
        for (name, side), ports in found.items():
            if isinstance(box := boxes.get(name), Table) and side:
                keys = (
                    ports.get("") if side == "defaults" else Table(ports, tuple(ports), listed=True)
                )
                boxes[name] = Table({**box.rows, side: keys})

    def _points(self, bays: dict[str, Plain]) -> None:
        """Put the positions into their bays."""
        found: dict[str, dict[int, Table]] = {}
        for place, cells in self._rows("Points"):
            name, number = cell_text(cells.get("bay", "")), cells.get("position", "").strip()
            points = found.setdefault(name, {})
            if name not in bays:
                self._wrong(place, f"there is no bay {name!r}", "Add it to the sheet Bays")
                continue
            twice = number in map(str, points)
            if twice or not re.fullmatch("[1-9][0-9]{0,3}", number, re.ASCII):
                what = f"position {number} stands twice" if twice else "no position is named"
                self._wrong(place, what, "Give every row a position of its own, from 1")
                continue
            points[int(number)] = point_of(cells)
            self._cells[f"bays.{name}.points.{number}"] = place
            self._cells[f"{name}.T{number}"] = self._cells[f"{name}.B{number}"] = place
        for name, points in found.items():
            bay = bays.get(name)
            if isinstance(bay, Table) and points:
                bays[name] = Table({**bay.rows, "points": Points(points)}, spread=True)

    def _practice(self) -> dict[str, Plain]:
        """The keys and values of the facility."""
        found: dict[str, Plain] = {}
        notes: list[Plain] = []
        limits: dict[str, Plain] = {}
        for place, cells in self._rows("Facility"):
            key = cells.get("key", "").strip()
            kind: Kind | None = FACILITY.get(key)
            value = decoded(cells.get("value", ""), kind) if kind else None
            if key == VERSION_KEY:
                self._version(place, cells.get("value", ""))
            elif kind is None:
                self._wrong(place, f"no key is called {key!r}", f"Known: {', '.join(FACILITY)}")
            elif key == "notes":
                notes.append(value if value is not None else Text(""))
            elif key in found or key in limits:
                self._wrong(place, f"{key} stands twice", "Keep one of the rows")
            elif key.startswith("limits."):
                limits[key] = value
            else:
                found[key] = value
            self._cells[f"facility.{key}"] = place
        inside = {key.removeprefix("limits."): value for key, value in limits.items()}
        return {**found, "limits": Table(inside), "notes": tuple(notes) or None}

    def _version(self, place: str, value: str) -> None:
        if value.strip() != "1":
            what = f"this program reads version 1 of the format, not {value.strip()!r}"
            self._wrong(place, what, "Use a newer slinediag")


def values(columns: Sequence[Column], cells: Mapping[str, str]) -> Rows:
    """The keys and values of one row; a blank cell says nothing."""
    found = {c.path[0]: decoded(cells.get(c.heading, ""), c.kind) for c in columns}
    return {key: value for key, value in found.items() if value is not None}


def point_of(cells: Mapping[str, str]) -> Table:
    """One position: its wires are tables of their own."""
    rows: dict[str, Plain] = {}
    wires: dict[str, dict[str, Plain]] = {}
    for name, path, kind in POINTS:
        value = decoded(cells.get(name, ""), kind)
        if value is None:
            continue
        if len(path) == 1:
            rows[path[0]] = value
        else:
            wires.setdefault(path[0], {})[path[1]] = value
    return Table({**{row: Table(keys, short="to") for row, keys in wires.items()}, **rows})


def spread(practice: Mapping[str, Plain]) -> Table:
    """The section of the facility; keys that say nothing are left out."""
    kept = {
        key: value
        for key, value in practice.items()
        if value is not None and not (isinstance(value, Table) and not value.rows)
    }
    return Table(kept, spread=True)
