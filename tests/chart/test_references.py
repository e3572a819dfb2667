"""Flags at the ends of interrupted lines, and headings: their words are never cut."""

from __future__ import annotations

import re

import pytest

from slinediag.chart.chart import draw
from slinediag.chart.excerpt import Wanted, read_excerpt
from slinediag.chart.frame import frame
from slinediag.chart.page import Page, finished
from slinediag.chart.references import draw_reference, flag_middle
from slinediag.chart.shares import Reference
from slinediag.chart.sheet import sheet_named
from slinediag.drawing.marks import Shape, Text
from slinediag.drawing.query import ink_box
from slinediag.geometry import Box
from tests.builders import plant
from tests.chart import rules
from tests.chart.plants import drawn_set, sample

STEM = "PRODUCTION DESK EXTERNAL MONITOR RETURN"


@pytest.fixture(scope="module")
def drawing():
    """A bay of which lines lead to another bay, and to many jacks of it."""
    facility = plant(
        f"""
        equipment:
          S: {{name: Source, outputs: [L, R, M]}}
          D: {{name: Destination, inputs: [L, R]}}
        bays:
          PA: {{name: One, positions: 3, points: {{1-3: {{top: [S.L, S.R, S.M], normal: none}}}}}}
          PB:
            name: The other
            label: BAY WITH A LONG NAME
            positions: 12
            points:
              1-2: {{bottom: [D.L, D.R], normal: full,
                    label_bottom: ["{STEM} L", "{STEM} R"]}}
        lines:
          TL1: {{from: PA.B1, to: PB.T1}}
          TL2: {{from: PA.B2, to: PB.T2}}
        normals:
          {"".join(f"- {{from: PA.T3, to: PB.T{n}, kind: half}}{chr(10)}          " for n in range(5, 11))}
        """
    )
    excerpt = read_excerpt(facility, Wanted(bays=("PA",)))
    (drawing,) = draw(facility, None, sheet="one", excerpt=excerpt)
    return drawing


def printed(group):
    return " ".join(mark.text for mark in group.marks if isinstance(mark, Text))


def test_two_ends_never_read_alike(drawing):
    groups = list(rules.groups(drawing.marks, "reference"))
    words = [printed(group) for group in groups]
    assert len(words) == len(set(words)) >= 3
    assert not any("…" in said for said in words)
    assert any(said.endswith(f"{STEM} L") for said in words)
    assert any(said.endswith(f"{STEM} R") for said in words)


def test_of_many_ends_the_first_are_named_and_the_rest_counted(drawing):
    (many,) = [g for g in rules.groups(drawing.marks, "reference") if "more" in printed(g)]
    name = "BAY WITH A LONG NAME"
    assert printed(many) == f"{name} T5, {name} T6, {name} T7 and 3 more"
    assert rules.data_of(many)["far"].endswith(f"{name} T10")


def test_words_in_two_lines_stay_on_their_row(drawing):
    rules.check_lettering(drawing)
    for group in rules.groups(drawing.marks, "reference"):
        assert ink_box(group).height < 10_000  # one row of the chart


def test_what_a_sheet_shows_takes_two_lines_where_it_is_too_long_for_one():
    sheet = sheet_named("A4")
    words = "; ".join(f"PB{n} 1, 3, 5, 7, 9, 11" for n in range(1, 11))
    made = finished(plant("equipment: {}"), sheet, Page("Heading", words, ()), 1, 1, None)
    lines = [m for m in made.marks if isinstance(m, Text) and m.text in words]
    assert " ".join(m.text for m in lines) == words
    assert len(lines) == 2
    # Both above where the drawing begins, inside the frame.
    _, area = frame(sheet)
    assert max(ink_box(m).bottom for m in lines) <= area.y + 21_000
    rules.check_lettering(made)


def test_flags_below_a_box_stand_on_their_lines():
    """Two lines from a box, then four from elsewhere, into six inputs one below the other."""
    numbers = range(3, 7)
    facility = plant(
        f"""
        equipment:
          S: {{name: Source, outputs: [L, R]}}
          D: {{name: Desk, inputs: [A, B, C, D, E, F]}}
        bays:
          PA:
            name: One
            positions: 6
            points:
              1-2: {{top: [S.L, S.R], bottom: [D.A, D.B], normal: full}}
              3-6: {{bottom: [D.C, D.D, D.E, D.F], normal: full}}
          PB: {{name: Other, positions: 6, points: {{1-6: {{normal: none}}}}}}
        lines: {{{", ".join(f"T{n}: {{from: PB.B{n}, to: PA.T{n}}}" for n in numbers)}}}
        """
    )
    excerpt = read_excerpt(facility, Wanted(bays=("PA",)))
    (drawing,) = draw(facility, None, sheet="one", excerpt=excerpt)
    rules.check_lettering(drawing)
    rules.check_lines_clear(drawing)
    led = {rules.data_of(g)["net"] for g in rules.groups(drawing.marks, "reference")}
    lines = [m for m in rules.marked(drawing, "line") if rules.data_of(m)["net"] in led]
    assert len(lines) == len(numbers)
    for line in lines:
        assert len({point.y for run in line.runs for point in run}) == 1


@pytest.mark.parametrize("way", ["to", "from"])
@pytest.mark.parametrize("count", [0, 12])
def test_the_zone_is_told_of_the_middle_of_the_flag(way, count):
    """Of a folded line, too, which goes on to its flag beside the slash with its count."""
    reference = Reference("R", "N", way, 2, "far", count=count)
    at = Box(0, 0, 80_000, 10_000)
    group = draw_reference(reference, at, "B4")
    (flag,) = [m for m in group.marks if isinstance(m, Shape)]
    middle = ink_box(flag).centre
    assert abs(middle.x - flag_middle(reference, at).x) <= 1
    assert abs(middle.y - flag_middle(reference, at).y) <= 1


def test_what_feeds_a_sheet_is_named_without_what_else_hears_it_there():
    """A group of the desk leads to two tracks on its own sheet: these do not feed a third."""
    drawings = drawn_set(sample("larkfen"), "A4")
    said = [printed(g) for d in drawings for g in rules.groups(d.marks, "reference")]
    assert any(re.search(r"\bDESK GROUP 4\b", words) for words in said), said
    assert not [words for words in said if "more" in words]
