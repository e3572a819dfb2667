"""The chart on screen is the drawing that is printed, and each thing lies where it is drawn."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from slinediag.chart.chart import draw
from slinediag.drawing.query import at
from slinediag.editor.charting import chart_stages
from slinediag.editor.lighting import lit_runs, way_to_light
from slinediag.editor.pointing import thing_at
from slinediag.editor.things import Box, Net
from slinediag.file.read import load, parse
from slinediag.geometry import Point
from tests.builders import entry, jack, output
from tests.editor.plant import PLANT

SAMPLES = Path(__file__).resolve().parents[2] / "samples"
FACILITY = parse(PLANT.encode(), "plant.yaml").facility


@pytest.fixture(scope="module")
def chart():
    return list(chart_stages(FACILITY))[-1]


@pytest.mark.parametrize("facility", [FACILITY, load(SAMPLES / "larkfen.yaml").facility])
def test_it_is_the_very_drawing_that_is_printed(facility):
    printed = replace(draw(facility, sheet="one")[0], bears=())
    *_, shown = chart_stages(facility)
    assert shown.drawing == printed


def test_each_jack_and_box_lies_where_the_drawing_has_it(chart):
    for where in chart.jacks.values():
        refs = at(chart.drawing, where)
        assert {"jack", "plug"} & {c for ref in refs for c in ref.classes}
    for box, parts in chart.boxes.items():
        for part in parts:
            found = [dict(ref.data).get("id") for ref in at(chart.drawing, part.centre)]
            assert box in found or "path" in str(at(chart.drawing, part.centre))


def test_the_spread_finds_what_the_whole_drawing_finds(chart):
    width, height = chart.drawing.width, chart.drawing.height
    for x in range(0, width, width // 23):
        for y in range(0, height, height // 23):
            here = Point(x, y)
            assert chart.spread.at(here, 500) == at(chart.drawing, here, 500)


def test_what_a_place_means(chart):
    assert thing_at(chart, FACILITY, chart.jacks[jack("PB1.T1")], 2000) == jack("PB1.T1")
    assert thing_at(chart, FACILITY, chart.ports[entry("LIM.L")], 2000) == entry("LIM.L")
    middle = chart.boxes["XMIT"][0].centre
    assert thing_at(chart, FACILITY, middle, 500) == Box("XMIT")
    run = chart.nets[chart.net_of[jack("PB2.B1")]].runs[0]
    on_line = Point((run[0].x + run[1].x) // 2, (run[0].y + run[1].y) // 2)
    found = thing_at(chart, FACILITY, on_line, 900)
    assert isinstance(found, Net)
    assert set(found.ends) == {jack("PB2.B1"), entry("XMIT.L")}


def test_a_way_is_lit_from_its_origin_to_its_end(chart):
    # By hand from the file: DISC 1 L, PB1 1, the limiter's left side, PB2 1, LINK L.
    runs = lit_runs(chart, way_to_light(FACILITY, jack("PB2.B1")))
    corners = {corner for run in runs for corner in run}
    for stop in (output("PLY1.L"), entry("LIM.L"), output("LIM.L"), entry("XMIT.L")):
        assert chart.ports[stop] in corners
    assert chart.ports[output("PLY2.L")] not in corners
    assert chart.ports[entry("XMIT.R")] not in corners
