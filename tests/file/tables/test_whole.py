"""A whole facility as a workbook: what goes out comes in again, and mistakes are told by cell."""

from __future__ import annotations

import io
import zipfile
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from openpyxl import load_workbook
from openpyxl.comments import Comment

from slinediag.file.read import load, parse
from slinediag.file.tables.book import read_book
from slinediag.file.tables.cells import column_letters
from slinediag.file.tables.columns import cell_text, text_cell
from slinediag.file.tables.export import export_workbook
from slinediag.file.tables.imports import import_book
from slinediag.file.tables.report_words import report_lines
from slinediag.file.write import settled
from slinediag.model.bay import Bay
from slinediag.model.facility import Facility, Practice
from slinediag.problems import FileErrors, WriteError
from tests import strategies as wired
from tests.file import strategies as filed

SAMPLES = Path(__file__).parent.parent.parent.parent / "samples"
SETTINGS = settings(
    max_examples=15,
    deadline=None,
    derandomize=True,
    suppress_health_check=list(HealthCheck),
    phases=[Phase.generate],
)


def back(data):
    return import_book(read_book(data, "book.xlsx")).facility


@pytest.mark.parametrize("name", ["quillmoor", "larkfen"])
def test_a_sample_goes_out_and_comes_in(name):
    facility = load(SAMPLES / f"{name}.yaml").facility
    data = export_workbook(facility)
    assert back(data) == facility
    assert export_workbook(facility) == data


@SETTINGS
@given(filed.facilities())
def test_any_facility_that_a_file_can_hold_goes_out_and_comes_in(facility: Facility) -> None:
    assert settled(back(export_workbook(facility))) == settled(facility)


@settings(SETTINGS, max_examples=10)
@given(wired.facilities())
def test_any_wired_facility_goes_out_and_comes_in(facility: Facility) -> None:
    assert settled(back(export_workbook(facility))) == settled(facility)


@pytest.mark.parametrize("text", filed.AWKWARD_TEXTS)
def test_awkward_texts_in_cells(text):
    assert cell_text(text_cell(text)) == text
    facility = Facility(Practice("A name", owner=text, notes=(text, text)))
    assert back(export_workbook(facility)) == facility


@pytest.fixture
def book():
    data = export_workbook(load(SAMPLES / "larkfen.yaml").facility)
    return load_workbook(io.BytesIO(data))


def saved(book):
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def test_every_sheet_has_a_bold_header_that_stays_in_view(book):
    for sheet in book.worksheets:
        assert all(cell.value and cell.font.bold for cell in sheet[1])
        assert sheet.freeze_panes == "B2"
        assert all(6 <= sheet.column_dimensions[c.column_letter].width <= 62 for c in sheet[1])


def test_texts_that_look_like_formulas_are_texts():
    starts = ("=1+1", "+4 dBu", "-10 dBV", "@here")
    data = export_workbook(Facility(Practice("=name", notes=starts)))
    sheet = load_workbook(io.BytesIO(data))["Facility"]
    shown = {cell.value: cell for (cell,) in sheet.iter_rows(min_row=2, min_col=2, max_col=2)}
    for text in ("=name", *starts):
        assert (shown[text].data_type, shown[text].quotePrefix) == ("s", True)
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        assert not any(b"<f>" in archive.read(name) for name in archive.namelist())


def test_a_workbook_saved_again_by_a_program_is_the_same_facility(book):
    assert back(saved(book)) == load(SAMPLES / "larkfen.yaml").facility


def test_rows_may_be_sorted_and_cells_changed(book):
    sheet = book["Bays"]
    sheet["B2"] = "Another name"
    book["Cables"]["C2"] = 15
    facility = back(saved(book))
    assert next(iter(facility.bays.values())).name == "Another name"
    assert next(iter(facility.cables.values())).length == 15


@pytest.mark.parametrize(
    ("sheet", "cell", "value", "where", "what"),
    [
        ("Ports", "B2", "sideways", "Ports!A2", "neither output, input nor defaults"),
        ("Ports", "A2", "NONE", "Ports!A2", "no equipment 'NONE'"),
        ("Ports", "E2", "loud", "Ports!A2", "not a number"),
        ("Points", "B2", "0", "Points!A2", "no position"),
        ("Points", "B2", "99", "Points!A2", "there is no 99"),
        ("Points", "D2", "VOX.X", "Points!A2", "X"),
        ("Points", "A2", "ZZ", "Points!A2", "no bay 'ZZ'"),
        ("Bays", "B1", "nom", "Bays!B1", "no column is called 'nom'"),
        ("Bays", "A3", "LA", "Bays!A3", "stands twice"),
        ("Equipment", "A2", None, "Equipment!A2", "has no id"),
        ("Facility", "B2", "9", "Facility!A2", "version 1"),
        ("Facility", "A3", "nme", "Facility!A3", "no key is called 'nme'"),
        ("Cords", "C2", "long", "Cords!A2", "not a number"),
    ],
)
def test_mistakes_are_told_by_cell(book, sheet, cell, value, where, what):
    book[sheet][cell] = value
    with pytest.raises(FileErrors) as refused:
        back(saved(book))
    assert any(p.where.startswith(where) and what in p.what for p in refused.value.errors), (
        refused.value
    )
    assert all(problem.line == 0 for problem in refused.value.errors)


def test_what_people_add_beside_the_tables_is_kept_as_notes_and_told(book):
    plain = load(SAMPLES / "larkfen.yaml").facility
    book.create_sheet("Shopping")["A1"] = "cords"
    book["Shopping"]["B1"] = 12
    book["Bays"]["B2"].comment = Comment("new strips in May", "someone")
    width = book["Cords"].max_column
    book["Cords"].cell(2, width + 2).value = "who put this in?"
    made = import_book(read_book(saved(book), "book.xlsx"))
    column = column_letters(width + 2)
    notes = (
        "comment at Bays!B2: new strips in May",
        "Shopping!A1: cords | 12",
        f"Cords!{column}2: who put this in?",
    )
    assert made.facility.practice.notes == (*plain.practice.notes, *notes)
    assert replace(made.facility, practice=plain.practice) == plain
    told = "\n".join(report_lines(made.report))
    assert 'Shopping!A1 "cords | 12": no sheet of a facility: kept as a note' in told
    assert parse(made.data, "").facility == made.facility


def test_a_sheet_that_may_be_one_of_a_facility_renamed_is_refused(book):
    book["Points"].title = "Positions"
    with pytest.raises(FileErrors, match=r"Positions: no sheet .* and Points is not there"):
        back(saved(book))


def test_a_text_too_long_for_a_cell_is_refused():
    facility = Facility(Practice("A"), bays={"B": Bay("B", "B", note="x" * 40_000)})
    with pytest.raises(WriteError, match="too long for a cell"):
        export_workbook(facility)
