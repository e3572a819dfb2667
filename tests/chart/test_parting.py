"""Where equipment is cut into further parts, and where it stays in one."""

from __future__ import annotations

import random

import pytest

from slinediag.chart.parting import WORTH, Origin, in_order_of_feeds
from slinediag.chart.planning import plan_chart
from tests.builders import plant

SPLITTERS = """
equipment:
  ONE: {name: First splitter, inputs: [I], outputs: ["1", "2", "3", "4", "5", "6"], paths: all}
  TWO: {name: Second splitter, inputs: [I], outputs: ["1", "2", "3", "4", "5", "6"], paths: all}
  LOG: {name: Logger, inputs: ["1", "2", "3", "4"]DRAWN}
  AMP: {name: Amplifiers, inputs: ["1", "2", "3", "4", "5", "6", "7", "8"]}
bays:
  PA:
    name: Splits
    positions: 12
    points:
      1-2: {top: [ONE.1, ONE.2], bottom: [LOG.1, LOG.2]}
      3-4: {top: [TWO.1, TWO.2], bottom: [LOG.3, LOG.4]}
      5-8: {top: [ONE.3, ONE.4, ONE.5, ONE.6], bottom: [AMP.1, AMP.2, AMP.3, AMP.4]}
      9-12: {top: [TWO.3, TWO.4, TWO.5, TWO.6], bottom: [AMP.5, AMP.6, AMP.7, AMP.8]}
"""

INSERTS = """
equipment:
  DESK:
    name: Desk
    inputs: [A, B, C, R1, R2, R3]
    outputs: [S1, S2, S3, X, Y, Z]
bays:
  PA:
    name: Inserts
    positions: 6
    points:
      1-3: {top: [DESK.S1, DESK.S2, DESK.S3], bottom: [DESK.R1, DESK.R2, DESK.R3]}
      4-6: {top: [DESK.X, DESK.Y, DESK.Z], bottom: [DESK.A, DESK.B, DESK.C]}
"""

MICROPHONES = """
equipment:
  REC: {name: Recorder, inputs: ["1", "2", "3", "4", "5", "6"]}
  M1: {name: Microphone 1, outputs: [O]}
  M2: {name: Microphone 2, outputs: [O]}
  M3: {name: Microphone 3, outputs: [O]}
  M4: {name: Microphone 4, outputs: [O]}
  M5: {name: Microphone 5, outputs: [O]}
  M6: {name: Microphone 6, outputs: [O]}
bays:
  PA:
    name: Microphones
    positions: 6
    points:
      1-6: {top: [M1.O, M2.O, M3.O, M4.O, M5.O, M6.O], bottom: [REC.1, REC.2, REC.3, REC.4, REC.5, REC.6]}
"""


def parts(text: str, name: str) -> list[list[str]]:
    """The inputs of each part of a piece of equipment."""
    boxes = plan_chart(plant(text), None).boxes
    found = [box for box in boxes if box.equipment.id == name]
    assert [(box.part, box.parts) for box in found] == [
        (number, len(found)) for number in range(1, len(found) + 1)
    ]
    return [[slot.port.port for slot in box.inputs] for box in found]


def test_what_two_large_boxes_feed_is_drawn_beside_each():
    text = SPLITTERS.replace("DRAWN", "")
    assert parts(text, "LOG") == [["1", "2"], ["3", "4"]]
    assert parts(text, "AMP") == [["1", "2", "3", "4"], ["5", "6", "7", "8"]]


def test_what_the_file_wants_whole_stays_whole():
    assert parts(SPLITTERS.replace("DRAWN", ", drawn: whole"), "LOG") == [["1", "2", "3", "4"]]


def test_returns_filed_against_the_order_of_the_sends_stand_apart():
    assert parts(INSERTS, "DESK") == [[], ["A", "B", "C"], ["R1", "R2", "R3"]]


def test_returns_in_the_order_of_the_sends_stay_together():
    text = INSERTS.replace("[A, B, C, R1, R2, R3]", "[R1, R2, R3, A, B, C]")
    assert parts(text, "DESK") == [[], ["R1", "R2", "R3", "A", "B", "C"]]


def test_what_many_small_boxes_feed_is_not_scattered():
    assert parts(MICROPHONES, "REC") == [["1", "2", "3", "4", "5", "6"]]


@pytest.mark.parametrize("seed", range(60))
def test_inputs_are_cut_where_most_lines_are_in_the_wrong_order(seed):
    """As counted pair by pair, for one cut after the other."""
    rnd = random.Random(seed)
    fed = [rnd.choice([None, *(Origin(box, rnd.randrange(9)) for box in "AB")]) for _ in range(16)]

    def apart(at, group):
        pairs = [(fed[a], fed[b]) for a in group[:at] for b in group[at:]]
        same = [(a, b) for a, b in pairs if a and b and a.box == b.box]
        return sum(a.output > b.output for a, b in same)

    def cut(group):
        best = max(range(len(group)), key=lambda at: apart(at, group))
        if apart(best, group) < WORTH:
            return [group]
        return [*cut(group[:best]), *cut(group[best:])]

    assert in_order_of_feeds([*range(16)], fed) == cut([*range(16)])
