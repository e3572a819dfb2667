"""What stands at the jacks of a chart: which row each is in, where nothing is joined, notes."""

from __future__ import annotations

from slinediag.address import Jack
from slinediag.chart.chart import draw
from slinediag.drawing import styles
from slinediag.drawing.marks import Circle, Rect, Text
from slinediag.drawing.query import ink_box
from tests.builders import plant
from tests.chart import rules
from tests.chart.plants import station

CROSS = """
bays:
  PB:
    name: Bay
    positions: 6
    points:
      1: {top: LIM.O, bottom: LINK.I, normal: full}
      2: {bottom: METER.I}
      3: {top: LIM.P, bottom: METER.J, normal: half}
      4: {top: TIE.I, normal: none, note: a note of its own}
normals: [{from: PB.T1, to: PB.B2, kind: half}]
equipment:
  LIM: {name: Limiter, outputs: [O, P]}
  LINK: {name: Link, inputs: [I]}
  METER: {name: Meter, inputs: [I, J]}
  TIE: {name: Recorder, inputs: [I]}
"""


def joined(facility, jack: Jack) -> bool:
    """Whether anything is soldered to a jack."""
    wired = jack in facility.wires
    tied = any(jack in (line.source, line.target) for line in facility.lines.values())
    mult = any(jack in mult.jacks for mult in facility.mults.values())
    return wired or tied or mult or any(jack in (n.source, n.target) for n in facility.normals)


def test_a_jack_alone_on_its_row_says_that_nothing_is_joined_to_it():
    """Else it reads as part of whatever line stands on the same row."""
    told = {}
    removed = CROSS.replace("2: {bottom", "2: {top: OLD.O, bottom")
    removed += "  OLD: {name: Old player, state: removed, outputs: [O]}\n"
    for facility in (plant(CROSS), station(), plant(removed)):
        drawing = draw(facility, sheet="one")[0]
        for group in rules.groups(drawing.marks, "point"):
            jacks = {
                mark.centre.y: rules.data_of(mark)["jack"]
                for mark in group.marks
                if isinstance(mark, Circle) and "jack" in mark.ref.classes
            }
            for mark in group.marks:
                if isinstance(mark, Text) and mark.text == "not wired":
                    y = min(jacks, key=lambda y: abs(y - mark.at.y))
                    bay, _, jack = jacks[y].partition(".")
                    told[jacks[y]] = joined(facility, Jack(bay, jack[0], int(jack[1:])))
    assert told == {"PB.T2": False, "PB2.T6": False}


def test_a_row_that_stands_the_other_way_round_says_so_in_bold():
    drawing = draw(plant(CROSS), sheet="one")[0]
    (group,) = [
        g for g in rules.groups(drawing.marks, "point") if rules.data_of(g)["top"] == "PB.T4"
    ]
    tags = [m for m in group.marks if isinstance(m, Text) and m.text in ("T", "B")]
    assert sorted(tag.text for tag in tags) == ["B", "T"]
    assert {(tag.weight, tag.colour) for tag in tags} == {("bold", styles.BLACK)}


def test_a_note_s_frame_stands_clear_of_the_number_before_it():
    drawing = draw(plant(CROSS), sheet="one")[0]
    seen = 0
    for group in rules.groups(drawing.marks, "point"):
        frames = [m.box for m in group.marks if isinstance(m, Rect) and "note" in m.ref.classes]
        numbers = [m for m in group.marks if isinstance(m, Text) and m.ref]
        for frame in frames:
            (number,) = [m for m in numbers if "position" in m.ref.classes]
            assert frame.x - ink_box(number).right >= styles.H25 // 2
            seen += 1
    assert seen
