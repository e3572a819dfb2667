"""The results command as a person runs it: the table of the paper, filled in, read back."""

from __future__ import annotations

import csv
import io
import json
import shutil
from pathlib import Path

import openpyxl
import pytest

import slinediag
from slinediag.papers.spreadsheet import csv_bytes, xlsx_bytes
from slinediag.papers.tests import commissioning_tables
from tests.cli import running

LARKFEN = Path(__file__).parent.parent.parent / "samples" / "larkfen.yaml"


def run(capsys, *arguments):
    return running.run(capsys, "results", *arguments)


@pytest.fixture
def station(tmp_path):
    return Path(shutil.copy(LARKFEN, tmp_path / "station.yaml"))


def filled(station, **changed):
    """The rows of the paper's table, every box as planned but those named ``point=code: value``."""
    (table,) = commissioning_tables(slinediag.load(station))
    rows = list(csv.reader(io.StringIO(csv_bytes(table).decode("utf-8-sig"))))
    at = {name: rows[0].index(name) for name in ("Point", "Code", "Value", "By")}
    for row in rows[1:]:
        row[at["Value"]], row[at["By"]] = "OK", "SO"
        if (row[at["Point"]], row[at["Code"]]) in changed["values"]:
            row[at["Value"]] = changed["values"][row[at["Point"]], row[at["Code"]]]
    return rows


def as_csv(rows, path, delimiter=","):
    with path.open("w", encoding="utf-8", newline="") as out:
        csv.writer(out, delimiter=delimiter).writerows(rows)
    return path


CROSSED = {("LB.9", "LB-T"): "OL", ("LB.9", "LB-R"): "OL", ("LB.9", "PB"): "0.4"}


def test_a_sheet_as_planned_says_so(capsys, station, tmp_path):
    table = as_csv(filled(station, values={}), tmp_path / "t.csv")
    status, out, err = run(capsys, station, table)
    assert (status, err) == (0, "")
    assert out.splitlines() == ["56 points: 56 as filed.", "Measured by SO; no date."]


def test_a_filled_sheet_tells_which_contact_to_clean(capsys, station, tmp_path):
    values = {("LB.17", "N-T"): "8.2", ("LB.17", "NA-T"): "7,9"}
    table = as_csv(filled(station, values=values), tmp_path / "t.csv", delimiter=";")
    status, out, _ = run(capsys, station, table)
    assert status == 0
    assert "  1. tip break contact of LB.B17 oxidised. To mend: clean the break contact" in out


def test_a_workbook_is_read_too(capsys, tmp_path):
    station = tmp_path / "small.yaml"
    station.write_text(
        "slinediag: 1\nfacility: {name: Small}\nbays: {PB: {name: Bay, positions: 1}}\n"
    )
    path = tmp_path / "t.xlsx"
    path.write_bytes(xlsx_bytes(commissioning_tables(slinediag.load(station)), "Tests"))
    book = openpyxl.load_workbook(path)
    sheet = book.worksheets[0]
    names = {cell.value: cell.column for cell in sheet[1]}
    for row in range(2, sheet.max_row + 1):
        code = sheet.cell(row, names["Code"]).value
        sheet.cell(row, names["Value"], 0.04 if code in ("NA-R", "NAB-R", "NB-R", "N-R") else "OK")
    book.save(path)
    status, out, err = run(capsys, station, path)
    assert (status, err) == (0, "")
    assert "ring break contact of PB.B1 not opening with a plug in" in out


def test_a_path_is_for_edits_and_never_the_table_itself(capsys, station, tmp_path):
    table = as_csv(filled(station, values=CROSSED), tmp_path / "t.csv")
    before = table.read_bytes()
    status, out, err = run(capsys, station, table, "-o", tmp_path / "new.yaml")
    assert (status, out) == (2, "")
    assert "new.yaml: no edit is asked for to write here. Say --apply" in err
    status, out, err = run(capsys, station, table, "--apply", 1, "-o", table)
    assert (status, out) == (2, "")
    assert "t.csv: this is the filled table itself. Give another name with -o" in err
    assert table.read_bytes() == before
    assert not (tmp_path / "new.yaml").exists()


def test_nothing_is_changed_unless_asked(capsys, station, tmp_path):
    before = station.read_bytes()
    table = as_csv(filled(station, values=CROSSED), tmp_path / "t.csv")
    _, out, _ = run(capsys, station, table)
    assert "1. file the line at LB.B9 with its legs the other way" in out
    assert station.read_bytes() == before


def test_an_edit_that_is_asked_for_is_filed_and_nothing_else(capsys, station, tmp_path):
    before = slinediag.load(station)
    table = as_csv(filled(station, values=CROSSED), tmp_path / "t.csv")
    status, out, _ = run(capsys, station, table, "--apply", 1)
    assert status == 0
    assert f"Edited: {station}" in out
    after = slinediag.load(station)
    wire = next(w for j, w in after.wires.items() if str(j) == "LB.B9")
    assert wire.swapped
    changed = {str(j) for j in after.wires if after.wires[j] != before.wires[j]}
    assert changed == {"LB.B9"}
    # The sheet was printed for the line as it was filed before: its rows for that jack measure
    # between other contacts than the plan has now, and are told, not misread.
    _, out, _ = run(capsys, station, table)
    assert "LB.9: as filed so far" in out
    assert "LB.9 LB-T: the sheet measures between other contacts" in out


def test_an_edit_that_is_not_proposed_is_refused(capsys, station, tmp_path):
    before = station.read_bytes()
    table = as_csv(filled(station, values=CROSSED), tmp_path / "t.csv")
    status, _, err = run(capsys, station, table, "--apply", 7, "--apply", 7)
    assert status == 2
    assert err.count("no such proposal") == 1
    assert station.read_bytes() == before


def test_json_has_its_keys(capsys, station, tmp_path):
    values = {**CROSSED, ("LB.17", "N-T"): "", ("LIM", "V"): "1"}
    table = as_csv(filled(station, values=values), tmp_path / "t.csv")
    _, out, _ = run(capsys, station, table, "--json")
    answer = json.loads(out)
    point = next(p for p in answer["points"] if p["point"] == "LB.9")
    assert point["verdict"] == "fault"
    assert point["causes"][0]["causes"] == [
        {"kind": "legs swapped", "jack": "LB.B9", "legs": None, "normal": None}
    ]
    assert [p["verdict"] for p in answer["points"] if p["point"] == "LB.17"] == ["as filed so far"]


def test_a_file_that_is_no_table_is_refused(capsys, station, tmp_path):
    path = tmp_path / "t.csv"
    path.write_text("a,b\n1,2\n")
    status, out, err = run(capsys, station, path)
    assert (status, out) == (2, "")
    assert "Point, Code and Value" in err
