"""``slinediag draw`` over a drawing of the same: unasked, things stay where they were."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import slinediag
from slinediag.chart.borne import VERSION
from slinediag.cli.main import main
from slinediag.file.write import save
from tests.chart.plants import STATION

HEAD = "slinediag: 1\nfacility: {name: Test plant}\n"
CHANGED = STATION.replace("[PLY1.L, PLY1.R]", "[PLY1.L, PLY2.R]").replace(
    "[PLY2.L, PLY2.R]", "[PLY2.L, PLY1.R]"
)
"""Two wires exchanged."""
STAYS = "things stay where they were; --afresh arranges anew"
LONG = "much has changed since they were arranged; --afresh may cross fewer lines"
ELSEWHERE = (
    " *[0-9]+ %|.*: (no sheet|sheets) to print again|.*: the sheet (is as it was|has changed)"
)
"""How far it is, and what is to be printed again: tested by itself."""


@pytest.fixture(autouse=True)
def folder(tmp_path, monkeypatch):
    """A folder with a facility file, which is worked in."""
    monkeypatch.chdir(tmp_path)
    written(STATION)
    return tmp_path


def written(station: str, head: str = HEAD) -> None:
    assert station.strip()
    save(Path("plant.yaml"), (head + station).encode())


@pytest.fixture
def draw(capsys):
    """Draws, and gives what stands on standard error beside ``ELSEWHERE``."""

    def drawn(path: str, *arguments: str) -> list[str]:
        effort = () if "--effort" in arguments else ("--effort", "quick")
        assert main(["draw", "plant.yaml", "-o", path, *effort, *arguments]) == 0
        lines = capsys.readouterr().err.splitlines()
        return [line for line in lines if not re.match(ELSEWHERE, line)]

    return drawn


def files(stem: str) -> dict[str, bytes]:
    """By the part behind the stem, with links to other sheets by that part too."""
    found = sorted(Path().glob(f"{stem}*"))
    return {
        p.name.removeprefix(stem): p.read_bytes().replace(f'"{stem}-'.encode(), b'"-')
        for p in found
    }


@pytest.mark.parametrize("ending", ["svg", "pdf"])
@pytest.mark.parametrize("sheet", ["auto", "A4"])
def test_unchanged_it_is_the_same_here_and_elsewhere(draw, ending, sheet):
    if ending == "pdf":
        pytest.importorskip("PySide6.QtGui", exc_type=ImportError)
    assert draw(f"wall.{ending}", "--sheet", sheet) == []
    first = files("wall")
    assert (len(first) > 1) == ((ending, sheet) == ("svg", "A4"))
    assert draw(f"wall.{ending}", "--sheet", sheet) == [f"wall.{ending}: {STAYS}"]
    assert files("wall") == first
    assert draw(f"other.{ending}", "--sheet", sheet) == []
    assert files("other") == first


@pytest.mark.parametrize("sheet", ["auto", "A4"])
def test_a_change_is_drawn_as_if_told_to_keep(draw, sheet):
    draw("wall.svg", "--sheet", sheet)
    written(CHANGED)
    told = draw("kept.svg", "--sheet", sheet, "--keep", "wall.svg")
    assert draw("wall.svg", "--sheet", sheet) == [f"wall.svg: {STAYS}", *told]
    assert files("wall") == files("kept")


def test_many_small_changes_are_told(draw):
    changes = [
        ("[DESK.1, DESK.2]", "[DESK.2, DESK.1]"),
        ("[DESK.3, DESK.4]", "[DESK.4, DESK.3]"),
        ("[PLY1.L, PLY1.R]", "[PLY1.R, PLY1.L]"),
        ("[LIM.L, LIM.R]", "[LIM.R, LIM.L]"),
        ("bottom: DESK.M1, normal: full", "bottom: DESK.M1"),
    ]
    draw("wall.svg")
    station, said = STATION, []
    for old, new in changes:
        assert old in station
        station = station.replace(old, new)
        written(station)
        said.append(draw("wall.svg"))
    assert said[0] == [f"wall.svg: {STAYS}"]
    assert said[-1] == [f"wall.svg: {STAYS}", f"wall.svg: {LONG}"]
    assert draw("wall.svg") == said[-1]  # Borne on by a drawing of what has not changed.
    assert draw("wall.svg", "--afresh") == []
    assert draw("wall.svg") == [f"wall.svg: {STAYS}"]


def test_told_to_it_is_arranged_anew(draw):
    draw("wall.svg")
    written(CHANGED)
    draw("new.svg")
    assert draw("wall.svg") == [f"wall.svg: {STAYS}"]
    assert files("wall") != files("new")
    assert draw("wall.svg", "--afresh") == []
    assert files("wall") == files("new")


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--sheet", "A2"), "was drawn with another --sheet"),
        (("--effort", "thorough"), "was drawn with another --effort"),
        (("--read-at", "1500"), "was drawn with another --read-at"),
        (("--fold",), "was drawn with another --fold"),
        (("--bay", "PB1"), "shows another part"),
        (("--sheet", "A2", "--fold"), "was drawn with another --sheet and --fold"),
    ],
)
def test_asked_for_otherwise_it_is_arranged_anew(draw, arguments, words):
    draw("wall.svg")
    written(CHANGED)
    draw("wall.svg")
    assert draw("new.svg", *arguments) == []
    assert draw("wall.svg", *arguments) == [
        f"wall.svg: arranged anew, since the one before {words}"
    ]
    assert files("wall") == files("new")
    assert draw("wall.svg", *arguments) == [f"wall.svg: {STAYS}"]


def test_another_facility_is_arranged_anew(draw):
    draw("wall.svg")
    written(CHANGED, HEAD.replace("Test", "Other"))
    draw("new.svg")
    assert draw("wall.svg") == [
        "wall.svg: arranged anew, since the one before was of another facility"
    ]
    assert files("wall") == files("new")


def test_a_large_change_is_arranged_anew(draw):
    draw("wall.svg")
    start = STATION.index("  PB2:\n")
    written(STATION[:start].replace("bottom: DESK.M1, normal: full", "bottom: DESK.M1"))
    draw("new.svg")
    assert draw("wall.svg") == ["wall.svg: arranged anew, since too much has changed"]
    assert files("wall") == files("new")


def test_what_bears_nothing_that_can_be_kept_is_written_over_in_silence(draw):
    draw("new.svg")
    good = Path("new.svg").read_text(encoding="utf-8")
    version = f'"version":{VERSION}'
    assert version in good
    for text in (
        "",
        "<svg/>",
        "<svg>",
        good[:2000],
        good.replace("urn:x-slinediag", "urn:x-other"),
        good.replace(version, '"version":99'),
        good.replace('"islands":[', '"islands":[7,'),
        good.replace('"asked":{', '"asked":[{'),
        good.replace('"asked"', '"unasked"'),
    ):
        assert text != good
        Path("wall.svg").write_text(text, encoding="utf-8")
        assert draw("wall.svg") == []
        assert files("wall") == files("new")


def test_pictures_and_bare_graphs_hold_nothing_and_nothing_is_said_of_them(capsys):
    pytest.importorskip("PySide6.QtGui", exc_type=ImportError)
    for name in ("wall.png", "wall.gv"):
        for _ in range(2):
            assert main(["draw", "plant.yaml", "-o", name]) == 0
        before = Path(name).read_bytes()
        assert main(["draw", "plant.yaml", "-o", name, "--afresh"]) == 0
        assert Path(name).read_bytes() == before
    assert STAYS not in capsys.readouterr().err


def test_one_that_is_named_comes_before_the_one_that_is_there(draw):
    draw("named.svg", "--sheet", "A2")
    written(CHANGED)
    draw("wall.svg", "--sheet", "A2")
    draw("kept.svg", "--sheet", "A2", "--keep", "named.svg")
    assert files("kept") != files("wall")
    assert draw("wall.svg", "--sheet", "A2", "--keep", "named.svg") == []
    assert files("wall") == files("kept")


def test_to_keep_and_to_arrange_anew_do_not_go_together(capsys):
    with pytest.raises(SystemExit) as stopped:
        main(["draw", "plant.yaml", "--keep", "a.svg", "--afresh"])
    assert stopped.value.code == 2
    assert "--afresh" in capsys.readouterr().err


def test_a_trial_stands_where_the_chart_as_filed_does_and_leaves_it_so(draw):
    """Also where the chart as filed is not as it would be drawn afresh."""
    draw("wall.svg")
    written(CHANGED)
    draw("wall.svg")
    filed = files("wall")
    draw("tried.svg", "--keep", "wall.svg", "--cord", "PB1.T3=PB2.B3")
    assert draw("wall.svg", "--cord", "PB1.T3=PB2.B3") == [f"wall.svg: {STAYS}"]
    assert files("wall") == files("tried")
    assert draw("wall.svg") == [f"wall.svg: {STAYS}"]
    assert files("wall") == filed


def test_before_and_after_takes_a_larger_sheet_for_itself_alone(draw):
    draw("wall.svg")
    filed = files("wall")
    draw("wall.svg", "--before", "--cord", "PB1.T3=PB2.B3")
    assert draw("wall.svg") == [f"wall.svg: {STAYS}"]
    assert files("wall") == filed


def test_a_set_with_failures_does_not_unfold_the_next(draw):
    draw("wall.svg", "--sheet", "A4", "--failed-bay", "PB2")
    assert draw("wall.svg", "--sheet", "A4") == [
        "wall.svg: arranged anew, since the one before shows what has failed"
    ]


def test_where_things_no_longer_have_room_it_is_arranged_anew(draw):
    """A set of A4 that says it was drawn on what sheets it takes, and a box that takes more."""
    draw("wall.svg", "--sheet", "A4")
    for path in Path().glob("wall-*.svg"):
        text = path.read_text(encoding="utf-8")
        assert '"--sheet":"A4"' in text
        path.write_text(text.replace('"--sheet":"A4"', '"--sheet":"AUTO"'), encoding="utf-8")
    name = "Programme limiter of the main transmitter" * 30
    written(STATION.replace("name: Programme limiter\n", f"name: {name}\n    drawn: whole\n"))
    draw("new.svg")
    assert draw("wall.svg") == [
        "wall.svg: arranged anew, since things have no room where they were"
    ]
    assert Path("wall.svg").read_bytes() == Path("new.svg").read_bytes()


def test_a_drawing_called_like_a_sheet_is_not_taken_for_a_set(draw):
    draw("wall-2.svg")
    assert draw("wall.svg") == []


def test_a_set_is_found_beside_a_single_drawing_left_there(draw):
    """The one that has more in common is the last one drawn, whatever the clock says."""
    draw("wall.svg")
    single = files("wall")
    draw("set.svg", "--sheet", "A4")
    for path in Path().glob("set-*.svg"):
        path.rename(path.name.replace("set", "wall"))
    assert draw("wall.svg", "--sheet", "A4") == [f"wall.svg: {STAYS}"]
    assert draw("wall.svg") == [f"wall.svg: {STAYS}"]
    assert files("wall")[".svg"] == single[".svg"]


def test_a_missing_sheet_is_told(draw):
    draw("wall.svg", "--sheet", "A4")
    Path("wall-3.svg").unlink()
    assert draw("wall.svg", "--sheet", "A4") == [
        f"wall.svg: {STAYS}",
        "Not found beside wall-1.svg: sheet 3, of which only number and contents are kept",
    ]


def test_python_reads_nothing_unasked():
    slinediag.draw(slinediag.load("plant.yaml"), "wall.svg", effort="quick")
    written(CHANGED)
    plant = slinediag.load("plant.yaml")
    slinediag.draw(plant, "wall.svg", effort="quick")
    slinediag.draw(plant, "new.svg", effort="quick")
    assert files("wall") == files("new")
