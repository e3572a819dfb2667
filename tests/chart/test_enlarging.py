"""A chart is as large as it must be to be read from a distance, and all of it alike."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from slinediag.chart.chart import draw
from slinediag.chart.enlarging import SCALES, enlarged, scale_to_read_at
from slinediag.drawing.marks import Text
from slinediag.drawing.query import walk
from slinediag.file.read import load
from tests.chart.plants import station
from tests.chart.rules import check_all, groups

SAMPLES = Path(__file__).parents[2] / "samples"


# Least heights for 16 minutes of arc: 2.33 mm at 500 mm, 4.65 at 1,000, 6.98 at 1,500
# (ISO 9241-3; NUREG-0700 1.3.1-4).
@pytest.mark.parametrize(("distance", "least"), [(0, 2.5), (500, 2.33), (1000, 4.65), (1500, 6.98)])
def test_labels_reach_the_height_that_is_read_from_there(distance, least):
    scale = scale_to_read_at(distance)
    assert 2.5 * scale >= least
    smaller = [s for s in SCALES if s < scale]
    assert not smaller or 2.5 * smaller[-1] < least


def test_a_chart_to_be_read_from_afar_has_no_smaller_label():
    plant = station()
    drawing = draw(plant, read_at=1500)[0]
    heights = [
        p.mark.height
        for p in walk(drawing)
        if isinstance(p.mark, Text) and any("chart" in ref.classes for ref in p.refs)
    ]
    assert min(heights) >= 6980
    check_all(plant, drawing)


def test_at_scale_one_nothing_changes():
    marks = draw(station())[0].marks
    assert enlarged(marks, SCALES[0]) == marks


def heights(drawing):
    """Letter heights within the chart itself."""
    (chart,) = groups(drawing.marks, "chart")
    inner = replace(drawing, marks=(chart,))
    return {placed.mark.height for placed in walk(inner) if isinstance(placed.mark, Text)}


def test_a_wall_chart_is_read_from_a_metre_off():
    # 16 minutes of arc at 1000 mm are 2 · 1000 · tan(8') = 4.65 mm (ISO 9241-3; from memory).
    (wall,) = draw(station(), read_at=None)
    assert min(heights(wall)) >= 4650
    assert wall.width <= 1_189_000
    for sheet in ("one", "A3"):
        assert min(heights(draw(station(), sheet=sheet, read_at=None)[0])) < 4650


def test_what_would_be_larger_than_a0_is_drawn_at_the_least_height():
    plant = load(SAMPLES / "quillmoor.yaml").facility
    (drawing,) = draw(plant, read_at=None)
    assert 2500 <= min(heights(drawing)) < 4650
