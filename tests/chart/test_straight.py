"""Lines of neighbours run straight: ports stand as far apart as what their lines pass.

Such bends are ones "that could be removed without a crossing", which no chart may show; that one
reads along a straight line is common practice.
"""

from __future__ import annotations

import pytest

from slinediag.chart.chart import draw
from slinediag.chart.points import PITCH
from slinediag.drawing.marks import Drawing
from tests.builders import plant
from tests.chart.rules import check_all, equipment_boxes, marked

PAST_A_RECORDER = """
equipment:
  DA: {name: Distribution amplifier, outputs: [4L, 4R, 5L, 5R]}
  REC: {name: Recorder, inputs: [L, R], outputs: [OL, OR], paths: {OL: [L], OR: [R]}}
  PD: {name: Production desk, inputs: [7L, 7R, EL, ER]}
bays:
  PA:
    name: Apparatus room
    positions: 4
    points:
      1-2: {top: [DA.4L, DA.4R], bottom: [REC.L, REC.R]}
      3-4: {top: [DA.5L, DA.5R], bottom: [~, ~]}
  PB:
    name: Production room
    positions: 4
    points:
      1-2: {top: [REC.OL, REC.OR], bottom: [PD.7L, PD.7R]}
      3-4: {top: [~, ~], bottom: [PD.EL, PD.ER]}
lines:
  TG1: {from: PA.B3, to: PB.T3}
  TG2: {from: PA.B4, to: PB.T4}
"""

MICROPHONES = """
equipment:
  M1: {name: Microphone 1, outputs: [O]}
  M2: {name: Microphone 2, outputs: [O]}
  M3: {name: Microphone 3, outputs: [O]}
  REC: {name: Recorder, inputs: ["1", "2", "3"]}
bays:
  PA:
    name: Microphones
    positions: 3
    normal: NORMAL
    points:
      1-3: {top: [M1.O, M2.O, M3.O], bottom: [REC.1, REC.2, REC.3]}
"""

LONE_JACKS = """
equipment:
  PROC: {name: Processor, inputs: [I], outputs: [O], paths: {O: [I]}}
  DESK: {name: Desk, outputs: ["1", "2", "3", "4"]}
  REC: {name: Recorder, inputs: ["1", "2", "3", "4"]}
bays:
  PA:
    name: Ways
    positions: 6
    points:
      1-2: {top: [DESK.1, PROC.O], bottom: [PROC.I, REC.1]}
      3: {top: DESK.2, bottom: REC.2}
      4: {top: DESK.3}
      5: {bottom: REC.3}
"""


@pytest.mark.parametrize(
    "text",
    [
        PAST_A_RECORDER,
        MICROPHONES.replace("NORMAL", "half"),
        MICROPHONES.replace("NORMAL", "none"),
        LONE_JACKS,
    ],
    ids=["past a recorder", "microphones", "not normaled", "lone jacks"],
)
def test_no_line_bends_where_none_must(text):
    facility = plant(text)
    for effort in ("quick", "thorough"):
        (drawing,) = draw(facility, sheet="one", effort=effort)
        check_all(facility, drawing)
        assert bent(drawing) == []


def test_a_box_is_no_higher_than_what_its_lines_pass():
    # Two lines into the recorder, whose lower edge and the room for a stamp take a row; two past it.
    (drawing,) = draw(plant(PAST_A_RECORDER), sheet="one")
    heights = {name: box.height for name, box in equipment_boxes(drawing)}
    assert heights["DA"] == heights["PD"] == 5 * PITCH
    assert heights["REC"] == 2 * PITCH


def bent(drawing: Drawing) -> list[list]:
    """The runs of lines that turn a corner."""
    return [run for line in marked(drawing, "line") for run in line.runs if len(run) > 2]
