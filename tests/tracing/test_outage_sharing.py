"""Jacks that several silent inputs want, shared by mults; inputs that need nothing; harm to equals."""

from __future__ import annotations

import functools

import slinediag
from slinediag.model.facility import Facility
from slinediag.tracing.outage.answer import outage
from slinediag.tracing.outage.failure import Failure, read_failure
from slinediag.tracing.outage.words import outage_lines
from slinediag.tracing.reach import Reach
from slinediag.tracing.trial import ask
from slinediag.tracing.values import Trial
from tests.builders import plant
from tests.tracing.test_outage_told import SUFFERING


@functools.cache
def quillmoor() -> Facility:
    return slinediag.load("samples/quillmoor.yaml")


@functools.cache
def answered(box):
    return outage(quillmoor(), Failure(boxes=(box,)))


def outcomes(facility, found, box):
    """What ``ask`` says of every input with all patches in."""
    together = found.together
    trial = Trial(cords=together.cords, pulled_cords=together.pulls, failed=(box,))
    answer = ask(facility, trial, every_input=True)
    assert not any(cord.feedback for cord in answer.cords)
    return {str(o.input).removesuffix(":in"): o for o in answer.inputs}


SHARED = """
equipment:
  P: {name: Player, outputs: [O]}
  DA: {name: Amplifier, inputs: [I], outputs: [1, 2, 3], paths: all}
  X: {name: Transmitter, label: LINK, priority: 1, inputs: [L]}
  M: {name: Monitor, label: SPEAKER, inputs: [L]}
  N: {name: Meter, label: METER, inputs: [L]}
bays:
  PB:
    name: Bay
    positions: 7
    points:
      1: {top: P.O, bottom: DA.I}
      2: {top: DA.1, bottom: X.L}
      3: {top: DA.2, bottom: M.L}
      4: {top: DA.3, bottom: N.L}
      6-7: {normal: none}
"""
"""One jack with the player's programme, and three inputs that want it."""

MULT = """
mults: {M1: [PB.T6, PB.B6, PB.T7, PB.B7]}
"""


def test_a_mult_makes_more_of_the_one_jack_that_all_want():
    facility = plant(SHARED + MULT)
    found = outage(facility, Failure(boxes=("DA",)))
    told = found.to_dict()["together"]
    assert told["restores"] == ["X.L", "M.L", "N.L"]
    assert len(told["cords"]) == 4
    assert told["pulls"] == []
    for name, outcome in outcomes(facility, found, "DA").items():
        if name != "DA.I":
            assert [*map(str, outcome.hears_after)] == ["P.O:out"]
            assert len(outcome.feeds_after) == 1
    first, *others = (step for step in found.together.steps if not step.second)
    assert str(first.jack) == "PB.T1"
    assert all(facility.mults["M1"].jacks.count(step.jack) for step in others)


def test_without_a_mult_or_with_one_move_the_first_alone_is_back():
    assert outage(plant(SHARED), Failure(boxes=("DA",))).to_dict()["together"]["restores"] == [
        "X.L"
    ]
    one = outage(plant(SHARED + MULT), Failure(boxes=("DA",)), moves=1)
    assert one.to_dict()["together"]["restores"] == ["X.L"]


def test_a_mult_that_carries_something_is_left_alone():
    busy = SHARED.replace("  6-7: {normal: none}", "  6: {top: B.O, normal: none}")
    busy = busy.replace("  P: {", "  B: {name: Other player, outputs: [O]}\n  P: {") + MULT
    told = outage(plant(busy), Failure(boxes=("DA",))).to_dict()["together"]
    assert told["restores"] == ["X.L"]


def test_where_each_has_a_jack_of_its_own_no_mult_is_used():
    spare = "equipment:\n  Q: {name: Splitter, inputs: [I], outputs: [1, 2], paths: all}\n"
    ways = "      5: {top: P.O, bottom: Q.I}\n      1: {top: Q.1, bottom: DA.I}\n"
    sections = SHARED.replace("equipment:\n", spare, 1)
    sections = sections.replace("      1: {top: P.O, bottom: DA.I}\n", ways)
    sections = sections.replace("  6-7: {normal: none}", "  6-7: {normal: none}\n").replace(
        "      4: {top: DA.3, bottom: N.L}", "      4: {top: Q.2, bottom: N.L}"
    )
    told = outage(plant(sections + MULT), Failure(boxes=("DA",))).to_dict()["together"]
    assert told["restores"] == ["X.L", "M.L"]
    assert len(told["cords"]) == 2


def test_a_dead_amplifier_that_feeds_a_mult_has_it_fed_anew_by_one_cord():
    """The press box and the loop hang on mult 1, the programme of all else stands at two jacks."""
    found = answered("DA1")
    before = outcomes(quillmoor(), found, "DA1")
    left = ["XMIT.L", "STM.L", "PRS.I", "HLP.I", "PDESK.XAL", "REC.L", "LIM.L", "MTR.L"]
    for name in left:
        assert before[name].hears_after == before[name].hears_before, name
        assert len(before[name].feeds_after) == 1
    (step,) = (s for s in found.together.steps if "HLP.I" in map(quillmoor().spelled, s.restores))
    assert {*map(quillmoor().spelled, step.restores)} == {"HLP.I", "PRS.I"}
    assert [[*map(str, cord)] for cord in found.together.pulls] == [["PB2.T27", "PB2.T45"]]


def test_the_input_of_the_highest_priority_keeps_its_single_cord():
    first, second, *_ = answered("DA1").together.steps
    assert [str(s.jack) for s in (first, second)] == ["PB2.T11", "PB2.B13"]


def test_every_cord_of_all_patches_reaches():
    reach = Reach(quillmoor())
    for box in ("DA1", "DA2", "DESK", "PDESK"):
        assert all(reach.reaches(*cord) for cord in answered(box).together.cords)


def test_an_input_that_leads_only_to_what_has_failed_needs_nothing():
    """The voice processor and the compressor stand in inserts of the desk."""
    found = answered("DESK")
    told = found.to_dict()
    nowhere = {"VP.1:in", "VP.2:in", "CMP.1:in"}
    assert {s["input"] for s in told["silenced"] if not s.get("missed", True)} == nowhere
    assert not nowhere & {*told["together"]["restores"]}
    assert not any("PB1.T1" in cord.split("=") for cord in told["together"]["cords"])
    lines = outage_lines(found)
    assert not any("phantom" in line for line in lines)
    assert (
        "  Nothing to plug for COMP 1 in, VOICE PROC 1 in and VOICE PROC 2 in: they lead only to "
        "what has failed."
    ) in lines
    assert [line for line in lines if "COMP 1" in line] == [
        line for line in lines if line.startswith("  Nothing to plug")
    ]


def test_an_input_is_missed_where_its_audio_ends_is_kept_or_may_be_taken_on():
    """A recorder records also where its output leads to the dead desk."""
    sections = """
    equipment:
      D: {{name: Desk, inputs: [R], outputs: [S]}}
      U: {{name: Unit, inputs: [I], outputs: {{O: {{{origin}}}}}, paths: straight{priority}}}
      E: {{name: Player, outputs: [O]}}
    bays:
      PB:
        name: Bay
        positions: 3
        points:
          1: {{top: D.S, bottom: U.I}}
          2: {{top: U.O, {bottom}}}
          3: {{top: E.O, normal: none}}
    """
    for origin, priority, bottom, missed in (
        ("", "", "bottom: D.R", False),
        ("origin: true", "", "bottom: D.R", True),
        ("", ", priority: 3", "bottom: D.R", True),
        ("", "", "normal: none", True),
    ):
        text = sections.format(origin=origin, priority=priority, bottom=bottom)
        facility = plant(text)
        (silenced,) = outage(facility, read_failure(facility, ["D"])).silenced
        assert silenced.missed == missed, (origin, priority, bottom)


def test_an_equal_is_not_harmed_where_a_part_comes_back_without():
    """The full patch of one channel takes the tuner from the production loudspeaker."""
    found = answered("FX")
    assert found.silenced[0].patches[0].harmed
    assert found.to_dict()["together"]["harmed"] == []
    assert len(found.together.restores) == 2


def test_no_equal_is_silenced_for_another():
    """The stand-in is on the speaker's jack alone: for a link of priority 1 it is taken, for an
    equal it is not, and that is said."""
    assert outage(plant(SUFFERING), Failure(boxes=("P",))).to_dict()["together"]["harmed"]
    facility = plant(SUFFERING.replace("priority: 1, ", ""))
    found = outage(facility, Failure(boxes=("P",)))
    assert found.silenced[0].patches[0].harmed
    assert found.to_dict()["together"]["cords"] == []
    assert any(
        line.startswith("STILL SILENT beside the others: LINK L") for line in outage_lines(found)
    )


def test_a_dead_bay_too_is_what_an_input_may_lead_to_alone():
    """The compressor's way on lies in the bay: no microphone is taken from its channel for it."""
    found = outage(quillmoor(), read_failure(quillmoor(), failed_bays=["PB2"])).to_dict()
    nowhere = {s["input"] for s in found["silenced"] if not s.get("missed", True)}
    assert {"CMP.1:in", "LIM.L:in", "VP.1:in"} <= nowhere
    assert not {"REC.L:in", "CSP.I", "HLP.I"} & nowhere
    assert found["together"]["harmed"] == []
    assert not any("phantom" in caution for caution in found["together"]["cautions"])


def test_an_input_gets_its_own_mix_where_only_the_length_of_the_cord_speaks_against():
    """Audition stands at a nearer jack than programme; the press box is to have programme."""
    found = outage(quillmoor(), read_failure(quillmoor(), cut=["R4"]))
    (press,) = (s for s in found.silenced if quillmoor().spelled(s.input) == "PRS.I")
    assert [patch.heard.mix for patch in press.patches[:2]] == [False, False]
    assert any(patch.heard.mix for patch in press.patches)
    (told,) = (o for o in found.together.outcomes if o.input == press.input)
    assert not told.heard.mix
