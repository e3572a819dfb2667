"""A small station with one of each thing a chart can show; the samples, each drawn but once."""

from __future__ import annotations

from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import NamedTuple

from slinediag.chart.borne import read_earlier
from slinediag.chart.chart import draw
from slinediag.chart.earlier import Earlier, Say, unsaid
from slinediag.chart.planning import plan_chart
from slinediag.chart.request import Request
from slinediag.chart.said import Said
from slinediag.chart.sheet import sheet_named
from slinediag.chart.sheetset import draw_set
from slinediag.drawing.marks import Drawing
from slinediag.file.read import load
from slinediag.model.facility import Facility
from slinediag.paint.bearing import together
from slinediag.tracing.values import Answer
from tests.builders import plant

SAMPLES = Path(__file__).parents[2] / "samples"

STATION = """
equipment:
  PLY1: {name: Disc player 1, label: DISC 1, outputs: [L, R]}
  PLY2: {name: Disc player 2, label: DISC 2, outputs: [L, R]}
  MIC: {name: Announcer microphone, outputs: {O: {level: -50, impedance: 150, phantom: takes}}}
  DESK:
    name: On-air desk
    inputs: {M1: {level: -50, impedance: 2000, phantom: gives}, "1": {}, "2": {}, "3": {}, "4": {}}
    outputs: [PL, PR, CUE]
    paths: {PL: [M1, "1", "3"], PR: [M1, "2", "4"], CUE: [M1, "1", "2"]}
  LIM:
    name: Programme limiter
    inputs: [L, R]
    outputs: [L, R]
    paths: straight
    caution: peak limiting for the transmitter
  XMIT: {name: Transmitter link, label: LINK, priority: 1, inputs: [L, R]}
  MON: {name: Studio loudspeakers, inputs: ["1", "2"]}
  OLD: {name: Tape machine, state: removed, outputs: [O]}
  TONE: {name: Tone oscillator, state: spare, outputs: [O]}
bays:
  PB1:
    name: Sources
    positions: 12
    points:
      1-2: {top: [PLY1.L, PLY1.R], bottom: [DESK.1, DESK.2]}
      3-4: {top: [PLY2.L, PLY2.R], bottom: [DESK.3, DESK.4]}
      5: {top: MIC.O, bottom: DESK.M1, normal: full}
      8: {normal: none, note: tie to the programme bay}
      12: {state: spare, normal: parallel}
  PB2:
    name: Programme
    positions: 12
    points:
      1-2: {top: [DESK.PL, DESK.PR], bottom: [LIM.L, LIM.R]}
      3: {top: LIM.L, bottom: XMIT.L, normal: full}
      4: {top: LIM.R, bottom: {to: XMIT.R, swapped: true}, normal: full}
      5: {top: DESK.CUE, bottom: MON.1}
      6: {bottom: MON.2}
      8: {normal: none}
      10-11: {normal: none}
normals:
  - {from: PB2.T5, to: PB2.B6, kind: half}
mults:
  M1: [PB2.T10, PB2.B10, PB2.T11]
lines:
  TL1: {from: PB1.B8, to: PB2.T8}
cords:
  - {from: PB1.T4, to: PB2.T10, note: disc 2 right to the mult, since: 2026-03-01}
"""


def station() -> Facility:
    """Two players, a microphone, a desk, a limiter, a link and loudspeakers on two bays."""
    return plant(STATION)


@cache
def sample(name: str) -> Facility:
    """A facility of the samples, the same one whoever asks."""
    return load(SAMPLES / f"{name}.yaml").facility


@cache
def sample_sheet(name: str, *, fold: bool = False) -> Drawing:
    """A sample's chart on one sheet, drawn once for all tests that look at it."""
    return draw(sample(name), sheet="one", fold=fold)[0]


def drawn_set(
    facility: Facility,
    sheet: str,
    answer: Answer | None = None,
    scale: Fraction = Fraction(1),
    keep: Earlier | None = None,
    say: Say = unsaid,
    *,
    fold: bool = False,
) -> tuple[Drawing, ...]:
    """A facility's chart as a set, whether or not it would fit one sheet."""
    plan = plan_chart(facility, answer, fold=fold)
    request = Request(facility, answer, plan, sheet_named(sheet), "quick", Said(), scale, fold)
    return draw_set(request, keep=keep, say=say)


def stood(drawings: tuple[Drawing, ...]) -> Earlier:
    """Drawings as they stand, read back from what their files bear."""
    return read_earlier([together(drawings)], "drawing")


def chain(count: int) -> Facility:
    """Small boxes in file, each led to the next by its own position."""
    boxes = "".join(
        f"  E{n:02}: {{name: Stage {n}, inputs: [I], outputs: [O], paths: all}}\n"
        for n in range(count)
    )
    points = "".join(
        f"      {n + 1}: {{top: E{n:02}.O, bottom: E{n + 1:02}.I}}\n" for n in range(count - 1)
    )
    bay = f"bays:\n  PB:\n    name: Chain\n    positions: {count}\n    points:\n{points}"
    return plant("equipment:\n" + boxes + bay)


class Channels(NamedTuple):
    """The players of a desk as text of a file: their equipment, the desk's inputs, all and those of
    each side, and the positions that lead them there."""

    players: str
    inputs: str
    left: str
    right: str
    points: str


def channels(count: int) -> Channels:
    """A stereo player for each of so many channels of a desk."""
    numbers = range(1, count + 1)
    left, right = (", ".join(f"{n}{side}" for n in numbers) for side in "LR")
    return Channels(
        "".join(f"  P{n:02}: {{name: Player {n}, outputs: [L, R]}}\n" for n in numbers),
        ", ".join(f"{n}{side}" for n in numbers for side in "LR"),
        left,
        right,
        "".join(
            f"      {2 * n - 1}-{2 * n}: {{top: [P{n:02}.L, P{n:02}.R], "
            f"bottom: [DESK.{n}L, DESK.{n}R]}}\n"
            for n in numbers
        ),
    )
