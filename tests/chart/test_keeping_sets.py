"""A set drawn again: sheets keep their numbers and what stands on them, new ones follow."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slinediag.chart.chart import draw
from slinediag.chart.leads import chart_leads
from slinediag.model.equipment import Equipment
from slinediag.paint.svg import paint
from slinediag.problems import SheetTooSmall
from slinediag.tracing.trial import ask
from slinediag.tracing.values import Trial
from tests.builders import jack, plant
from tests.chart import rules
from tests.chart.plants import drawn_set, stood
from tests.chart.set_rules import check_set, jack_zones
from tests.strategies import facilities


def without(facility, bay_id, *numbers):
    """The facility with some positions of a bay emptied."""
    bay = facility.bays[bay_id]
    points = {n: point for n, point in bay.points.items() if n not in numbers}
    assert len(points) < len(bay.points)
    return replace(facility, bays={**facility.bays, bay_id: replace(bay, points=points)})


def on_sheets(drawings) -> dict[str, int]:
    """The number of the sheet that each jack is drawn on."""
    return {name: number for name, (number, _) in jack_zones(drawings).items()}


def index_of(drawings) -> str:
    """What the index says, on however many pages."""
    return " ".join(rules.block_words(drawing, "sheet-index") for drawing in drawings)


def drawn_numbers(drawings) -> list[int]:
    return [d.number for d in drawings if list(rules.groups(d.marks, "chart"))]


def test_drawn_again_unchanged_it_is_the_same(quillmoor_set):
    facility, before = quillmoor_set
    again = drawn_set(facility, "A3", keep=stood(before))
    assert [paint(d) for d in again] == [paint(d) for d in before]


def test_a_small_change_leaves_sheets_their_numbers(quillmoor_set):
    facility, before = quillmoor_set
    old, kept, all_told = on_sheets(before), 0, 0
    for bay, number in (("PB1", 9), ("PB2", 13), ("PB3", 5), ("PB4", 11)):
        changed = without(facility, bay, number)
        drawings = drawn_set(changed, "A3", keep=stood(before))
        new = on_sheets(drawings)
        both = old.keys() & new.keys()
        assert len(both) > 0.9 * len(old)
        kept += sum(old[name] == new[name] for name in both)
        all_told += len(both)
    check_set(changed, drawings)
    assert kept >= 0.98 * all_told


def sheet_of(drawings, name):
    """The sheet that a jack is drawn on, and all jacks there."""
    zones = on_sheets(drawings)
    return zones[name], {other for other, number in zones.items() if number == zones[name]}


def stations(count, first=1):
    """So many chains of a player, a position and a loudspeaker, on one bay."""
    names = range(first, first + count)
    boxes = "".join(
        f"  P{n:02}: {{name: Player {n}, outputs: [O]}}\n"
        f"  S{n:02}: {{name: Loudspeaker {n}, inputs: [I]}}\n"
        for n in names
    )
    points = "".join(f"      {n}: {{top: P{n:02}.O, bottom: S{n:02}.I}}\n" for n in names)
    bay = f"bays:\n  PB:\n    name: Bay\n    positions: 96\n    points:\n{points}"
    return plant("equipment:\n" + boxes + bay)


@pytest.fixture(scope="module")
def several():
    """Twenty chains over sheets of A4."""
    facility = stations(20)
    return facility, drawn_set(facility, "A4")


def test_what_is_new_and_has_no_room_takes_the_next_number(several):
    _, before = several
    facility = stations(40)
    after = drawn_set(facility, "A4", keep=stood(before))
    check_set(facility, after)
    old, new = on_sheets(before), on_sheets(after)
    assert all(new[name] == old[name] for name in old)
    more = set(drawn_numbers(after)) - set(drawn_numbers(before))
    last = max(drawn_numbers(before))
    assert more == set(range(last + 1, last + 1 + len(more)))
    # Finder and lists follow after the last drawing.
    assert [d.number for d in after][-1] > max(more)


def test_a_single_new_thing_goes_where_there_is_room(several):
    _, before = several
    last = max(drawn_numbers(before))
    (end,) = [d for d in before if d.number == last]
    spare = len(list(rules.groups(end.marks, "point")))
    fullest = max(len(list(rules.groups(d.marks, "point"))) for d in before)
    assert spare < fullest
    changed = stations(21)
    after = drawn_set(changed, "A4", keep=stood(before))
    check_set(changed, after)
    assert drawn_numbers(after) == drawn_numbers(before)


def test_a_sheet_that_is_empty_leaves_its_number_out(several):
    facility, before = several
    number, names = sheet_of(before, "PB.T1")
    gone = {int(name.rpartition(".")[2][1:]) for name in names}
    changed = without(facility, "PB", *gone)
    after = drawn_set(changed, "A4", keep=stood(before))
    # Of the rules, that the first sheet says which numbers are left out.
    check_set(changed, after)
    assert drawn_numbers(after) == [n for n in drawn_numbers(before) if n != number]
    assert f"Sheet {number} is not used." in index_of(after)
    old, new = on_sheets(before), on_sheets(after)
    assert all(new[name] == old[name] for name in new)
    # Bookmarks and links find their pages by number all the same.
    leads = chart_leads(after, {})
    titles = [mark.title for mark in leads.marks if mark.depth == 0]
    assert [int(title.split()[1].rstrip(":")) for title in titles] == [d.number for d in after]
    cards = {rules.data_of(g)["sheet"]: g for g in rules.groups(after[0].marks, "sheet-card")}
    assert len(cards) == len(drawn_numbers(after))
    targets = {after[link.target].number for link in leads.links if link.sheet == 0}
    assert targets >= set(drawn_numbers(after))
    # What comes after keeps to the numbers that are left.
    again = drawn_set(facility, "A4", keep=stood(after))
    check_set(facility, again)
    assert all(on_sheets(again)[name] == new[name] for name in new)
    assert number not in drawn_numbers(again)


def test_a_number_that_was_last_is_not_given_again_at_once(several):
    _, before = several
    last = max(drawn_numbers(before))
    gone = {int(n.rpartition(".")[2][1:]) for n, s in on_sheets(before).items() if s == last}
    changed = without(stations(40), "PB", *gone)
    after = drawn_set(changed, "A4", keep=stood(before))
    check_set(changed, after)
    assert last not in drawn_numbers(after)
    assert max(drawn_numbers(after)) > last


def test_what_has_grown_too_large_for_its_sheet_sheds_the_least(several):
    """Three boxes get names of many lines: most of what stood with them stays."""
    facility, before = several
    old = on_sheets(before)
    boxes = dict(facility.equipment)
    for n in range(1, 4):
        box = boxes[f"P{n:02}"]
        assert isinstance(box, Equipment)
        boxes[box.id] = replace(box, name="A player of a name that takes line upon line " * 6)
    changed = replace(facility, equipment=boxes)
    after = drawn_set(changed, "A4", keep=stood(before))
    check_set(changed, after)
    new = on_sheets(after)
    stayed = sum(new[name] == old[name] for name in old)
    assert stayed < len(old)
    assert stayed >= 0.8 * len(old)
    assert drawn_numbers(after)[: len(drawn_numbers(before))] == drawn_numbers(before)


def test_an_index_that_grows_goes_on_behind_the_drawings(several):
    facility, before = several
    notes = tuple(f"Note {n}: what everybody ought to know about it" for n in range(60))
    changed = replace(facility, practice=replace(facility.practice, notes=notes))
    after = drawn_set(changed, "A4", keep=stood(before))
    check_set(changed, after)
    assert on_sheets(after) == on_sheets(before)
    assert drawn_numbers(after) == drawn_numbers(before)
    last = max(drawn_numbers(after))
    assert f"{last + 1} Notes (continued)" in index_of(after)
    (behind,) = [d for d in after if d.number == last + 1]
    assert "continued" in behind.title
    assert drawn_set(changed, "A4", keep=stood(after)) == after


def test_a_trial_is_drawn_on_the_sheets_of_the_set_as_filed(quillmoor_set):
    facility, before = quillmoor_set
    answer = ask(facility, Trial(cords=((jack("PB1.T3"), jack("PB2.B3")),)))
    after = drawn_set(facility, "A3", answer, keep=stood(before))
    check_set(facility, after)
    assert any("trial" in cord.ref.classes for d in after for cord in rules.marked(d, "cord"))
    assert on_sheets(after) == on_sheets(before)
    assert drawn_set(facility, "A3", answer, keep=stood(after)) == after


def test_a_set_stays_a_set_of_that_size_where_nobody_says_otherwise(several):
    facility, before = several
    after = draw(facility, keep=stood(before))
    assert on_sheets(after) == on_sheets(before)
    assert after[0].width == before[0].width
    said: list[str] = []
    (single,) = draw(facility, sheet="one", keep=stood(before), say=said.append)
    assert not single.number
    assert said == [
        "Nothing was kept: the earlier drawing is a set of sheets, this one is a single sheet"
    ]
    said.clear()
    facility = stations(60)
    single = draw(facility, sheet="one")
    again = draw(facility, sheet="A3", keep=stood(single), say=said.append)
    assert len(again) > 1
    assert said == ["Nothing was kept: the earlier drawing is one sheet, this is a set of them"]


def test_folded_otherwise_things_stay_on_their_sheets():
    facility = folding()
    plain = draw(facility, sheet="A4", fold=False)
    folded = draw(facility, sheet="A4", fold=True, keep=stood(plain))
    assert any(
        rules.data_of(line).get("members") for d in folded for line in rules.marked(d, "line")
    )
    assert drawn_numbers(folded) == drawn_numbers(plain)
    assert draw(facility, sheet="A4", keep=stood(folded)) == folded
    unfolded = draw(facility, sheet="A4", fold=False, keep=stood(folded))
    assert on_sheets(unfolded) == on_sheets(plain)


def folding():
    """Four recorders of eight tracks, each on eight positions."""
    boxes = "".join(
        f"  R{n}: {{name: Recorder {n}, outputs: [{', '.join(f'O{k}' for k in range(1, 9))}]}}\n"
        f"  D{n}: {{name: Desk {n}, inputs: [{', '.join(f'I{k}' for k in range(1, 9))}]}}\n"
        for n in range(1, 6)
    )
    points = "".join(
        f"      {8 * n - 8 + k}: {{top: R{n}.O{k}, bottom: D{n}.I{k}}}\n"
        for n in range(1, 6)
        for k in range(1, 9)
    )
    bay = f"bays:\n  PB:\n    name: Bay\n    positions: 40\n    points:\n{points}"
    return plant("equipment:\n" + boxes + bay)


@given(facilities(positions=8), facilities(positions=8))
@settings(max_examples=4)
def test_any_set_can_follow_any_other(one, other):
    try:
        before = drawn_set(one, "A4", None, Fraction(7, 5))
        fresh = drawn_set(other, "A4", None, Fraction(7, 5))
    except SheetTooSmall:
        return
    after = drawn_set(other, "A4", None, Fraction(7, 5), stood(before))
    check_set(other, fresh)
    check_set(other, after)


@given(facilities(positions=8), st.data())
@settings(max_examples=4)
def test_a_set_with_a_position_less_keeps_every_rule(facility, data):
    bay = facility.bays[data.draw(st.sampled_from(sorted(facility.bays)))]
    try:
        before = drawn_set(facility, "A4", None, Fraction(7, 5))
        if bay.points:
            number = data.draw(st.sampled_from(sorted(bay.points)))
            changed = without(facility, bay.id, number)
            after = drawn_set(changed, "A4", None, Fraction(7, 5), stood(before))
            check_set(changed, after)
    except SheetTooSmall:
        return
