"""Numbers and labels that count up are written by their ends."""

from __future__ import annotations

import pytest

from slinediag.chart.ranges import (
    compressed,
    compressed_sides,
    counts_on,
    number_ranges,
    number_runs,
    run_of_labels,
)


@pytest.mark.parametrize(
    ("numbers", "said"),
    [
        ([], ""),
        ([4], "4"),
        ([1, 2], "1, 2"),
        ([3, 1, 2, 5], "1–3, 5"),
        ([6, 7, 9, 10, 11, 12], "6, 7, 9–12"),
    ],
)
def test_three_or_more_in_a_row_are_a_range(numbers, said):
    assert number_ranges(numbers) == said


def test_runs_are_told_by_first_and_last():
    assert list(number_runs([3, 4, 5, 7, 9, 10])) == [(3, 5), (7, 7), (9, 10)]
    assert list(number_runs([])) == []


@pytest.mark.parametrize(
    ("labels", "said"),
    [
        (["RTN 1", "RTN 2", "RTN 3", "CUE"], "RTN 1–3, CUE"),
        (["5L", "6L", "7L", "5R"], "5L–7L, 5R"),
        (["5L", "6L", "7L", "8L", "9"], "5L–8L, 9"),
        (["CH 1R", "CH 2R", "CH 3R", "CH 4R"], "CH 1R–4R"),
        (["1L", "1R", "2L", "2R"], "1L, 1R, 2L, 2R"),
        (["A", "B", "C"], "A, B, C"),
        (["01", "02", "03"], "01, 02, 03"),
        (["CH 9", "CH 10", "CH 11"], "CH 9–11"),
    ],
)
def test_labels_keep_their_order(labels, said):
    assert compressed(labels) == said


@pytest.mark.parametrize(
    ("labels", "said"),
    [
        ([f"TL{n:03}" for n in range(43, 58, 2)], "TL043, 045 … 057"),
        ([f"TL{n:03}" for n in range(9, 17)], "TL009 … TL016"),
        (["TL9", "TL10", "TL11", "TL12"], "TL9 … TL12"),
        (["DA 1", "DA 3", "DA 5"], "DA 1, 3, 5"),
        (["DA 8", "DA 7", "DA 6", "DA 5"], "DA 8, 7 … 5"),
        (["TL1", "TL2", "TL5", "TL9"], "4 of TL1 … 9"),
        (["OUT 1L", "OUT 3L", "OUT 5L", "OUT 7L"], "OUT 1L, 3L … 7L"),
        (["PLAYOUT AL", "PLAYOUT AR"], "PLAYOUT AL, AR"),
        (["MIC 1", "MIC 1", "MIC 1"], "MIC 1"),
    ],
)
def test_a_run_by_its_ends_does_not_hide_that_numbers_are_missing(labels, said):
    assert run_of_labels(labels) == said


@pytest.mark.parametrize(
    ("one", "other", "said"),
    [
        ("WALL 1 OUT", "WALL 2 OUT", True),
        ("WALL 09", "WALL 10", True),
        ("TIE 1 1", "TIE 2 2", False),
        ("WALL 1 OUT", "WALL 3 OUT", False),
        ("WALL 1 OUT", "WALL 2 IN", False),
        ("WALL", "WALL", False),
    ],
)
def test_a_label_counts_on_by_one_number_wherever_it_stands(one, other, said):
    assert counts_on(one, other) is said


def test_labels_of_two_sides_in_turn_are_told_side_by_side_where_that_is_shorter():
    sides = [f"{number}{side}" for number in range(1, 5) for side in "LR"]
    assert compressed_sides([*sides, "TEL 1"]) == "1L–4L, 1R–4R, TEL 1"
    assert compressed_sides(["1L", "1R", "TEL 1"]) == "1L, 1R, TEL 1"
    assert compressed_sides(["1L", "1R", "2L", "2R"]) == "1L, 1R, 2L, 2R"
