"""Three versions into one; expected outcomes are worked out by hand."""

from __future__ import annotations

import datetime
from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from slinediag.editor.files.merging import merge
from slinediag.file.read import parse
from slinediag.file.write import new_file
from slinediag.model import edits
from slinediag.model.edits import Position
from tests.builders import jack
from tests.editor.plant import PLANT

FILED = parse(PLANT.encode(), "plant.yaml").facility


def with_box(facility, name, **keys):
    return replace(
        facility,
        equipment={**facility.equipment, name: replace(facility.equipment[name], **keys)},
    )


def test_changes_of_different_things_are_both_kept():
    ours = with_box(FILED, "LIM", note="serviced")
    theirs = edits.with_cord(FILED, (jack("PB1.T3"), jack("PB2.B1")), note="loan")
    merged = merge(FILED, ours, theirs)
    assert merged.conflicts == ()
    assert merged.facility.equipment["LIM"].note == "serviced"
    assert [str(cord) for cord in merged.facility.cords] == ["PB1.T4=PB2.B8", "PB1.T3=PB2.B1"]


def test_two_keys_of_one_box_are_both_kept():
    merged = merge(FILED, with_box(FILED, "LIM", note="a"), with_box(FILED, "LIM", place="Rack 2"))
    assert (merged.facility.equipment["LIM"].note, merged.facility.equipment["LIM"].place) == (
        "a",
        "Rack 2",
    )


def test_the_same_key_changed_otherwise_is_a_conflict_and_goes_by_choice():
    ours, theirs = with_box(FILED, "PLY1", label="CD 1"), with_box(FILED, "PLY1", label="PLAYER")
    merged = merge(FILED, ours, theirs)
    (conflict,) = merged.conflicts
    assert (conflict.where, conflict.filed, conflict.ours, conflict.theirs) == (
        "PLY1 label",
        "DISC 1",
        "CD 1",
        "PLAYER",
    )
    assert merged.facility.equipment["PLY1"].label == "CD 1"
    chosen = merge(FILED, ours, theirs, {conflict.path: "theirs"})
    assert chosen.facility.equipment["PLY1"].label == "PLAYER"


def test_the_same_change_on_both_sides_is_none():
    both = with_box(FILED, "PLY1", label="CD 1")
    assert merge(FILED, both, both).conflicts == ()


def test_a_cord_that_one_takes_out_and_the_other_dates_is_a_conflict():
    ours = edits.without_cord(FILED, (jack("PB1.T4"), jack("PB2.B8")))
    cord = replace(FILED.cords[0], since=datetime.date(2026, 4, 1))
    theirs = replace(FILED, cords=(cord,))
    merged = merge(FILED, ours, theirs)
    (conflict,) = merged.conflicts
    assert conflict.where == "cord PB1.T4 to PB2.B8"
    assert conflict.ours == "nothing"
    assert merged.facility.cords == ()
    assert merge(FILED, ours, theirs, {conflict.path: "theirs"}).facility.cords == (cord,)


def test_what_cannot_stand_together_has_its_mistakes_told():
    # One jack holds one plug.
    ours = edits.with_cord(FILED, (jack("PB1.T3"), jack("PB2.B3")))
    theirs = edits.with_cord(FILED, (jack("PB1.T3"), jack("PB2.B4")))
    merged = merge(FILED, ours, theirs)
    assert merged.facility is None
    assert any("PB1.T3" in mistake.text() for mistake in merged.mistakes)


def stirred(facility, dice):
    """A facility after a few changes, each a number."""
    for number in dice:
        name = list(facility.equipment)[number % len(facility.equipment)]
        match number % 3:
            case 0:
                facility = with_box(facility, name, note=f"note {number}")
            case 1:
                facility = edits.swap_positions(
                    facility, Position("PB1", 1 + number % 12), Position("PB2", 1 + number % 7)
                )
            case _:
                facility = with_box(facility, name, place=f"Rack {number}")
    return facility


@settings(max_examples=40)
@given(
    st.lists(st.integers(0, 400), max_size=4),
    st.lists(st.integers(0, 400), max_size=4),
)
def test_one_side_alone_is_taken_whole_and_sides_change_places(ours, theirs):
    mine, yours = stirred(FILED, ours), stirred(FILED, theirs)

    def said(facility):
        return new_file(replace(facility, cords=tuple(sorted(facility.cords, key=str))))

    assert said(merge(FILED, mine, FILED).facility) == said(mine)
    assert said(merge(FILED, FILED, yours).facility) == said(yours)
    one, other = merge(FILED, mine, yours), merge(FILED, yours, mine)
    assert [c.path for c in one.conflicts] == [c.path for c in other.conflicts]
    if not one.conflicts and one.facility is not None:
        assert said(one.facility) == said(other.facility)
