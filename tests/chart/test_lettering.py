"""Prose wrapped to a width."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from slinediag.chart.lettering import width, wrap

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
