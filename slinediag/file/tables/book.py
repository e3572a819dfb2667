"""A table file of any kind as sheets of text."""

from __future__ import annotations

import os
import re
import stat
from dataclasses import dataclass

from slinediag.file.source import check_kind, read_bytes, refusal
from slinediag.file.tables.cells import Sheet
from slinediag.file.tables.limits import LARGEST
from slinediag.file.tables.text_table import read_text_table

ARCHIVE = b"PK\x03\x04"
OLD_WORKBOOK = b"\xd0\xcf\x11\xe0"
FACILITY = re.compile(rb"\A(?:\xef\xbb\xbf)?(?:\s|#[^\n]*\n|---\n)*slinediag:\s")
"""How facility files begin, remarks left out."""
FACILITY_FILES = (".yaml", ".yml")
WORKBOOKS, TEXTS = (".xlsx", ".xlsm"), (".csv", ".tsv", ".txt")


@dataclass(frozen=True, slots=True)
class Book:
    """The sheets of a table file, the name of the file, and how its bytes were read."""

    name: str
    sheets: tuple[Sheet, ...]
    how: str
    torn: bool = False

    @property
    def stem(self) -> str:
        """The name of the file without folder and ending."""
        return os.path.splitext(os.path.basename(self.name))[0]


def load_book(path: str | os.PathLike[str]) -> Book:
    """Read a table file; FileErrors where it is no table of a fair size."""
    name = os.fsdecode(path)
    try:
        found = os.stat(name)
    except (OSError, ValueError):
        return read_book(read_bytes(name), name)
    if found.st_size > LARGEST:
        what = f"the table is larger than {LARGEST // 1024 // 1024} MiB"
        raise refusal(name, what, "Check that it is a table of positions; divide it if it is")
    if stat.S_ISDIR(found.st_mode):
        raise refusal(name, "this is a folder, not a file", "Name the table in it")
    check_kind(found, name)
    return read_book(read_bytes(name), name)


def read_book(data: bytes, name: str) -> Book:
    """The sheets in the bytes of a table file; FileErrors where they are no table."""
    if data.startswith(OLD_WORKBOOK):
        hint = "Save it as XLSX or CSV, without a password"
        raise refusal(name, "this is a workbook of an old kind, or a locked one", hint)
    if data.startswith(ARCHIVE):
        # Loaded only now: a CSV is read without the library for workbooks.
        from slinediag.file.tables.workbook import read_workbook

        book = Book(name, read_workbook(data, name), "workbook")
    elif name.lower().endswith(WORKBOOKS):
        raise refusal(name, "this is not a workbook, whatever its name says", "Save it as XLSX")
    elif FACILITY.match(data) or name.lower().endswith(FACILITY_FILES):
        hint = "It needs no import; slinediag export makes a table of it"
        raise refusal(name, "this is a facility file, not a table", hint)
    else:
        table = read_text_table(data, name)
        book = Book(name, (table.sheet,), table.words(), table.torn)
    if not any(True for sheet in book.sheets for _ in sheet.cells()):
        raise refusal(name, "the table is empty", "Check that this is the right table")
    return book
