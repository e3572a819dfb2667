"""How drawings stand, written down and read back; and all that is no such text refused."""

from __future__ import annotations

import json
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slinediag.chart.borne import counted, in_full, read_earlier
from slinediag.chart.chart import draw
from slinediag.paint.bearing import together
from slinediag.problems import RequestError
from tests.chart.plants import drawn_set, station, stood


@pytest.fixture(scope="module")
def single() -> str:
    return together(draw(station()))


@pytest.fixture(scope="module")
def sheets():
    return drawn_set(station(), "A4")


@pytest.fixture(scope="module")
def several(sheets) -> str:
    return together(sheets)


def test_what_is_read_back_draws_the_same(sheets):
    again = drawn_set(station(), "A4", keep=stood(sheets))
    assert [sheet.bears for sheet in again] == [sheet.bears for sheet in sheets]


def test_a_sheet_bears_the_whole_and_its_own_alone(sheets):
    for sheet in sheets:
        names = set(dict(sheet.bears))
        others = {name for name in names if name.startswith("sheet ")}
        assert {"version", "chart"} <= names
        assert others <= {f"sheet {sheet.number}"}


def test_it_is_small(single, several, sheets):
    """Beside what a drawing takes as SVG, about a hundred times as much as its lettering."""
    from slinediag.paint.svg import paint

    assert len(single) < 0.05 * len(paint(draw(station())[0]))
    for sheet in sheets:
        assert len(together([sheet])) < 0.15 * len(paint(sheet))
    assert several.isascii()


@given(
    st.lists(st.sampled_from(["A", "B:1", "B:2", "B:3", "B:T3", "B:T4", "C:9", "C:10", "C:1-2"]))
)
def test_runs_are_written_short_and_read_in_full(names):
    known = [name for name in names if name != "C:1-2"]
    assert [*in_full(counted(known))] == known


def test_a_run_takes_one_entry():
    assert counted([f"PB1:{n}" for n in range(3, 49)]) == ["PB1:3-48"]


HOSTILE = [
    ("", "cannot be read"),
    ("nothing", "cannot be read"),
    ("[" * 100_000, "cannot be read"),
    ('{"version":1e400}', "no whole number"),
    ('{"version":NaN}', "no whole number"),
    ("[]", "no object"),
    ('{"chart":{}}', "another version"),
    ('{"version":2}', "another version"),
    ('{"version":true}', "another version"),
    ('{"version":1}', "chart: .*missing"),
    ('{"version":1,"chart":[]}', "no object"),
    ('{"version":1,"chart":' + "9" * 5000 + "}", "cannot be read"),
]


@pytest.mark.parametrize(("text", "words"), HOSTILE)
def test_what_is_no_such_text_is_refused(text, words):
    with pytest.raises(RequestError, match=words) as refused:
        read_earlier([text], "old.svg")
    assert str(refused.value).startswith("old.svg: ")
    assert "keep that from then on" in str(refused.value)


def replaced(text: str, *path: str | int, value: object) -> str:
    """A text with one of its values replaced."""
    whole = json.loads(text)
    at = whole
    for step in path[:-1]:
        at = at[step]
    at[path[-1]] = value
    return json.dumps(whole)


BROKEN = [
    (("chart", "part"), 1, "chart, part"),
    (("chart", "size"), [1], "chart, size"),
    (("chart", "size"), [420000, -1], "chart, size"),
    (("chart", "scale"), [1, 0], "chart, scale"),
    (("sheet 1", "room"), 10**12, "sheet 1, room"),
    (("sheet 1", "room"), -1, "sheet 1, room"),
    (("sheet 1", "room"), "wide", "sheet 1, room"),
    (("sheet 1", "shift"), [0, 0, 0], "sheet 1, shift"),
    (("sheet 1", "islands"), {}, "sheet 1, islands"),
    (("sheet 1", "islands", 0), [], "sheet 1, island 1"),
    (("sheet 1", "islands", 0, 2, 0, 0, 0), "", "sheet 1, island 1, layer 0"),
    (("sheet 1", "islands", 0, 2, 0, 0, 0), "\ud800", "sheet 1, island 1, layer 0"),
    (("sheet 1", "islands", 0, 2, 0, 0, 2), -5, "sheet 1, island 1, layer 0"),
    (("sheet 1", "islands", 0, 2, 0), [], "sheet 1, island 1, layer 0"),
    (("sheet 1", "islands", 0, 3, 0, 0), 10**6, "sheet 1, island 1, line 1"),
    (("sheet 1", "islands", 0, 3, 0, 0), -1, "sheet 1, island 1, line 1"),
    (("sheet 1", "islands", 0, 4), [[], [[0, "T", 0, "B", 1]]], "island 1, before, line 1"),
]


@pytest.mark.parametrize(("path", "value", "where"), BROKEN)
def test_what_is_broken_is_refused_with_its_place(path, value, where, single):
    with pytest.raises(RequestError, match=f"{where}: .*broken: "):
        read_earlier([replaced(single, *path, value=value)], "old.svg")


BROKEN_SETS = [
    (("chart", "first"), 1, "chart, first"),
    (("chart", "first"), 9, "chart, first"),
    (("chart", "units"), {"0": ["PB1:1"]}, "chart, units, 0"),
    (("chart", "units"), {"1000": ["PB1:1"]}, "chart, units, 1000"),
    (("chart", "units"), {"2": []}, "chart, units, 2"),
    (("chart", "units"), {"2": ["PB1:9-1"]}, "chart, units, 2"),
    (("chart", "units"), {"2": ["PB1:1", "PB1:1"]}, "chart, units, 2"),
    (("chart", "units"), {"2": ["PB1:1"], "3": ["PB1:1-2"]}, "chart, units, 3"),
    (("chart", "units"), {"2": [f"B{n}:1-999" for n in range(1000)]}, "chart, units, 2"),
]


@pytest.mark.parametrize(("path", "value", "where"), BROKEN_SETS)
def test_a_set_that_is_broken_is_refused_with_its_place(path, value, where, several):
    with pytest.raises(RequestError, match=f"{where}: .*broken: "):
        read_earlier([replaced(several, *path, value=value)], "old.svg")


def test_something_in_two_places_is_refused(single):
    whole = json.loads(single)
    layers = whole["sheet 1"]["islands"][0][2]
    layers[1][0][0] = layers[0][0][0]
    with pytest.raises(RequestError, match="two places"):
        read_earlier([json.dumps(whole)], "old.svg")
    whole = json.loads(single)
    whole["sheet 1"]["islands"].append(whole["sheet 1"]["islands"][0])
    with pytest.raises(RequestError, match="two islands"):
        read_earlier([json.dumps(whole)], "old.svg")


def test_sheets_of_another_drawing_are_left_out(sheets):
    ours = [together([sheet]) for sheet in sheets]
    other = together([drawn_set(station(), "A3", scale=Fraction(7, 5))[1]])
    broken = replaced(ours[2], "sheet 3", "room", value=-1)
    known = read_earlier([ours[1], ours[2], other, "nothing", "{}"], "old.svg").sheets
    assert sorted(known) == [2, 3]
    assert sorted(read_earlier([ours[1], broken], "old.svg").sheets) == [2]


@given(data=st.data())
@settings(max_examples=150)
def test_whatever_stands_there_is_read_or_refused(data, single):
    """A value anywhere in the text, replaced by anything that JSON can say."""
    whole = json.loads(single)
    at, path = whole, []
    while isinstance(at, dict | list) and at and (not path or data.draw(st.booleans())):
        step = data.draw(st.sampled_from([*at] if isinstance(at, dict) else [*range(len(at))]))
        path.append(step)
        at = at[step]
    number = st.integers() | st.floats()
    anything = st.recursive(
        st.none() | st.booleans() | number | st.text(max_size=4),
        lambda inner: st.lists(inner, max_size=5) | st.dictionaries(st.text(max_size=4), inner),
        max_leaves=6,
    )
    text = replaced(single, *path, value=data.draw(anything))
    remedy = "none is needed"
    try:
        read_earlier([text], "old.svg")
    except RequestError as refused:
        remedy = refused.problems[0].hint
    assert remedy
