"""Tables as CSV and XLSX for those who order and wire from a spreadsheet; the same bytes each time.

A cell that a spreadsheet would take for a formula is written as text.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence

from openpyxl import Workbook
from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE
from openpyxl.styles import Alignment, Font
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.properties import PageSetupProperties
from openpyxl.worksheet.worksheet import Worksheet

from slinediag.clockless import without_clock
from slinediag.papers.table import Table, Value
from slinediag.text import REPLACEMENT

FORMULA_STARTS = (*"=+-@", "\N{MINUS SIGN}", *"＝＋－＠", "\t", "\r", "\n")
"""Beginnings that spreadsheet programs take for a formula, their wide forms with them (OWASP, CSV
injection; from memory)."""
A4 = 9
"""The number of this paper (ECMA-376 part 1, 18.3.1.63)."""
CELL_MOST, FOOTER_MOST = 32_767, 100
"""The most characters of a cell, and of a third of a footer, whose whole may have 255."""
NARROWEST, WIDEST = 6, 60
"""Column widths in characters."""


def csv_bytes(table: Table) -> bytes:
    """A table as CSV in UTF-8 with a byte order mark, a header row, and lines that end in CR LF.

    RFC 4180. Text that would be taken for a formula has an apostrophe before it.
    """
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(map(_safe, table.columns))
    writer.writerows([_safe(value) for value in row] for row in table.rows)
    return b"\xef\xbb\xbf" + out.getvalue().encode("utf-8", errors="replace")


def _safe(value: Value) -> Value:
    if isinstance(value, str):
        clean = value.replace("\0", REPLACEMENT)
        return f"'{clean}" if clean.startswith(FORMULA_STARTS) else clean
    if isinstance(value, float) and value.is_integer():
        return int(value)
    return "" if value is None else value


def xlsx_bytes(tables: Sequence[Table], title: str, issue: str = "") -> bytes:
    """Tables as one workbook, a sheet each: a bold header that stays in view, fitting widths.

    ``issue``: drawing number, revision and date, which stand at the foot of what is printed.
    """
    book = Workbook()
    book.remove(book.worksheets[0])
    book.properties.title = _clean(title)
    book.properties.subject = _clean(issue)
    book.properties.creator = "slinediag"
    for table in tables:
        sheet = book.create_sheet(table.name[:31])
        _fill(sheet, table)
        _set_up(sheet, title, issue)
    out = io.BytesIO()
    book.save(out)
    return without_clock(out.getvalue())


def _fill(sheet: Worksheet, table: Table) -> None:
    """A table as a sheet: text stays text, columns as wide as what stands in them."""
    for row, values in enumerate((table.columns, *table.rows), 1):
        for column, value in enumerate(values, 1):
            if value is None:
                continue
            cell = sheet.cell(row=row, column=column)
            if isinstance(value, str):
                cell.value = _clean(value)
                cell.data_type = "s"
            else:
                cell.value = value
            cell.alignment = Alignment(wrap_text=True, vertical="top")
            if row == 1:
                cell.font = Font(bold=True)
    sheet.freeze_panes = "B2"
    sheet.auto_filter.ref = sheet.dimensions
    for column, values in enumerate(zip(table.columns, *table.rows, strict=True), 1):
        longest = max(len(str(value)) for value in values if value is not None)
        width = max(NARROWEST, min(WIDEST, longest + 2))
        sheet.column_dimensions[get_column_letter(column)].width = width


def _set_up(sheet: Worksheet, title: str, issue: str) -> None:
    """How a sheet prints: A4 lying, as wide as the page, the header on each, the issue below."""
    sheet.page_setup.orientation = "landscape"
    sheet.page_setup.paperSize = A4
    sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    sheet.page_setup.fitToHeight = 0
    sheet.print_title_rows = "1:1"
    foot = sheet.oddFooter
    if foot is not None:
        foot.left.text, foot.center.text = _plain(title), _plain(issue)
        foot.right.text = "&P / &N"


def _plain(words: str) -> str:
    """Words of a footer, in which & begins a code; no longer than all three may be together."""
    return _clean(" ".join(words.split())).replace("&", "+")[:FOOTER_MOST]


def _clean(value: str) -> str:
    """A text without what XML 1.0 forbids, no longer than a cell may be."""
    legal = ILLEGAL_CHARACTERS_RE.sub(REPLACEMENT, value)
    return legal.encode("utf-8", errors="replace").decode("utf-8")[:CELL_MOST]
