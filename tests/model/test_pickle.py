"""A facility is handed to other processes while this one goes on asking it things."""

from __future__ import annotations

import pickle

from tests.builders import plant

PLANT = """
equipment:
  A: {name: Source, outputs: [O]}
bays:
  PB: {name: Bay, positions: 2, points: {1: {top: A.O}}}
"""


def test_what_has_been_worked_out_is_not_handed_over():
    facility = plant(PLANT)
    before = pickle.dumps(facility)
    assert facility.jacks
    assert facility.wires
    assert facility.carriers
    assert facility.equipment["A"].facts
    assert pickle.dumps(facility) == before
    handed = pickle.loads(before)
    assert handed == facility
    assert handed.wires == facility.wires
