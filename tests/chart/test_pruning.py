"""A trunk is cut back to where its lines part; nothing else of it goes."""

from __future__ import annotations

from slinediag.chart.pruning import branches, pruned
from slinediag.geometry import Point

A, B, C = Point(0, 0), Point(0, 40), Point(0, 80)
MEET, END = Point(20, 0), Point(30, 0)
FOOT, MIDDLE = Point(20, 80), Point(20, 40)


def test_two_lines_that_meet_keep_a_bend_and_no_more():
    runs = [(A, END), (MEET, FOOT), (C, FOOT)]
    kept = pruned(runs, END)
    assert set(map(frozenset, kept)) == {
        frozenset({A, MEET}),
        frozenset({MEET, FOOT}),
        frozenset({C, FOOT}),
    }
    assert branches(MEET, kept) == 2


def test_three_lines_keep_their_branch():
    runs = [(A, END), (MEET, FOOT), (C, FOOT), (B, MIDDLE)]
    kept = pruned(runs, END)
    assert branches(MIDDLE, kept) == 3
    assert branches(MEET, kept) == 2


def test_the_end_goes_where_a_line_crosses_it_too():
    over = (Point(20, -40), FOOT)
    kept = pruned([(A, END), over], END)
    assert set(kept) == {over, (MEET, A)}


def test_a_junction_where_lines_go_on_stays():
    runs = [(A, MEET), (MEET, END), (MEET, FOOT)]
    assert set(pruned(runs, MEET)) == set(runs)
