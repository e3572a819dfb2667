"""CSV by the standard library's reader, XLSX by openpyxl's: text stays text, figures figures."""

from __future__ import annotations

import csv
import io
import zipfile
from xml.etree import ElementTree

from openpyxl import load_workbook

from slinediag.papers.schedule import schedule_tables
from slinediag.papers.spreadsheet import csv_bytes, xlsx_bytes
from slinediag.papers.table import Table
from tests.papers.samples import sample

AWKWARD = (
    "=1+1",
    "+1",
    "-1",
    "@SUM(A1)",
    "plain",
    'quote " and ,',
    "line\nend",
    "emoji \N{STUDIO MICROPHONE}",
    "nul\0",
)
TABLE = Table("awkward", "Awkward", ("Text", "Figure"), tuple((text, 1.5) for text in AWKWARD))


def test_csv_reads_back_and_no_cell_is_a_formula() -> None:
    data = csv_bytes(TABLE)
    assert data.startswith(b"\xef\xbb\xbf")
    rows = list(csv.reader(io.StringIO(data.decode("utf-8-sig"), newline="")))
    assert rows[0] == ["Text", "Figure"]
    assert [row[0] for row in rows[1:5]] == ["'=1+1", "'+1", "'-1", "'@SUM(A1)"]
    assert [row[0] for row in rows[5:9]] == [*AWKWARD[4:8]]
    assert {row[1] for row in rows[1:]} == {"1.5"}
    assert all(not row[0].startswith(("=", "+", "-", "@")) for row in rows)


def test_whole_figures_are_written_whole() -> None:
    table = Table("t", "T", ("A", "B"), ((22.0, 12.5), (3, None)))
    assert csv_bytes(table).decode("utf-8-sig") == "A,B\r\n22,12.5\r\n3,\r\n"


def test_xlsx_reads_back_with_a_header_that_stays() -> None:
    book = load_workbook(io.BytesIO(xlsx_bytes([TABLE], "Title")))
    sheet = book["awkward"]
    assert [cell.value for cell in sheet["A"]][1:9] == list(AWKWARD[:8])
    assert {cell.data_type for cell in sheet["A"]} == {"s"}
    assert sheet["B2"].value == 1.5
    assert sheet["A1"].font.bold
    assert sheet.freeze_panes == "B2"
    assert sheet.column_dimensions["A"].width > 6


def test_the_same_bytes_each_time_and_no_clock() -> None:
    tables = schedule_tables(sample("quillmoor"))
    data = xlsx_bytes(tables, "Schedule")
    assert data == xlsx_bytes(tables, "Schedule")
    with zipfile.ZipFile(io.BytesIO(data)) as book:
        assert {entry.date_time for entry in book.infolist()} == {(2000, 1, 1, 0, 0, 0)}
        assert b"2000-01-01T00:00:00Z</dcterms:modified>" in book.read("docProps/core.xml")


def test_a_schedule_has_a_sheet_a_table_and_its_rows() -> None:
    tables = schedule_tables(sample("quillmoor"))
    book = load_workbook(io.BytesIO(xlsx_bytes(tables, "Schedule")))
    assert book.sheetnames == [table.name for table in tables]
    for table in tables:
        assert book[table.name].max_row == len(table.rows) + 1


MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
ORDER = (
    "sheetPr", "dimension", "sheetViews", "sheetFormatPr", "cols", "sheetData", "autoFilter",
    "pageMargins", "pageSetup", "headerFooter",
)  # fmt: skip
"""Parts of a worksheet in the order that the schema wants (ECMA-376 part 1, 18.3.1.99)."""


def test_a_workbook_holds_to_the_schema_without_openpyxl() -> None:
    issue = "QCR-A-001, revision F, 2026-05-18"
    data = xlsx_bytes([TABLE, *schedule_tables(sample("quillmoor"))], "Music & <words>", issue)
    with zipfile.ZipFile(io.BytesIO(data)) as book:
        assert book.testzip() is None
        sheets = [name for name in book.namelist() if name.startswith("xl/worksheets/sheet")]
        assert len(sheets) == 8
        for name in sheets:
            root = ElementTree.fromstring(book.read(name))
            parts = [part.tag.removeprefix(MAIN) for part in root]
            assert parts == sorted(parts, key=ORDER.index)
            assert not list(root.iter(f"{MAIN}f"))  # no formula
            pane = next(root.iter(f"{MAIN}pane"))
            assert (pane.get("state"), pane.get("topLeftCell")) == ("frozen", "B2")
            assert len(list(root.iter(f"{MAIN}col"))) == len(next(root.iter(f"{MAIN}row")))
            types = {cell.get("t") for cell in next(root.iter(f"{MAIN}row"))}
            assert types <= {"inlineStr", "s"}
            footer = next(root.iter(f"{MAIN}oddFooter")).text
            assert issue in footer
            assert "Music + <words>" in footer  # & begins a code there


def test_a_text_longer_than_a_cell_may_be_is_cut() -> None:
    # 32,767 characters a cell; a longer one makes the whole workbook unreadable.
    table = Table("long", "Long", ("Text",), (("x" * 40_000,),))
    book = load_workbook(io.BytesIO(xlsx_bytes([table], "T")))
    assert len(book["long"]["A2"].value) == 32_767
