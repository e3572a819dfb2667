"""What may be asked of a chart as a file, from Python and by the command alike."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

import slinediag
from slinediag.cli.main import main

LARKFEN = Path(__file__).parents[1] / "samples" / "larkfen.yaml"
FACILITY = slinediag.load(LARKFEN)


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"dpi": 0}, "pixels to the inch (dpi): give 20 to 2400, not 0"),
        ({"dpi": -200}, "pixels to the inch (dpi): give 20 to 2400, not -200"),
        ({"dpi": 2401}, "pixels to the inch (dpi): give 20 to 2400, not 2401"),
        ({"dpi": 96.0}, "pixels to the inch (dpi): give 20 to 2400, not 96.0"),
        ({"dpi": True}, "pixels to the inch (dpi): give 20 to 2400, not True"),
        ({"read_at": -1}, "reading distance: give millimetres, 0 to 4000, not -1"),
        ({"read_at": 4001.0}, "reading distance: give millimetres, 0 to 4000, not 4001.0"),
        ({"read_at": math.nan}, "reading distance: give millimetres, 0 to 4000, not nan"),
        ({"read_at": "1 m"}, "reading distance: give millimetres, 0 to 4000, not '1 m'"),
        ({"effort": "slow"}, "effort: 'slow' is not known here. Use quick, thorough"),
        ({"outages": "some"}, "outages: 'some' is not known here. Use none, bypasses, all"),
    ],
)
def test_a_wrong_choice_is_refused_before_anything_is_drawn(tmp_path, wrong, said):
    with pytest.raises(slinediag.RequestError) as refused:
        slinediag.draw(FACILITY, tmp_path / "chart.png", **wrong)
    assert str(refused.value) == said
    assert list(tmp_path.iterdir()) == []


GRAPH_HEEDS_NOT = [
    ({"sheet": "A3"}, ["--sheet", "A3"], "a bare graph is on no sheet"),
    ({"read_at": 1000}, ["--read-at", "1000"], "a bare graph has no lettering"),
    ({"outages": "all"}, ["--outages"], "a bare graph lists no outages"),
    ({"fold": False}, ["--no-fold"], "a bare graph folds no runs"),
    ({"fold": True}, ["--fold"], "a bare graph folds no runs"),
    ({"dpi": 100}, ["--dpi", "100"], "only a .png has pixels to the inch"),
    ({"bays": ["LA"]}, ["--bay", "LA"], "a bare graph is always of the whole"),
    ({"plugs": ["LA.T1"]}, ["--plug", "LA.T1"], "a bare graph shows no trial"),
]


@pytest.mark.parametrize(("asked", "options", "said"), GRAPH_HEEDS_NOT)
def test_what_a_bare_graph_does_not_heed_is_refused(tmp_path, capsys, asked, options, said):
    path = tmp_path / "chart.gv"
    with pytest.raises(slinediag.RequestError) as refused:
        slinediag.draw(FACILITY, path, **asked)
    (problem,) = refused.value.problems
    assert (problem.where, problem.what) == (str(path), said)
    assert problem.hint.startswith("Ask for .")
    assert main(["draw", str(LARKFEN), "-o", str(path), *options]) == 2
    assert capsys.readouterr().err == f"{refused.value}\n"
    assert not path.exists()


def test_all_that_is_not_heeded_is_told_in_one_go(tmp_path):
    with pytest.raises(slinediag.RequestError) as refused:
        slinediag.draw(FACILITY, tmp_path / "c.gv", sheet="A3", fold=True, dpi=100, read_at=-5)
    assert len(refused.value.problems) == 5


def test_a_bare_graph_is_written_as_ever(tmp_path, capsys):
    path = tmp_path / "chart.gv"
    assert main(["draw", str(LARKFEN), "-o", str(path), "--effort", "quick"]) == 0
    assert path.read_text(encoding="utf-8").startswith("digraph")
    assert capsys.readouterr().out == f"Chart: {path}\n"


@pytest.mark.parametrize("ending", [".svg", ".pdf"])
def test_pixels_are_for_pictures(tmp_path, ending):
    with pytest.raises(slinediag.RequestError, match=r"only a \.png has pixels"):
        slinediag.draw(FACILITY, tmp_path / f"chart{ending}", dpi=300)
