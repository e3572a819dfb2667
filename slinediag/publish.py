"""Papers as files: sheets as PDF and SVG, tables as CSV and XLSX, in one folder."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

from slinediag.file.save import save
from slinediag.model.facility import Facility
from slinediag.papers.kinds import KINDS, Kind
from slinediag.papers.spreadsheet import csv_bytes, xlsx_bytes
from slinediag.problems import WriteError, problem


def write_papers(facility: Facility, kind: str, folder: Path, stem: str) -> tuple[Path, ...]:
    """Write the papers of one kind into a folder, which is made where there is none; the paths.

    All of them are made before the first is written. KeyError for an unknown kind; RequestError
    where Qt, which paints PDF, cannot be loaded; WriteError.
    """
    files = [
        (folder / name, data) for name, data in _files(facility, KINDS[kind], f"{stem}-{kind}")
    ]
    make_folder(folder)
    for path, data in files:
        save(path, data)
    return tuple(path for path, _ in files)


def write_book(facility: Facility, folder: Path, stem: str) -> tuple[Path, ...]:
    """Write the book of a facility as one PDF; errors as with ``write_papers``."""
    from slinediag.paint.binding import Bookmark, Link, bind
    from slinediag.paint.pdf import pdf
    from slinediag.papers.book import make_book

    book = make_book(facility)
    data = bind(
        pdf(book.pages),
        title=book.title,
        bookmarks=[Bookmark(*bookmark) for bookmark in book.bookmarks],
        links=[Link(jump.page, jump.box, jump.target) for jump in book.jumps],
        date=facility.practice.date,
    )
    make_folder(folder)
    path = folder / f"{stem}-book.pdf"
    save(path, data)
    return (path,)


def make_folder(folder: Path) -> None:
    """Make a folder and those above it; WriteError where that cannot be done."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        reason = error.strerror or str(error)
        what = f"cannot make this folder: {reason}"
        raise WriteError([problem("", what, "Choose another with -o")], os.fspath(folder)) from None


def _files(facility: Facility, kind: Kind, stem: str) -> Iterator[tuple[str, bytes]]:
    from slinediag.paint.pdf import pdf
    from slinediag.paint.svg import paint

    sheets = kind.sheets(facility)
    yield f"{stem}.pdf", pdf(sheets)
    digits = len(str(len(sheets)))
    for number, sheet in enumerate(sheets, 1):
        yield f"{stem}-{number:0{digits}}.svg", paint(sheet).encode()
    tables = kind.tables(facility)
    for table in tables:
        yield f"{stem}-{table.name}.csv", csv_bytes(table)
    if tables:
        yield f"{stem}.xlsx", xlsx_bytes(tables, f"{facility.name}: {kind.title}")
