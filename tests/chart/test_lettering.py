"""Prose wrapped to a width."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from slinediag.chart.laying import told_sheets
from slinediag.chart.lettering import width, wrap, wrap_evenly

WORDS = st.lists(
    st.sampled_from(["PB2 B16", "PB2 T13", "to", "LINK", "back", "B2", "T", "a-very-long-word"]),
    max_size=12,
).map(" ".join)


@given(WORDS, st.integers(1_000, 80_000))
def test_no_word_is_lost_and_a_jack_stays_with_its_bay(words, room):
    lines = wrap(words, room)
    assert "".join(lines).replace(" ", "") == words.replace(" ", "")
    assert all(width(line) <= room or len(line) == 1 for line in lines)
    if room >= width("PB2 T13"):
        assert not any(line.endswith("PB2") for line in lines)


@given(WORDS, st.integers(1_000, 80_000))
def test_even_lines_are_no_more_and_none_is_longer(words, room):
    lines, even = wrap(words, room), wrap_evenly(words, room)
    assert len(even) <= len(lines)
    assert max(map(width, even), default=0) <= max(map(width, lines), default=0)
    assert "".join(even).replace(" ", "") == words.replace(" ", "")


def test_no_number_of_a_sheet_stands_alone_on_a_line():
    words = told_sheets("in", [3, 4, 5, 6, 9, 10, 12], width("in: sheets 3–6, 9, 10,") + 1)
    assert words == ["in: sheets", "3–6, 9, 10, 12"]
