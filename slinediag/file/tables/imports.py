"""A table in, a facility file out: the whole way from bytes to bytes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from slinediag.file.read import parse
from slinediag.file.tables.book import Book
from slinediag.file.tables.fields import Mapped
from slinediag.file.tables.intake import import_table
from slinediag.file.tables.ledger import Report
from slinediag.file.tables.report_words import head_comments
from slinediag.file.tables.whole import is_whole, read_whole
from slinediag.file.write import new_file, settled
from slinediag.model.facility import Facility
from slinediag.problems import WriteError, problem


@dataclass(frozen=True, slots=True)
class Import:
    """A table as a facility file: its bytes, what they say, and the report of the table."""

    data: bytes
    facility: Facility
    report: Report


def import_book(book: Book, maps: Sequence[Mapped] = (), name: str = "") -> Import:
    """The facility file of a table, or of an exported workbook.

    FileErrors where the table cannot be used; WriteError where what it says cannot be filed.
    """
    if is_whole(book):
        facility, marks = read_whole(book)
        if name:
            facility = replace(facility, practice=replace(facility.practice, name=name))
        layouts = ("a whole facility as slinediag exports it: nothing was guessed",)
        fates = {mark.cell: "note" for mark in marks if mark.cell is not None}
        report = Report(book.name, book.how, layouts, (), (), (), marks, fates)
        return Import(new_file(facility), facility, report)
    imported = import_table(book, maps, name)
    facility, report = imported.facility, imported.report
    data = head_comments(report).encode() + new_file(facility)
    if settled(parse(data, "").facility) != settled(facility):
        what = "the facility does not read back as it was imported"
        raise WriteError([problem("", what, "Please report this with the table")], book.name)
    return Import(data, facility, report)
