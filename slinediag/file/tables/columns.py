"""The columns of an exported workbook, and how a value of a facility file stands in a cell.

A blank cell says nothing. A text that a cell would not give back as it is (empty, with spaces at
its ends, with control characters) stands there as a JSON string in double quotes (RFC 8259).
"""

from __future__ import annotations

import datetime
import json
import re
from collections.abc import Mapping
from typing import Literal, NamedTuple

from slinediag.file.plain import Plain, Table, Text, Word
from slinediag.file.scalars import DATE, NUMBER

Value = str | float | bool | datetime.date | None
Kind = Literal["text", "word", "number", "truth", "date", "words", "paths", "pairs", "texts"]

NOTHING = "none"
"""A list that is filed and empty."""
AWKWARD = re.compile(
    '["\\[]|.*(?:[\x00-\x08\x0b-\x1f\x7f\x85\u2028\u2029\ufeff]|_x[0-9A-Fa-f]{4}_)', re.S
)
"""Texts that spreadsheet programs and XML change, or that look like JSON."""


class Column(NamedTuple):
    """One column: its heading, the keys that lead to its value, and the kind of value."""

    heading: str
    path: tuple[str, ...]
    kind: Kind = "text"


def column(heading: str, kind: Kind = "text", *path: str) -> Column:
    """A column whose key is its heading, unless a path is given."""
    return Column(heading, path or (heading.replace(" ", "_"),), kind)


FACILITY: Mapping[str, Kind] = {
    "name": "text", "owner": "text", "drawing": "text", "revision": "text", "date": "date",
    "drawn_by": "text", "checked_by": "text", "approved_by": "text", "shields": "word",
    "cord_lengths": "words", "limits.loss": "number", "limits.treble": "number",
    "limits.mismatch": "number", "limits.cord_age": "number", "limits.contact": "number",
    "limits.normal": "number", "notes": "text",
}  # fmt: skip
"""Keys of the sheet of keys and values; ``notes`` has a row for each."""

REVISIONS = (column("revision"), column("date", "date"), column("by"), column("what"))
ACCEPTED = (column("rule"), column("where"), column("reason"), column("by"), column("date", "date"))
RACKS = (column("room"), column("x", "number"), column("units", "number"))
EQUIPMENT = (
    column("name"), column("label"), column("place"), column("paths", "paths"),
    column("bypass", "paths"), column("pairs", "pairs"), column("priority", "number"),
    column("earthed", "truth"), column("drawn", "word"), column("state", "word"),
    column("caution"), column("note"),
)  # fmt: skip
PORTS = (
    column("label"), column("level", "number"), column("max", "number"),
    column("impedance", "number"), column("balanced", "truth"), column("drive", "word"),
    column("phantom", "word"), column("priority", "number"), column("origin", "truth"),
    column("standby", "truth"), column("instead", "words"),
)  # fmt: skip
BAYS = (
    column("name"), column("label"), column("style", "word"), column("positions", "number"),
    column("rows", "number"), column("numbering", "word"), column("first", "number"),
    column("place"), column("unit", "number"), column("normal", "word"), column("sleeves", "word"),
    column("earthed", "truth"), column("normals out", "truth"), column("terminations", "word"),
    column("pitch", "number"), column("window", "number"), column("offset", "number"),
    column("note"),
)  # fmt: skip
POINTS = (
    column("top label", "text", "label_top"), column("top", "word", "top", "to"),
    column("normal", "word"), column("bottom", "word", "bottom", "to"),
    column("bottom label", "text", "label_bottom"), column("group"), column("state", "word"),
    column("top cable", "text", "top", "cable"), column("top shield", "word", "top", "shield"),
    column("top swapped", "truth", "top", "swapped"),
    column("bottom cable", "text", "bottom", "cable"),
    column("bottom shield", "word", "bottom", "shield"),
    column("bottom swapped", "truth", "bottom", "swapped"), column("note"),
)  # fmt: skip
NORMALS = (column("from", "word"), column("to", "word"), column("kind", "word"))
LINES = (
    column("from", "word"), column("to", "word"), column("cable"), column("shield", "word"),
    column("swapped", "truth"),
)  # fmt: skip
CABLES = (
    column("type"), column("length", "number"), column("capacitance", "number"),
    column("pairs", "number"), column("colours", "texts"), column("note"),
)  # fmt: skip
CORDS = (
    column("from", "word"), column("to", "word"), column("length", "number"), column("note"),
    column("since", "date"), column("by"),
)  # fmt: skip
PLUGS = (column("jack", "word"), column("note"), column("since", "date"), column("by"))


def text_cell(text: str) -> str:
    """A text as a cell holds it."""
    if not text or text != text.strip() or AWKWARD.match(text):
        return json.dumps(text).replace("_x", "\\u005fx")
    return text


def cell_text(cell: str) -> str:
    """The text that a cell holds."""
    if cell.startswith('"'):
        try:
            found = json.loads(cell)
        except ValueError:
            return cell
        return found if isinstance(found, str) else cell
    return cell


def encoded(value: Plain, kind: Kind) -> Value:
    """A value of a facility file as a cell holds it; None where there is none."""
    if value is None:
        return None
    if kind in ("paths", "pairs", "words", "texts") and not isinstance(value, (Text, Word)):
        return listed(value, kind)
    if not isinstance(value, (Text, Word)):
        raise AssertionError(f"{value} is no single value")
    if kind == "number":
        return number_cell(value.text)
    if kind == "truth":
        return value.text == "true"
    if kind == "date":
        return datetime.date.fromisoformat(value.text)
    return text_cell(value.text)


def number_cell(text: str) -> Value:
    """A number as a cell holds it: as text where 16 digits, all that a cell keeps, are too few."""
    if not re.search("[.eE]", text):
        return int(text)
    number = float(text)
    return number if float(f"{number:.16g}") == number else text


def listed(value: Plain, kind: Kind) -> str:
    """A list or mapping of a facility file in one cell."""
    if isinstance(value, Table):
        parts = [f"{out}: {commas(inputs)}".strip() for out, inputs in value.rows.items()]
        return "; ".join(parts) or NOTHING
    assert isinstance(value, tuple)
    if kind == "texts":
        return json.dumps([one.text for one in value if isinstance(one, (Text, Word))])
    if kind == "pairs":
        return "; ".join(commas(pair) for pair in value) or NOTHING
    return commas(value) or NOTHING


def commas(value: Plain) -> str:
    """The texts of a list with commas between."""
    items = value if isinstance(value, tuple) else ()
    return ", ".join(item.text for item in items if isinstance(item, (Text, Word)))


def decoded(cell: str, kind: Kind) -> Plain:
    """What a cell says as a facility file would; what it should not say is left to the reader."""
    if not cell:
        return None
    if kind == "truth":
        small = cell.strip().casefold()
        return Word(small) if small in ("true", "false") else Text(cell)
    if kind == "number":
        return Word(cell) if NUMBER.match(cell) else Text(cell.strip())
    if kind == "date":
        return Word(cell) if DATE.match(cell) else Text(cell.strip())
    if kind == "word":
        return Text(cell_text(cell).strip())
    if kind == "text":
        return Text(cell_text(cell))
    return unlisted(cell, kind)


def unlisted(cell: str, kind: Kind) -> Plain:
    """The list or mapping that a cell says."""
    if kind == "texts":
        return json_texts(cell) if cell.startswith("[") else Text(cell_text(cell))
    if cell.strip() == NOTHING:
        return Table() if kind == "paths" else ()
    if kind == "words":
        return uncommaed(cell)
    if kind == "pairs":
        return tuple(uncommaed(part) for part in cell.split(";"))
    if ":" not in cell:
        return Text(cell.strip())
    rows = {}
    for part in cell.split(";"):
        out, _, inputs = part.partition(":")
        rows[out.strip()] = uncommaed(inputs)
    return Table(rows, order=tuple(rows))


def uncommaed(text: str) -> tuple[Plain, ...]:
    """The texts between commas."""
    return tuple(Text(part.strip()) for part in text.split(",") if part.strip())


def json_texts(cell: str) -> Plain:
    """The texts of a JSON list; the cell as one text where it is none."""
    try:
        found = json.loads(cell)
    except (ValueError, RecursionError):
        return Text(cell)
    if not isinstance(found, list) or not all(isinstance(one, str) for one in found):
        return Text(cell)
    return tuple(Text(one) for one in found)
