"""Cord lengths against the distance worked out by hand from racks, units, rows and pitch."""

from __future__ import annotations

import math

import pytest

from slinediag.tracing.reach import Reach
from tests.builders import jack, plant

HEAD = "slinediag: 1\nfacility: {{name: Test plant, cord_lengths: {stock}}}\n"

RACKS = """
racks:
  R1: {room: Racks, x: 0, units: 42}
  R2: {room: Racks, x: 0.6, units: 42}
  R3: {room: Studio, x: 0, units: 12}
bays:
  A: {name: A, positions: 48, place: R1, unit: 30}
  B: {name: B, positions: 48, place: R1, unit: 20}
  C: {name: C, positions: 48, place: R2, unit: 30}
  D: {name: D, positions: 8, place: R3, unit: 5}
  E: {name: E, positions: 48}
  F: {name: F, positions: 24, style: long-frame, place: R1}
"""

UNIT = 44.45
"""Millimetres a rack unit is high. EIA-310-D, IEC 60297 (second-hand)."""

PITCH = 438.15 / 48
"""Millimetres between bantam jacks: even division of the space between the ears."""


def reach(stock="[]"):
    return Reach(plant(RACKS, HEAD.format(stock=stock)))


def test_along_one_row_by_pitch_and_slack():
    expected = (47 * PITCH + 300) / 1000
    assert reach().length(jack("A.T1"), jack("A.T48")) == pytest.approx(expected, abs=0.011)


def test_down_a_rack_by_units_and_slack():
    expected = (10 * UNIT + 300) / 1000
    assert reach().length(jack("A.T1"), jack("B.T1")) == pytest.approx(expected, abs=0.011)


def test_across_racks_in_a_straight_line():
    expected = (math.hypot(600 + 9 * PITCH, 0) + 300) / 1000
    assert reach().length(jack("A.T1"), jack("C.T10")) == pytest.approx(expected, abs=0.011)


def test_the_length_is_the_same_from_either_end():
    lengths = reach()
    assert lengths.length(jack("A.T3"), jack("B.B40")) == lengths.length(
        jack("B.B40"), jack("A.T3")
    )


def test_it_is_never_shorter_than_the_way_and_the_slack():
    lengths = reach()
    for n in range(2, 49):
        way = ((n - 1) * 9.13 + 300) / 1000
        assert lengths.length(jack("A.T1"), jack(f"A.T{n}")) >= way - 1e-9


def test_rounded_up_to_the_stock():
    lengths = reach("[0.4, 0.6, 1.2]")
    assert lengths.length(jack("A.T1"), jack("A.T2")) == 0.4
    assert lengths.length(jack("A.T1"), jack("A.T30")) == 0.6
    assert lengths.length(jack("A.T1"), jack("B.T1")) == 1.2


def test_no_cord_in_stock_is_long_enough():
    lengths = reach("[0.4]")
    assert lengths.length(jack("A.T1"), jack("B.T1")) is None
    assert not lengths.reaches(jack("A.T1"), jack("C.T1"))


def test_no_cord_from_room_to_room():
    assert reach().length(jack("A.T1"), jack("D.T1")) is None


def test_one_metre_where_places_are_unknown():
    assert reach().length(jack("A.T1"), jack("E.T1")) == 1.0
    assert reach("[0.5, 1.5]").length(jack("D.T1"), jack("E.T1")) == 1.5


def test_one_metre_where_a_unit_is_unknown():
    assert reach().length(jack("A.T1"), jack("F.T1")) == 1.0


def test_jacks_of_one_bay_are_measured_wherever_it_stands():
    assert reach().length(jack("E.T1"), jack("E.T2")) == pytest.approx(0.31, abs=0.001)


def test_racks_of_one_room_with_no_place_along_the_wall():
    facility = plant(
        """
        racks: {R1: {room: Racks}, R2: {room: Racks}}
        bays:
          A: {name: A, place: R1, unit: 30}
          B: {name: B, place: R2, unit: 30}
        """
    )
    assert Reach(facility).length(jack("A.T1"), jack("B.T1")) == 1.0
