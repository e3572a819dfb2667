"""CSV in its encodings and separators (RFC 4180), and what is no table at all."""

from __future__ import annotations

import io
import zipfile

import pytest
from openpyxl import Workbook

from slinediag.file.tables.book import load_book, read_book
from slinediag.file.tables.imports import import_book
from slinediag.file.tables.workbook import merged
from slinediag.problems import FileErrors

TABLE = 'Pos,Top,Bottom\r\n1,Hörer 1,"Pult ""A"", links"\r\n2,x,"two\r\nlines"\r\n'


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252", "utf-16"])
def test_encodings(encoding):
    (sheet,) = read_book(TABLE.encode(encoding), "t.csv").sheets
    assert sheet.text(2, 2) == "Hörer 1"
    assert sheet.text(2, 3) == 'Pult "A", links'
    assert sheet.text(3, 3) == "two lines"


@pytest.mark.parametrize("separator", [",", ";", "\t"])
def test_separators(separator):
    text = "Pos|Top|Bottom\n1|A, B; C|D\n2|E|F\n".replace("|", separator)
    quoted = text.replace("A, B; C", '"A, B; C"')
    (sheet,) = read_book(quoted.encode(), "t.csv").sheets
    assert [sheet.text(2, n) for n in (1, 2, 3)] == ["1", "A, B; C", "D"]


def test_the_separator_line_of_spreadsheets():
    (sheet,) = read_book(b"sep=;\r\nPos;Top\r\n1;A,B,C\r\n", "t.csv").sheets
    assert sheet.text(2, 2) == "A,B,C"


def test_a_quote_that_is_never_closed_is_told():
    made = import_book(read_book(b'Pos,Top\n1,"A\n2,B\n', "t.csv"))
    assert any("never closed" in mark.what for mark in made.report.marks)


def bomb():
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for n in range(40):
            archive.writestr(f"xl/worksheets/sheet{n}.xml", b" " * 2_000_000)
    return out.getvalue()


def no_workbook():
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr("readme.txt", b"no workbook")
    return out.getvalue()


@pytest.mark.parametrize(
    ("data", "name", "what"),
    [
        (b"", "t.csv", "empty"),
        (b" ,,\n", "t.csv", "empty"),
        (b"PK\x03\x04 torn", "t.xlsx", "damaged"),
        (b"Pos,Top\n1,A\n", "t.xlsx", "not a workbook"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", "t.xls", "old kind"),
        (b"a\0b", "t.csv", "zero bytes"),
        (b"\x81\x8d,\x9d\n", "t.csv", "neither UTF-8 nor Windows-1252"),
        (b"\xff\xfe\x00\xd8", "t.csv", "damaged"),
        (b"only,prose\nin,here\n", "t.csv", "no positions"),
        (b"1," * 600 + b"1\n", "t.csv", "too large"),
        (b'"' + b"x" * 200_000 + b'"\n', "t.csv", "line 1"),
        (no_workbook(), "t.xlsx", "an archive of files"),
        (no_workbook(), "t.csv", "an archive of files"),
        (bomb(), "t.xlsx", "unpacks"),
    ],
)
def test_what_is_no_table_is_refused_in_one_line(data, name, what):
    with pytest.raises(FileErrors) as refused:
        import_book(read_book(data, name))
    (problem,) = refused.value.problems
    assert what in problem.what
    assert problem.hint
    assert "\n" not in problem.text(name)


def test_a_file_that_is_too_large_is_refused(tmp_path):
    path = tmp_path / "large.csv"
    path.write_bytes(b"Pos,Top\n" + b"1,A\n" * 1_100_000)
    with pytest.raises(FileErrors, match="larger than 4 MiB"):
        load_book(path)


def test_a_folder_and_a_missing_file_are_refused(tmp_path):
    with pytest.raises(FileErrors, match=r"this is a folder.*table in it"):
        load_book(tmp_path)
    for path in (tmp_path / "none.csv", "bad\0name.csv"):
        with pytest.raises(FileErrors):
            load_book(path)


def test_a_csv_may_begin_with_the_letters_of_an_archive():
    made = import_book(read_book(b"PK number,Pos,Top,Bottom\n4,1,A,B\n", "t.csv"))
    assert sorted(made.facility.equipment) == ["A", "B"]


def test_a_workbook_with_much_merged_is_read_in_a_while():
    """The size of a sheet is asked once, not for each of its merged cells: that took an hour."""
    book = Workbook()
    sheet = book.worksheets[0]
    for row in (["Pos", "Top", "Bottom"], [1, "A", "B"]):
        sheet.append(row)
    sheet.cell(9_000, 1).number_format = "0.00"
    sheet.merge_cells("A60:C8000")
    calls = []
    plain = type(sheet).max_row.fget

    class Counted(type(sheet)):
        @property
        def max_row(self):
            calls.append(1)
            return plain(self)

    sheet.__class__ = Counted
    assert len(dict(merged(sheet))) == 3 * 7_941
    assert len(calls) < 10
