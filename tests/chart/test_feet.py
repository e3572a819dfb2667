"""The foot of a sheet explains every sign on it and says what each cord on it is for."""

from __future__ import annotations

from dataclasses import replace

import pytest

from slinediag.chart.blocks import Block, prose
from slinediag.chart.page import foot_band
from slinediag.chart.sheet import sheet_named
from slinediag.drawing.marks import Text
from slinediag.drawing.query import ink_box, walk, walk_marks
from slinediag.geometry import Box
from slinediag.model.labels import jack_name
from slinediag.tracing.trial import ask
from slinediag.tracing.values import Trial
from tests.builders import jack, plant
from tests.chart import rules
from tests.chart.plants import drawn_set, sample
from tests.chart.test_signs import SAID

NEAR = 1_000
"""What stands at the foot keeps at least so far from what is drawn."""
OF_CLASSES = {**SAID, "tie-name": "tie line, or mult, of this name"}
OF_JACKS = {
    "of-mult": "mult a plug joins, breaks nothing",
    "lone": "a plug here breaks nothing",
    "non-normaled": "non-normaled no line without a cord",
}


@pytest.fixture(scope="module", params=["quillmoor A3", "larkfen A3", "larkfen A4"])
def small_set(request, quillmoor_set):
    """A sample with its sheets that bear a part of the chart."""
    name, sheet = request.param.split()
    if name == "quillmoor":
        facility, drawings = quillmoor_set
    else:
        facility = sample(name)
        drawings = drawn_set(facility, sheet)
    return facility, [d for d in drawings if list(rules.groups(d.marks, "chart"))]


def chart_classes(drawing) -> set[str]:
    return {
        name
        for placed in walk(drawing)
        if any("chart" in ref.classes for ref in placed.refs)
        for ref in placed.refs
        for name in ref.classes
    }


def test_every_sign_is_explained(small_set):
    seen = set()
    for drawing in small_set[1]:
        legend = rules.block_words(drawing, "legend").replace("Legend, continued ", "")
        for name, said in OF_CLASSES.items():
            assert (said in legend) == (name in chart_classes(drawing)), (drawing.title, said)
        signs = {
            name
            for group in rules.groups(drawing.marks, "point")
            for name in rules.data_of(group).get("signs", "").split()
        }
        for name, said in OF_JACKS.items():
            if name in signs:
                assert said in legend, (drawing.title, said)
                seen.add(name)
    assert {"of-mult", "lone"} <= seen


def test_every_cord_and_plug_left_in_is_explained(small_set):
    facility, drawings = small_set
    seen = 0
    for drawing in drawings:
        plugged = {rules.data_of(mark).get("jack") for mark in rules.marked(drawing, "plugged")}
        told = rules.block_words(drawing, "sheet-cords")
        for cord in facility.cords:
            if cord.note and plugged & {str(cord.source), str(cord.target)}:
                ends = f"{jack_name(facility, cord.source)} to {jack_name(facility, cord.target)}"
                assert f"Cord {ends}: {cord.note}" in told, drawing.title
                seen += 1
        for plug in facility.plugs:
            if plug.note and str(plug.jack) in plugged:
                assert f"Plug {jack_name(facility, plug.jack)}: {plug.note}" in told, drawing.title
                seen += 1
    assert seen > 1


def test_nothing_at_the_foot_is_near_what_is_drawn(small_set):
    for drawing in small_set[1]:
        drawn = [p.box for p in walk_marks(rules.groups(drawing.marks, "chart"))]
        title = [ink_box(g).grown(NEAR) for g in rules.groups(drawing.marks, "title-block")]
        assert title
        for block in rules.groups(drawing.marks, "block"):
            for placed in walk_marks([block]):
                near = placed.box.grown(NEAR)
                assert not any(near.meets(box) for box in [*drawn, *title]), (
                    drawing.title,
                    placed.mark,
                )


A4 = sheet_named("A4")
LOW = Box(30_000, 40_000, 120_000, 110_000)
"""Something drawn that leaves little below it, but much beside it."""


def block(count: int) -> Block:
    """So many lines."""
    return Block("legend", "Legend", tuple(prose(f"sign {n}", 50_000) for n in range(count)))


def lines_of(band) -> list[Text]:
    return [p.mark for p in walk_marks(band.marks) if isinstance(p.mark, Text)]


def test_where_there_is_no_room_below_a_drawing_there_is_beside_it():
    many = [block(17)]
    assert foot_band(A4, lambda _: many, [LOW], beside=False) is None
    band = foot_band(A4, lambda _: many, [LOW], beside=True, at_worst=False)
    lines = lines_of(band)
    assert len({line.text for line in lines if line.text.startswith("sign")}) == 17
    assert any(line.at.y < LOW.bottom for line in lines)
    for line in lines:
        assert not ink_box(line).grown(NEAR).meets(LOW)


def test_what_has_room_below_a_drawing_does_not_go_up_beside_it():
    few = [block(4)]
    below = foot_band(A4, lambda _: few, [LOW])
    assert foot_band(A4, lambda _: few, [LOW], beside=True) == below
    assert min(ink_box(line).y for line in lines_of(below)) > LOW.bottom


def test_a_foot_without_room_is_none():
    full = replace(LOW, width=250_000)
    for beside in (False, True):
        assert foot_band(A4, lambda _: [block(40)], [full], beside=beside) is None


CORDED = """
equipment:
  A: {name: Player, outputs: [O]}
  B: {name: Recorder, inputs: [I, J]}
bays:
  PB:
    name: Bay
    positions: 3
    points:
      1: {top: A.O, normal: none}
      2: {bottom: B.I, normal: none}
      3: {bottom: B.J, normal: none}
cords:
  - {from: PB.T1, to: PB.B3, note: "phantom, turn the loudspeaker down"}
"""


def test_a_cord_that_a_trial_pulls_is_not_told_as_left_in():
    facility = plant(CORDED)
    held = Trial(cords=((jack("PB.B1"), jack("PB.B2")),))
    pulled = Trial(
        cords=((jack("PB.T1"), jack("PB.B2")),), pulled_cords=((jack("PB.T1"), jack("PB.B3")),)
    )
    purpose = "PB T1 to PB B3: Caution: phantom, turn the loudspeaker down"
    for trial, told in ((held, True), (pulled, False)):
        drawings = drawn_set(facility, "A4", ask(facility, trial))
        said = " ".join(rules.block_words(drawing, "sheet-cords") for drawing in drawings)
        assert (purpose in said) == told
