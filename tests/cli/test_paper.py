"""The paper command as a person runs it: files in a folder, and clear words where it cannot."""

from __future__ import annotations

import csv
import errno
import re
from pathlib import Path
from xml.etree import ElementTree

import pytest
from pypdf import PdfReader

from slinediag.cli.main import main
from slinediag.papers.kinds import KINDS
from tests.cli.running import run

SAMPLES = Path(__file__).parent.parent.parent / "samples"
LARKFEN = str(SAMPLES / "larkfen.yaml")


def test_strips_go_into_a_folder_that_is_made(capsys, tmp_path):
    folder = tmp_path / "paper é" / "strips"
    status, out, err = run(capsys, "paper", LARKFEN, "--kind", "strips", "-o", folder)
    assert status == 0, err
    names = sorted(path.name for path in folder.iterdir())
    assert "larkfen-strips.pdf" in names
    assert names[0].startswith("larkfen-strips-")
    assert out.splitlines()[0] == f"Paper: {folder / 'larkfen-strips.pdf'}"
    assert len(out.splitlines()) == len(names)


def test_a_folder_that_is_a_file_is_refused(capsys, tmp_path):
    (tmp_path / "taken").write_text("x")
    status, _, err = run(capsys, "paper", LARKFEN, "--kind", "strips", "-o", tmp_path / "taken")
    assert status == 2
    assert "taken: this is a file, not a folder. Choose another with -o" in err
    assert (tmp_path / "taken").read_text() == "x"


def test_an_unknown_kind_is_refused(capsys):
    status, _, err = run(capsys, "paper", LARKFEN, "--kind", "stripes")
    assert status == 2
    assert "stripes" in err


def test_help_says_what_each_kind_is(capsys, monkeypatch):
    monkeypatch.setenv("COLUMNS", "100")
    with pytest.raises(SystemExit):
        main(["paper", "--help"])
    told = capsys.readouterr().out.partition("kinds of papers:\n")[2].splitlines()
    assert {line.split()[0] for line in told} == {*KINDS, "book"}
    assert all(len(line.split()) > 5 and len(line) <= 90 for line in told)


def test_the_schedule_comes_as_pages_and_tables(capsys, tmp_path):
    status, _, err = run(capsys, "paper", LARKFEN, "--kind", "schedule", "-o", tmp_path)
    assert status == 0, err
    names = {path.name for path in tmp_path.iterdir()}
    tables = ("punchdown", "pairs", "cables", "racks", "straps", "equipment", "totals")
    assert {f"larkfen-schedule-{table}.csv" for table in tables} <= names
    assert {"larkfen-schedule.pdf", "larkfen-schedule.xlsx", "larkfen-schedule-01.svg"} <= names


def test_the_book_is_one_file(capsys, tmp_path):
    status, out, err = run(capsys, "paper", LARKFEN, "--kind", "book", "-o", tmp_path)
    assert status == 0
    assert all(re.match(r" *\d+ %  \w", line) for line in err.splitlines())
    (book,) = tmp_path.iterdir()
    assert book.name == "larkfen-book.pdf"
    assert book.read_bytes().startswith(b"%PDF-")
    assert out == f"Paper: {book}\n"


def test_every_kind_of_paper_can_be_asked_for():
    from slinediag.cli.paper import KINDS as ASKED
    from slinediag.papers.kinds import KINDS

    assert set(ASKED) == {*KINDS, "book"}


def test_nothing_is_written_for_a_file_that_is_wrong(capsys, tmp_path):
    bad = tmp_path / "bad.yaml"
    bad.write_text("slinediag: 1\nfacility: {}\n")
    status, _, err = run(capsys, "paper", bad, "--kind", "strips", "-o", tmp_path / "out")
    assert status == 2
    assert "name" in err
    assert not (tmp_path / "out").exists()


def test_what_does_not_fit_is_said(capsys, tmp_path):
    path = tmp_path / "plant.yaml"
    path.write_text(
        "slinediag: 1\nfacility: {name: Plant}\n"
        "bays: {PB: {name: Bay, points: {3: {label_top: QUADRAPHONIC}}}}\n"
    )
    status, out, _ = run(capsys, "paper", path, "--kind", "strips", "-o", tmp_path)
    assert status == 0
    assert "Does not fit at 2.5 mm: PB T3: QUADRAPHONIC, " in out
    assert "Would fit at 2.5 mm: a label_top in three lines of 4 letters" in out


def test_strips_come_on_the_sheet_that_is_asked_for(capsys, tmp_path):
    arguments = ("paper", LARKFEN, "--kind", "strips", "-o", tmp_path)
    assert run(capsys, *arguments, "--sheet", "a2")[0] == 0
    svg = next(path for path in tmp_path.iterdir() if path.suffix == ".svg").read_text()
    assert 'width="594mm"' in svg
    assert 'height="420mm"' in svg


def test_a_sheet_that_is_unknown_or_cannot_be_chosen_is_refused(capsys, tmp_path):
    out = tmp_path / "out"
    status, _, err = run(capsys, "paper", LARKFEN, "--kind", "strips", "--sheet", "A9", "-o", out)
    assert (status, "Use A4, " in err) == (2, True)
    status, _, err = run(capsys, "paper", LARKFEN, "--kind", "order", "--sheet", "A2", "-o", out)
    assert status == 2
    assert "has one size only" in err
    assert not out.exists()


AWKWARD = """\
slinediag: 1
facility:
  name: "שידור \\U0001F399 \\"Frö's\\" <&>"
  owner: "=1+1"
  drawing: "@A-1"
  revision: "-2"
  date: 2026-05-18
  notes: ["one line\\nand another"]
equipment:
  A: {name: "محطة", label: "إخراج ١", place: "Rack \\"7\\", U1", outputs: [L, R], note: "a\\r\\nb\\tc"}
  B: {name: "+cmd", label: "\\U0001F3A4 MIC", inputs: {L: {priority: 1}, R: {}}, place: "房间"}
bays:
  P1:
    name: "\\"عربي\\" \\U0001F39B"
    label: "ПАНЕЛЬ-1"
    positions: 6
    points:
      1-2: {top: [A.L, A.R], bottom: [{to: B.L, cable: K1/1}, {to: B.R, cable: K1/2}], group: "דגל"}
      3: {label_top: "-5 dB", label_bottom: "=SUM(A1)", note: "@note"}
cables:
  K1: {type: "=2 pair \\"x\\"", length: 3, pairs: 4, note: "-note\\r\\nsecond"}
"""


@pytest.mark.parametrize("kind", ["strips", "schedule", "order", "cards", "faces", "book"])
def test_any_text_and_any_path(capsys, tmp_path, kind):
    folder = tmp_path / "בית \U0001f39b \"x\" 'y'"
    folder.mkdir()
    path = folder / "plant é \U0001f3a4.yaml"
    path.write_text(AWKWARD, encoding="utf-8")
    out = folder / "papers & more"
    status, said, err = run(capsys, "paper", path, "--kind", kind, "-o", out)
    assert status == 0, err
    written = sorted(out.iterdir())
    named = [line.removeprefix("Paper: ") for line in said.splitlines() if "Paper: " in line]
    assert sorted(named) == list(map(str, written))
    for file in written:
        if file.suffix == ".csv":
            with file.open(encoding="utf-8-sig", newline="") as lines:
                cells = [cell for row in csv.reader(lines) for cell in row]
            assert not any(cell.startswith(("=", "+", "-", "@")) for cell in cells)
        if file.suffix == ".svg":
            ElementTree.parse(file)
        if file.suffix == ".pdf":
            assert len(PdfReader(file).pages) > 0


@pytest.mark.parametrize("kind", ["schedule", "book"])
def test_ctrl_c_leaves_nothing_behind(capsys, tmp_path, monkeypatch, kind):
    def stopped(*_, **__):
        raise KeyboardInterrupt

    monkeypatch.setattr("slinediag.paint.qt.paint", stopped)
    plant = tmp_path / "plant.yaml"
    plant.write_text(AWKWARD, encoding="utf-8")
    with pytest.raises(KeyboardInterrupt):
        run(capsys, "paper", plant, "--kind", kind, "-o", tmp_path / "out")
    assert capsys.readouterr().out == ""
    assert not (tmp_path / "out").exists()


def test_ctrl_c_while_writing_leaves_all_as_it_was(capsys, tmp_path, monkeypatch):
    plant = tmp_path / "plant.yaml"
    plant.write_text(AWKWARD, encoding="utf-8")
    arguments = ("paper", plant, "--kind", "order", "-o", tmp_path / "out")
    assert run(capsys, *arguments)[0] == 0
    before = {path.name: path.read_bytes() for path in (tmp_path / "out").iterdir()}
    plant.write_text(AWKWARD.replace('"-2"', "H"), encoding="utf-8")
    synced = []

    def stopped(descriptor):
        synced.append(descriptor)
        if len(synced) > 2:
            raise KeyboardInterrupt

    monkeypatch.setattr("os.fsync", stopped)
    with pytest.raises(KeyboardInterrupt):
        run(capsys, *arguments)
    after = {path.name: path.read_bytes() for path in (tmp_path / "out").iterdir()}
    assert after == before


def test_a_folder_that_was_made_for_nothing_is_gone_again(capsys, tmp_path, monkeypatch):
    def full(*_):
        raise OSError(errno.ENOSPC, "No space left on device")

    plant = tmp_path / "plant.yaml"
    plant.write_text(AWKWARD, encoding="utf-8")
    monkeypatch.setattr("os.fsync", full)
    for kind in ("order", "book"):
        status, out, err = run(
            capsys, "paper", plant, "--kind", kind, "-o", tmp_path / "new" / "deep"
        )
        assert (status, out) == (2, "")
        assert "Free some space" in err
        assert list(tmp_path.iterdir()) == [plant]
