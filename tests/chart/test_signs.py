"""What a legend says holds, and it says what its sheet bears, no less and no more."""

from __future__ import annotations

from fractions import Fraction

from hypothesis import given, settings

from slinediag.chart.brief_legend import brief_legend
from slinediag.chart.chart import draw
from slinediag.chart.flowing import Column, flow
from slinediag.chart.legend import NORMALS
from slinediag.chart.planning import plan_chart
from slinediag.chart.request import Request
from slinediag.chart.said import Said
from slinediag.chart.sheet import sheet_named
from slinediag.chart.sheetset import draw_set
from slinediag.drawing.marks import Circle, Text
from slinediag.drawing.query import walk
from slinediag.tracing.naming import read_trial
from slinediag.tracing.trial import ask
from tests.builders import plant
from tests.chart import rules
from tests.chart.plants import station
from tests.chart.set_rules import crossings
from tests.strategies import facilities

ROWS = "Left jack: top row (T). Right: bottom (B). Else T or B stands with it."
SAID = {
    "swapped": "+ and − swapped on the way",
    "priority": "priority of an input, 1 the highest",
    "note": "see the note of this number",
    "idle": "ports without a line",
    "arrow": "runs from right to left",
    "dummy-plug": "dummy plug: breaks a normal",
    "break-cross": "normal broken by a plug",
    "tap-ring": "normal tapped by a plug",
    "stamp": "taken as failed",
    "warning": "doubled: two sources tied together",
    "wall": "in a box: nothing passes from left to right",
}
"""What the legend says of marks of a class."""


def rows_hold(drawing) -> None:
    """At each pair of jacks on one line, the left one is in the top row unless a letter says so."""
    for group in rules.groups(drawing.marks, "point"):
        if "bottom" not in rules.data_of(group):
            continue
        texts = [m for m in group.marks if isinstance(m, Text)]
        jacks = [m for m in group.marks if isinstance(m, Circle) and "jack" in m.ref.classes]
        for jack in jacks:
            name = rules.data_of(jack)["jack"].rpartition(".")[2]
            others = [o for o in jacks if o is not jack and o.centre.y == jack.centre.y]
            x = others[0].centre.x if others else jack.centre.x
            near = [t.text for t in texts if abs(t.at.y - jack.centre.y) < 6_000]
            lettered = any(
                words == name[0] or words.rpartition(" ")[2].startswith(name[0]) for words in near
            )
            expected = "T" if jack.centre.x < x else "B"
            assert lettered or (others and name[0] == expected), (name, near)


def test_the_left_jack_is_in_the_top_row_unless_a_letter_says_otherwise():
    for drawing in draw(station(), sheet="A4"):
        rows_hold(drawing)


@given(facilities())
@settings(max_examples=15)
def test_the_rows_hold_on_any_plant(facility):
    for drawing in draw(facility, sheet="one"):
        rows_hold(drawing)


def legends_match(drawings) -> None:
    """Each drawn sheet's legend has just the signs that stand on it."""
    seen = 0
    for drawing in drawings:
        charts = list(rules.groups(drawing.marks, "chart"))
        if not charts:
            continue
        seen += 1
        words = rules.block_words(drawing, "legend")
        classes = {
            name
            for placed in walk(drawing)
            if any("chart" in ref.classes for ref in placed.refs) and placed.mark.ref
            for name in placed.mark.ref.classes
        }
        for name, said in SAID.items():
            assert (said in words) == (name in classes), (name, drawing.title)
        joined = "branch" in classes or crossings(drawing) > 0
        assert ("lines joined; crossing, not joined" in words) == joined
        points = list(rules.groups(charts[0].marks, "point"))
        kinds = {rules.data_of(mark)["kind"] for mark in rules.marked(drawing, "normal")} | {
            "none" for point in points if parted(point)
        }
        for kind, called in NORMALS:
            # Each name with what a plug does; "half-normal" is within "reverse half-normal".
            without = words.replace("reverse half-normal", "") if kind == "half" else words
            assert (called in without) == (kind in kinds), (kind, drawing.title)
        assert (ROWS in words) == any("bottom" in rules.data_of(p) for p in points)
    assert seen > 1


def jacks_of(group) -> list[str]:
    """The jacks that are drawn at a position."""
    jacks = [m for m in group.marks if isinstance(m, Circle) and "jack" in m.ref.classes]
    return [rules.data_of(jack)["jack"] for jack in jacks]


def parted(group) -> bool:
    """Whether nothing is drawn between two jacks of a position that stand on one line."""
    jacks = [m for m in group.marks if isinstance(m, Circle) and "jack" in m.ref.classes]
    tied = any(isinstance(m, Text) and m.text.startswith("mult ") for m in group.marks)
    level = len(jacks) == 2 and jacks[0].centre.y == jacks[1].centre.y
    return rules.data_of(group)["normal"] == "none" and level and not tied


def test_a_sheet_of_a_set_explains_what_it_bears_and_nothing_else():
    legends_match(draw(station(), sheet="A4"))


def test_so_it_does_under_a_trial():
    facility = station()
    answer = ask(facility, read_trial(facility, [("PB1.T1", "PB1.T3")], [], ["PB1.B2"], ["LIM"]))
    plan = plan_chart(facility, answer)
    a4, size = sheet_named("A4"), Fraction(1)
    legends_match(draw_set(Request(facility, answer, plan, a4, "quick", Said(), size)))


def test_a_wall_chart_explains_a_trial_only_where_there_is_one():
    facility = station()
    at_rest = rules.block_words(draw(facility)[0], "legend")
    answer = ask(facility, read_trial(facility, [("PB1.T1", "PB1.T3")], [], [], []))
    tried = rules.block_words(draw(facility, answer)[0], "legend")
    assert ROWS in at_rest
    for said in ("cord of the trial", "falls silent", "doubled", "taken as failed"):
        assert said not in at_rest
    assert "cord of the trial" in tried
    assert "taken as failed" not in tried
    failed = ask(facility, read_trial(facility, [], [], [], ["LIM"]))
    words = rules.block_words(draw(facility, failed)[0], "legend")
    assert "taken as failed" in words
    assert "cord of the trial" not in words


def legend_of(facility):
    """The words of the legend of a chart on one sheet, and its drawing."""
    drawing = draw(facility, sheet="one")[0]
    return rules.block_words(drawing, "legend"), drawing


def test_a_wall_chart_explains_only_what_it_bears():
    words, drawing = legend_of(plant(ONE_PORT_IDLE))
    assert "half-normal" in words
    for said in ("reverse", "parallel", "non-normaled", "dummy", "swapped", "right to left"):
        assert said not in words
    classes = {n for p in walk(drawing) if p.mark.ref for n in p.mark.ref.classes}
    assert "standing" not in classes
    assert "standing cord" not in words


def test_the_samples_of_a_legend_are_the_sheet_s_own():
    """Ports 3 and 4 have lines here: to show them as ports without one would mislead."""
    words, _ = legend_of(plant(ONE_PORT_IDLE))
    assert "6 ports without a line" in words
    assert "3, 4" not in words
    assert "TL7 tie line, or mult, of this name" in words


def test_a_wall_in_a_box_is_explained():
    """What is sent to a telephone hybrid does not come back from it."""
    walled = "in a box: nothing passes from left to right"
    words, drawing = legend_of(plant(HYBRID))
    assert rules.marked(drawing, "wall")
    assert walled in words
    words, drawing = legend_of(
        plant(HYBRID.replace("outputs: [CALLER]", "outputs: [CALLER], paths: all"))
    )
    assert not rules.marked(drawing, "wall")
    assert walled not in words


def test_jacks_without_marks_are_explained():
    """What the legend says of them holds by what a plug does there, asked as a trial."""
    mult, lone = (
        "mult a plug joins, breaks nothing",
        "a plug here breaks nothing",
    )
    facility = plant(ONE_JACK_EACH)
    words, drawing = legend_of(facility)
    assert mult in words
    assert lone in words
    assert "non-normaled no line without a cord" in words  # at 4, on whose other jack is nothing
    seen = 0
    for group in rules.groups(drawing.marks, "point"):
        if {"of-mult", "lone"} & {*dict(group.ref.data).get("signs", "").split()}:
            for jack in jacks_of(group):
                (plug,) = ask(facility, read_trial(facility, [], [], [jack], [])).plugs
                assert not any(act.effect == "breaks" for act in plug.acts), jack
                seen += 1
    assert seen == 5


def test_of_jacks_with_normals_neither_is_said():
    apart = ONE_JACK_EACH.replace("M1: [PB.T2, PB.B2, PB.T3, PB.B3]", "M1: [PB.T2, PB.T3]")
    assert "mult a plug joins" in legend_of(plant(apart))[0]
    words, _ = legend_of(plant(HYBRID))
    assert "mult a plug" not in words
    assert "a plug here" not in words


def test_a_mult_s_jack_with_a_normal_is_not_said_to_break_nothing():
    text = ONE_JACK_EACH.replace("M1: [PB.T2, PB.B2, PB.T3, PB.B3]", "M1: [PB.T1, PB.B1]")
    facility = plant(text)
    (plug,) = ask(facility, read_trial(facility, [], [], ["PB.B1"], [])).plugs
    assert any(act.effect == "breaks" for act in plug.acts)
    assert "mult a plug" not in legend_of(facility)[0]


def test_a_legend_s_heading_stands_over_signs():
    """Not over the words on rows alone, with the signs in the next column."""
    signs = dict.fromkeys(("rows", "full", "half", "none", "mult", "joined", "back"), "")
    block = brief_legend(signs, 80_000)
    names, moved = ("full-normal", "half-normal", "non-normaled"), set()
    for height in range(15_000, block.height, 1_000):
        columns = (Column(0, 0, height), Column(100_000, 0, 90_000))
        (group,) = flow([block], columns)
        left = [m.text for m in group.marks if isinstance(m, Text) and m.at.x < 100_000]
        assert not left or (left[0] == "Legend" and {*names} <= {*left}), height
        moved.add(not left)
    assert moved == {True, False}


ONE_JACK_EACH = """
bays:
  PB:
    name: Bay
    positions: 4
    points:
      1: {top: REC.O, bottom: LOG.I, normal: half}
      2-3: {normal: none}
      4: {bottom: LOG.J, normal: none}
  PANEL: {name: Panel, rows: 1, positions: 1}
mults:
  M1: [PB.T2, PB.B2, PB.T3, PB.B3]
lines:
  TL1: {from: PANEL.T1, to: PB.T4}
equipment:
  REC: {name: Recorder, outputs: [O]}
  LOG: {name: Logger, inputs: [I, J]}
"""

HYBRID = """
bays:
  PB:
    name: Bay
    positions: 2
    points:
      1: {top: MIC.O, bottom: TEL.SEND}
      2: {top: TEL.CALLER, bottom: AMP.I}
equipment:
  MIC: {name: Microphone, outputs: [O]}
  TEL: {name: Telephone hybrid, inputs: [SEND], outputs: [CALLER]}
  AMP: {name: Amplifier, inputs: [I]}
"""

ONE_PORT_IDLE = """
bays:
  PB:
    name: Bay
    positions: 6
    points:
      1: {top: REC.1, bottom: LOG.1, normal: half}
      2: {top: REC.2, bottom: LOG.2, normal: half}
      3: {top: REC.3, bottom: LOG.3, normal: half}
      4: {top: REC.4, bottom: LOG.4, normal: half}
  PC:
    name: Other bay
    positions: 2
    points:
      1: {bottom: LOG.5, normal: half}
lines:
  TL7: {from: PB.B5, to: PC.T1}
equipment:
  REC: {name: Recorder, outputs: ["1", "2", "3", "4"]}
  LOG: {name: Logger, inputs: ["1", "2", "3", "4", "5", "6"]}
"""


def test_the_legend_names_a_tie_of_the_sheet_by_the_first_of_a_run():
    pair = "STUDIO 1, STUDIO 2"
    known = {"T7": "T7", "T123 … T13890": "T123", pair: "STUDIO 1", "W" * 40: "TL1"}
    for told, named in known.items():
        items = brief_legend({"tie": told}, 80_000).items
        words = [m.text for item in items for m in item.marks if isinstance(m, Text)]
        assert named in words
