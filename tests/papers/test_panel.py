"""Panels against EIA-310-D and IEC 60297-3-100 (second-hand) and arithmetic."""

from __future__ import annotations

from itertools import pairwise

import pytest

from slinediag.papers.panel import cell_edges, micrometres, panel_of
from tests.builders import plant


def bay_of(keys: str):
    facility = plant(f"bays: {{PB: {{name: Bay, {keys}}}}}")
    return facility, facility.bays["PB"]


@pytest.mark.parametrize(
    ("keys", "pitch"),
    # 438.15 mm (17.25 in) between the ears divided evenly: 18.26, 16.85, 15.65, 9.13 mm.
    [
        ("style: long-frame, positions: 24", 18.26),
        ("style: long-frame, positions: 26", 16.85),
        ("style: long-frame, positions: 28", 15.65),
        ("style: bantam", 9.13),
    ],
)
def test_cells_divide_the_panel_evenly(keys: str, pitch: float) -> None:
    _, bay = bay_of(keys)
    edges = cell_edges(bay)
    assert edges[-1] == pytest.approx(438_150, abs=2)
    for one, other in pairwise(edges):
        assert (other - one) / 1000 == pytest.approx(pitch, abs=0.005)


@pytest.mark.parametrize(("units", "height"), [(1, 43.66), (2, 88.11), (3, 132.56)])
def test_heights_of_panels(units: int, height: float) -> None:
    # EIA-310-D: 44.45 n - 0.79 mm.
    tall = units * micrometres("panel", "unit") - micrometres("panel", "gap")
    assert tall / 1000 == pytest.approx(height, abs=0.005)


def test_everything_lies_on_the_panel_and_apart() -> None:
    for style in ("bantam", "long-frame", "quarter-inch"):
        facility, bay = bay_of(f"style: {style}")
        panel = panel_of(facility, bay)
        top, bottom = panel.windows
        assert panel.size.contains(top.box)
        assert panel.size.contains(bottom.box)
        for jack in bay.jacks():
            centre = panel.jack(jack)
            window = panel.window(jack.row)
            left, right = window.cell(jack.position)
            assert (left + right) / 2 + window.box.x == pytest.approx(centre.x, abs=1)
            reach = panel.hole
            assert centre.y - reach > top.box.bottom
            assert centre.y + reach < bottom.box.y
        # The clear opening between the ears is 450.85 mm: every jack lies within it.
        margin = (micrometres("panel", "width") - micrometres("panel", "opening")) // 2
        assert panel.jack(next(bay.jacks())).x > margin


def test_a_bay_overrules_its_style() -> None:
    facility, bay = bay_of("positions: 4, pitch: 20, window: 8.5, offset: 14")
    panel = panel_of(facility, bay)
    assert panel.windows[0].box.height == 8_500
    assert panel.windows[0].edges == (0, 24_000, 44_000, 64_000, 88_000)


def test_a_bay_has_the_units_that_the_next_above_leaves_it() -> None:
    facility = plant(
        """
        bays:
          LOW: {name: Low, place: Rack, unit: 10}
          HIGH: {name: High, place: Rack, unit: 11}
        """
    )
    low, high = (panel_of(facility, facility.bays[name]) for name in ("LOW", "HIGH"))
    assert low.size.height == 43_660
    assert high.size.height == 88_110
    assert low.size.contains(low.windows[0].box)
