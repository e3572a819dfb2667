"""Left and right: a patch keeps the sides of stereo pairs, and a cord that exchanges them says so.

That left goes to left is common practice; no published source. The facility is invented.
"""

from __future__ import annotations

import pytest

import slinediag
from slinediag.tracing.words import sentences
from tests.builders import plant

CHAIN = """\
slinediag: 1
facility: {name: Chain}
equipment:
  P: {name: Player, outputs: [L, R]}
  MONO: {name: Tone, outputs: [O]}
  DESK: {name: Desk, inputs: [I1, I2], outputs: [L, R], paths: all}
  COMP: {name: Compressor, inputs: [L, R], outputs: [L, R], paths: straight}
  LIM: {name: Limiter, inputs: [L, R], outputs: [L, R], paths: straight}
  LINK: {name: Link, priority: 1, inputs: [L, R]}
racks:
  K1: {room: Hall, units: 40}
bays:
  B1:
    name: Programme
    place: K1
    unit: 20
    positions: 12
    points:
      1-2: {top: [P.L, P.R], bottom: [DESK.I1, DESK.I2]}
      3-4: {top: [DESK.L, DESK.R], bottom: [COMP.L, COMP.R]}
      5-6: {top: [COMP.L, COMP.R], bottom: [LIM.L, LIM.R]}
      7-8: {top: [LIM.L, LIM.R], bottom: [LINK.L, LINK.R]}
      9: {top: MONO.O}
mults:
  M1: [B1.T10, B1.T11, B1.T12]
"""


@pytest.fixture
def chain(tmp_path):
    path = tmp_path / "chain.yaml"
    path.write_text(CHAIN, encoding="utf-8")
    return slinediag.load(path)


def test_a_dead_limiter_is_gone_round_with_left_on_left(chain):
    """From COMP R the cord to LINK L is shorter: position 6 lies nearer to 7 than 5 does."""
    outage = slinediag.outage(chain, ["LIM"]).to_dict()
    assert outage["together"]["cords"] == ["B1.T5=B1.B7", "B1.T6=B1.B8"]
    left = outage["silenced"][0]
    assert left["input"] == "LINK.L"
    exchanged = {
        tuple(patch["cords"]): [c for c in patch["cautions"] if "left and right" in c]
        for patch in left["patches"]
    }
    assert exchanged["B1.T5=B1.B7",] == []
    assert exchanged["B1.T6=B1.B7",] == ["left and right exchanged: LINK L gets COMP R out"]
    assert list(exchanged).index(("B1.T5=B1.B7",)) < list(exchanged).index(("B1.T6=B1.B7",))


def test_a_cord_that_exchanges_sides_says_so(chain):
    answer = slinediag.ask(chain, cords=[("B1.T6", "B1.B7")])
    assert answer.to_dict()["harmless"]
    assert [c for c in answer.to_dict()["cautions"] if c["severity"] == "caution"] == [
        {
            "caution": "left and right exchanged",
            "severity": "caution",
            "at": "LINK.L",
            "output": "COMP.R:out",
        }
    ]
    said = sentences(answer)
    assert said[0].endswith("But mind the caution below.")
    assert "CAUTION: left and right exchanged: LINK L gets COMP R out." in said


@pytest.mark.parametrize(
    "cords",
    [
        pytest.param([("B1.T5", "B1.B7")], id="left on left"),
        pytest.param([("B1.T9", "B1.B7")], id="a source of no pair"),
        pytest.param(
            [("B1.T5", "B1.T10"), ("B1.T11", "B1.B7"), ("B1.T12", "B1.B8")],
            id="one source to both sides is mono",
        ),
    ],
)
def test_other_cords_do_not(chain, cords):
    answer = slinediag.ask(chain, cords=cords)
    assert answer.exchanges == ()


def test_what_was_filed_exchanged_is_not_told_again(tmp_path):
    path = tmp_path / "crossed.yaml"
    path.write_text(CHAIN.replace("[LINK.L, LINK.R]", "[LINK.R, LINK.L]"), encoding="utf-8")
    crossed = slinediag.load(path)
    assert slinediag.ask(crossed, cords=[("B1.T6", "B1.B7")]).exchanges == ()
    assert slinediag.ask(crossed, cords=[("B1.T6", "B1.B8")]).exchanges == ()


def test_sides_that_all_patches_together_exchange_are_told_with_them():
    """Of the desk only the right side is on a jack, so the left of the link gets that."""
    facility = plant(
        """
        equipment:
          P: {name: Player, outputs: [O]}
          DESK: {name: Desk, inputs: [I], outputs: [L, R], paths: all}
          AMP: {name: Amplifier, inputs: [L, R], outputs: [L, R], paths: straight}
          LINK: {name: Link, priority: 1, inputs: [L, R]}
        bays:
          B1:
            name: Programme
            positions: 4
            points:
              1: {top: DESK.R, bottom: AMP.R}
              2: {top: AMP.L, bottom: LINK.L}
              3: {top: AMP.R}
              4: {bottom: LINK.R, normal: none}
        lines:
          A1: {from: P.O, to: DESK.I}
          A2: {from: DESK.L, to: AMP.L}
        """
    )
    together = slinediag.outage(facility, ["AMP"]).to_dict()["together"]
    assert together["restores"] == ["LINK.L"]
    assert "left and right exchanged: LINK L gets DESK R" in together["cautions"]


def test_sides_stand_before_level():
    """COMP L is of 600 ohms: half a decibel lost to LINK L, where COMP R loses nothing."""
    text = CHAIN.replace("outputs: [L, R], paths: straight}\n  LIM", LOSSY)
    _, equipment, sections = text.partition("equipment:")
    found = slinediag.outage(plant(equipment + sections), ["LIM"]).to_dict()["silenced"][0]
    assert found["input"] == "LINK.L"
    changes = {tuple(patch["cords"]): patch["level_change"] for patch in found["patches"]}
    assert changes["B1.T5=B1.B7",] < -0.4 < changes["B1.T6=B1.B7",]
    assert list(changes).index(("B1.T5=B1.B7",)) < list(changes).index(("B1.T6=B1.B7",))


LOSSY = "outputs: {L: {impedance: 600}, R: {}}, paths: straight}\n  LIM"
