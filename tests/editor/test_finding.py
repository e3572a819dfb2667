"""What a typed text may mean: cords by two names, completed as typed; things by any name."""

from __future__ import annotations

import pytest

from slinediag.editor.finding import catalogue, complete_cord, jack_names, read_cord
from slinediag.file.read import parse
from tests.builders import jack
from tests.editor.plant import PLANT

FACILITY = parse(PLANT.encode(), "plant.yaml").facility
NAMES = jack_names(FACILITY)


@pytest.mark.parametrize(
    "text",
    ["PB1.T3 PB2.B1", "PB1.T3=PB2.B1", "DISC 2 L LINK L", " PB1 T3  LINK L ", "disc 2 l=pb2.b1"],
)
def test_a_cord_is_two_names_of_jacks(text):
    expected = (jack("PB1.T3"), jack("PB2.B1"))
    assert read_cord(FACILITY, text.replace("pb2.b1", "PB2.B1")) == expected


@pytest.mark.parametrize("text", ["", "PB1.T3", "PB1.T3 PB9.B1", "PB1.T3 LIM"])
def test_anything_else_is_no_cord(text):
    assert read_cord(FACILITY, text) is None


def test_the_first_name_is_completed_then_the_second():
    assert complete_cord(FACILITY, NAMES, "PB1.T1")[:2] == ("PB1.T1", "PB1.T10")
    assert "DISC 1 L" in complete_cord(FACILITY, NAMES, "disc 1")
    assert complete_cord(FACILITY, NAMES, "DISC 1 L PB2.B1")[0] == "DISC 1 L PB2.B1"
    assert "DISC 1 L LINK R" in complete_cord(FACILITY, NAMES, "DISC 1 L LIN")
    assert complete_cord(FACILITY, NAMES, "zz") == ()


def test_every_completion_begins_a_cord_or_is_one():
    for text in ("PB1", "LINK", "PB1.T3 L", "DISC 2 R=PB2.B"):
        for line in complete_cord(FACILITY, NAMES, text):
            assert line in NAMES or read_cord(FACILITY, line) is not None


def test_what_is_named_just_so_comes_first():
    hits = catalogue(FACILITY).find("PB1.T1")
    assert hits[0].thing == jack("PB1.T1")
    assert {hit.thing for hit in hits} >= {jack("PB1.T1"), jack("PB1.T10"), jack("PB1.T11")}
    assert catalogue(FACILITY).find("  ") == ()


@pytest.mark.parametrize("text", ["PB1 7", "pb1 7", " PB1  7 ", "PB1.7", "pb17"])
def test_a_position_is_both_its_jacks_the_top_one_first(text):
    hits = catalogue(FACILITY).find(text)
    assert [hit.thing for hit in hits][:2] == [jack("PB1.T7"), jack("PB1.B7")]


def test_points_and_spaces_may_be_left_out():
    assert catalogue(FACILITY).find("pb2t8")[0].thing == jack("PB2.T8")
    assert catalogue(FACILITY).find("disc1l")[0].words == "DISC 1 L"
