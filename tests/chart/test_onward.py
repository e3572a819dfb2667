"""Equipment in parts: where its ways go on, and on which sheets its inputs and outputs are."""

from __future__ import annotations

import re
from collections import defaultdict
from fractions import Fraction

import pytest

from slinediag.chart.frame import zone_at
from slinediag.chart.planning import plan_chart
from slinediag.chart.request import Request
from slinediag.chart.said import Said
from slinediag.chart.sheet import Sheet, sheet_named
from slinediag.chart.sheetset import draw_set
from slinediag.drawing.marks import Group, Line, Rect, Text
from slinediag.drawing.query import ink_box
from slinediag.geometry import Point
from slinediag.tracing.naming import read_trial
from slinediag.tracing.trial import ask
from tests.builders import plant
from tests.chart import rules
from tests.chart.plants import channels
from tests.chart.set_rules import check_set

CHANNELS = 12


def desk_between() -> str:
    """A desk of many channels whose sources and destinations take several small sheets."""
    players, inputs, left, right, points = channels(CHANNELS)
    return f"""
equipment:
{players}
  DESK:
    name: On-air desk
    inputs: [{inputs}]
    outputs: [PL, PR, ML, CUE, SUM, TB]
    paths: {{PL: [{left}], PR: [{right}], ML: [{left}], CUE: [{left}, {right}], SUM: [1L, 1R]}}
  MON: {{name: Loudspeakers, inputs: [ML, CUE, SUM, TB]}}
  LINK: {{name: Transmitter link, priority: 1, inputs: [L, R]}}
bays:
  PA:
    name: Sources
    positions: {2 * CHANNELS}
    points:
{points}
  PB:
    name: Programme
    positions: 24
    points:
      1-4: {{top: [DESK.ML, DESK.CUE, DESK.SUM, DESK.TB],
             bottom: [MON.ML, MON.CUE, MON.SUM, MON.TB]}}
      21-22: {{top: [DESK.PL, DESK.PR], bottom: [LINK.L, LINK.R]}}
"""


def on_a4(answer=None, *, fold=False):
    facility = plant(desk_between())
    if answer:
        answer = ask(facility, read_trial(facility, [], [], [], answer))
    plan = plan_chart(facility, answer, fold=fold)
    request = Request(facility, answer, plan, sheet_named("A4"), "quick", Said(), Fraction(1))
    return facility, draw_set(request)


@pytest.fixture(scope="module")
def drawn():
    return on_a4()


def parts_of(drawings, box="DESK"):
    """The parts of a box: the sheet's number, its group, and the words at its ports."""
    for number, drawing in enumerate(drawings, 1):
        said = defaultdict(list)
        for group in rules.groups(drawing.marks, "onward"):
            words = " ".join(mark.text for mark in group.marks)
            said[rules.data_of(group).get("port")].append((words, rules.data_of(group)))
        for group in rules.groups(drawing.marks, "equipment"):
            if rules.data_of(group)["id"] == box:
                yield number, group, said


def port_places(drawings):
    """Sheet and zone of each port of the desk: where its row meets the edge of its box."""
    found = {}
    for number, group, _ in parts_of(drawings):
        drawing = drawings[number - 1]
        box = next(mark.box for mark in group.marks if isinstance(mark, Rect))
        for mark in group.marks:
            if isinstance(mark, Text) and mark.ref and "port" in mark.ref.classes:
                x = box.x if mark.anchor == "start" else box.right
                at = Point(x, mark.at.y - mark.height // 2)
                zone = zone_at(Sheet("", drawing.width, drawing.height), at)
                found[mark.text] = (number, zone)
    return found


def test_the_set_keeps_every_rule(drawn):
    check_set(*drawn)


def test_an_input_says_where_the_output_of_the_highest_priority_is(drawn):
    _, drawings = drawn
    places = port_places(drawings)
    asked = set()
    for number, _, said in parts_of(drawings):
        for side, output, more in (("L", "PL", 2), ("R", "PR", 1)):
            for channel in range(2, CHANNELS + 1):
                lines = said.get(f"DESK.{channel}{side}:in") or said.get(f"DESK.{channel}{side}")
                if not lines:
                    continue
                asked.add(f"{channel}{side}")
                sheet, zone = places[output]
                assert lines[0][0] == f"to {output} {sheet} {zone}"
                assert lines[0][1]["sheet"] == str(sheet)
                # Left channels feed the programme, monitors and cue; right ones have no monitor.
                if len(lines) == 1:
                    shared = rules.groups(drawings[number - 1].marks, "further")
                    assert any(f"CUE {places['CUE'][0]}" in g.ref.title for g in shared)
                elif more == 1:
                    sheet, zone = places["CUE"]
                    assert lines[1][0] == f"and CUE {sheet} {zone}"
                else:
                    assert re.fullmatch(r"2 more: sheet \d+", lines[1][0])
    assert len(asked) == 2 * (CHANNELS - 1)


def test_an_output_says_where_its_inputs_are_or_where_the_paths_are_listed(drawn):
    _, drawings = drawn
    places = port_places(drawings)
    listed = [
        number
        for number, drawing in enumerate(drawings, 1)
        if "PL, ML from 1L–12L" in rules.block_words(drawing, "paths")
    ]
    found = 0
    for _, group, said in parts_of(drawings):
        labels = {m.text for m in group.marks if isinstance(m, Text) and m.anchor == "end"}
        if "SUM" in labels:
            (lines,) = [lines for port, lines in said.items() if port and "SUM" in port]
            found += 1
            assert [words for words, _ in lines] == [
                f"from 1L {places['1L'][0]} {places['1L'][1]}",
                f"and 1R {places['1R'][0]} {places['1R'][1]}",
            ]
        if "PL" in labels:
            ((words, data),) = said[None]
            found += 1
            assert words == f"paths: sheet {listed[0]}"
            assert data["sheet"] == str(listed[0])
    assert found == 2
    assert not any("TB" in (port or "") for _, _, said in parts_of(drawings) for port in said)


def numbers_in(words):
    """The sheets that words name."""
    found = set()
    for low, high in re.findall(r"(\d+)(?:–(\d+))?", words):
        found |= set(range(int(low), int(high or low) + 1))
    return found


def texts_in(group):
    """All lettering of a group, that of the groups in it too."""
    for mark in group.marks:
        if isinstance(mark, Group):
            yield from texts_in(mark)
        elif isinstance(mark, Text):
            yield mark


def test_a_part_names_all_sheets_of_inputs_and_of_outputs(drawn):
    _, drawings = drawn
    sheets = {"in": set(), "out": set()}
    for label, (number, _) in port_places(drawings).items():
        sheets["in" if label[0].isdecimal() else "out"].add(number)
    assert len(sheets["in"]) > 3
    for _, group, _ in parts_of(drawings):
        (box,) = (m for m in group.marks if isinstance(m, Rect))
        above = [m for m in texts_in(group) if m.at.y < box.box.y]
        head = " ".join(m.text for m in sorted(above, key=lambda m: (m.at.y, m.at.x)))
        head = re.sub(" *– *", "–", head)
        ins, outs = re.search(
            r"in(?:puts on|:) (sheet.*?) out(?:puts on|:) (sheets? [\d–, ]+)", head
        ).groups()
        assert numbers_in(ins) == sheets["in"]
        assert numbers_in(outs) == sheets["out"]


def test_folded_rows_say_where_they_go_on():
    facility, drawings = on_a4(fold=True)
    check_set(facility, drawings)
    said = [
        words for _, _, told in parts_of(drawings) for lines in told.values() for words, _ in lines
    ]
    assert any(words.startswith("to PL, PR ") for words in said)


def test_failed_equipment_leads_nowhere():
    _, drawings = on_a4(["DESK"])
    assert list(parts_of(drawings))
    assert not any(said for _, _, said in parts_of(drawings))


def test_a_note_on_the_list_stands_clear_of_words_at_ports():
    """Outputs of which one says its input and another leaves its many to the list."""
    names = ", ".join(f"I{n}" for n in range(1, 9))
    facility = plant(
        f"""
        equipment:
          S: {{name: Sources, outputs: [{names}]}}
          BOX: {{name: Mixer, inputs: [{names}, TALK], outputs: [MIX, FIRST],
                paths: {{MIX: [{names}], FIRST: [I1]}}}}
          D: {{name: Destination, inputs: [MIX, FIRST]}}
        bays:
          PA: {{name: Sources, positions: 8, points: {{1-8: {{
            top: [{", ".join(f"S.I{n}" for n in range(1, 9))}],
            bottom: [{", ".join(f"BOX.I{n}" for n in range(1, 9))}]}}}}}}
          PB: {{name: Programme, positions: 2, points: {{
            1-2: {{top: [BOX.MIX, BOX.FIRST], bottom: [D.MIX, D.FIRST]}}}}}}
        """
    )
    plan = plan_chart(facility, None)
    drawings = draw_set(
        Request(facility, None, plan, sheet_named("A4"), "quick", Said(), Fraction(7, 5))
    )
    check_set(facility, drawings)
    said = {
        words for _, _, told in parts_of(drawings, "BOX") for w in told.values() for words, _ in w
    }
    assert any(words.startswith("from I1 ") for words in said)
    assert any(words.startswith("paths: sheet ") for words in said)


def test_an_input_that_falls_silent_says_so_beside_its_words():
    facility = plant(desk_between())
    answer = ask(facility, read_trial(facility, [], [], ["PA.B5", "PA.B6"], []))
    plan = plan_chart(facility, answer)
    request = Request(facility, answer, plan, sheet_named("A4"), "quick", Said(), Fraction(1))
    drawings = draw_set(request)
    for drawing in drawings:
        rules.check_lettering(drawing)
    assert sum(len(rules.marked(drawing, "silent")) for drawing in drawings) >= 2


def test_no_rule_runs_through_the_note_on_listed_paths(quillmoor_set):
    """The sample's production desk has a rule from one microphone, and other ways in the list."""
    _, drawings = quillmoor_set
    notes = 0
    for drawing in drawings:
        paths = [m for m in rules.marked(drawing, "path") if isinstance(m, Line)]
        ruled = [rules.span(*ends) for m in paths for ends in rules.segments(m)]
        said = [g for g in rules.groups(drawing.marks, "onward") if "listed" in g.ref.classes]
        words = [ink_box(mark) for note in said for mark in texts_in(note)]
        notes += len(words)
        assert not any(box.meets(rule) for box in words for rule in ruled)
    assert notes
