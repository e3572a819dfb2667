"""Trials against answers worked out by other means: by hand, from the contacts, before any run."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

import slinediag
from slinediag.problems import RequestError
from tests.builders import jack, one_normal, plant

HERE = Path(__file__).parent
SAMPLES = HERE.parent.parent / "samples"
NOT_YET_WRITTEN_DOWN = {"length", "level_before", "level_after"}


def cases(name):
    """The trials of a file of answers; the hand-worked ones carry their reasoning as ``why``."""
    for number, case in enumerate(json.loads((HERE / name).read_text(encoding="utf-8")), 1):
        yield pytest.param(case, id=case.get("name", f"trial {number}"))


def pair(text):
    one, sign, other = text.partition("=")
    return (one, other) if sign else one


def answer_to(facility, trial):
    return slinediag.ask(
        facility,
        cords=[pair(cord) for cord in trial.get("cords", [])],
        pulls=[pair(pull) for pull in trial.get("pulls", [])],
        plugs=trial.get("plugs", []),
        failed=trial.get("failed", []),
    ).to_dict()


def agrees(got, wanted):
    """Every key that was written down has the value written down."""
    if isinstance(wanted, dict):
        return all(agrees(got[key], value) for key, value in wanted.items())
    if isinstance(wanted, list):
        return len(got) == len(wanted) and all(map(agrees, got, wanted))
    return got == wanted


@pytest.fixture(scope="module")
def small_plant():
    return slinediag.load(HERE / "small_plant.yaml")


@pytest.fixture(scope="module")
def quillmoor():
    return slinediag.load(SAMPLES / "quillmoor.yaml")


@pytest.mark.parametrize("case", list(cases("small_plant_answers.json")))
def test_the_small_plant(small_plant, case):
    got = answer_to(small_plant, case["ask"])
    for key, value in case["answer"].items():
        assert agrees(got[key], value), key


@pytest.mark.parametrize("case", list(cases("quillmoor_cords.json")))
def test_ten_cords_of_quillmoor_worked_out_by_hand(quillmoor, case):
    got = answer_to(quillmoor, case["ask"])
    for key, value in case["answer"].items():
        assert agrees(got[key], value), (key, case["why"])


def test_every_key_of_an_answer_is_there(small_plant):
    got = answer_to(small_plant, {"cords": ["PB1.T3=PB2.B7"]})
    assert set(got) >= {"facility", "plugs", "cords", "inputs", "harmless"}
    assert set(got["plugs"][0]) >= {"jack", "cord", "acts"}
    assert set(got["cords"][0]) >= {"cord", "idle", "feedback", "length"}


def test_every_input_is_listed_on_request(small_plant):
    every = slinediag.ask(small_plant, every_input=True)
    assert [o.change for o in every.inputs] == ["unchanged"] * 11
    assert every.harmless
    names = [small_plant.spelled(o.input) for o in every.inputs]
    assert names == [
        "DESK.1", "DESK.2", "DESK.3", "DESK.4", "DESK.M1",
        "LIM.L:in", "LIM.R:in", "MON.1", "MON.2", "XMIT.L", "XMIT.R",
    ]  # fmt: skip


def effects(answer):
    return [[act.effect for act in step.acts] for step in answer.plugs]


@pytest.mark.parametrize(
    ("kind", "a_then_b", "b_then_a"),
    [
        ("full", [["breaks"], ["open already"]], [["breaks"], ["open already"]]),
        ("half", [["taps"], ["breaks"]], [["breaks"], ["open already"]]),
        ("reverse-half", [["breaks"], ["open already"]], [["taps"], ["breaks"]]),
        ("parallel", [["taps"], ["taps"]], [["taps"], ["taps"]]),
        ("none", [[], []], [[], []]),
    ],
)
def test_the_order_of_plugs_tells(kind, a_then_b, b_then_a):
    facility = one_normal(kind)
    assert effects(slinediag.ask(facility, plugs=["PB.T1", "PB.B1"])) == a_then_b
    assert effects(slinediag.ask(facility, plugs=["PB.B1", "PB.T1"])) == b_then_a


def test_pulls_come_before_cords_and_dummy_plugs_last(small_plant):
    answer = slinediag.ask(
        small_plant,
        cords=[("PB2.T10", "PB2.B6")],
        pulls=[("PB2.T10", "PB1.T4")],
        plugs=["PB1.B1"],
    )
    assert [str(step.jack) for step in answer.plugs] == ["PB2.T10", "PB2.B6", "PB1.B1"]
    assert answer.plugs[2].cord is None


def test_a_dummy_plug_can_be_pulled_and_its_jack_used_again(quillmoor):
    filed = quillmoor.plugs[0].jack
    answer = slinediag.ask(quillmoor, pulls=[str(filed)], plugs=[str(filed)])
    assert answer.inputs == ()
    pulled = slinediag.ask(quillmoor, pulls=[str(filed)])
    assert [o.change for o in pulled.inputs] == ["gained"]


def test_a_relay_passes_when_its_box_has_failed():
    facility = plant(
        """
        equipment:
          S: {name: Source, outputs: [O]}
          P: {name: Processor, inputs: [A], outputs: [B], paths: straight, bypass: straight}
          D: {name: Destination, inputs: [I]}
        lines:
          L1: {from: S.O, to: P.A}
          L2: {from: P.B, to: D.I}
        """
    )
    assert slinediag.ask(facility, failed=["P"]).harmless
    answer = slinediag.ask(facility, failed=["S"])
    assert [(str(o.input), o.change) for o in answer.inputs] == [
        ("D.I:in", "lost"),
        ("P.A:in", "lost"),
    ]


def test_a_dead_output_still_loads_the_line():
    facility = one_normal("parallel")
    answer = slinediag.ask(facility, cords=[("PB.T2", "PB.T1")], failed=["X"])
    (outcome,) = answer.inputs
    assert outcome.change == "doubled"
    assert [str(o) for o in outcome.hears_after] == ["S.O:out"]


def test_removed_equipment_is_on_no_net():
    facility = plant(
        """
        equipment:
          S: {name: Source, outputs: [O], state: removed}
          D: {name: Destination, inputs: [I]}
        bays:
          PB: {name: Bay, positions: 1, points: {1: {top: S.O, bottom: D.I}}}
        """
    )
    (outcome,) = slinediag.ask(facility, every_input=True).inputs
    assert outcome.feeds_before == ()


@pytest.mark.parametrize(
    ("trial", "said"),
    [
        ({"cords": [("PB.T1", "PB.T1")]}, "a jack holds one plug"),
        ({"cords": [("PB.T1", "PB.T2")], "plugs": ["PB.T2"]}, "holds the cord PB.T1=PB.T2"),
        ({"plugs": ["PB.T9"]}, "there is no such jack"),
        ({"plugs": ["PC.T1"]}, "there is no such jack"),
        ({"pulls": [("PB.T1", "PB.T2")]}, "there is no such cord to pull"),
        ({"pulls": ["PB.T1"]}, "nothing is plugged in here to pull"),
        ({"pulls": ["PB.T9"]}, "there is no such jack"),
        ({"failed": ["Z"]}, "there is no such equipment"),
        ({"cords": [("S.O", "Z.I")]}, "Z.I: there is no such jack"),
    ],
)
def test_what_cannot_be_done_is_refused(trial, said):
    with pytest.raises(RequestError, match=said):
        slinediag.ask(one_normal("half"), **trial)


def test_all_that_is_wrong_is_said_at_once():
    with pytest.raises(RequestError) as refused:
        slinediag.ask(one_normal("half"), cords=[("PB.T7", "PB.T8")], plugs=["PB.T9"], failed=["Q"])
    assert len(refused.value.problems) == 3


def test_a_second_plug_names_what_is_in_the_jack(quillmoor):
    filed = quillmoor.cords[0]
    with pytest.raises(RequestError, match=f"holds the standing cord {filed}"):
        slinediag.ask(quillmoor, cords=[(str(filed.source), "PB1.T1")])


def test_programs_may_pass_addresses_that_are_not_there():
    from slinediag.tracing.request import refuse_impossible
    from slinediag.tracing.values import Trial

    with pytest.raises(RequestError) as refused:
        refuse_impossible(
            one_normal("half"), Trial(plugs=(jack("PB.T9"), jack("PX.T1")), failed=("Z",))
        )
    assert [p.what for p in refused.value.problems] == [
        "there is no such jack",
        "there is no bay PX",
        "there is no such equipment",
    ]
