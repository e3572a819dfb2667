"""Texts of cells without Qt: counting on, the clipboard of spreadsheets, paths and pairs.

The clipboard's form is that of RFC 4180 with tabs for commas; Python's csv module is the other
side of the check.
"""

from __future__ import annotations

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slinediag.editor.lists.counting import filled_down
from slinediag.editor.lists.panels import read_colours, show_colours
from slinediag.editor.lists.path_texts import read_pairs, read_paths, show_pairs, show_paths
from slinediag.editor.lists.tab_text import read, written
from slinediag.problems import RequestError
from tests.builders import plant


@pytest.mark.parametrize(
    ("texts", "more"),
    [
        (["MIC 1"], ["MIC 2", "MIC 3"]),
        (["MIC 9"], ["MIC 10", "MIC 11"]),
        (["MIC 09"], ["MIC 10", "MIC 11"]),
        (["MIC 1", "MIC 3"], ["MIC 5", "MIC 7"]),
        (["MIC 3", "MIC 2", "MIC 1"], ["MIC 0", "MIC 0"]),
        (["PLY1.L", "PLY1.R"], ["PLY2.L", "PLY2.R", "PLY3.L"]),
        (["CH 1 L", "CH 2 R"], ["CH 3 L", "CH 4 R"]),
        (["PLY1.L", "PLY1.R", "PLY2.L", "PLY2.R"], ["PLY3.L", "PLY3.R"]),
        (["DESK.5L", "DESK.5R"], ["DESK.6L", "DESK.6R"]),
        (["S12/3"], ["S12/4"]),
        (["PB1.T3"], ["PB1.T4"]),
        (["half"], ["half", "half"]),
        (["A", "B"], ["A", "B", "A"]),
        (["ISDN 1", "ISDN 1"], ["ISDN 1"]),
        (["", "X"], ["", "X"]),
    ],
)
def test_counting_goes_on(texts, more):
    assert filled_down(texts, len(more)) == more


@given(st.lists(st.lists(st.text("aA \t\n\"'7,;", max_size=6), min_size=2, max_size=2), min_size=1))
def test_what_is_copied_is_what_a_spreadsheet_reads_and_writes(rows):
    text = written(rows)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter="\t")
    assert list(reader) == rows
    assert read(text) == rows
    # And as a spreadsheet writes it, with every cell in quotes.
    out = io.StringIO(newline="")
    csv.writer(out, delimiter="\t", quoting=csv.QUOTE_ALL).writerows(rows)
    assert read(out.getvalue()) == rows


def test_a_quote_that_is_no_frame_is_a_quote():
    assert read('7" reel\t"open\n"a" b\t""\n') == [['7" reel', '"open'], ['"a" b', ""]]
    assert read('one\r\n"two\r\nlines"') == [["one"], ["two\nlines"]]
    assert read("a\tb\nc") == [["a", "b"], ["c", ""]]


def test_paths_and_pairs_are_read_as_they_are_shown():
    for text in ("straight", "all", "PL: M1, 1; PR: M1", "X:"):
        assert show_paths(read_paths(text)) == text
    for text in ("L/R, 5L/5R", "-"):
        assert show_pairs(read_pairs(text)) == text
    assert read_paths(" ") is None
    assert read_pairs("") is None
    for wrong in ("L R", "L:R;L:R"):
        with pytest.raises(RequestError):
            read_paths(wrong)
    with pytest.raises(RequestError):
        read_pairs("L-R")


@pytest.mark.parametrize("colours", [("WH",), ("BN", "RD"), "25-pair"])
def test_colours_read_back_as_they_are_shown(colours):
    """A list of one is told from a scheme's name by the comma behind it."""
    facility = plant("equipment: {A: {name: Box, outputs: [O]}}")
    assert read_colours(facility, show_colours(facility, colours)) == colours
