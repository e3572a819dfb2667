"""Levels and treble in sentences: told where they matter, and only there."""

from __future__ import annotations

import slinediag
from slinediag.tracing.line_words import dbu, line_sentences
from tests.builders import plant

STUDIO = """
equipment:
  MIC: {name: Microphone, outputs: {O: {level: -50, impedance: 150}}}
  CD: {name: Player, outputs: {L: {impedance: 600}, R: {impedance: 600, drive: driven}}}
  DESK:
    name: Desk
    inputs: {M: {level: -50, max: -30, impedance: 2000}, L: {}, R: {}}
  OLD: {name: Recorder, inputs: {A: {impedance: 600}, B: {balanced: false}}}
  NEW: {name: Recorder, inputs: {A: {}}}
bays:
  PB:
    name: Bay
    positions: 6
    points:
      1: {top: MIC.O, bottom: DESK.M}
      2: {top: {to: CD.L, cable: C1}, bottom: DESK.L}
      3: {top: CD.R, bottom: DESK.R}
      4: {bottom: OLD.A}
      5: {bottom: OLD.B}
      6: {bottom: NEW.A}
cables: {C1: {length: 100}}
"""
LIMITS = "slinediag: 1\nfacility: {name: Test plant, limits: {mismatch: 60, treble: 3}}\n"
HEAD = "slinediag: 1\nfacility: {name: Test plant}\n"


def told(*cords, head=HEAD, **trial):
    facility = plant(STUDIO, head)
    return line_sentences(slinediag.ask(facility, cords=[c.split("=") for c in cords], **trial))


def test_a_light_load_is_not_worth_a_word():
    assert told("PB.T3=PB.B6") == []


def test_a_heavy_load_takes_level_from_whoever_heard_it_before():
    # 600 ohm into 20 k, then into 20 k beside 600: from 0.26 to 6.15 dB, worked out by hand.
    assert told("PB.T2=PB.B4")[-1] == "DESK L: the level falls 5.9 dB, to −2.1 dBu."


def test_line_onto_a_microphone_input_clips():
    # 600 ohm into 2 k beside 20 k: 2.48 dB below +4 dBu.
    assert told("PB.T3=PB.B1") == [
        "DESK M: the level rises 52.2 dB, to +1.5 dBu.",
        "DESK M gets CD R at +1.5 dBu (a line onto a microphone input) and CLIPS: "
        "it takes −30.0 dBu at most. Put a pad in.",
        "DESK R: the level falls 2.2 dB, to +1.5 dBu.",
    ]


def test_a_microphone_onto_a_line_input_is_noisy():
    told_of = told("PB.T1=PB.B6")
    assert any(
        s.startswith("NEW A gets MIC O at −50.7 dBu (a microphone onto a line input), 55 dB below")
        for s in told_of
    )


def test_the_limit_of_the_file_holds():
    assert any("below" in s for s in told("PB.T1=PB.B6"))
    assert not any("below" in s for s in told("PB.T1=PB.B6", head=LIMITS))
    assert any("treble" in s for s in told("PB.T2=PB.B6"))
    assert not any("treble" in s for s in told("PB.T2=PB.B6", head=LIMITS))


def test_treble_is_told_of_the_input_that_is_new_to_the_long_line():
    # 600 ohm beside 20 k and 20 k, 10 nF of cable and 0.03 nF of cord: 28.0 kHz and 1.8 dB.
    assert told("PB.T2=PB.B6") == [
        "NEW A loses 1.8 dB of treble at 20 kHz: cables and cords of 10.0 nF, 3 dB down at 28.0 kHz."
    ]


def test_an_unbalanced_input_on_a_driven_line_is_named():
    # 6.02 dB, and 0.25 dB for two loads of 20 k in place of one.
    assert told("PB.T3=PB.B5") == [
        "OLD B is unbalanced and grounds one leg of CD R, whose level falls 6 dB on the whole line.",
        "DESK R: the level falls 6.3 dB, to −2.5 dBu.",
    ]


def test_tied_outputs_are_told_once_with_their_levels_and_their_current():
    (tied,) = told("PB.T2=PB.T3")
    # 600 against 600 beside two of 20 k; 24 dBu drive 9.9 mA: worked out by hand.
    assert tied == (
        "With CD L and CD R tied together, CD L falls 6.3 dB to −2.3 dBu and "
        "CD R falls 6.3 dB to −2.3 dBu; at full level up to 10 mA flow from one into the other."
    )


def test_of_tied_outputs_a_dead_one_has_no_level():
    (tied,) = told("PB.T1=PB.T3", failed=["MIC"])
    assert tied.startswith("With CD R and MIC O tied together, CD R falls 14.5 dB to −10.5 dBu;")
    assert "MIC O falls" not in tied


def test_what_was_so_before_is_not_told_again():
    cords = "cords: [{from: PB.T1, to: PB.B6}]"
    facility = plant(STUDIO + cords)
    answer = slinediag.ask(facility, cords=[("PB.T4", "PB.T5")], plugs=["PB.T6"])
    assert line_sentences(answer) == []


def test_levels_are_signed():
    assert [dbu(level) for level in (4, 0, -0.04, -10)] == [
        "+4.0 dBu",
        "0.0 dBu",
        "0.0 dBu",
        "−10.0 dBu",
    ]


def test_tied_outputs_of_which_none_works():
    assert told("PB.T2=PB.T3", failed=["CD"]) == [
        "CD L and CD R are tied together; none of them works."
    ]


GAIN = """
equipment:
  A: {name: Amplifier, outputs: {O: {level: 20, impedance: 600}, P: {level: 4}}}
  HOT: {name: Hot input, inputs: {I: {level: 4, max: 30}}}
  TENDER: {name: Tender input, inputs: {I: {level: 4, max: 10}, J: {}, K: {}}}
bays:
  PB:
    name: Bay
    positions: 4
    points:
      1: {top: A.O, bottom: TENDER.I}
      2: {top: A.P, bottom: HOT.I, normal: none}
      3: {bottom: TENDER.J}
      4: {bottom: TENDER.K}
"""


def told_of_gain(*cords):
    answer = slinediag.ask(plant(GAIN), cords=[cord.split("=") for cord in cords])
    return line_sentences(answer)


def test_a_line_far_above_an_input_overloads_it():
    # +20 dBu by 600 ohm into 20 k beside 20 k: 0.5 dB less; 15 dB above +4 dBu, below its +30.
    assert told_of_gain("PB.T1=PB.B2")[-1].startswith("HOT I gets A O at +19.5 dBu, 15 dB above")


def test_what_clips_already_is_not_told_again():
    # TENDER I clips at rest; the second input takes no more than 0.3 dB away.
    assert not any("TENDER I" in sentence for sentence in told_of_gain("PB.T1=PB.B3"))


def test_a_level_that_falls_out_of_its_limit_by_a_new_load_is_told():
    narrow = "slinediag: 1\nfacility: {name: Test plant, limits: {mismatch: 5}}\n"
    assert any(
        s.startswith("DESK L gets CD L at −2.1 dBu, 6 dB below")
        for s in told("PB.T2=PB.B4", head=narrow)
    )
