"""Treble against handbook corners and the first-order low pass, of formulas and of whole plants."""

from __future__ import annotations

import math

import pytest

import slinediag
from slinediag.tracing.tracer import tracer_of
from slinediag.tracing.treble import treble_of
from tests.builders import plant

FOOT = 0.3048


# What 1/(2πRC) gives, in kHz, beside the print. Printed values: Handbook for Sound Engineers,
# Grounding and Interfacing, p. 1217 (50 kHz, rounded); an application note on driving long
# cables gives the inputs of the second; the third is a published example. 5 in 10 000 for rounding.
@pytest.mark.parametrize(
    ("resistance", "per_metre", "metres", "corner"),
    [
        (1000, 17 / FOOT, 200 * FOOT, 46.8),
        (100, 32 / FOOT, 500 * FOOT, 99.5),
        (10_000, 100, 10, 15.9),
        (600, 30 / FOOT, 1000 * FOOT, 8.84),
    ],
)
def test_the_corner_of_a_resistance_and_a_cable(resistance, per_metre, metres, corner):
    treble = treble_of(resistance, per_metre * metres)
    assert treble.corner == pytest.approx(1000 * corner, rel=0.002)


def test_the_handbook_prints_the_first_of_them_rounded():
    # Handbook for Sound Engineers, p. 1217: "50 kHz"; within 10 % of print.
    assert treble_of(1000, 17 * 200).corner == pytest.approx(50_000, rel=0.1)


def test_an_octave_below_the_corner_one_db_is_lost():
    # 0.97 dB at half the corner, so that 1 dB at 20 kHz asks for a corner of about 40 kHz.
    capacitance = 1e12 / (2 * math.pi * 1000 * 40_000)
    assert treble_of(1000, capacitance).loss == pytest.approx(0.969, abs=0.001)
    assert treble_of(1000, 2 * capacitance).loss == pytest.approx(3.0103, abs=0.0001)


def test_nothing_is_lost_without_cable():
    treble = treble_of(600, 0)
    assert treble.corner is None
    assert treble.loss == 0


CABLED = """
equipment:
  S: {name: Source, outputs: {O: {impedance: 600}, X: {}}}
  D: {name: Destination, inputs: {I: {impedance: 10000}, J: {impedance: 10000}, K: {}}}
  R: {name: Gone, state: removed, inputs: [I]}
bays:
  PB:
    name: Bay
    positions: 6
    points:
      1: {top: {to: S.O, cable: S12/3}, bottom: {to: D.I, cable: C1}}
      2: {top: {to: R.I, cable: C1}, bottom: {to: D.J, cable: LOOSE}, normal: none}
      3: {normal: none}
lines:
  TL1: {from: PB.B3, to: PB.B4, cable: C2}
  DL1: {from: S.X, to: D.K, cable: C2}
cables:
  S12: {length: 50, capacitance: 60, pairs: 12}
  C1: {length: 20}
  C2: {length: 30}
  LOOSE: {note: length unknown}
"""


def treble_at(facility, number):
    tracer = tracer_of(facility)
    with tracer.lock:
        return tracer.line_at_rest(number).treble


def test_cables_count_where_they_are_on_the_line():
    treble = treble_at(plant(CABLED), 0)
    # 50 m × 60 pF and 20 m × 100 pF, where the file says nothing; not that of removed equipment.
    assert treble.capacitance == pytest.approx(5000)
    assert treble.resistance == pytest.approx(600 * 10_000 / 10_600)
    assert treble.corner == pytest.approx(1e12 / (2 * math.pi * treble.resistance * 5000))


def test_a_direct_line_counts_its_cable():
    assert treble_at(plant(CABLED), 2).capacitance == pytest.approx(3000)


def test_an_input_with_no_source_has_no_treble_and_unknown_lengths_count_as_none():
    facility = plant(CABLED)
    assert treble_at(facility, 1) is None
    answer = slinediag.ask(facility, cords=[("PB.T1", "PB.B2")])
    after = next(line.after for line in answer.lines if line.after.input.port == "J")
    # 5000 pF as before, none for the cable of unknown length, 32 pF for 0.32 m of cord.
    assert after.treble.capacitance == pytest.approx(5032)
    assert after.treble.resistance == pytest.approx(1 / (1 / 600 + 2 / 10_000))


def test_a_tie_line_and_standing_cords_count_by_their_lengths():
    cords = "cords: [{from: PB.T1, to: PB.B3, length: 0.6}, {from: PB.B4, to: PB.B2}]"
    treble = treble_at(plant(CABLED + cords), 1)
    # 5000 pF of cable, 3000 of the tie line, 60 of the cord of 0.6 m, 100 of one of no length.
    assert treble.capacitance == pytest.approx(8160)


def test_a_pulled_cord_takes_its_capacitance_and_its_branch_away():
    cords = "cords: [{from: PB.T1, to: PB.B3, length: 0.6}]"
    answer = slinediag.ask(plant(CABLED + cords), pulls=[("PB.B3", "PB.T1")])
    (line,) = answer.lines
    assert line.before.treble.capacitance == pytest.approx(8060)
    assert line.after.treble.capacitance == pytest.approx(5000)


def test_an_unplugged_normal_leaves_the_far_cable_off_the_line():
    answer = slinediag.ask(plant(CABLED), plugs=["PB.B1"], cords=[("PB.T1", "PB.B2")])
    after = next(line.after for line in answer.lines if line.after.input.port == "J")
    assert after.treble.capacitance == pytest.approx(3032)  # 0.32 m of cord
