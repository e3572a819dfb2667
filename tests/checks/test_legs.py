"""One leg only, legs shorted, legs exchanged."""

from __future__ import annotations

import pytest

from slinediag.checks.legs import one_leg
from slinediag.checks.rest import Rest
from slinediag.tracing.tracer import Tracer
from tests.builders import entry, output, plant
from tests.checks.checking import fires, found, quiet


def stereo(left="false", right="false", balanced="true"):
    return plant(
        f"""
        equipment:
          S: {{name: Source, outputs: [L, R]}}
          D: {{name: Destination, inputs: [L, R], defaults: {{balanced: {balanced}}}}}
        bays:
          PB:
            name: Bay
            positions: 2
            points:
              1: {{top: S.L, bottom: {{to: D.L, swapped: {left}}}}}
              2: {{top: S.R, bottom: {{to: D.R, swapped: {right}}}}}
        """
    )


def test_one_side_of_a_pair_exchanged_is_an_error():
    # A mono sum of an equal pair with one leg reversed is a deep null (calculated).
    finding = fires("polarity", stereo(right="true"), "error", "D.R", "S.R", "PB.B2")
    assert "D L does not" in finding.message
    quiet("polarity", stereo())


def test_both_sides_exchanged_are_warnings():
    facility = stereo(left="true", right="true")
    assert [f.severity for f in found("polarity", facility)] == ["warning", "warning"]


def test_exchanged_twice_is_straight():
    facility = plant(
        """
        equipment:
          S: {name: Source, outputs: [O]}
          D: {name: Destination, inputs: [I]}
        bays:
          PB:
            name: Bay
            positions: 1
            points: {1: {top: {to: S.O, swapped: true}, bottom: {to: D.I, swapped: true}}}
        """
    )
    quiet("polarity", facility)
    quiet("legs-shorted", facility)
    quiet("one-leg", facility)


def test_an_unbalanced_port_grounds_the_leg_that_carries_the_signal():
    facility = stereo(left="true", right="true", balanced="false")
    findings = found("polarity", facility)
    assert {f.severity for f in findings} == {"error"}
    assert "grounds" in findings[0].message


def test_a_crossed_way_round_a_straight_one_is_a_short():
    facility = plant(
        """
        equipment:
          S: {name: Source, outputs: [O]}
        bays:
          P1: {name: One, positions: 2, normal: none, points: {1: {top: S.O}}}
        mults:
          M: [P1.T1, P1.B1, P1.B2]
        lines:
          T1: {from: P1.B1, to: P1.B2, swapped: true}
        """
    )
    fires("legs-shorted", facility, "error", "S.O", "P1.B1", "P1.B2")
    quiet("legs-shorted", stereo(right="true"))


@pytest.mark.parametrize("leg", [0, 1])
def test_one_leg_open(leg):
    # No filed facility has a leg open by itself; the joint is taken away by hand.
    tracer = Tracer(stereo())
    circuit = tracer.circuit
    assert list(one_leg(Rest(tracer))) == []
    port = circuit._first[entry("D.L")]
    (joint,) = circuit._nets.neighbours(port + leg)
    circuit._nets.part(port + leg, joint)
    (case,) = one_leg(Rest(tracer))
    assert (case.severity, case.where) == ("error", ("D.L", "S.L"))
    assert output("S.L") in circuit.outputs


def test_the_rule_of_one_leg_is_quiet_on_sound_lines():
    quiet("one-leg", stereo(right="true"))
