"""``slinediag draw`` over its own drawing says which sheets have to be printed again."""

from __future__ import annotations

import re
import shutil
import subprocess
from dataclasses import replace
from pathlib import Path

import pytest

from slinediag.chart.pictures import picture_of
from slinediag.cli.main import main
from slinediag.drawing.marks import Drawing, Group, Line, Ref
from slinediag.geometry import Point
from tests.chart.plants import STATION
from tests.cli.test_draw_stay import CHANGED, written

RELABELLED = STATION.replace("PLY1: {name: Disc player 1", "PLY1: {name: Old disc player 1")
WHICH = re.compile(
    r"sheets to print again: ([0-9, –]+) \(of ([0-9]+)\); the others are as they were"
)


@pytest.fixture(autouse=True)
def folder(tmp_path, monkeypatch):
    """A folder with a facility file, which is worked in."""
    monkeypatch.chdir(tmp_path)
    written(STATION)
    return tmp_path


@pytest.fixture
def draw(capsys):
    """Draws, and gives what is said of printing."""

    def drawn(path: str, *arguments: str) -> list[str]:
        assert main(["draw", "plant.yaml", "-o", path, "--effort", "quick", *arguments]) == 0
        lines = capsys.readouterr().err.splitlines()
        said = [line.removeprefix(f"{path}: ") for line in lines]
        return [line for line in said if "print" in line or line.startswith("the sheet ")]

    return drawn


def numbers(words: str) -> set[int]:
    """Numbers with runs of them as first–last."""
    ends = [[int(end) for end in run.split("–")] for run in words.split(", ")]
    return {number for run in ends for number in range(run[0], run[-1] + 1)}


def pictures(name: str) -> dict[int, bytes]:
    """What the pages of a PDF, or the SVGs of a set, look like to another program."""
    if name.endswith(".pdf"):
        subprocess.run(["pdftoppm", "-r", "60", "-png", name, "page"], check=True)
        found = {int(p.stem.split("-")[1]): p.read_bytes() for p in Path().glob("page-*.png")}
        for page in Path().glob("page-*.png"):
            page.unlink()
        return found
    found = {}
    for path in Path().glob(f"{Path(name).stem}-*.svg"):
        made = subprocess.run(["rsvg-convert", "-w", "800", path], check=True, capture_output=True)
        found[int(path.stem.rpartition("-")[2])] = made.stdout
    return found


@pytest.mark.parametrize("ending", ["svg", "pdf"])
def test_a_sheet_that_is_not_named_is_the_same_picture(draw, ending):
    if shutil.which("pdftoppm" if ending == "pdf" else "rsvg-convert") is None:
        pytest.skip("no other program to look at the sheets with")
    if ending == "pdf":
        pytest.importorskip("PySide6.QtGui", exc_type=ImportError)
    name = f"wall.{ending}"
    assert draw(name, "--sheet", "A4") == []
    before = pictures(name)
    written(RELABELLED)
    (said,) = draw(name, "--sheet", "A4")
    found = WHICH.fullmatch(said)
    assert found, said
    now = pictures(name)
    assert int(found[2]) == len(now) > 3
    named = numbers(found[1])
    assert named == {number for number in now if before.get(number) != now[number]}
    assert 0 < len(named) < len(now)


def test_what_is_unchanged_need_not_be_printed(draw):
    draw("wall.svg", "--sheet", "A4")
    count = len(list(Path().glob("wall-*.svg")))
    assert draw("wall.svg", "--sheet", "A4") == [
        f"no sheet to print again: all {count} are as they were"
    ]


def test_of_a_single_sheet_it_is_said_as_well(draw):
    assert draw("wall.svg") == []
    assert draw("wall.svg") == ["the sheet is as it was"]
    written(CHANGED)
    assert draw("wall.svg") == ["the sheet has changed: print it again"]


def test_what_marks_stand_for_is_no_part_of_the_picture():
    """A screen tells things by it; nothing of it is printed."""
    line = Line(((Point(0, 0), Point(10, 0)),), ref=Ref(("line",), title="One"))
    other = replace(line, ref=Ref(("line",), title="Other"))
    moved = replace(line, runs=((Point(0, 0), Point(11, 0)),))
    one, same, changed = (
        picture_of(Drawing(100, 100, (Group((mark,)),), "A sheet")) for mark in (line, other, moved)
    )
    assert one == same != changed


def test_where_the_earlier_sheets_cannot_be_read_nothing_is_said(draw):
    draw("wall.svg", "--sheet", "A4")
    for sheet in Path().glob("wall-*.svg"):
        older = re.sub(r',"picture [0-9]+":"[0-9a-f]{32}"', "", sheet.read_text("utf-8"))
        sheet.write_text(older, "utf-8")
    assert draw("wall.svg", "--sheet", "A4") == []
    pytest.importorskip("PySide6.QtGui", exc_type=ImportError)
    for _ in range(2):
        assert draw("wall.png") == []


def test_a_sheet_whose_file_is_lost_has_to_be_printed(draw):
    draw("wall.svg", "--sheet", "A4")
    last = max(int(p.stem.rpartition("-")[2]) for p in Path().glob("wall-*.svg"))
    Path(f"wall-{last}.svg").unlink()
    (said,) = draw("wall.svg", "--sheet", "A4")
    assert numbers(WHICH.fullmatch(said)[1]) == {last}
