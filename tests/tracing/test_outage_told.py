"""What an outage tells of dummy plugs, of inputs back with something else, and of searches cut short.

Each answer follows from the facility by hand.
"""

from __future__ import annotations

import pytest

import slinediag
from slinediag.tracing.outage.answer import outage
from slinediag.tracing.outage.failure import read_failure
from slinediag.tracing.outage.survey import survey
from slinediag.tracing.outage.survey_words import survey_lines
from slinediag.tracing.outage.words import outage_lines, step_sentence
from slinediag.tracing.trial import ask
from slinediag.tracing.values import Trial
from tests.builders import plant

LISTENING = """
equipment:
  MIC: {name: Microphone, outputs: [O]}
  DESK: {name: Desk, inputs: [M], outputs: [PH]}
  AIR: {name: Tuner, outputs: [L]}
  PH: {name: Headphone amplifier, label: PHONES, priority: 1, inputs: {L: {instead: [AIR.L]}}}
bays:
  PB:
    name: Bay
    positions: 3
    points:
      1: {top: MIC.O, bottom: DESK.M, normal: half}
      2: {top: DESK.PH, bottom: PH.L, normal: reverse-half}
      3: {top: AIR.L, normal: none}
"""


def answered(sections, *failed, **options):
    facility = plant(sections)
    return outage(facility, read_failure(facility, failed, **options))


def test_where_a_normal_is_only_to_be_opened_a_dummy_plug_is_told():
    """A plug in the bottom jack only taps a reverse half-normal: the dead desk stays on the line.

    So a cord into B2 alone would tie the tuner to the dead output, and a plug in T2 must open the
    normal. First by the order of jacks is the cord T1 to T2, which hangs the microphone there.
    """
    found = answered(LISTENING, "DESK")
    best = found.silenced[0].patches[0]
    assert [tuple(map(str, cord)) for cord in best.cords] == [
        ("PB.T1", "PB.T2"),
        ("PB.T3", "PB.B2"),
    ]
    spare, wanted = best.cords
    assert {
        tuple(map(str, cord)): list(map(str, jacks)) for cord, jacks in best.dummies.items()
    } == {("PB.T1", "PB.T2"): ["PB.T2"]}
    # The facility as asked, with the dummy plug in place of that cord, says the same.
    trial = Trial(cords=(wanted,), plugs=best.dummies[spare], failed=("DESK",))
    outcomes = ask(found.facility, trial, every_input=True).inputs
    (phones,) = (o for o in outcomes if o.input == found.silenced[0].input)
    assert phones.hears_after == phones.feeds_after == best.hears
    # The keys name cords, as ever; a caution says what does as well.
    told = found.to_dict()["together"]
    assert told["cords"] == ["PB.T1=PB.T2", "PB.T3=PB.B2"]
    assert (
        "PB.T1=PB.T2: a dummy plug in PB.T2 does as well as this cord, with nothing hung on a line"
        in told["cautions"]
    )


def test_the_words_hang_no_cord_for_the_sake_of_its_plug():
    found = answered(LISTENING, "DESK")
    found_others = found.silenced[0].patches[1:]
    lines = outage_lines(found)
    do = lines[lines.index("DO THIS:") + 1 :]
    assert do[0].startswith("  1. Put a dummy plug into PB T2 (DESK PH): breaks the reverse half-n")
    assert do[1].startswith("  2. Plug in PB T3 (AIR L).")
    assert do[2].startswith(
        "  3. The cord's other plug in PB B2 (PHONES L): PHONES L BACK, BUT WITH"
    )
    assert (
        do[3]
        == "  No dummy plug at hand: one plug of a cord does it, its other kept off all metal."
    )
    text = "\n".join(lines)
    assert "Pull the dummy plug from PB T2" in text
    # No word of the microphone's jack, and the many cords that end in T2 are one way for the hand.
    assert "MIC" not in text
    assert "PB T1" not in text
    # Such a cord from whatever jack is the same for the hand, and what is done is no other way.
    assert "OTHER WAYS, the best first:" not in text
    assert any(len(patch.dummies) == 1 for patch in found_others)


def test_a_cord_that_carries_audio_is_no_dummy_plug():
    sections = LISTENING.replace("reverse-half", "half")
    found = answered(sections, "DESK")
    (best, *others) = found.silenced[0].patches
    assert [tuple(map(str, cord)) for cord in best.cords] == [("PB.T3", "PB.B2")]
    assert not any(patch.dummies for patch in (best, *others))
    text = "\n".join(outage_lines(found))
    assert "PB T3 (AIR L)" in text
    assert "dummy" not in text


PROGRAMMES = """
equipment:
  MIC: {name: Microphone, outputs: [O]}
  DSC: {name: Player, outputs: [O]}
  CRT: {name: Cartridge player, outputs: [O]}
  DESK:
    name: Desk
    inputs: [1, 2, 3]
    outputs: {P1: {label: PGM 1}, P2: {label: PGM 2}}
    paths: all
  DA: {name: Distribution amplifier, inputs: [I], outputs: [O], paths: straight}
  LOG: {name: Logger, label: LOGGER, priority: 1, inputs: [1]}
bays:
  PB:
    name: Bay
    positions: 6
    points:
      1: {top: MIC.O, bottom: DESK.1}
      2: {top: DSC.O, bottom: DESK.2}
      3: {top: CRT.O, bottom: DESK.3}
      4: {top: DA.O, bottom: LOG.1, normal: half}
      5: {top: DESK.P2, normal: none}
      6: {top: DESK.P1, bottom: DA.I, normal: full}
"""


def patches_of(sections):
    """The patches of the logger where the distribution amplifier fails, by their first jack."""
    silenced = answered(sections, "DA").silenced
    return {str(p.cords[0][0]): p for s in silenced for p in s.patches if s.priority == 1}


def test_another_mix_of_the_same_sources_stands_behind_the_own():
    """Programme 2 is mixed from what programme 1 is, so with it the logger hears the same origins.

    Full by the rule, and first by the order of jacks; but not what the logger is there for.
    """
    patches = patches_of(PROGRAMMES)
    assert list(patches)[:2] == ["PB.T6", "PB.T5"]
    own, other = patches["PB.T6"], patches["PB.T5"]
    assert (other.full, other.heard.manner, own.full, own.heard.manner) == (
        True, "instead", True, "all",
    )  # fmt: skip
    assert any("another mix" in caution for caution in other.cautions)
    assert not any("mix" in caution for caution in own.cautions)
    text = "\n".join(outage_lines(answered(PROGRAMMES, "DA")))
    assert "PB T5 to PB B4 (DESK PGM 2 instead)" in text


def test_another_mix_of_the_same_sources_is_told_as_one():
    """Programme 1 is on no jack, so that there is programme 2 only."""
    sections = PROGRAMMES.replace("      6: {top: DESK.P1, bottom: DA.I, normal: full}\n", "")
    sections += "lines: {L: {from: DESK.P1, to: DA.I}}"
    found = answered(sections, "DA")
    other = patches_of(sections)["PB.T5"]
    assert (other.full, other.heard.manner) == (True, "instead")
    assert [str(port) for port in other.heard.now] == ["DESK.P2:out"]
    mixes = "LOGGER 1 fed with DESK PGM 2, not with DESK PGM 1"
    assert f"another mix: {mixes}" in other.cautions
    lines = outage_lines(found)
    text = "\n".join(lines)
    assert "LOGGER 1 BACK, BUT WITH DESK PGM 2; breaks the half-normal" in text
    assert "Back, but with something else: LOGGER 1; see WHAT IT COSTS." in lines
    assert not any(line.startswith("Then these are back") for line in lines)
    assert f"  Another mix: {mixes}." in lines


def test_an_amplifier_gone_round_is_no_other_mix():
    """The desk's programme 1 is what the logger had; the second side of a stereo pair no mix."""
    sections = PROGRAMMES.replace("inputs: [I], outputs: [O], paths: straight", STEREO)
    patches = patches_of(sections.replace("DA.I", "DA.L").replace("DA.O", "DA.1"))
    assert patches["PB.T6"].heard.manner == "all"


STEREO = "inputs: [L, R], outputs: [1, 2], paths: all"

CHANGEOVER = """
equipment:
  PLY: {name: Player, label: DISC, outputs: [L]}
  EMG: {name: Emergency player, label: EMERG, outputs: [L]}
  SW: {name: Changeover, inputs: [A, B], outputs: [O], paths: {O: [A]}, bypass: {O: [B]}}
  XMIT: {name: Transmitter, label: LINK, priority: 1, inputs: {L: {instead: [EMG.L]}}}
bays:
  PB:
    name: Bay
    positions: 3
    points:
      1: {top: PLY.L, bottom: SW.A}
      2: {top: EMG.L, bottom: SW.B}
      3: {top: SW.O, bottom: XMIT.L}
"""


def test_an_input_that_falls_back_to_another_source_is_told_with_it():
    """Without supply the changeover joins its second input to its output."""
    found = answered(CHANGEOVER, "SW")
    assert found.to_dict()["silenced"] == []
    assert found.to_dict()["weakened"] == [
        {"input": "XMIT.L", "lost": ["PLY.L"], "gained": ["EMG.L"]}
    ]
    assert outage_lines(found) == [
        "Nothing falls silent when SW fails.",
        "HEARS SOMETHING ELSE:",
        "  LINK L: EMERG L instead of DISC L.",
    ]


def test_an_input_that_only_standby_is_left_to_is_silent_but_for_that():
    sections = CHANGEOVER.replace("EMERG, outputs: [L]", "EMERG, outputs: {L: {standby: true}}")
    found = answered(sections, "SW")
    (silenced,) = found.to_dict()["silenced"]
    assert (silenced["input"], silenced["hears_after"]) == ("XMIT.L", ["EMG.L"])
    lines = outage_lines(found)
    assert lines[:3] == [
        "SILENT when SW fails:",
        "  priority 1: LINK L",
        "  LINK L: EMERG L heard there instead, on standby.",
    ]


def test_an_input_that_a_bypass_makes_hear_more_is_told():
    found = answered(CHANGEOVER.replace("bypass: {O: [B]}", "bypass: {O: [A, B]}"), "SW")
    assert outage_lines(found) == [
        "Nothing falls silent when SW fails.",
        "HEARS MORE THAN BEFORE:",
        "  LINK L: EMERG L.",
    ]
    assert found.to_dict()["gaining"] == [{"input": "XMIT.L", "gained": ["EMG.L"]}]


def test_the_key_of_those_that_hear_more_is_there_only_where_some_do():
    assert "gaining" not in answered(CHANGEOVER, "SW").to_dict()
    assert "gaining" not in answered(LISTENING, "DESK").to_dict()


def test_all_boxes_in_turn_tell_who_hears_something_else():
    lines = survey_lines(survey(plant(CHANGEOVER)))
    assert lines[-1] == "When SW fails: HEARS SOMETHING ELSE: LINK L: EMERG L instead of DISC L."


@pytest.mark.parametrize("failed", ["PLY", "SW"])
def test_where_to_see_is_said_only_where_it_stands(failed):
    sections = CHANGEOVER.replace("bottom: XMIT.L", "bottom: XMIT.L, normal: half")
    lines = outage_lines(answered(sections.replace("bypass: {O: [B]}", "caution: x"), failed))
    assert any(line.endswith("see WHAT IT COSTS.") for line in lines) == (failed == "PLY")
    assert ("WHAT IT COSTS:" in lines) == (failed == "PLY")
    assert "MIND FIRST:" in lines


def test_a_stand_in_is_not_called_back():
    sections = CHANGEOVER.replace(
        "3: {top: SW.O, bottom: XMIT.L}", "3: {top: SW.O, bottom: XMIT.L, normal: half}"
    )
    lines = outage_lines(answered(sections, "PLY"))
    assert any("LINK L BACK, BUT WITH EMERG L" in line for line in lines)
    assert "Back, but with something else: LINK L; see WHAT IT COSTS." in lines
    assert "  LINK L: only EMERG L heard there, instead of DISC L." in lines


def test_part_of_what_was_heard_is_not_called_back():
    sections = PROGRAMMES.replace("5: {top: DESK.P2, normal: none}", "5: {normal: none}")
    lines = outage_lines(answered(sections, "DESK"))
    assert any("LOGGER 1 BACK IN PART" in line for line in lines)
    assert any(line.startswith("Back in part: LOGGER 1") for line in lines)


@pytest.mark.parametrize("cut_short", [False, True])
def test_a_search_that_is_cut_short_claims_no_more_than_it_tried(cut_short, monkeypatch):
    """No plug opens a parallel normal, so the dead desk stays on the line whatever is tried."""
    sections = LISTENING
    if cut_short:
        monkeypatch.setattr("slinediag.tracing.outage.search.WORK", 1)
    else:
        sections = sections.replace("reverse-half", "parallel")
    facility = plant(sections)
    found = outage(facility, read_failure(facility, ["DESK"]))
    (silenced,) = found.to_dict()["silenced"]
    rows = survey(facility).to_dict()["failures"]
    (row,) = (row for row in rows if row["failed"] == ["DESK"])
    reason = (
        "no 2 moves found that restore it, but not all were tried"
        if cut_short
        else "no 2 moves restore it"
    )
    assert silenced["reason"] == row["silenced"][0]["reason"] == reason
    words = (
        "none found, but not every pair of cords was tried"
        if cut_short
        else "a silent output is wired there too, and no plug takes it off"
    )
    assert any(f"PHONES L: {words}" in line for line in outage_lines(found))


APART = """
equipment:
  DESK: {name: Desk, inputs: [M], outputs: [PH]}
  MIC: {name: Microphone, outputs: [O]}
  AIR: {name: Tuner, outputs: [L]}
  PH: {name: Headphone amplifier, label: PHONES, priority: 1, inputs: {L: {instead: [AIR.L]}}}
bays:
  PB: {name: Bay, place: Studio, positions: 1, points: {1: {top: DESK.PH, bottom: PH.L}}}
  PC: {name: Racks, place: Racks, positions: 2, points: {1: {top: AIR.L}, 2: {top: MIC.O, bottom: DESK.M}}}
"""


@pytest.mark.parametrize("moves", [2, 3, 4])
def test_three_and_four_moves_claim_no_more_than_they_tried(moves):
    """No cord reaches from room to room; beyond two moves not every set of cords is gone through."""
    facility = plant(APART)
    found = outage(facility, read_failure(facility, ["DESK"]), moves=moves)
    certain = moves == 2
    assert found.silenced[0].reason == (
        "no 2 moves restore it"
        if certain
        else f"no {moves} moves found that restore it, but not all were tried"
    )
    words = (
        "no 2 cords, put in or pulled, bring it back."
        if certain
        else f"none found, but not every set of {moves} cords was tried."
    )
    assert any(f"PHONES L: {words}" in line for line in outage_lines(found))


def test_a_dead_output_that_no_plug_parts_is_certain_at_any_number_of_moves():
    facility = plant(LISTENING.replace("reverse-half", "parallel"))
    found = outage(facility, read_failure(facility, ["DESK"]), moves=3)
    assert found.silenced[0].reason == "no 3 moves restore it"


OUTBOARD = """
equipment:
  VOX: {name: Microphone, outputs: {O: {level: -50}}}
  DESK: {name: Desk, inputs: [1], outputs: [1], paths: straight}
  TRK: {name: Recorder, label: TRACKS, priority: 1, inputs: [1]}
  CMP: {name: Compressor, label: COMP, inputs: [1], outputs: [1], paths: straight}
bays:
  PB:
    name: Bay
    positions: 3
    points:
      1: {top: VOX.O, bottom: DESK.1, normal: half}
      2: {top: DESK.1, bottom: TRK.1, normal: half}
      3: {top: CMP.1, bottom: CMP.1, normal: none}
"""


def test_a_microphone_in_an_input_made_for_line_level_is_told():
    """Through the compressor the recorder gets +4 dBu as before, but only on the paper.

    The microphone gives -50 dBu, 54 dB below what the compressor's input is made for; less the
    loss of 60 ohms into two inputs of 10 kilohms, 20 log(5060 / 5000) = 0.1 dB.
    """
    found = answered(OUTBOARD, "DESK")
    (silenced,) = found.silenced
    best = silenced.patches[0]
    assert (best.fits, best.full) == (True, True)
    assert [[str(jack) for jack in cord] for cord in best.cords] == [
        ["PB.T1", "PB.B3"],
        ["PB.T3", "PB.B2"],
    ]
    caution = (
        "level -54.1 dB at COMP 1 in against what that is made for: set it there, or put a "
        "preamplifier between"
    )
    assert caution in best.cautions
    assert f"  L{caution[1:]}." in outage_lines(found)
    suited = answered(
        OUTBOARD.replace("inputs: [1], outputs: [1], paths: straight}\nb", SUITED), "DESK"
    )
    assert suited.silenced[0].patches[0].cords == best.cords
    assert not any("made for" in line for line in outage_lines(suited))


SUITED = """inputs: {1: {level: -50}}, outputs: [1], paths: straight}
b"""


SUFFERING = """
equipment:
  P: {name: Programme, outputs: [O]}
  E: {name: Emergency player, label: EMERG, outputs: [L]}
  X: {name: Transmitter, label: LINK, priority: 1, inputs: {L: {instead: [E.L]}}}
  M: {name: Monitor, label: SPEAKER, inputs: [L]}
bays:
  PB:
    name: Bay
    positions: 2
    points: {1: {top: P.O, bottom: X.L}, 2: {top: E.L, bottom: M.L, normal: full}}
"""


def test_what_an_input_suffers_is_said():
    """The stand-in is on one jack alone, and a plug there opens the full-normal to the speaker."""
    found = answered(SUFFERING, "P")
    assert found.to_dict()["together"]["harmed"] == ["M.L"]
    assert "  SPEAKER L: SUFFERS, silent." in outage_lines(found)


ONE_JACK = """
equipment:
  P: {name: Player, outputs: [O]}
  DA: {name: Amplifier, inputs: [I], outputs: [1, 2], paths: all}
  X: {name: Transmitter, label: LINK, priority: 1, inputs: [L]}
  M: {name: Monitor, label: SPEAKER, inputs: [L]}
bays:
  PB:
    name: Bay
    positions: 3
    points:
      1: {top: P.O, bottom: DA.I, normal: full}
      2: {top: DA.1, bottom: X.L, normal: full}
      3: {top: DA.2, bottom: M.L, normal: full}
"""
"""One jack with the player's programme, and two inputs that want it."""


def test_who_stays_silent_for_want_of_a_jack_is_said():
    """The player is on one jack; the cord there goes to the input of the higher priority."""
    found = answered(ONE_JACK, "DA")
    assert [s.patches != () for s in found.silenced] == [True, True]
    assert found.to_dict()["together"]["restores"] == ["X.L"]
    lines = outage_lines(found)
    assert "Then these are back: LINK L." in lines
    (told,) = (line for line in lines if line.startswith("STILL SILENT"))
    assert "SPEAKER L." in told
    assert "LINK" not in told
    assert any(line.startswith("  SPEAKER L: PB T1 to PB B3") for line in lines)


SPARE = """
equipment:
  PLY: {name: Player, label: DISC, outputs: [L]}
  TONE: {name: Oscillator, label: TONE, outputs: [O]}
  DESK: {name: Desk, inputs: [M], outputs: [PH]}
  AIR: {name: Tuner, outputs: [L]}
  PH: {name: Headphone amplifier, label: PHONES, priority: 1, inputs: {L: {instead: [AIR.L]}}}
  SPK: {name: Loudspeaker, label: SPEAKER, inputs: [L]}
bays:
  PB:
    name: Bay
    positions: 4
    points:
      1: {top: PLY.L, bottom: DESK.M, normal: half}
      2: {top: DESK.PH, bottom: PH.L, normal: reverse-half}
      3: {top: AIR.L, normal: none}
      4: {top: TONE.O, bottom: SPK.L, normal: half}
"""


def test_every_step_is_what_happens_with_the_dummy_plug_in_place_of_the_cord():
    """Each step's plugs are put in through ``ask``, dummy plugs as such, and pulled when mended."""
    found = answered(SPARE, "DESK")
    best = found.silenced[0].patches[0]
    assert best.dummies
    for steps in (best.by_hand, found.together.by_hand.steps):
        silent, half, cords, plugs = {found.silenced[0].input}, {}, [], []
        for step in steps:
            if step.dummy:
                plugs.append(step.jack)
            elif step.second:
                cords.append((half.pop(step.cord), step.jack))
            else:
                half[step.cord] = step.jack
            trial = Trial(cords=tuple(cords), plugs=(*plugs, *half.values()), failed=("DESK",))
            now = {
                o.input
                for o in ask(found.facility, trial, every_input=True).inputs
                if not o.hears_after
            }
            assert {*step.restores} == silent - now
            assert {*step.interrupts} == {p for p in now - silent if p.equipment != "DESK"}
            silent = {*now}
        assert not half
    # The cord that only breaks moves two plugs where a program asks, and one where a person does.
    assert len(best.steps) == 4
    assert len(best.by_hand) == 3
    assert [step.dummy for step in found.together.back_by_hand].count(True) == 1
    assert all("dummy" not in step for step in found.to_dict()["together"]["steps"])


def test_of_two_cords_that_hang_the_step_says_which():
    """The tuner's cord ties two outputs until the other's plug has broken the normal behind it."""
    facility = slinediag.load("samples/quillmoor.yaml")
    best = outage(facility, read_failure(facility, ["FX"])).silenced[0].patches[0]
    do = [step_sentence(facility, step) for step in best.by_hand]
    assert do[2].startswith("The other plug of the cord from PB4 T15 in PB4 B28 ")
    # With that one in, one cord alone hangs.
    assert do[3].startswith("The cord's other plug in PB4 B13 ")


def test_the_first_patches_are_told_with_what_they_cost_alone():
    """The link's cord opens nothing; the recorder's takes the tuner from the speaker."""
    found = answered(
        """
        equipment:
          P: {name: Programme, outputs: [1, 2]}
          D: {name: Player, label: DISC, outputs: [L]}
          E: {name: Tuner, label: TUNER, outputs: [L]}
          X: {name: Link, label: LINK, priority: 1, inputs: {L: {instead: [D.L]}}}
          R: {name: Recorder, label: TAPE, priority: 2, inputs: {L: {instead: [E.L]}}}
          M: {name: Monitor, label: SPEAKER, inputs: [L]}
        bays:
          PB:
            name: Bay
            positions: 4
            points:
              1: {top: P.1, bottom: X.L}
              2: {top: P.2, bottom: R.L}
              3: {top: D.L, normal: none}
              4: {top: E.L, bottom: M.L, normal: full}
        """,
        "P",
    )
    nothing, one, both = found.together.stages
    assert not nothing.steps
    assert [str(port) for port in one.restores] == ["X.L:in"]
    assert one.sufferers == ()
    assert [str(s.input) for s in both.sufferers] == ["M.L:in"]
    assert both == found.together.by_hand == found.together.first(2)
    assert found.together.first(1) == one


PHANTOM = """
equipment:
  MIC: {name: Microphone, outputs: {O: {phantom: takes, level: -50}}}
  P: {name: Preamplifier, inputs: {I: {level: -50}}, outputs: [O], paths: straight}
  DESK: {name: Desk, inputs: {M: {phantom: gives}}}
bays:
  A:
    name: Bay
    positions: 3
    points:
      1: {top: MIC.O, bottom: P.I}
      2: {top: P.O, bottom: DESK.M}
"""


def test_a_dummy_plug_in_place_of_a_cord_keeps_phantom_off_as_the_cord_did():
    """The cord round the dead preamplifier leaves its input on the microphone's normal, which only
    a plug in A B1 opens; by ask, without it the desk's phantom comes onto that input."""
    facility = plant(PHANTOM)
    found = outage(facility, read_failure(facility, ["P"]))
    plugged = 0
    for stage in found.together.stages:
        plugs = [jack for jacks in stage.dummies.values() for jack in jacks]
        cords = [cord for cord in stage.cords if cord not in stage.dummies]
        plugged += len(plugs)
        if cords:
            trial = Trial(cords=tuple(cords), plugs=tuple(plugs), failed=("P",))
            answer = ask(facility, trial)
            assert not [reach.port for reach in answer.phantom if reach.new], (cords, plugs)
    assert plugged
