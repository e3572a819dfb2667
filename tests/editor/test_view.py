"""Where one looks: zooming about a point, fitting; plain geometry."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slinediag.editor.view import CLOSEST, FARTHEST, View, fitted, fitted_width
from slinediag.geometry import Box, Point

SHEET = Box(0, 0, 420_000, 297_000)
PIXELS = st.integers(0, 2000)


@given(st.floats(0.05, 20), PIXELS, PIXELS, st.floats(-8, 8))
def test_what_is_under_the_pointer_stays_there(scale, x, y, steps):
    view = View(scale, 12.0, -3.0)
    before = view.to_sheet(x, y)
    near = view.stepped(steps, x, y)
    again = near.to_screen(before)
    assert again == (pytest.approx(x, abs=0.1), pytest.approx(y, abs=0.1))
    assert FARTHEST <= near.scale <= CLOSEST


def test_a_fitted_sheet_is_seen_whole_and_in_the_middle():
    view = fitted(SHEET, 900, 600)
    assert view.sees(SHEET, 900, 600, 0)
    assert view.to_screen(SHEET.centre) == (pytest.approx(450), pytest.approx(300))


def test_fitted_to_its_width_a_long_sheet_begins_at_its_top():
    long = Box(0, 0, 700_000, 15_000_000)
    view = fitted_width(long, 900, 600)
    left, top = view.to_screen(Point(0, 0))
    right, _ = view.to_screen(Point(long.right, 0))
    assert 0 <= left < 40
    assert 860 < right <= 900
    assert 0 <= top < 40
