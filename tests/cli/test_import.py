"""The import and export commands as a person runs them: files, reports, refusals."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from slinediag.cli.main import main
from slinediag.file.read import load
from tests.cli.running import run

ROOT = Path(__file__).parent.parent.parent
TABLE = ROOT / "tests" / "file" / "tables" / "data" / "row_a_position.csv"
LARKFEN = ROOT / "samples" / "larkfen.yaml"


def test_a_table_becomes_a_file_that_loads(capsys, tmp_path):
    path = tmp_path / "new é.yaml"
    status, out, err = run(capsys, "import", TABLE, "-o", path, "--name", "Another")
    assert (status, err) == (0, "")
    assert out.startswith(f"Read {TABLE}: UTF-8, cells between commas.\n")
    assert out.endswith(f"Facility file: {path}: 1 bay, 12 positions, 8 pieces of equipment\n")
    assert load(path).facility.name == "Another"


def test_the_report_as_json(capsys, tmp_path):
    status, out, _ = run(capsys, "import", TABLE, "-o", tmp_path / "new.yaml", "--json")
    report = json.loads(out)
    assert status == 0
    assert {"file", "headings", "words", "guesses", "look_at", "cells"} <= set(report)
    assert report["cells"]["A2"] == "title"


def test_a_column_is_mapped(capsys, tmp_path):
    table = tmp_path / "t.csv"
    table.write_text("Pos,Links,Rechts\n1,MIC 1,DESK 1\n")
    path = tmp_path / "t.yaml"
    arguments = ("import", table, "-o", path, "--map", "Links=top", "--map", "Rechts=bottom")
    assert run(capsys, *arguments)[0] == 0
    assert set(load(path).facility.equipment) == {"MIC1", "DESK"}


def test_the_table_itself_is_never_written_over(capsys, tmp_path):
    table = tmp_path / "t.csv"
    table.write_text("Position,Top,Bottom\n1,MIC 1,DESK 1\n")
    before = table.read_bytes()
    (tmp_path / "link.csv").symlink_to(table)
    for path in (table, tmp_path / "link.csv"):
        status, out, err = run(capsys, "import", table, "-o", path, "--force")
        assert (status, out) == (2, "")
        assert f"{path}: this is the table itself. Give another name with -o" in err
        assert table.read_bytes() == before


def test_a_heading_that_is_mapped_to_two_things_is_told(capsys, tmp_path):
    table = tmp_path / "t.csv"
    table.write_text("Pos,Links,Rechts\n1,MIC 1,DESK 1\n")
    maps = ("--map", "Links=top", "--map", "links=bottom")
    status, _, err = run(capsys, "import", table, "-o", tmp_path / "t.yaml", *maps)
    assert status == 2
    assert err == "links=bottom: this heading is said to hold top label already. Say one of them\n"
    twice = ("--map", "Links=top", "--map", "links=top", "--map", "Rechts=bottom")
    assert run(capsys, "import", table, "-o", tmp_path / "t.yaml", *twice)[0] == 0


def test_a_table_without_headings_is_said_to_have_none(capsys, tmp_path):
    table = tmp_path / "t.csv"
    table.write_text("".join(f"{n},MIC {n},DESK {n}\n" for n in range(3, 9)))
    path = tmp_path / "t.yaml"
    maps = ("--map", "B=top", "--map", "C=bottom")
    status, out, _ = run(capsys, "import", table, "-o", path, *maps)
    assert status == 0
    assert "  table: no headings, a row a position" in out.splitlines()
    (bay,) = load(path).facility.bays.values()
    assert list(bay.points) == [3, 4, 5, 6, 7, 8]


@pytest.mark.parametrize("name", ["plant.yaml", "plant.txt"])
def test_a_facility_file_is_no_table(capsys, tmp_path, name):
    path = tmp_path / name
    path.write_bytes(b"\xef\xbb\xbf" + LARKFEN.read_bytes())
    status, out, err = run(capsys, "import", path, "-o", tmp_path / "new.yaml")
    assert (status, out) == (2, "")
    assert err.startswith(f"{path}: this is a facility file, not a table. It needs no import")
    assert not (tmp_path / "new.yaml").exists()


def test_a_workbook_named_as_a_facility_file_is_pointed_to_import(capsys, tmp_path):
    book = tmp_path / "plant.xlsx"
    assert run(capsys, "export", LARKFEN, "-o", book)[0] == 0
    assert main(["check", str(book)]) == 2
    hint = "Make a facility file of it with slinediag import"
    assert capsys.readouterr().err == f"{book}: this is a workbook, not a facility file. {hint}\n"


def test_a_file_that_is_there_is_not_replaced_unless_told(capsys, tmp_path):
    for command, source, name in (("import", TABLE, "a.yaml"), ("export", LARKFEN, "a.xlsx")):
        path = tmp_path / name
        path.write_text("mine")
        status, out, err = run(capsys, command, source, "-o", path)
        assert (status, out) == (2, "")
        assert "--force" in err
        assert path.read_text() == "mine"
        assert run(capsys, command, source, "-o", path, "--force")[0] == 0


@pytest.mark.parametrize(
    ("name", "data"),
    [("none.csv", None), ("empty.csv", b""), ("torn.xlsx", b"PK\x03\x04"), ("prose.csv", b"a,b\n")],
)
def test_what_cannot_be_read_is_refused_in_one_line(capsys, tmp_path, name, data):
    table, path = tmp_path / name, tmp_path / "new.yaml"
    if data is not None:
        table.write_bytes(data)
    status, out, err = run(capsys, "import", table, "-o", path)
    assert (status, out) == (2, "")
    assert err.startswith(f"{table}: ")
    assert len(err.splitlines()) == 1
    assert not path.exists()


def test_a_map_that_says_nothing_is_refused(capsys, tmp_path):
    status, _, err = run(capsys, "import", TABLE, "-o", tmp_path / "x.yaml", "--map", "Ort=nowhere")
    assert status == 2
    assert "Ort=nowhere: no column holds" in err


def test_a_facility_goes_out_and_comes_in(capsys, tmp_path):
    book, path = tmp_path / "book.xlsx", tmp_path / "again.yaml"
    status, out, err = run(capsys, "export", LARKFEN, "-o", book)
    assert (status, out, err) == (0, f"Workbook: {book}\n", "")
    status, out, _ = run(capsys, "import", book, "-o", path)
    assert status == 0
    assert "nothing was guessed" in out
    assert load(path).facility == load(LARKFEN).facility


def test_a_workbook_has_its_ending(capsys, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert run(capsys, "export", LARKFEN)[0] == 0
    assert (tmp_path / "larkfen.xlsx").exists()
    status, _, err = run(capsys, "export", LARKFEN, "-o", "book.ods")
    assert status == 2
    assert "ends with .xlsx" in err
