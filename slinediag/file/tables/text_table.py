"""CSV as people and programs write it: encodings, separators and quotes found out.

The form is that of RFC 4180; separators and encodings vary with the country of the spreadsheet.
"""

from __future__ import annotations

import csv
import io
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from slinediag.file.source import refusal
from slinediag.file.tables.cells import Sheet
from slinediag.file.tables.limits import check_area

SEPARATORS = (",", ";", "\t")
SEPARATOR_NAMES = {",": "commas", ";": "semicolons", "\t": "tabs"}
MARKED = ((b"\xef\xbb\xbf", "utf-8-sig", "UTF-8"), (b"\xff\xfe", "utf-16", "UTF-16"),
          (b"\xfe\xff", "utf-16", "UTF-16"))  # fmt: skip
SAMPLE_ROWS = 200
SAVE_AGAIN = "Save the table as CSV in UTF-8, or as XLSX"


@dataclass(frozen=True, slots=True)
class TextTable:
    """A CSV file as a sheet, and how its bytes were read."""

    sheet: Sheet
    encoding: str
    separator: str
    torn: bool

    def words(self) -> str:
        """How it was read, for the report."""
        return f"{self.encoding}, cells between {SEPARATOR_NAMES[self.separator]}"


def read_text_table(data: bytes, name: str) -> TextTable:
    """The sheet of a CSV file's bytes; FileErrors where they are no text."""
    text, encoding = decode(data, name)
    first, _, rest = text.partition("\n")
    told = first.strip().strip('"').casefold()
    if told.startswith("sep=") and told[4:] in SEPARATORS:
        separator, body = told[4:], rest
    else:
        separator, body = find_separator(text), text
    rows, torn = parse(body, separator, name)
    check_area(len(rows), max(map(len, rows), default=0), name)
    return TextTable(Sheet("", tuple(map(tuple, rows))), encoding, separator, torn)


def decode(data: bytes, name: str) -> tuple[str, str]:
    """The text of the bytes and the name of its encoding; FileErrors where they are no text.

    What is not UTF-8 is taken for Windows-1252, the encoding of western spreadsheets.
    """
    for mark, codec, called in MARKED:
        if data.startswith(mark):
            try:
                return data.decode(codec), called
            except UnicodeDecodeError:
                raise refusal(name, f"the file is damaged: not {called} text", SAVE_AGAIN) from None
    if b"\0" in data:
        raise refusal(name, "this is not a table: the file holds zero bytes", SAVE_AGAIN)
    for codec, called in (("utf-8", "UTF-8"), ("cp1252", "Windows-1252")):
        try:
            return data.decode(codec), called
        except UnicodeDecodeError:
            continue
    raise refusal(name, "the encoding is neither UTF-8 nor Windows-1252", SAVE_AGAIN)


def find_separator(text: str) -> str:
    """The separator by which most rows have the same number of cells, more than one."""
    return max(SEPARATORS, key=lambda separator: regular(text, separator))


def regular(text: str, separator: str) -> tuple[int, int]:
    """How many of the first rows have one same width above 1, and that width."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator)
    widths: Counter[int] = Counter()
    try:
        for _, row in zip(range(SAMPLE_ROWS), reader, strict=False):
            widths[len(row)] += len(row) > 1
    except csv.Error:
        pass
    return max(((count, width) for width, count in widths.items()), default=(0, 0))


def parse(text: str, separator: str, name: str) -> tuple[Sequence[list[str]], bool]:
    """The rows, and whether a quote was never closed; FileErrors where a cell is too long."""
    for strict in (True, False):
        reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=strict)
        try:
            return list(reader), not strict
        except csv.Error as error:
            if not strict:
                what = f"line {reader.line_num} cannot be read as CSV: {error}"
                raise refusal(name, what, SAVE_AGAIN) from None
    raise AssertionError("unreachable")
