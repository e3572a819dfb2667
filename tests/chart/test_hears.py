"""Under a trial an input that hears something else says at its box what, where there is room."""

from __future__ import annotations

import pytest

from slinediag.chart.chart import draw
from slinediag.drawing.marks import Text
from slinediag.drawing.query import ink_box
from slinediag.model.facility import Facility
from slinediag.tracing.naming import read_trial
from slinediag.tracing.trial import ask
from tests.builders import plant
from tests.chart import rules


def facility(box: str, other: str = "Other", lines: str = "") -> Facility:
    return plant(f"""
        equipment:
          A: {{name: Source, outputs: [O]}}
          B: {{name: Other, label: {other}, outputs: [O]}}
          D: {{name: Destination, {box}}}
          E: {{name: End, inputs: [I]}}
        bays:
          PB: {{name: Bay, positions: 3, points: {{1: {{top: A.O, bottom: D.I}}, 2: {{top: B.O}}}}}}
        lines: {{{lines}}}
    """)


def drawn(plant: Facility, **trial):
    asked = read_trial(plant, trial.get("cords", []), [], [], trial.get("failed", []))
    (drawing,) = draw(plant, ask(plant, asked))
    rules.check_lettering(drawing)
    return drawing


def said(drawing, box: str) -> list[str]:
    """What a box says of what its inputs hear, all of it inside."""
    (group,) = [
        g for g in rules.groups(drawing.marks, "equipment") if rules.data_of(g)["id"] == box
    ]
    found = [m for m in group.marks if isinstance(m, Text) and m.ref and "hears" in m.ref.classes]
    for text in found:
        assert ink_box(group.marks[0]).grown(1).contains(ink_box(text))
    return [text.text for text in found]


CORD = [("PB.T2", "PB.B1")]


def test_it_names_what_newly_feeds_the_input():
    drawing = drawn(facility("inputs: [I]"), cords=CORD)
    assert " ".join(said(drawing, "D")) == "hears Other O"


def test_a_long_name_stands_below_the_word():
    drawing = drawn(facility("inputs: [I]", "Disc 12"), cords=CORD)
    assert said(drawing, "D") == ["hears", "Disc 12 O"]


@pytest.mark.parametrize("paths", ["straight", "all"])
def test_a_box_with_outputs_says_it_beside_its_rules(paths):
    box = f"inputs: [I], outputs: [O], paths: {paths}"
    drawing = drawn(facility(box, "B", "T: {from: D.O, to: E.I}"), cords=CORD)
    assert said(drawing, "D") == ["hears", "B O"]
    boxes = rules.groups(drawing.marks, "equipment")
    (group,) = [g for g in boxes if rules.data_of(g)["id"] == "D"]
    inside = [mark for mark in group.marks if mark.ref]
    (rule,) = [ink_box(mark) for mark in inside if "path" in mark.ref.classes]
    words = [ink_box(mark) for mark in inside if "hears" in mark.ref.classes]
    assert max(box.right for box in words) < rule.x < rule.right
    # What is fed from there hears it, too, and from the one source that it comes from.
    assert " ".join(said(drawing, "E")) == "hears B O"


def test_what_has_no_room_is_left_out():
    drawing = drawn(facility("inputs: [I]", "A name that is longer than a box is wide"), cords=CORD)
    assert said(drawing, "D") == []


def test_a_silent_input_and_one_as_filed_say_nothing():
    plant = facility("inputs: [I]")
    assert said(drawn(plant, failed=["A"]), "D") == []
    (drawing,) = draw(plant)
    assert said(drawing, "D") == []
