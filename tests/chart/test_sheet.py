"""Sheet sizes against ISO 216 and ASME Y14.1."""

from __future__ import annotations

from itertools import pairwise

import pytest

from slinediag.chart.sheet import (
    ASME_SIZES,
    ISO_SIZES,
    SIZES,
    Sheet,
    custom,
    larger_in_series,
    sheet_named,
)
from slinediag.geometry import from_mm
from slinediag.problems import RequestError

# ISO 216 (P), trimmed sizes in mm, short edge first.
ISO_216 = {
    "A0": (841, 1189),
    "A1": (594, 841),
    "A2": (420, 594),
    "A3": (297, 420),
    "A4": (210, 297),
}
# ASME Y14.1 (P, from memory), inches, short edge first.
ASME_Y14_1 = {"A": (8.5, 11), "B": (11, 17), "C": (17, 22), "D": (22, 34), "E": (34, 44)}


@pytest.mark.parametrize(("name", "edges"), ISO_216.items())
def test_iso_sizes(name: str, edges: tuple[int, int]) -> None:
    sheet = sheet_named(name)
    assert (sheet.height, sheet.width) == tuple(from_mm(edge) for edge in edges)


@pytest.mark.parametrize(("name", "edges"), ASME_Y14_1.items())
def test_asme_sizes(name: str, edges: tuple[float, float]) -> None:
    sheet = sheet_named(name)
    assert (sheet.height, sheet.width) == tuple(from_mm(edge * 25.4) for edge in edges)


@pytest.mark.parametrize("series", [ISO_SIZES, ASME_SIZES])
def test_two_of_one_size_make_the_next_larger(series: tuple[Sheet, ...]) -> None:
    # ISO 216 halves to whole millimetres, rounded down; ASME Y14.1 exactly.
    for smaller, larger in pairwise(series):
        assert larger.height == smaller.width
        assert 0 <= larger.width - 2 * smaller.height <= from_mm(1)


def test_sizes_tried_in_turn_are_those_of_iso_216() -> None:
    assert [sheet.name for sheet in SIZES] == ["A4", "A3", "A2", "A1", "A0"]


def test_names_in_small_letters_do() -> None:
    assert sheet_named(" a3 ") == sheet_named("A3")


def test_unknown_name_says_which_there_are() -> None:
    with pytest.raises(RequestError, match="A4, A3, A2, A1, A0, A, B, C, D, E"):
        sheet_named("A5")


def test_larger_sheets_stay_in_the_series() -> None:
    assert [s.name for s in larger_in_series(sheet_named("A2"))] == ["A1", "A0"]
    assert [s.name for s in larger_in_series(sheet_named("C"))] == ["D", "E"]
    assert larger_in_series(sheet_named("A0")) == ()


def test_custom_sheet_is_named_by_its_size() -> None:
    assert custom(1_600_001, 900_000).name == "1601 × 900 mm"
