"""``slinediag draw``: which part is drawn, folded or not, from the command line."""

from __future__ import annotations

from pathlib import Path

import pytest

from slinediag.cli.main import main

LARKFEN = str(Path(__file__).parents[2] / "samples" / "larkfen.yaml")


def drawn(tmp_path, *arguments) -> str:
    """What the one sheet that is drawn holds."""
    path = tmp_path / "chart.svg"
    assert main(["draw", LARKFEN, "-o", str(path), "--effort", "quick", *arguments]) == 0
    return path.read_text(encoding="utf-8")


def test_parts_add_up(tmp_path):
    text = drawn(tmp_path, "--bay", "LA", "--around", "NEAR L")
    # LB 21 is on the way to the left loudspeaker, LB 22 to the right one is not.
    assert 'data-top="LA.T1"' in text
    assert 'data-top="LB.T21"' in text
    assert 'data-top="LB.T22"' not in text
    assert "not drawn here" in text


def test_a_part_under_a_trial(tmp_path):
    text = drawn(tmp_path, "--around", "NEAR L", "--cord", "MIC 1=NEAR L")
    assert 'data-cord="LA.T1=LB.B21"' in text
    assert 'data-id="VOX"' in text


@pytest.mark.parametrize(
    ("asked", "folded"), [(["--fold"], True), (["--no-fold"], False), ([], False)]
)
def test_folding_is_on_request_where_all_fits(tmp_path, asked, folded):
    text = drawn(tmp_path, *asked)
    assert ("data-members" in text) == folded
    assert ("drawn as one line" in text) == folded


def test_of_several_sheets_all_are_written_or_none(tmp_path, capsys):
    (tmp_path / "chart-2.svg").mkdir()
    path = str(tmp_path / "chart.svg")
    sheets = ["--sheet", "A3", "--effort", "quick"]
    assert main(["draw", LARKFEN, "-o", path, *sheets]) == 2
    assert "chart-2.svg: cannot save: this is a folder" in capsys.readouterr().err
    assert [each.name for each in tmp_path.iterdir()] == ["chart-2.svg"]


def test_an_unknown_sheet_is_refused_before_anything_is_worked_out(tmp_path, capsys, monkeypatch):
    def never(*_: object, **__: object) -> None:
        pytest.fail("the chart was begun")

    monkeypatch.setattr("slinediag.output.draw_chart", never)
    chart = tmp_path / "chart.svg"
    assert main(["draw", LARKFEN, "-o", str(chart), "--sheet", "A9"]) == 2
    assert "sheet A9: no sheet has this name. Use auto, one, A4" in capsys.readouterr().err
