"""On the samples' charts lines cross as often as the order in their layers makes them.

That no order makes them cross less on a wall chart is shown in ``test_crossings``; here are quick
layouts and those of sheets, each that is made on the way to a set.
"""

from __future__ import annotations

import os
from fractions import Fraction
from pathlib import Path

import pytest

from slinediag.chart import recalling, standing
from slinediag.chart.graph import chart_graph, settings_for
from slinediag.chart.islands import split
from slinediag.chart.planning import plan_chart
from slinediag.chart.said import Said
from slinediag.chart.sheet import sheet_named
from slinediag.chart.sheetset import Request, draw_set
from slinediag.file.read import load
from slinediag.layout.graph import Graph
from slinediag.layout.layout import Layout
from slinediag.layout.pipeline import arrange
from tests.layout.needed import crossings_needed, drawn_crossings

SAMPLES = Path(__file__).parents[2] / "samples"


@pytest.mark.parametrize("fold", [False, True])
@pytest.mark.parametrize("name", ["larkfen", "quillmoor"])
def test_one_sheet(name: str, fold: bool) -> None:
    plan = plan_chart(load(SAMPLES / f"{name}.yaml").facility, None, fold=fold)
    settings = settings_for("quick")
    total = 0
    for part in split(chart_graph(plan.boxes, plan.points, plan.nets)):
        layout = arrange(part.graph, settings)
        assert drawn_crossings(layout) == crossings_needed(part.graph, layout)
        total += drawn_crossings(layout)
    assert total > 0


@pytest.mark.parametrize("fold", [False, True])
@pytest.mark.parametrize("name", ["larkfen"] + ["quillmoor"] * ("EXPLORE" in os.environ))
def test_set(name: str, fold: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    made: list[tuple[Graph, Layout]] = []

    def watched(graph: Graph, settings: object = None) -> Layout:
        made.append((graph, arrange(graph, settings)))
        return made[-1][1]

    for room in (recalling, standing):
        monkeypatch.setattr(room, "arrange", watched)
    facility = load(SAMPLES / f"{name}.yaml").facility
    plan = plan_chart(facility, None, fold=fold)
    draw_set(Request(facility, None, plan, sheet_named("A3"), "quick", Said(), Fraction(1)))
    assert sum(layout.crossings for _, layout in made) > 0
    for graph, layout in made:
        assert drawn_crossings(layout) == crossings_needed(graph, layout)
