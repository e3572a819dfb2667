"""Phantom power where it should not be, and where nothing tells of it."""

from __future__ import annotations

import pytest

from tests.builders import plant
from tests.checks.checking import fires, found, quiet


def reached(keys, note="phantom power"):
    return plant(
        f"""
        equipment:
          SRC: {{name: Source, outputs: {{O: {{level: -50, {keys}}}}}}}
          DESK: {{name: Desk, inputs: {{M: {{level: -50, phantom: gives}}}}}}
        bays:
          PB:
            name: Bay
            positions: 1
            normal: full
            points: {{1: {{top: SRC.O, bottom: DESK.M, note: "{note}"}}}}
        """
    )


@pytest.mark.parametrize(
    ("rule", "keys", "severity"),
    [
        ("phantom-harms", "phantom: harmed", "danger"),
        ("phantom-shorted", "balanced: false", "danger"),
        ("phantom-untaken", "phantom: none", "warning"),
    ],
)
def test_phantom_on_what_should_not_have_it(rule, keys, severity):
    # IEC 61938: 48 V on both legs through 6.8 kilohm; it cannot pass an unbalanced port.
    fires(rule, reached(keys), severity, "SRC.O", "DESK.M")
    quiet(rule, reached("phantom: takes"))


def test_each_harm_has_its_rule():
    fires("phantom-harms", reached("phantom: harmed"), "danger", "SRC.O", "DESK.M")
    quiet("phantom-harms", reached("phantom: takes"))
    fires("phantom-shorted", reached("balanced: false"), "danger", "SRC.O", "DESK.M")
    quiet("phantom-shorted", reached("phantom: takes"))
    fires("phantom-untaken", reached("phantom: none"), "warning", "SRC.O", "DESK.M")
    quiet("phantom-untaken", reached("phantom: takes"))


def test_two_supplies_on_one_line():
    facility = plant(
        """
        equipment:
          MIC: {name: Microphone, outputs: {O: {level: -50, phantom: takes}}}
          D1: {name: Desk, inputs: {M: {level: -50, phantom: gives}}}
          D2: {name: Recorder, inputs: {M: {level: -50, phantom: gives}}}
        bays:
          PB: {name: Bay, positions: 2, points: {1: {top: MIC.O, bottom: D1.M}, 2: {bottom: D2.M}}}
        mults:
          M: [PB.B1, PB.B2]
        """
    )
    findings = found("phantom-twice", facility)
    assert [(f.severity, f.where[0]) for f in findings] == [
        ("warning", "D1.M"),
        ("warning", "D2.M"),
    ]
    quiet("phantom-twice", reached("phantom: takes"))


def miked(microphone, desk, practice="bay"):
    """A microphone on a bay whose bus joins its sleeves, normaled to a desk with phantom power."""
    return plant(
        f"""
        equipment:
          MIC: {{name: Microphone, earthed: false, outputs: {{O: {{level: -50, phantom: takes}}}}}}
          DESK: {{name: Desk, inputs: {{M: {{level: -50, phantom: gives}}}}}}
        bays:
          PB:
            name: Bay
            positions: 1
            normal: full
            sleeves: all
            points:
              1: {{top: {{to: MIC.O{microphone}}}, bottom: {{to: DESK.M{desk}}}, note: phantom power}}
        """,
        head=f"slinediag: 1\nfacility: {{name: One microphone, shields: {practice}}}\n",
    )


BOTH = ", shield: both"


def test_phantom_comes_back_through_the_shield():
    # IEC 61938: the current that goes out on both legs returns through the cable's screen.
    finding = fires("phantom-return", miked("", BOTH), "warning", "DESK.M", "MIC.O")
    assert "lifted on the wire at PB T1." in finding.message
    finding = fires("phantom-return", miked(BOTH, ""), "warning", "DESK.M", "MIC.O")
    assert "lifted on the wire at PB B1." in finding.message
    finding = fires("phantom-return", miked("", "", "equipment"), "warning", "DESK.M", "MIC.O")
    assert "lifted on the wire at PB T1 and on the wire at PB B1." in finding.message
    quiet("phantom-return", miked(BOTH, BOTH))
    quiet("phantom-return", miked("", "", "both"))


@pytest.mark.parametrize("phantom", ["none", "harmed"])
def test_only_what_takes_phantom_is_asked_for_its_way_back(phantom):
    quiet("phantom-return", reached(f"phantom: {phantom}"))


def test_phantom_comes_back_along_a_direct_line_too():
    def direct(shield):
        return plant(
            f"""
            equipment:
              MIC: {{name: Microphone, outputs: {{O: {{level: -50, phantom: takes}}}}}}
              DESK: {{name: Desk, inputs: {{M: {{level: -50, phantom: gives}}}}}}
            lines:
              L1: {{from: MIC.O, to: DESK.M, shield: {shield}}}
            """
        )

    finding = fires("phantom-return", direct("to"), "warning", "DESK.M", "MIC.O")
    assert finding.message.endswith("lifted on line L1.")
    quiet("phantom-return", direct("both"))


def test_jacks_with_phantom_should_say_so():
    fires("phantom-unmarked", reached("phantom: takes", "quiet"), "note", "PB.T1", "PB.B1")
    quiet("phantom-unmarked", reached("phantom: takes", "Phantom power: off, wait, then patch"))
