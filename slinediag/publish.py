"""Papers as files: sheets as PDF and SVG, tables as CSV and XLSX, in one folder."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Iterator
from pathlib import Path

from slinediag.chart.sheet import Sheet
from slinediag.model.facility import Facility
from slinediag.papers.kinds import KINDS, Kind
from slinediag.papers.spreadsheet import csv_bytes, xlsx_bytes
from slinediag.problems import WriteError, problem
from slinediag.progress import Tell, silent, stages, through
from slinediag.saving import refuse_unsavable, save, save_all
from slinediag.stopping import delicate

OTHER_FOLDER = "Choose another with -o"


def write_papers(
    facility: Facility,
    kind: str,
    folder: Path,
    stem: str,
    *,
    sheet: Sheet | None = None,
    tell: Tell = silent,
) -> tuple[Path, ...]:
    """Write the papers of one kind into a folder, which is made where there is none; the paths.

    ``sheet``: its size, where that is free; each kind has its own unless asked. All of them are
    made before the first is written. KeyError for an unknown kind; RequestError where the size is
    not free, or Qt, which paints PDF, cannot be loaded; WriteError.
    """
    making, writing = stages(tell, (98, 2))
    made = _files(facility, KINDS[kind], f"{stem}-{kind}", sheet, making)
    files = [(folder / name, data) for name, data in made]
    with made_folder(folder):
        for path, _ in files:
            refuse_unsavable(path)
        save_all(through(files, writing, "writing"))
    return tuple(path for path, _ in files)


def write_book(
    facility: Facility,
    folder: Path,
    stem: str,
    *,
    sheet: Sheet | None = None,
    tell: Tell = silent,
) -> tuple[Path, ...]:
    """Write the book of a facility as one PDF, strips on sheets of a size; else as
    ``write_papers``."""
    from slinediag.paint.binding import Bookmark, Link, bind
    from slinediag.papers.book import make_book

    with delicate():
        from slinediag.paint.pdf import pdf

    making, painting, binding = stages(tell, (94, 4, 2))
    book = make_book(facility, sheet=sheet, tell=making)
    with delicate():
        painted = pdf(book.pages, tell=painting)
    binding(0.0, "binding")
    data = bind(
        painted,
        title=book.title,
        bookmarks=[Bookmark(m.depth, m.title, m.page, m.room) for m in book.bookmarks],
        links=[Link(jump.page, jump.box, jump.target, jump.room) for jump in book.jumps],
        date=facility.practice.date,
    )
    path = folder / f"{stem}-book.pdf"
    with made_folder(folder):
        save(path, data)
    return (path,)


@contextlib.contextmanager
def made_folder(folder: Path) -> Iterator[None]:
    """Make a folder and those above it, gone again where nothing could be put in it.

    WriteError where that cannot be done.
    """
    missing = [each for each in (folder, *folder.parents) if not each.exists()]
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except FileExistsError:
        what = "this is a file, not a folder"
        raise WriteError([problem("", what, OTHER_FOLDER)], os.fspath(folder)) from None
    except OSError as error:
        reason = error.strerror or str(error)
        what = f"cannot make this folder: {reason}"
        raise WriteError([problem("", what, OTHER_FOLDER)], os.fspath(folder)) from None
    try:
        yield
    except BaseException:
        for each in missing:
            with contextlib.suppress(OSError):
                each.rmdir()
        raise


def _files(
    facility: Facility, kind: Kind, stem: str, sheet: Sheet | None, tell: Tell
) -> Iterator[tuple[str, bytes]]:
    """The files of a kind by name: PDF and SVG of its sheets, CSV and XLSX of its tables."""
    from slinediag.paint.svg import paint

    with delicate():
        from slinediag.paint.pdf import pdf

    lasts = kind.telling is not None
    making, as_pdf, as_svg, tabling = stages(tell, (96, 2, 1, 1) if lasts else (40, 25, 25, 10))
    making(0.0, "pages")
    sheets = kind.on(facility, sheet, making)
    making(1.0, "pages")
    with delicate():
        painted = pdf(sheets, tell=as_pdf)
    yield f"{stem}.pdf", painted
    digits = len(str(len(sheets)))
    for number, drawing in enumerate(through(sheets, as_svg, "sheets as SVG"), 1):
        yield f"{stem}-{number:0{digits}}.svg", paint(drawing).encode()
    tables = kind.tables(facility)
    for table in through(tables, tabling, "tables"):
        yield f"{stem}-{table.name}.csv", csv_bytes(table)
    if tables:
        title = f"{facility.name}: {kind.title}"
        yield f"{stem}.xlsx", xlsx_bytes(tables, title, issue_of(facility))


def issue_of(facility: Facility) -> str:
    """Drawing number, revision and date of issue, as far as they are filed."""
    practice = facility.practice
    revision = f"revision {practice.revision}" if practice.revision else ""
    date = practice.date.isoformat() if practice.date else ""
    return ", ".join(part for part in (practice.drawing, revision, date) if part)
