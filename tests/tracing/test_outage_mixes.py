"""Patches that keep the mix which an input had come before those that bring it another.

Two programmes of one desk are made of the same sources, so whoever hears the one hears the same
origins with the other. The order follows from the facilities by hand; they are invented.
"""

from __future__ import annotations

import pytest

import slinediag
from slinediag.tracing.outage.answer import outage
from slinediag.tracing.outage.failure import read_failure
from tests.builders import plant

HEAD = """slinediag: 1
facility: {name: Two programmes, cord_lengths: [0.3, 0.6, 0.9, 1.2, 1.5]}
racks:
  K1: {room: Hall, units: 40}
"""

TWO = """
equipment:
  MIC: {name: Microphone, outputs: [O]}
  DSC: {name: Player, outputs: [O]}
  CRT: {name: Cartridge player, outputs: [O]}
  DESK:
    name: Desk
    inputs: [1, 2, 3]
    outputs: {P1: {}, P2: {}}
    paths: all
  DA: {name: Distribution amplifier, inputs: [I], outputs: [O], paths: straight}
  XMIT: {name: Transmitter, priority: 1, inputs: [I]}
bays:
  NEAR:
    name: Near
    place: K1
    unit: 20
    positions: 5
    points:
      1: {top: MIC.O, bottom: DESK.1}
      2: {top: DSC.O, bottom: DESK.2}
      3: {top: CRT.O, bottom: DESK.3}
      4: {top: DESK.P2, normal: none}
      5: {top: DA.O, bottom: XMIT.I, normal: full}
  FAR:
    name: Far
    place: K1
    unit: 4
    positions: 1
    points:
      1: {top: DESK.P1, bottom: DA.I}
"""


def patches(sections, failed="DA", head=HEAD):
    """The cords of the patches of the first silent input, with these."""
    found = outage(plant(sections, head), read_failure(plant(sections, head), [failed]))
    return {tuple(" ".join(map(str, c)) for c in p.cords): p for p in found.silenced[0].patches}


def test_a_longer_cord_with_the_own_mix_comes_before_a_shorter_with_another():
    found = patches(TWO)
    (own, other) = list(found)[:2]
    assert (own, other) == (("FAR.T1 NEAR.B5",), ("NEAR.T4 NEAR.B5",))
    assert found[own].length > found[other].length
    assert found[own].full
    assert found[other].full
    assert not any("mix" in caution for caution in found[own].cautions)
    assert "another mix: XMIT I fed with DESK P2, not with DESK P1" in found[other].cautions


def test_a_level_that_changes_less_does_not_beat_the_own_mix():
    """P1 of 600 ohms into two inputs of 20 kilohms: 20 log(10600 / 10000) = 0.5 dB down."""
    found = patches(TWO.replace("P1: {}", "P1: {impedance: 600}"))
    (own, other) = list(found)[:2]
    assert (own, other) == (("FAR.T1 NEAR.B5",), ("NEAR.T4 NEAR.B5",))
    assert found[own].level_change == pytest.approx(-0.5, abs=0.05)
    assert found[other].level_change == pytest.approx(0, abs=0.05)


def test_a_track_comes_back_by_its_own_bus():
    """A part of what was heard comes from the bus that fed the dead recorder's track, too."""
    found = slinediag.outage(slinediag.load("samples/larkfen.yaml"), ["REC"])
    best = {str(each.input): each.patches[0].cords for each in found.silenced}
    for track in range(1, 5):
        (cord,) = best[f"CON.T{track}:in"]
        assert str(cord[0]) == f"LB.T{track}"


def test_another_mix_on_the_way_stands_behind_the_own_and_is_told():
    """A selector of three inputs is what the transmitter is next to, whatever comes into it."""
    selector = "SEL: {name: Selector, inputs: [1, 2, 3], outputs: [O], paths: all}"
    text = TWO.replace("  XMIT:", f"  {selector}\n  XMIT:").replace(
        "bottom: XMIT.I", "bottom: SEL.1"
    )
    found = patches(text + "lines: {L: {from: SEL.O, to: XMIT.I}}")
    assert list(found)[:2] == [("FAR.T1 NEAR.B5",), ("NEAR.T4 NEAR.B5",)]
    (own, other) = list(found.values())[:2]
    assert not any("mix" in caution for caution in own.cautions)
    assert "another mix: SEL 1 fed with DESK P2, not with DESK P1" in other.cautions


def test_more_of_what_was_heard_comes_before_the_own_mix():
    """P1 is on the far bay no more; a microphone by itself is no mix, and hears less."""
    found = patches(TWO.replace("points:\n      1: {top: DESK.P1, bottom: DA.I}", "points: {}")
                    + "lines: {L: {from: DESK.P1, to: DA.I}}")  # fmt: skip
    assert next(iter(found)) == ("NEAR.T4 NEAR.B5",)


METERED = """
equipment:
  MIC: {name: Microphone, outputs: [O]}
  DSC: {name: Player, outputs: [O]}
  CRT: {name: Cartridge player, outputs: [O]}
  NET: {name: Receiver, outputs: [O]}
  DESK: {name: Desk, inputs: [1, 2, 3], outputs: [P1, P2], paths: all}
  DA: {name: Amplifier, inputs: [I], outputs: [1, 2], paths: all}
  MET: {name: Meter, inputs: [I]}
  SEL: {name: Selector, inputs: [1, 2], outputs: [O], paths: all}
  XMIT: {name: Transmitter, priority: 1, inputs: [I]}
bays:
  PB:
    name: Bay
    positions: 7
    points:
      1: {top: MIC.O, bottom: DESK.1}
      2: {top: DSC.O, bottom: DESK.2}
      3: {top: CRT.O, bottom: DESK.3}
      4: {top: DESK.P2, normal: none}
      5: {top: DESK.P1, bottom: DA.I, normal: full}
      6: {top: DA.1, bottom: MET.I}
      7: {top: DA.2, bottom: SEL.1}
lines:
  L1: {from: NET.O, to: SEL.2}
  L2: {from: SEL.O, to: XMIT.I}
"""


def test_what_leads_to_the_transmitter_has_its_own_mix_before_a_meter():
    """Neither has a priority and the meter comes first by name; the answer keeps that order."""
    facility = plant(METERED)
    found = outage(facility, read_failure(facility, ["DA"]))
    assert [str(silenced.input) for silenced in found.silenced] == ["MET.I:in", "SEL.1:in"]
    assert [str(port) for port in found.together.restores] == ["MET.I:in", "SEL.1:in"]
    assert {tuple(map(str, cord)) for cord in found.together.cords} == {
        ("PB.T5", "PB.B7"),
        ("PB.T4", "PB.B6"),
    }
    assert str(found.together.steps[1].jack) == "PB.B7"
