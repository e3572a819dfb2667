"""Workbooks (XLSX) in and out; the only place that knows the library for them.

What is written is the same each time: no clock, no name of a person or machine in the bytes.
"""

from __future__ import annotations

import datetime
import io
import warnings
import zipfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from openpyxl import Workbook, load_workbook
from openpyxl.cell.cell import Cell, MergedCell
from openpyxl.styles import Alignment, Font
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

from slinediag.clockless import without_clock
from slinediag.file.source import refusal
from slinediag.file.tables.cells import Sheet, Span
from slinediag.file.tables.limits import UNPACKED, check_area

Value = str | float | bool | datetime.date | None

CONTENTS = "[Content_Types].xml"
"""The part that every workbook has (ECMA-376-2)."""
NARROWEST, WIDEST = 6, 60
"""Column widths in characters."""
NAMED = 8
"""Rows, columns or cells that a warning names."""
FIRST_DAY = datetime.date(1900, 3, 1)
"""Spreadsheets count days from 1900 and one day wrong before this one; earlier dates are text."""
SAVE_AGAIN = "Open it in a spreadsheet program and save it as XLSX again"


@dataclass(frozen=True, slots=True)
class Page:
    """A sheet to be written: its name, its header row and its rows."""

    name: str
    columns: tuple[str, ...]
    rows: tuple[tuple[Value, ...], ...]


def read_workbook(data: bytes, name: str) -> tuple[Sheet, ...]:
    """The sheets of a workbook that hold anything; FileErrors where it cannot be read."""
    check_unpacked(data, name)
    books = [opened(data, name, computed) for computed in (False, True)]
    formulas, values = ([s for s in b.worksheets if isinstance(s, Worksheet)] for b in books)
    sheets = []
    for formula, value in zip(formulas, values, strict=True):
        check_area(formula.max_row, formula.max_column, name)
        sheet = sheet_of(formula, value)
        if any(map(any, sheet.rows)) or sheet.remarks:
            sheets.append(sheet)
    return tuple(sheets)


def check_unpacked(data: bytes, name: str) -> None:
    """Refuse what is no archive, or one that unpacks to more than a workbook holds; FileErrors."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            size = sum(entry.file_size for entry in archive.infolist())
            locked = any(entry.flag_bits & 1 for entry in archive.infolist())
            bare = CONTENTS not in archive.namelist()
    except (zipfile.BadZipFile, OSError, ValueError, NotImplementedError):
        raise refusal(name, "the file is damaged: it is no XLSX workbook", SAVE_AGAIN) from None
    if locked:
        raise refusal(name, "the workbook is locked with a password", "Save it without one")
    if size > UNPACKED:
        raise refusal(name, "the workbook unpacks to more than any table holds", SAVE_AGAIN)
    if bare:
        what = "this is an archive of files, and no XLSX workbook"
        raise refusal(name, what, "Unpack it, and name the table in it")


def opened(data: bytes, name: str, computed: bool) -> Workbook:
    """A workbook with its formulas, or with the values last computed; FileErrors."""
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            return load_workbook(io.BytesIO(data), data_only=computed)
    except MemoryError:
        raise
    # A damaged workbook makes the library fail in any way at all.
    except Exception as error:
        reason = " ".join(f"{type(error).__name__}: {error}".split())[:120]
        what = f"the workbook cannot be read ({reason})"
        raise refusal(name, what, SAVE_AGAIN) from None


def sheet_of(formulas: Worksheet, values: Worksheet) -> Sheet:
    """One sheet as text: of a formula its value, or the formula where none was computed."""
    rows: list[tuple[str, ...]] = []
    stale: list[str] = []
    remarks: dict[tuple[int, int], str] = {}
    for row, cells in enumerate(formulas.iter_rows(), 1):
        texts = []
        for column, cell in enumerate(cells, 1):
            value = cell.value
            if getattr(cell, "data_type", "") == "f":
                computed = values.cell(row=row, column=column).value
                stale += [cell.coordinate] if computed is None else []
                value = value if computed is None else computed
            texts.append(as_text(value))
            comment = getattr(cell, "comment", None)
            if comment is not None and comment.text.strip():
                remarks[row, column] = comment.text
        rows.append(tuple(texts))
    warnings = (*hidden_parts(formulas), *stale_formulas(formulas.title, stale))
    return Sheet(formulas.title, tuple(rows), dict(merged(formulas)), remarks, warnings)


def hidden_parts(sheet: Worksheet) -> Iterator[str]:
    """What of a sheet that holds anything is hidden from who looks at it."""
    read = "it was read like the rest; see whether it still holds"
    if sheet.sheet_state != "visible":
        yield f"the sheet {sheet.title} is hidden in the workbook: {read}"
    rows = [str(n) for n, row in sheet.row_dimensions.items() if row.hidden and n <= sheet.max_row]
    columns = [name for name, column in sheet.column_dimensions.items() if column.hidden]
    for what, names in (("row", rows), ("column", columns)):
        if names:
            more = f" and {len(names) - NAMED} more" if len(names) > NAMED else ""
            named = f"{what}{'s' if len(names) > 1 else ''} {', '.join(names[:NAMED])}{more}"
            are = "are" if len(names) > 1 else "is"
            yield f"in the sheet {sheet.title} {named} {are} hidden: {read}"


def stale_formulas(title: str, cells: Sequence[str]) -> Iterator[str]:
    """Formulas whose value is not in the file: they are read as they are written."""
    if cells:
        count = f" and {len(cells) - NAMED} more" if len(cells) > NAMED else ""
        named = f"{', '.join(cells[:NAMED])}{count} in the sheet {title}"
        yield (
            f"{named}: a formula without its value: open the workbook in a spreadsheet program, "
            "save it, and import it again"
        )


def merged(sheet: Worksheet) -> Iterator[tuple[tuple[int, int], Span]]:
    """Every cell of merged cells within the used area, with its span."""
    last_row, last_column = sheet.max_row, sheet.max_column
    for found in sheet.merged_cells.ranges:
        span = Span(found.min_row, found.min_col, found.max_row, found.max_col)
        for row in range(span.top, min(span.bottom, last_row) + 1):
            for column in range(span.left, min(span.right, last_column) + 1):
                yield (row, column), span


def as_text(value: Any) -> str:
    """A cell's value as a facility file writes it: dates as ISO 8601, truth as true or false."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, datetime.datetime):
        return value.date().isoformat() if value.time() == datetime.time() else str(value)
    if isinstance(value, float):
        return repr(value).removesuffix(".0")
    return str(getattr(value, "text", value))


def workbook_bytes(pages: Sequence[Page], title: str) -> bytes:
    """A workbook, a sheet a page: a bold header that stays in view, fitting widths, filters."""
    book = Workbook()
    book.remove(book.worksheets[0])
    book.properties.title = title
    book.properties.creator = "slinediag"
    for page in pages:
        fill(book.create_sheet(page.name), page)
    out = io.BytesIO()
    book.save(out)
    return without_clock(out.getvalue())


def fill(sheet: Worksheet, page: Page) -> None:
    """Write the header and the rows of a page."""
    for row, values in enumerate((page.columns, *page.rows), 1):
        for column, value in enumerate(values, 1):
            if value is not None:
                cell = sheet.cell(row=row, column=column)
                put(cell, value)
                if row == 1:
                    cell.font = Font(bold=True)
    sheet.freeze_panes = "B2"
    last = get_column_letter(len(page.columns))
    sheet.auto_filter.ref = f"A1:{last}{len(page.rows) + 1}"
    for column, values in enumerate(zip(page.columns, *page.rows, strict=True), 1):
        longest = max(len(str(value)) for value in values if value is not None)
        width = max(NARROWEST, min(WIDEST, longest + 2))
        sheet.column_dimensions[get_column_letter(column)].width = width
    sheet.page_setup.orientation = "landscape"
    sheet.print_title_rows = "1:1"


def put(cell: Cell | MergedCell, value: Value) -> None:
    """Set a cell; a text stays a text however it begins."""
    if isinstance(value, datetime.date) and value < FIRST_DAY:
        value = value.isoformat()
    cell.value = value
    if isinstance(value, str):
        cell.data_type = "s"
        cell.quotePrefix = value.startswith(("=", "+", "-", "@"))
    elif isinstance(value, datetime.date):
        cell.number_format = "yyyy-mm-dd"
    cell.alignment = Alignment(wrap_text=True, vertical="top")
