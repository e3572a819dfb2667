"""The import and export commands as a person runs them: files, reports, refusals."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from slinediag.cli.main import main
from slinediag.file.read import load

ROOT = Path(__file__).parent.parent.parent
TABLE = ROOT / "tests" / "file" / "tables" / "data" / "row_a_position.csv"
LARKFEN = ROOT / "samples" / "larkfen.yaml"


def run(capsys, *arguments):
    """Status, standard output and standard error of one command."""
    try:
        status = main([str(argument) for argument in arguments])
    except SystemExit as stopped:
        status = stopped.code
    said = capsys.readouterr()
    return status, said.out, said.err


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
