"""What has no room on a sheet of a set is told at once; small sheets take what a person may print."""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction
from random import Random

import pytest

from slinediag.chart import beginning
from slinediag.chart.beginning import begun
from slinediag.chart.chart import LEAFED, draw
from slinediag.chart.dividing import Dividing
from slinediag.chart.laying import MOST_RUNS, told_sheets
from slinediag.chart.own_room import OwnRoom
from slinediag.chart.page import drawing_room, legend_band
from slinediag.chart.planning import plan_chart
from slinediag.chart.request import Request
from slinediag.chart.said import Said
from slinediag.chart.sheet import sheet_named
from slinediag.chart.signs import signs_on
from slinediag.drawing.query import ink_box, walk_marks
from slinediag.file.read import parse
from slinediag.geometry import Box
from slinediag.problems import SheetTooSmall
from slinediag.tracing.naming import read_trial
from slinediag.tracing.trial import ask
from tests.bench.plants import plant_text
from tests.builders import plant
from tests.chart import rules
from tests.chart.plants import drawn_set, sample, station
from tests.chart.set_rules import check_set

EMPTY = Box(0, 0, 0, 0)
TALL = ", ".join(f"I{n}" for n in range(30))
BIG = f"""
equipment:
  BIG: {{name: Desk, label: BIG DESK, inputs: [{TALL}], drawn: whole}}
  MIC: {{name: Microphone, outputs: [O]}}
bays:
  PB: {{name: Bay, positions: 31, points: {{1-30: {{bottom: [{
    ", ".join(f"BIG.I{n}" for n in range(30))
}]}}, 31: {{top: MIC.O}}}}}}
"""


def request_for(facility, sheet, *, fold=False):
    """A request for a set of such sheets."""
    plan = plan_chart(facility, None, fold=fold)
    return Request(
        facility, None, plan, sheet_named(sheet), "quick", Said(), Fraction(1), folded=fold
    )


def charts(drawings):
    """The sheets that hold a part of the chart."""
    return [d for d in drawings if list(rules.groups(d.marks, "chart"))]


@pytest.mark.parametrize("sheet", ["A4", "A"])
def test_a_sample_is_drawn_on_the_sheets_of_any_printer(sheet):
    facility = sample("larkfen")
    drawings = draw(facility, sheet=sheet)
    check_set(facility, drawings)
    # 54 positions: each sheet holds several, though a legend of every sign takes most of an A4.
    assert len(charts(drawings)) <= 13


def test_sheets_that_hold_little_are_drawn_and_said():
    said = []
    drawings = draw(station(), sheet="A4", read_at=750.0, say=said.append)
    check_set(station(), drawings)
    assert len(charts(drawings)) >= 4
    assert said == [LEAFED.format(sheet="A4")]


def test_what_has_no_room_is_named_with_the_room_that_it_needs():
    with pytest.raises(SheetTooSmall) as refused:
        draw(plant(BIG), sheet="A4", fold=False)
    told = str(refused.value)
    size = re.search(r"BIG DESK takes ([0-9]+) × ([0-9]+) mm, of which ([0-9]+) × ([0-9]+)", told)
    assert size, told
    _, height, across, down = map(int, size.groups())
    # 30 rows of 10 mm; an A4 lying is 297 × 210 mm (ISO 216).
    assert 300 <= height < 330
    assert across < 297
    assert down < 210
    assert "The smallest sheet that fits is A2" in told


def test_it_is_told_before_anything_is_divided(monkeypatch):
    def divided(*_):
        raise AssertionError("the chart was divided")

    monkeypatch.setattr(Dividing, "parts", divided)
    with pytest.raises(SheetTooSmall):
        draw(plant(BIG), sheet="A4", fold=False)


def test_a_distance_that_works_is_named_and_works():
    facility = plant(BIG)
    with pytest.raises(SheetTooSmall) as refused:
        draw(facility, sheet="A2", fold=False, read_at=1000.0)
    distance = refused.value.read_at
    assert 0 < distance < 1000
    assert f"--read-at {distance}" in str(refused.value)
    assert draw(facility, sheet="A2", fold=False, read_at=float(distance))
    with pytest.raises(SheetTooSmall):
        draw(facility, sheet="A2", fold=False, read_at=distance + 10.0)


def test_a_run_whose_one_line_has_no_room_is_drawn_line_by_line():
    names = [f"{word} loudspeaker line" for word in ("North", "South", "East", "West")]
    facility = plant(
        f"""
        equipment:
          SRC: {{name: Source, outputs: ["1", "2", "3", "4"]}}
          AMP: {{name: Amplifiers, inputs: {{{
            ", ".join(f"P{n}: {{label: {name}}}" for n, name in enumerate(names))
        }}}}}
        bays:
          PB:
            name: Bay
            positions: 4
            points:
              1-4: {{top: [SRC.1, SRC.2, SRC.3, SRC.4], bottom: [AMP.P0, AMP.P1, AMP.P2, AMP.P3]}}
        """
    )
    for sheet, nodes in (("A3", 1), ("A4", 4)):
        made = begun(request_for(facility, sheet, fold=True))
        assert made.fits
        assert len(made.bench.points) == nodes
    drawings = drawn_set(facility, "A4", fold=True)
    check_set(facility, drawings)
    assert not [g for d in drawings for g in rules.groups(d.marks, "slash")]


def test_small_sheets_are_measured_with_the_signs_that_they_bear():
    facility = sample("quillmoor")
    for sheet, scarce in (("A4", True), ("A3", False)):
        request = request_for(facility, sheet)
        band = legend_band(request.sheet, request.legend)
        assert OwnRoom(request, drawing_room(request.sheet, band)).scarce is scarce


def test_the_chart_of_a_small_sheet_is_clear_of_its_legend():
    room = OwnRoom(request_for(station(), "A4"), EMPTY)
    drawings = charts(drawn_set(station(), "A4"))
    assert drawings
    for drawing in drawings:
        (chart,) = rules.groups(drawing.marks, "chart")
        (legend,) = [g for g in rules.groups(drawing.marks, "legend") if g.marks][:1]
        signs = [placed.box for placed in walk_marks([legend])]
        assert not any(placed.box.meets(sign) for placed in walk_marks([chart]) for sign in signs)
        own = room.beside(set(signs_on([chart])))
        assert own.y <= ink_box(chart).y
        assert ink_box(chart).bottom <= own.bottom + 1_000


def test_equipment_on_very_many_sheets_counts_them():
    numbers = range(1, 2 * MOST_RUNS + 1, 2)
    few, many = told_sheets("in", numbers, 46_000), told_sheets("in", range(1, 99, 2), 46_000)
    assert " ".join(few).endswith(f", {numbers[-1]}")
    assert " ".join(many) == "in: 49 sheets, see the finder"


@pytest.mark.parametrize("cords", [11, 20])
def test_many_cords_leave_a_small_sheet_the_room_beside_its_own_signs(cords):
    """Of more cords than a dozen none is hung to see what fits; the legend is no larger for it."""
    facility = parse(plant_text(96).encode(), "plant.yaml").facility
    taken = {jack for cord in facility.cords for jack in (cord.source, cord.target)}
    free = [str(jack) for jack in facility.jacks if jack not in taken]
    Random(1).shuffle(free)
    pairs = zip(free[: 2 * cords : 2], free[1 : 2 * cords : 2], strict=True)
    answer = ask(facility, read_trial(facility, list(pairs), [], [], []))
    plan = plan_chart(facility, answer)
    asked = Request(facility, answer, plan, sheet_named("A4"), "quick", Said(), Fraction(1))
    made = begun(asked)
    assert not made.large
    for unit in made.bench.units:
        if made.dividing.hung_at(unit.id):
            wanted, room = made.dividing.needed(unit.id)
            assert wanted.width <= room.width
            assert wanted.height <= room.height


def test_a_set_under_a_trial_is_refused_where_the_one_without_it_has_no_room(monkeypatch):
    """It keeps to the sheets of that, so that a larger sheet is promised for both."""
    facility = sample("larkfen")
    answer = ask(facility, read_trial(facility, [("LA.T1", "LB.B1")], [], [], []))
    plan = plan_chart(facility, answer)
    asked = Request(facility, answer, plan, sheet_named("A4"), "quick", Said(), Fraction(1))
    real = beginning.begun

    def small(request, doubted=()):
        found = real(request, doubted)
        unfit = not request.tried and request.sheet.name in ("A4", "A3")
        return replace(found, large=["DESK"]) if unfit else found

    monkeypatch.setattr(beginning, "begun", small)
    monkeypatch.setattr(beginning, "_why", lambda _: "DESK is large")
    refused = beginning.too_small(asked)
    assert refused.smallest == "A2"
    assert refused.why == "DESK is large"
