"""Edits of a facility: what is joined to what stays, whatever changes places.

That a circuit does not change when its wires, normals and plugs move with it to another position
is a fact of the trade (common practice), and what every test here rests on.
"""

from __future__ import annotations

import datetime

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from slinediag.model import edits
from slinediag.model.edits import Position
from slinediag.model.facility import Acceptance
from slinediag.problems import RequestError
from slinediag.tracing.tracer import Tracer
from tests.builders import jack, plant
from tests.strategies import facilities

BAY = """
equipment:
  A: {name: Source, outputs: [O]}
  B: {name: Destination, inputs: [I]}
  C: {name: Other source, outputs: [O]}
bays:
  PB:
    name: Bay
    positions: 5
    points:
      1: {top: A.O, bottom: B.I, label_top: SOURCE, normal: full}
      2: {top: C.O, normal: none}
  PF: {name: Full bay, positions: 3, normal: full}
  PT: {name: Tie bay, positions: 3, rows: 1}
mults:
  M: [PB.B2, PB.T3]
cords:
  - {from: PB.T2, to: PB.B4}
"""


def hearing(facility):
    """What feeds and what is heard at each input."""
    tracer = Tracer(facility)
    return {p: (tracer.feeds(p), tracer.hears(p)) for p in tracer.circuit.inputs}


def refused(edit, *arguments):
    with pytest.raises(RequestError) as error:
        edit(*arguments)
    return str(error.value)


def test_a_position_moves_with_all_that_is_at_it():
    moved = edits.move_position(plant(BAY), Position("PB", 1), Position("PB", 5))
    point = moved.bays["PB"].points[5]
    assert (str(point.top.to), str(point.bottom.to)) == ("A.O:out", "B.I:in")
    assert (point.label_top, point.normal) == ("SOURCE", "full")
    assert 1 not in moved.bays["PB"].points


def test_mults_and_cords_go_along():
    swapped = edits.swap_positions(plant(BAY), Position("PB", 2), Position("PB", 5))
    assert swapped.mults["M"].jacks == (jack("PB.B5"), jack("PB.T3"))
    assert swapped.cords[0].source == jack("PB.T5")


def test_in_a_bay_with_other_normals_the_kind_stays():
    moved = edits.move_position(plant(BAY), Position("PB", 2), Position("PF", 1))
    assert moved.bays["PF"].normal_at(1) == "none"
    full = edits.move_position(plant(BAY), Position("PB", 1), Position("PF", 2))
    assert full.bays["PF"].points[2].normal is None
    assert full.bays["PF"].normal_at(2) == "full"
    assert full.bays["PB"].normal_at(1) == "half"


def test_a_gap_moves_what_is_behind_it_up_to_the_next_free_position():
    facility = edits.insert_gap(plant(BAY), Position("PB", 1))
    assert sorted(facility.bays["PB"].points) == [2, 3]
    assert edits.is_free(facility, Position("PB", 1))
    # 2, 3 and 4 were in use; 5 was the free one.
    assert facility.cords[0].target == jack("PB.B5")
    assert facility.mults["M"].jacks == (jack("PB.B3"), jack("PB.T4"))


def test_a_free_position_is_a_gap_already():
    facility = plant(BAY)
    assert edits.insert_gap(facility, Position("PB", 5)) is facility


def test_accepted_findings_follow_their_jack():
    accepted = Acceptance("shield-loop", "PB.T2", "measured quiet")
    facility = plant(BAY)
    practice = edits.replace(facility.practice, accept=(accepted,))
    facility = edits.replace(facility, practice=practice)
    moved = edits.swap_positions(facility, Position("PB", 2), Position("PB", 1))
    assert moved.practice.accept[0].where == "PB.T1"


def test_what_cannot_be_is_refused_with_its_place():
    facility = plant(BAY)
    one, other = Position("PB", 1), Position("PB", 2)
    assert "PB 2: this position is in use" in refused(edits.move_position, facility, one, other)
    # Position 3 looks empty on the strip, but a mult is at its jack.
    assert "in use" in refused(edits.move_position, facility, one, Position("PB", 3))
    assert "no bay PX" in refused(edits.swap_positions, facility, one, Position("PX", 1))
    assert "positions 1 to 5" in refused(edits.insert_gap, facility, Position("PB", 6))
    assert "no bottom row" in refused(edits.move_position, facility, one, Position("PT", 1))
    full = facility
    for number in (5,):
        full = edits.with_cord(full, (jack(f"PB.T{number}"), jack("PF.T1")))
    assert "no position from here" in refused(edits.insert_gap, full, one)


def test_a_cord_stays_in_with_its_note():
    facility = edits.with_cord(
        plant(BAY), (jack("PB.T1"), jack("PF.B3")), note="press", since=datetime.date(2026, 5, 1)
    )
    cord = facility.cords[-1]
    assert (str(cord), cord.note, str(cord.since)) == ("PB.T1=PF.B3", "press", "2026-05-01")


def test_a_jack_holds_one_plug():
    words = refused(edits.with_cord, plant(BAY), (jack("PB.B4"), jack("PB.T5")))
    assert "PB.B4: this jack holds a plug" in words
    assert "two jacks" in refused(edits.with_cord, plant(BAY), (jack("PB.T5"), jack("PB.T5")))


def test_cords_and_plugs_are_taken_out():
    facility = plant(BAY + "plugs: [PF.T2]\n")
    assert edits.without_cord(facility, (jack("PB.B4"), jack("PB.T2"))).cords == ()
    assert edits.without_plug(facility, jack("PF.T2")).plugs == ()
    assert "no such standing cord" in refused(
        edits.without_cord, facility, (jack("PB.B4"), jack("PB.T1"))
    )
    assert "no dummy plug" in refused(edits.without_plug, facility, jack("PF.T3"))


@given(facilities(), st.data())
def test_nothing_hears_otherwise_when_two_positions_change_places(facility, data):
    places = [
        Position(bay.id, n) for bay in facility.bays.values() for n in range(1, bay.width + 1)
    ]
    assume(len(places) > 1)
    one, other = data.draw(st.lists(st.sampled_from(places), min_size=2, max_size=2, unique=True))
    before = hearing(facility)
    try:
        swapped = edits.swap_positions(facility, one, other)
    except RequestError:
        assume(False)
    assert hearing(swapped) == before
    again = edits.swap_positions(swapped, one, other)
    assert hearing(again) == before
    assert again.cords == facility.cords
    assert again.wires == facility.wires


@given(facilities(), st.data())
def test_nothing_hears_otherwise_for_a_gap(facility, data):
    bay = data.draw(st.sampled_from(sorted(facility.bays)))
    at = Position(bay, data.draw(st.integers(1, facility.bays[bay].width)))
    try:
        gapped = edits.insert_gap(facility, at)
    except RequestError:
        assume(False)
    assert edits.is_free(gapped, at)
    assert hearing(gapped) == hearing(facility)
