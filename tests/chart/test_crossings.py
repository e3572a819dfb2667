"""The samples' charts have no crossing that can be avoided, as an integer program proves."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from slinediag.chart.graph import ChartGraph, chart_graph, settings_for
from slinediag.chart.islands import split
from slinediag.chart.planning import Plan, plan_chart
from slinediag.file.read import load
from slinediag.layout.layout import Layout
from slinediag.layout.pipeline import arrange
from tests.layout.optimum import contracted, least_crossings, moves

SAMPLES = Path(__file__).parents[2] / "samples"
CHARTS = [("larkfen", False), ("larkfen", True), ("quillmoor", False), ("quillmoor", True)]
EXPLORE = "EXPLORE" in os.environ
FEWEST = 6
"""Lines from which an island may have a crossing at all that is worth a look."""


def islands(plan: Plan) -> list[tuple[ChartGraph, Layout]]:
    """The islands of a chart with more than a few lines, arranged as for a wall chart."""
    parts = split(chart_graph(plan.boxes, plan.points, plan.nets))
    settings = settings_for("thorough")
    return [(p, arrange(p.graph, settings)) for p in parts if len(p.graph.edges) >= FEWEST]


@pytest.fixture(scope="module")
def arranged():
    """The islands of each sample, folded and not."""
    found = {}
    for name, fold in CHARTS:
        plan = plan_chart(load(SAMPLES / f"{name}.yaml").facility, None, fold=fold)
        found[name, fold] = islands(plan)
    return found


@pytest.mark.parametrize("chart", CHARTS)
def test_no_order_within_the_layers_crosses_less(arranged, chart):
    for part, layout in arranged[chart]:
        assert layout.crossings == least_crossings(part.graph, layout.layer_of())


@pytest.mark.parametrize("chart", [c for c in CHARTS if EXPLORE or c[0] == "larkfen" or c[1]])
def test_no_box_in_another_layer_saves_a_crossing(arranged, chart):
    for part, layout in arranged[chart]:
        if layout.crossings:
            graph, layers = contracted(part.graph), layout.layer_of()
            for moved in moves(graph, layers):
                least = least_crossings(graph, moved, below=layout.crossings)
                assert least >= layout.crossings, moved


@pytest.mark.parametrize("name", ["larkfen", "quillmoor"])
def test_folding_makes_no_crossing(arranged, name):
    """One line for several is crossed once for several times."""
    folded, unfolded = (
        sum(layout.crossings for _, layout in arranged[name, fold]) for fold in (True, False)
    )
    assert folded <= unfolded
