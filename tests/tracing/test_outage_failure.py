"""What has failed: names as people give them, and what the facility is then."""

from __future__ import annotations

import pytest

from slinediag.problems import RequestError
from slinediag.tracing.outage.failure import Failure, cables, damaged, read_failure
from slinediag.tracing.trial import ask
from slinediag.tracing.values import Trial
from tests.builders import entry, jack, output, plant

PLANT = """
racks:
  Rack 1: {room: Racks, x: 0}
equipment:
  A: {name: Source, place: "Rack 1, U4", outputs: [L, R]}
  B: {name: Other source, place: Racks, outputs: [O]}
  C: {name: Gone, place: Rack 1, state: removed, outputs: [O]}
  X: {name: Destination, place: Studio, inputs: [L, R]}
  Y: {name: Other destination, inputs: [I]}
bays:
  PB1:
    name: Sources
    label: SRC
    place: Rack 1
    positions: 4
    points:
      1-2: {top: [{to: A.L, cable: K1/1}, {to: A.R, cable: K1/2}]}
      3: {top: B.O, normal: half}
  PB2:
    name: Ends
    place: Studio
    positions: 4
    normal: none
    points:
      1-2: {top: [{to: X.L, cable: K2}, X.R]}
      3: {bottom: Y.I, normal: half}
normals:
  - {from: PB1.T3, to: PB2.B3, kind: half}
lines:
  T1: {from: PB1.B1, to: PB2.B1, cable: K3/1}
  T2: {from: PB1.B2, to: PB2.B2, cable: K3/2}
cables:
  K3: {length: 10, pairs: 4}
mults:
  M: [PB1.T4, PB2.T4, PB1.B4, PB2.B4]
"""


@pytest.fixture
def facility():
    return plant(PLANT)


def test_a_place_takes_all_equipment_and_bays_there(facility):
    failure = read_failure(facility, failed_places=["Rack 1"])
    assert failure.dead_boxes(facility) == ("A",)
    assert failure.dead_bays(facility) == {"PB1"}
    assert failure.named == ("place Rack 1",)


def test_a_room_takes_its_racks_too(facility):
    failure = read_failure(facility, failed_places=["Racks"])
    assert failure.dead_boxes(facility) == ("A", "B")


def test_names_are_written_as_answers_write_them(facility):
    failure = read_failure(facility, ["A"], ["PB1"], ["Studio"], ["K3/2"])
    assert failure.named == ("A", "bay PB1", "place Studio", "cable K3/2")


def test_bays_by_label_and_by_name(facility):
    assert read_failure(facility, failed_bays=["SRC"]).bays == ("PB1",)
    assert read_failure(facility, failed_bays=["Ends"]).bays == ("PB2",)


def test_equipment_by_name_and_each_once(facility):
    assert read_failure(facility, ["Source", "A"]).boxes == ("A",)


@pytest.mark.parametrize(
    ("asked", "hint"),
    [
        ({"failed": ["AA"]}, "Did you mean A?"),
        ({"failed_bays": ["PB3"]}, "Did you mean PB2?"),
        ({"failed_places": ["Rak 1"]}, "Did you mean Rack 1?"),
        ({"cut": ["K11"]}, "Did you mean K1"),
    ],
)
def test_unknown_names_get_the_nearest(facility, asked, hint):
    with pytest.raises(RequestError) as refused:
        read_failure(facility, **asked)
    assert hint in str(refused.value)


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ({"failed": ["PB1"]}, 'PB1: this is a bay, not equipment. Say failed_bays=["PB1"]'),
        ({"failed": ["SRC"]}, 'SRC: this is a bay, not equipment. Say failed_bays=["SRC"]'),
        (
            {"failed": ["Rack 1"]},
            'Rack 1: this is a rack or room, not equipment. Say failed_places=["Rack 1"]',
        ),
        ({"failed": ["K3/2"]}, 'K3/2: this is a cable or pair, not equipment. Say cut=["K3/2"]'),
        ({"failed": ["A.L"]}, 'A.L: this is part of A, not equipment. Say failed=["A"]'),
        ({"failed_bays": ["PB1.T3"]}, 'this is part of PB1, not a bay. Say failed_bays=["PB1"]'),
        ({"failed_places": ["A"]}, 'A: this is equipment, not a rack or room. Say failed=["A"]'),
        ({"cut": ["PB2"]}, 'this is a bay, not a cable or pair. Say failed_bays=["PB2"]'),
        ({"failed": ["@@"]}, "@@: there is no such equipment. Name equipment by its id"),
        ({"cut": ["@@"]}, "@@: there is no such cable or pair. Cables: K1, K2, K3"),
    ],
)
def test_the_name_of_another_kind_of_thing_is_told_where_to_go(facility, asked, said):
    with pytest.raises(RequestError) as refused:
        read_failure(facility, **asked)
    assert said in str(refused.value)


def test_only_what_may_be_named_is_pointed_to(facility):
    with pytest.raises(RequestError) as refused:
        read_failure(facility, ["PB1", "K3/2"], forms={})
    assert "Say" not in str(refused.value)


def test_a_pair_that_a_cable_does_not_have(facility):
    with pytest.raises(RequestError, match="pairs 1 to 4"):
        read_failure(facility, cut=["K3/5"])
    assert read_failure(facility, cut=["K3/4"]).cables == ("K3/4",)


def test_all_wrong_names_are_told_in_one_go(facility):
    with pytest.raises(RequestError) as refused:
        read_failure(facility, ["nope"], ["nope"], ["nope"], ["nope"])
    assert len(refused.value.problems) == 4


def test_every_cable_is_known_those_that_only_wires_name_too(facility):
    assert cables(facility) == ("K1", "K2", "K3")


def test_without_a_cut_or_a_bay_it_is_the_same_facility(facility):
    assert damaged(facility, Failure(boxes=("A",))) is facility


def test_a_cut_cable_opens_all_its_pairs(facility):
    now = damaged(facility, read_failure(facility, cut=["K1"]))
    assert jack("PB1.T1") not in now.wires
    assert jack("PB1.T2") not in now.wires
    assert jack("PB1.T3") in now.wires


def test_a_cut_pair_opens_that_pair_alone(facility):
    now = damaged(facility, read_failure(facility, cut=["K3/1"]))
    assert set(now.lines) == {"T2"}


def hears(facility, port, trial=None):
    outcomes = ask(facility, trial or Trial(), every_input=True).inputs
    return next(o.hears_after for o in outcomes if o.input == port)


def test_a_dead_bay_opens_its_jacks_and_what_is_wired_across(facility):
    assert hears(facility, entry("Y.I")) == (output("B.O"),)
    now = damaged(facility, read_failure(facility, failed_bays=["PB1"]))
    assert hears(now, entry("Y.I")) == ()
    assert not now.lines


def test_the_own_normal_of_a_position_does_not_come_back(facility):
    # The normal from PB1.T3 had replaced that of PB2 3; it is the wire that is gone, not the rule.
    now = damaged(facility, read_failure(facility, failed_bays=["PB1"]))
    assert not now.normals


def test_what_is_left_of_a_mult_stays_tied(facility):
    now = damaged(facility, read_failure(facility, failed_bays=["PB1"]))
    assert now.mults["M"].jacks == (jack("PB2.T4"), jack("PB2.B4"))
