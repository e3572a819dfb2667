"""Stereo pairs that part on the way, or change places."""

from __future__ import annotations

from tests.builders import plant
from tests.checks.checking import fires, quiet


def pairs(left, right, boxes=""):
    return plant(
        f"""
        equipment:
          S: {{name: Source, outputs: [L, R]}}
          X: {{name: Other source, outputs: [L, R]}}
          M: {{name: Mono source, outputs: [O]}}
          D: {{name: Destination, inputs: [L, R]}}
        bays:
          PB:
            name: Bay
            positions: 2
            points:
              1: {{top: {left}, bottom: D.L}}
              2: {{top: {right}, bottom: D.R}}
        {boxes}
        """
    )


def test_left_and_right_that_change_places():
    fires("pair-swapped", pairs("S.R", "S.L"), "warning", "D.L", "D.R", "S.R", "S.L")
    quiet("pair-swapped", pairs("S.L", "S.R"))
    quiet("pair-split", pairs("S.R", "S.L"))


def test_one_side_with_the_side_of_another():
    fires("pair-split", pairs("S.L", "X.R"), "warning", "D.L", "D.R", "S.L", "S.R")
    quiet("pair-split", pairs("S.L", "S.R"))


def test_one_side_with_nothing_on_the_other():
    finding = fires("pair-split", pairs("S.L", "~"), "warning", "D.L", "D.R", "S.L", "S.R")
    assert "nothing" in finding.message


def test_one_source_to_both_sides_is_mono_on_purpose():
    both = pairs("S.L", "~", "mults: {M1: [PB.T1, PB.T2]}")
    quiet("pair-split", both)
    quiet("pair-swapped", both)
    quiet("pair-split", pairs("M.O", "~"))
