"""``slinediag draw --keep``: an earlier drawing read from its files, and what is said of it."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

import slinediag
from slinediag.cli.main import main
from slinediag.file.write import save
from tests.chart.plants import STATION

SAMPLES = Path(__file__).parents[2] / "samples"
HEAD = "slinediag: 1\nfacility: {name: Test plant}\n"
ELSEWHERE = (
    " *[0-9]+ %|.*: (no sheet|sheets) to print again|.*: the sheet (is as it was|has changed)"
)
"""How far it is, and what is to be printed again: tested by itself."""


@pytest.fixture
def folder(tmp_path, monkeypatch):
    """A folder with a facility file, which is worked in."""
    monkeypatch.chdir(tmp_path)
    save(tmp_path / "plant.yaml", (HEAD + STATION).encode())
    return tmp_path


def drawn(*arguments: str) -> None:
    assert main(["draw", "plant.yaml", "--effort", "quick", *arguments]) == 0


def said(capsys) -> list[str]:
    """What stands on standard error but for how far it is, and what is to be printed again."""
    lines = capsys.readouterr().err.splitlines()
    return [line for line in lines if not re.match(ELSEWHERE, line)]


def refused(capsys, *arguments: str) -> str:
    assert main(["draw", "plant.yaml", "--effort", "quick", *arguments]) == 2
    (line,) = said(capsys)
    return line


def files(folder: Path, pattern: str) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.glob(pattern)}


@pytest.mark.parametrize("ending", ["svg", "pdf"])
@pytest.mark.parametrize("sheet", ["auto", "A3", "A4"])
def test_the_same_command_again_and_again(folder, capsys, ending, sheet):
    """The first time there is nothing to keep yet, which is said; then nothing changes."""
    if ending == "pdf":
        pytest.importorskip("PySide6.QtGui", exc_type=ImportError)
    command = ["-o", f"chart.{ending}", "--keep", f"chart.{ending}", "--sheet", sheet]
    drawn(*command)
    first = files(folder, "chart*")
    assert said(capsys) == [f"Nothing was kept: there is no chart.{ending} yet"]
    assert (len(first) > 1) == ((ending, sheet) == ("svg", "A4"))
    drawn(*command)
    assert said(capsys) == []
    assert files(folder, "chart*") == first


@pytest.fixture
def chart_set(folder):
    """A set of four sheets and more, as SVG."""
    drawn("-o", "set.svg", "--sheet", "A4")
    assert len(files(folder, "set-*.svg")) > 3
    return folder


def keeping(*arguments: str) -> None:
    drawn("-o", "new.svg", "--sheet", "A4", *arguments)


def contents(folder: Path, name: str) -> list[bytes]:
    found = sorted(files(folder, f"{name}-*.svg").items())
    return [data.replace(b"set-", b"new-") for _, data in found]


@pytest.mark.parametrize("name", ["set.svg", "set-1.svg", "set-3.svg"])
def test_any_sheet_of_a_set_will_do(chart_set, capsys, name):
    keeping("--keep", name)
    assert said(capsys) == []
    assert contents(chart_set, "new") == contents(chart_set, "set")


def test_a_set_kept_from_its_pdf_is_the_same(chart_set, capsys):
    pytest.importorskip("PySide6.QtGui", exc_type=ImportError)
    drawn("-o", "set.pdf", "--sheet", "A4")
    keeping("--keep", "set.pdf")
    assert said(capsys) == []
    assert contents(chart_set, "new") == contents(chart_set, "set")


def test_a_sheet_that_is_not_there_is_told_and_keeps_its_number(chart_set, capsys):
    (chart_set / "set-3.svg").unlink()
    keeping("--keep", "set-2.svg")
    assert said(capsys) == [
        "Not found beside set-2.svg: sheet 3, of which only number and contents are kept"
    ]
    assert [*files(chart_set, "new-*")] == [f"new-{n}.svg" for n in sorted_numbers(chart_set)]


def sorted_numbers(folder: Path) -> list[str]:
    """In the order of the file system, as ``files`` has them."""
    return [path.stem.rpartition("-")[2] for path in folder.glob("new-*.svg")]


def test_a_sheet_under_another_name_keeps_what_it_knows(chart_set, capsys):
    shutil.move(chart_set / "set-2.svg", chart_set / "alone.svg")
    keeping("--keep", "alone.svg")
    (line,) = said(capsys)
    assert line.startswith("Not found beside alone.svg: sheet 3")


def test_a_change_is_drawn_on_what_was(folder, capsys):
    drawn("-o", "chart.svg")
    changed = STATION.replace("5: {top: DESK.CUE, bottom: MON.1}", "5: {top: DESK.CUE}")
    assert changed != STATION
    save(folder / "plant.yaml", (HEAD + changed).encode())
    drawn("-o", "chart.svg", "--keep", "chart.svg")
    assert said(capsys) == []
    assert 'data-top="PB2.T5"' in (folder / "chart.svg").read_text(encoding="utf-8")


def test_python_keeps_as_the_command_does(folder):
    plant = slinediag.load("plant.yaml")
    slinediag.draw(plant, "a.svg", effort="quick")
    slinediag.draw(plant, "b.svg", effort="quick", keep="a.svg")
    assert (folder / "b.svg").read_bytes() == (folder / "a.svg").read_bytes()


def test_another_facility_is_said_to_have_kept_nothing(folder, capsys):
    slinediag.draw(slinediag.load(str(SAMPLES / "larkfen.yaml")), "other.svg", effort="quick")
    drawn("-o", "plain.svg")
    drawn("-o", "kept.svg", "--keep", "other.svg")
    said = capsys.readouterr().err
    assert (
        said == "Nothing was kept: the earlier drawing shows hardly anything of what is drawn now\n"
    )
    assert (folder / "kept.svg").read_bytes() == (folder / "plain.svg").read_bytes()


def test_what_cannot_be_kept_is_refused_with_a_remedy(folder, capsys):
    (folder / "a.png").write_bytes(b"")
    (folder / "plain.svg").write_text("<svg/>", encoding="utf-8")
    (folder / "broken.svg").write_text("<svg>", encoding="utf-8")
    (folder / "broken.pdf").write_bytes(b"%PDF-")
    (folder / "folder.svg").mkdir()
    for name, words in (
        ("none.svg", "there is no such file. Name a drawing that slinediag wrote"),
        ("a.png", "a PNG does not hold where things stand. Keep the .svg or .pdf"),
        ("plant.yaml", "no drawing that can be kept ends like this. Name a drawing"),
        ("plain.svg", "it does not hold where things stand: something else wrote it"),
        ("broken.svg", "this is no SVG to be read. Draw it once without keeping"),
        ("broken.pdf", "this is no PDF to be read. Draw it once without keeping"),
        ("folder.svg", "cannot read: "),
    ):
        line = refused(capsys, "-o", "new.svg", "--keep", name)
        assert line.startswith(f"{name}: {words}"), line
    assert not (folder / "new.svg").exists()


def test_a_part_and_the_whole_do_not_go_together(folder, capsys):
    drawn("-o", "whole.svg")
    line = refused(capsys, "-o", "new.svg", "--bay", "PB1", "--keep", "whole.svg")
    assert line.startswith("keep: the earlier drawing shows the whole chart")
    assert "Keep a drawing of the same part" in line
    drawn("-o", "part.svg", "--bay", "PB1")
    drawn("-o", "again.svg", "--bay", "PB1", "--keep", "part.svg")
    assert (folder / "again.svg").read_bytes() == (folder / "part.svg").read_bytes()


@pytest.mark.usefixtures("folder")
def test_a_bare_graph_has_nothing_to_keep(capsys):
    drawn("-o", "chart.svg")
    line = refused(capsys, "-o", "new.gv", "--keep", "chart.svg")
    assert line.startswith("new.gv: a bare graph")


def test_an_empty_name_is_refused(capsys):
    with pytest.raises(SystemExit) as stopped:
        main(["draw", "plant.yaml", "--keep", " "])
    assert stopped.value.code == 2
    assert "give the path of an earlier drawing" in capsys.readouterr().err
