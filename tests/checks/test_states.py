"""What the file says against what is wired."""

from __future__ import annotations

import pytest

from slinediag.model.facility import Mult
from tests.builders import jack, plant
from tests.checks.checking import fires, quiet


def position(point, more=""):
    return plant(
        f"""
        equipment:
          S: {{name: Source, outputs: [O]}}
          G: {{name: Taken out, state: removed, outputs: [O]}}
        bays:
          PB: {{name: Bay, positions: 2, points: {{1: {point}}}}}
          P2: {{name: Other bay, positions: 2, normal: none}}
        {more}
        """
    )


@pytest.mark.parametrize("state", ["spare", "reserved"])
@pytest.mark.parametrize(
    ("point", "more"),
    [
        ("top: S.O, ", ""),
        ("", "lines: {T1: {from: PB.B1, to: P2.T1}}"),
        ("", "mults: {M: [PB.T1, P2.T1]}"),
        ("", "cords: [{from: PB.T1, to: P2.T1}]"),
        ("", "normals: [{from: P2.T1, to: PB.B1}]"),
    ],
)
def test_a_position_set_aside_that_is_in_use(state, point, more):
    fires("state-wired", position(f"{{{point}state: {state}}}", more), "warning", "PB.T1", "PB.B1")


def test_a_position_set_aside_or_used_as_it_should_be():
    quiet("state-wired", position("{state: spare}"))
    quiet("state-wired", position("{top: S.O, state: used}"))
    quiet("state-wired", position("{state: spare}", "plugs: [PB.T1]"))


def test_removed_equipment_that_still_stands_at_a_jack():
    fires("removed-wired", position("{top: G.O}"), "note", "G", "PB.T1")
    quiet("removed-wired", position("{top: S.O}"))


def tie(point, normal="half"):
    return plant(
        f"""
        equipment:
          S: {{name: Source, outputs: [O]}}
          D: {{name: Destination, inputs: [I]}}
        bays:
          P1: {{name: One, positions: 1, points: {{1: {{top: S.O}}}}}}
          P2: {{name: Two, positions: 1, normal: {normal}, points: {{1: {point}}}}}
        lines:
          T1: {{from: P1.B1, to: P2.T1}}
        """
    )


def test_a_tie_normaled_to_a_jack_where_nothing_is():
    fires("tie-half", tie("{note: to come}"), "note", "P1.B1", "P2.T1", "P2.B1")
    quiet("tie-half", tie("{bottom: D.I}"))
    quiet("tie-half", tie("{note: free}", "none"))
    quiet("tie-half", tie("{state: reserved}"))


def test_a_mult_of_one_jack():
    # An empty list cannot be filed under an id with one jack only; both are made here.
    facility = position("{top: S.O}", "mults: {M: [P2.T1]}")
    fires("mult-half", facility, "warning", "P2.T1")
    quiet("mult-half", position("{top: S.O}", "mults: {M: [P2.T1, P2.T2]}"))
    assert facility.mults["M"] == Mult("M", (jack("P2.T1"),))
