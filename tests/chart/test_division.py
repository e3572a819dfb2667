"""A chart on several sheets: what stands where, and that everything is found and points back."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace
from fractions import Fraction
from itertools import combinations, pairwise, permutations
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from slinediag.address import PortAddress, Side
from slinediag.chart.chart import draw
from slinediag.chart.division import Bench
from slinediag.chart.planning import plan_chart
from slinediag.drawing.marks import Rect, Text
from slinediag.file.read import load
from slinediag.geometry import Box
from slinediag.model.facility import Facility
from slinediag.paint.svg import paint
from slinediag.problems import SheetTooSmall
from slinediag.tracing.naming import read_trial
from slinediag.tracing.trial import ask
from tests.builders import plant
from tests.chart import rules
from tests.chart.plants import chain, station
from tests.chart.plants import drawn_set as sheets
from tests.chart.set_rules import check_set, crossings, jack_zones, numbered
from tests.strategies import facilities

SIDES: tuple[Side, Side] = ("in", "out")
SAMPLES = Path(__file__).parents[2] / "samples"


@pytest.fixture(scope="module")
def quillmoor(quillmoor_set):
    return quillmoor_set


def drawn(drawings):
    """The sheets that hold a part of the chart."""
    return [d for d in drawings if list(rules.groups(d.marks, "chart"))]


def test_the_sample_keeps_every_rule_on_a3(quillmoor):
    check_set(*quillmoor)


def test_the_sample_interrupts_few_lines(quillmoor):
    _, drawings = quillmoor
    references = [g for d in drawings for g in rules.groups(d.marks, "reference")]
    # 168 positions: what holds together stands together, so that a few lines at most part.
    assert len(references) <= 2 * 6
    assert 8 <= len(drawn(drawings)) <= 16


def test_the_sample_crosses_little_on_each_sheet(quillmoor):
    _, drawings = quillmoor
    counts = sorted(crossings(d) for d in drawn(drawings))
    assert counts[len(counts) // 2] <= 2
    assert counts[-1] <= 12


def test_the_overview_names_them_all(quillmoor):
    _, drawings = quillmoor
    (page,) = [d for d in drawings if list(rules.groups(d.marks, "sheet-card"))]
    assert page.number < drawn(drawings)[0].number
    cards = [rules.data_of(g)["sheet"] for g in rules.groups(page.marks, "sheet-card")]
    assert sorted(cards, key=int) == [str(d.number) for d in drawn(drawings)]


def test_the_sheets_of_a_new_set_are_numbered_by_its_pages(quillmoor):
    _, drawings = quillmoor
    assert [drawing.number for drawing in drawings] == list(range(1, len(drawings) + 1))


def test_parts_say_on_which_sheets_their_inputs_and_outputs_are(quillmoor):
    _, drawings = quillmoor
    found = {}
    for number, drawing in enumerate(drawings, 1):
        for line in rules.marked(drawing, "line"):
            for name in f"{rules.data_of(line)['from']} {rules.data_of(line)['to']}".split():
                if name.startswith("DA1."):
                    found.setdefault(name.endswith((".L", ".R")), set()).add(number)
    (entering,) = found[True]
    told = {
        rules.data_of(after)["sheet"]
        for drawing in drawings
        for group in rules.groups(drawing.marks, "equipment")
        if rules.data_of(group)["id"] == "DA1"
        for mark, after in pairwise(group.marks)
        if isinstance(mark, Text) and mark.text == "inputs on sheet "
    }
    assert told == {str(entering)}
    assert len(found[False]) > 1


def emptied(facility: Facility, bay_id: str, number: int) -> Facility:
    """The facility with nothing at one position."""
    bay = facility.bays[bay_id]
    fewer = {n: point for n, point in bay.points.items() if n != number}
    return replace(facility, bays={**facility.bays, bay_id: replace(bay, points=fewer)})


@pytest.fixture(scope="module")
def with_less(quillmoor):
    """Where the jacks are with one position emptied, for a position of three bays."""
    changes = (("PB1", 9), ("PB3", 5), ("PB4", 11))
    return [jack_zones(sheets(emptied(quillmoor[0], *change), "A3")) for change in changes]


def test_a_sheet_keeps_its_number_when_a_position_is_emptied(quillmoor, with_less):
    _, before = quillmoor
    old, counts = jack_zones(before), []
    for new in with_less:
        both = set(old) & set(new)
        counts.append(sum(old[jack][0] == new[jack][0] for jack in both) / len(both))
    # A set is divided afresh here, and where that takes a sheet more the numbers behind it move: one
    # that is kept keeps all of them.
    assert sorted(counts)[1] >= 0.75


def test_a_small_change_leaves_most_things_in_company(quillmoor, with_less):
    """Of all pairs of jacks on one sheet, most stay on one when a position is emptied."""
    _, before = quillmoor
    old, new = jack_zones(before), with_less[0]
    pairs = [
        (one, other)
        for one, other in combinations(sorted(set(old) & set(new)), 2)
        if old[one][0] == old[other][0]
    ]
    kept = sum(new[one][0] == new[other][0] for one, other in pairs)
    assert kept >= 0.92 * len(pairs)


def test_the_way_to_the_transmitter_stands_on_one_sheet(quillmoor):
    """What an engineer follows by eye, from the desk's programme output to the link."""
    _, drawings = quillmoor
    passed = {
        number
        for number, drawing in numbered(drawings)
        for group in rules.groups(drawing.marks, "equipment")
        if rules.data_of(group)["id"] in {"DLY", "LIM", "XMIT"}
    }
    zones = jack_zones(drawings)
    jacks = [f"PB2.{row}{n}" for n in range(9, 17) for row in "TB"]
    assert {zones[jack][0] for jack in jacks} == passed
    assert len(passed) == 1


def test_no_stereo_pair_is_parted(quillmoor):
    """The jacks wired to the two sides of a pair are on one sheet; none here is too large."""
    facility, drawings = quillmoor
    zones, jack_at = jack_zones(drawings), defaultdict(set)
    for jack, wire in facility.wires.items():
        if isinstance(wire.to, PortAddress) and str(jack) in zones:
            jack_at[wire.to].add(zones[str(jack)][0])
    pairs = [
        [jack_at[PortAddress(box.id, port, side)] for port in pair]
        for box in facility.equipment.values()
        for side in SIDES
        for pair in box.stereo_pairs
    ]
    told = [(left, right) for left, right in pairs if left and right]
    assert len(told) > 20
    assert all(left == right for left, right in told)


def test_a_position_is_no_wider_on_a_sheet_than_what_is_named_there():
    """Beside one with a tie line of a long name it is levelled with that on the whole chart; of a
    set the two may be on different sheets."""
    head = """
        equipment:
          P1: {name: Player, outputs: [O]}
          P2: {name: Player, outputs: [O]}
          D: {name: Desk, inputs: [I1, I2]}
        bays:
          A: {name: Bay, positions: 1, points: {1: {top: P2.O}}}
          C:
            name: Bay
            positions: 2
            points:
              1: {top: P1.O, bottom: D.I1}
              2: {bottom: D.I2}
        """
    long = plan_chart(plant(head + "lines: {A-LONG-NAME-OF-A-TIE: {from: A.B1, to: C.T2}}"), None)
    short = plan_chart(plant(head + "lines: {T: {from: A.B1, to: C.T2}}"), None)
    levelled = {point.id: point for point in long.points}
    assert levelled["C:1"].left_stub == levelled["C:2"].left_stub
    assert Bench(long).points["C:1"] == Bench(short).points["C:1"]
    assert Bench(long).points["C:1"].width < levelled["C:1"].width


def test_every_sheet_of_the_chart_has_a_legend(quillmoor):
    _, drawings = quillmoor
    for drawing in drawn(drawings):
        assert "top row (T)" in rules.block_words(drawing, "legend")


def test_a_narrow_sheet_takes_more_of_them():
    facility = station()
    few, many = sheets(facility, "A3"), sheets(facility, "A4")
    check_set(facility, few)
    check_set(facility, many)
    assert len(drawn(many)) > len(drawn(few))


def test_sheets_of_the_other_series():
    facility = station()
    drawings = sheets(facility, "B")
    check_set(facility, drawings)
    assert drawings[0].width == 431_800  # 17 in, ASME Y14.1


def test_a_trial_is_shown_on_the_sheets_of_its_jacks():
    facility = station()
    answer = ask(facility, read_trial(facility, [("PB1.T1", "PB2.B3")], [], [], ["DESK"]))
    drawings = sheets(facility, "A4", answer)
    check_set(facility, drawings)
    trial = [c for d in drawings for c in rules.marked(d, "cord") if "trial" in c.ref.classes]
    assert {rules.data_of(c)["cord"] for c in trial} == {"PB1.T1=PB2.B3"}


CHAIN = 30


def test_a_chain_is_interrupted_with_references_both_ways():
    facility = chain(CHAIN)
    drawings = sheets(facility, "A3")
    check_set(facility, drawings)
    pieces = len(drawn(drawings))
    references = [g for d in drawings for g in rules.groups(d.marks, "reference")]
    # A chain over n sheets parts n − 1 times at least; an A3 is as wide as three of its boxes,
    # so that it parts at every third at most. Each time there are two references.
    assert pieces > 1
    assert 2 * (pieces - 1) <= len(references) <= 2 * CHAIN / 3 + 2


def test_a_chain_of_cords_is_cut_with_flags():
    """Cords from each position to the next, on sheets with room for a few of them."""
    cords = "".join(
        f"  - {{from: PA.B{n}, to: PA.T{n + 1}, since: 2026-01-05}}\n" for n in range(1, 8)
    )
    bay = "bays:\n  PA: {name: Bay, positions: 8, points: {1-8: {normal: none}}}\n"
    facility = plant("equipment: {}\n" + bay + "cords:\n" + cords)
    drawings = sheets(facility, "A4", None, Fraction(2))
    check_set(facility, drawings)
    flags = [g for d in drawings for g in rules.groups(d.marks, "cord-reference")]
    # Each cord that is cut ends in a flag on both sheets.
    assert flags
    assert len(flags) % 2 == 0


def test_a_box_that_must_be_whole_needs_a_larger_sheet():
    ports = ", ".join(f"I{n}" for n in range(30))
    facility = plant(
        f"""
        equipment:
          BIG: {{name: Desk, inputs: [{ports}], drawn: whole}}
        bays:
          PB: {{name: Bay, positions: 30, points: {{1-30: {{bottom: [{
            ", ".join(f"BIG.I{n}" for n in range(30))
        }]}}}}}}
        """
    )
    with pytest.raises(SheetTooSmall) as refused:
        draw(facility, sheet="A4", fold=False)
    # 30 rows of 10 mm are 300 mm: more than an A3 has, less than an A2 (ISO 216).
    assert refused.value.smallest == "A2"
    check_set(facility, sheets(facility, "A2"))


@given(facilities(), st.sampled_from([Fraction(1), Fraction(7, 5)]))
@settings(max_examples=12, deadline=None, suppress_health_check=list(HealthCheck))
def test_random_facilities_keep_every_rule_in_a_set(facility, scale):
    try:
        drawings = sheets(facility, "A3", None, scale)
    except SheetTooSmall:
        return
    check_set(facility, drawings)


def test_the_same_bytes_each_time():
    facility = station()
    first, second = sheets(facility, "A4"), sheets(station(), "A4")
    assert list(map(paint, first)) == list(map(paint, second))


@pytest.mark.parametrize("sheet", ["auto", "A3"])
def test_drawing_tells_how_far_it_is_and_never_less(sheet):
    told = []
    draw(
        load("samples/larkfen.yaml").facility,
        sheet=sheet,
        tell=lambda share, _: told.append(share),
    )
    assert told == sorted(told)
    assert all(0 <= share <= 1 for share in told)
    assert len(set(told)) > 3


def test_parts_of_equipment_are_numbered_as_one_reads_them(quillmoor_set):
    """Over sheets one after another, on a sheet from its top and from its left."""
    parts: dict[str, list[tuple[int, int, Box]]] = {}
    for sheet, drawing in enumerate(quillmoor_set[1]):
        for group in rules.groups(drawing.marks, "equipment"):
            data = rules.data_of(group)
            if "part" in data:
                frame = next(mark.box for mark in group.marks if isinstance(mark, Rect))
                number = int(data["part"].split()[0])
                parts.setdefault(data["id"], []).append((number, sheet, frame))
    below = 0
    for found in parts.values():
        assert sorted(number for number, *_ in found) == [*range(1, len(found) + 1)]
        for (one, sheet, box), (other, later, its) in permutations(found, 2):
            if sheet < later or (sheet == later and box.y == its.y and box.x < its.x):
                assert one < other
            elif sheet == later and box.bottom < its.y and box.x <= its.x:
                below += 1
                assert one < other
    assert below
