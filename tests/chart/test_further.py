"""What is said in a part of equipment of ways to other parts: at its rows, once for several, and
where the list is."""

from __future__ import annotations

import re
from collections import defaultdict
from dataclasses import replace

import pytest

from slinediag.address import PortAddress
from slinediag.chart.boxes import draw_box
from slinediag.chart.equipment import plan_part
from slinediag.chart.fars import Far, Onward, lines_at
from slinediag.chart.onward import Place, Whereabouts, draw_onward, with_room_for_note
from slinediag.chart.overlay import outcome_of
from slinediag.chart.points import PITCH
from slinediag.chart.restacking import restacked
from slinediag.drawing.marks import Group, Line, Rect, Text
from slinediag.drawing.query import ink_box, text_box
from slinediag.geometry import Box
from tests.builders import plant
from tests.chart import rules
from tests.chart.test_listed_paths import texts_of


def far(label, side="out"):
    return Far(PortAddress("DESK", label, side), label)


def said(fars, here=(), *, side="in", every=False):
    """The words at a row that leads to these; ``here``: those in the same part."""
    other = "out" if side == "in" else "in"
    found = tuple(far(label, other) for label in fars)
    own = frozenset(far(label, other).port for label in here)
    row = Onward(PortAddress("DESK", "X", side), found, own, every)
    return [line.words for line in lines_at(row)], row.untold


@pytest.mark.parametrize(
    ("row", "words", "untold"),
    [
        ((["A"],), ["to A"], False),
        ((["A", "B"],), ["to A", "and B"], False),
        ((["A", "B", "C"],), ["to A", "2 more: sheet"], True),
        ((["A", "B", "C", "D"], ["B", "C", "D"]), ["to A", "and B, C, D"], False),
        ((["A", "B", "C", "D"], ["B"]), ["to A", "1 more here, 2: sheet"], True),
        ((["A", *(f"OUTPUT {n}" for n in range(9))], [f"OUTPUT {n}" for n in range(9)]),
         ["to A", "9 more here: sheet"], True),
    ],
)  # fmt: skip
def test_an_input_names_what_is_in_its_own_part_as_such(row, words, untold):
    assert said(*row) == (words, untold)


def test_an_input_that_leads_to_every_output_says_so():
    outputs = ["A", "B", "C"]
    assert said(outputs, outputs, every=True) == (["to all outputs"], False)
    assert said(outputs, ["B"], every=True) == (["to A", "and all other outputs"], False)
    assert said(outputs, side="out", every=True) == (["from all inputs"], False)
    assert said(outputs, side="out") == ([], True)
    assert said(["A"], every=True) == (["to A"], False)


WIDE = """
equipment:
  DESK:
    name: Desk
    inputs: [I1, I2, I3, I4, I5, I6, I7, I8, I9, I10]
    outputs: [O1, O2, O3, O4, O5, O6]
    paths: {O1: [I1, I2, I3, I4, I5, I6, I7, I8, I9], O2: [I1, I2, I3, I4, I5, I6, I7, I8, I9],
            O3: [I1, I2, I3, I4, I5, I6, I7, I8, I9], O4: [I1, I2, I3, I4, I5, I6, I7, I8, I9],
            O5: [I1, I2, I3, I4, I5, I6, I7, I8, I9], O6: [I10]}
"""


def part(inputs, outputs, desk=WIDE):
    """A part of the desk with these ports, all of which have lines."""
    box = plant(desk).equipment["DESK"]
    ports = {(p.id, p.side): p for p in box.ports}
    wired = frozenset(PortAddress("DESK", *port) for port in ports)
    fars = defaultdict(tuple)
    for entry, leaving in box.ways:
        fars[PortAddress("DESK", entry, "in")] += (far(leaving),)
        fars[PortAddress("DESK", leaving, "out")] += (far(entry, "in"),)
    ins = tuple(ports[name, "in"] for name in inputs)
    outs = tuple(ports[name, "out"] for name in outputs)
    return plan_part(box, ins, outs, wired, None, fars=fars)


def where(port):
    return Place(7 if port.port in ("O1", "O2") else 8, "B2")


PLACES = Whereabouts(where, lambda ports: "16" if list(ports) else "")


def test_a_note_on_the_list_has_a_row_of_its_own_where_rules_leave_no_room():
    outputs = [f"O{n}" for n in range(1, 6)]
    plan = part([f"I{n}" for n in range(1, 7)], outputs)
    assert plan.style == "bars"
    high = with_room_for_note(plan)
    at = Box(100_000, 50_000, high.width, high.height)
    (note,) = (g for g in draw_onward(high, at, PLACES) if "listed" in g.ref.classes)
    assert " ".join(mark.text for mark in note.marks) == "paths: sheet 16"
    words = [text_box(mark) for mark in note.marks]
    assert all(at.contains(box) for box in words)
    drawn = draw_box(high, at, outcome_of(None))
    others = [text_box(text) for text in texts_of([drawn])]
    paths = [m for m in drawn.marks if isinstance(m, Line)]
    others += [rules.span(*ends) for line in paths for ends in rules.segments(line)]
    assert not any(box.meets(other) for box in words for other in others)


def spread():
    """A part of inputs alone, far from each other in pairs."""
    return restacked(part(["I1", "I2", "I3", "I4"], []), (1, 4, 1), ())


def test_what_inputs_share_is_said_once_in_the_room_between_them():
    plan = spread()
    at = Box(0, 0, plan.width, plan.height)
    found = draw_onward(plan, at, PLACES)
    (shared,) = (g for g in found if g.ref.classes == ("further",))
    assert shared.ref.title == "all to O1, O2 7 · O3–5 8"
    leads = [(m.marks[0].text, rules.data_of(m)) for m in shared.marks if isinstance(m, Group)]
    assert leads == [(n, {"at": "DESK", "sheet": n}) for n in ("7", "8")]
    rows = [g for g in found if "onward" in g.ref.classes]
    assert [" ".join(m.text for m in g.marks) for g in rows] == ["to O1 7 B2"] * 4
    words = [text_box(text) for text in texts_of(found)]
    assert all(at.contains(box) for box in words)
    assert not any(a.meets(b) for n, a in enumerate(words) for b in words[n + 1 :])


def test_inputs_that_lead_to_every_output_say_so_once():
    names = [f"I{n}" for n in range(1, 4)]
    ways = WIDE.replace("O6: [I10]", "O6: [I1, I2, I3]")
    plan = restacked(part(names, [], ways), (3, 1), ())
    found = draw_onward(plan, Box(0, 0, plan.width, plan.height), PLACES)
    assert [g.ref.title for g in found if g.ref.classes == ("further",)] == ["all to all outputs"]
    rows = [" ".join(t.text for t in texts_of([g])) for g in found if "onward" in g.ref.classes]
    assert rows == ["to O1 7 B2"] * 3


def test_an_input_names_the_list_where_a_part_has_no_room_to_say_it_once():
    plan = part(["I1"], [])
    rows = draw_onward(plan, Box(0, 0, plan.width, plan.height), PLACES)
    words = [" ".join(t.text for t in texts_of([g])) for g in rows]
    assert words == ["to O1 7 B2", "4 more: sheet 16"]


def test_what_the_sample_s_inputs_share_is_true(quillmoor_set):
    """By the paths filed, and the sheets that the outputs are drawn on."""
    facility, drawings = quillmoor_set
    sheets, found = {}, []
    for number, drawing in enumerate(drawings, 1):
        shared = [(ink_box(g), g) for g in rules.groups(drawing.marks, "further")]
        for group in rules.groups(drawing.marks, "equipment"):
            box = facility.equipment[rules.data_of(group)["id"]]
            rect = next(mark.box for mark in group.marks if isinstance(mark, Rect))
            labels = defaultdict(list)
            for mark in group.marks:
                if isinstance(mark, Text) and mark.ref and "port" in mark.ref.classes:
                    labels[mark.anchor].append(mark.text)
            sheets.update({(box.id, label): number for label in labels["end"]})
            found += [(box, labels["start"], g) for room, g in shared if rect.contains(room)]
    assert found
    for box, inputs, group in found:
        head, _, rest = group.ref.title.partition(" to ")
        told = {
            (name, int(place))
            for piece in rest.split(" · ")
            for names, place in re.findall(r"^(.*) (\d+)$", piece)
            for name in names.split(", ")
        }
        rows = inputs if head == "all" else head.split(", ")
        for entry in (p.id for p in box.inputs if box.facts[p.id, "in"].label in rows):
            outs = [box.facts[o, "out"].label for i, o in box.ways if i == entry]
            wanted = {(re.sub(" [LR]$", "", out), sheets[box.id, out]) for out in outs}
            assert told == wanted, f"{box.id} {entry}"


TWO_KINDS = """
equipment:
  DESK:
    name: Desk
    inputs: [M1, M2, M3, L1, L2, L3]
    outputs: [O1, O2, O3, O4, O5]
    paths: {O1: [M1, M2, M3, L1, L2, L3], O2: [L1, L2, L3], O3: [L1, L2, L3], O4: [L1, L2, L3]}
"""


@pytest.mark.parametrize("gaps", [(3, 6, 1, 1, 1), (1, 1, 6, 1, 1), (1, 1, 1, 6, 1)])
def test_words_that_inputs_share_stand_at_no_other_s_row(gaps):
    """Free room between two other inputs is no place for what these do not do."""
    own = ["L1", "L2", "L3"]
    plan = restacked(part(["M1", "M2", "M3", *own], [], TWO_KINDS), gaps, ())
    found = draw_onward(plan, Box(0, 0, plan.width, plan.height), PLACES)
    shared = [text_box(t) for t in texts_of([g for g in found if g.ref.classes == ("further",)])]
    if gaps[1] == 6:
        assert not shared
        assert sum("16" in t.text for t in texts_of(found)) == len(own)
        return
    assert shared
    levels = {slot.label: slot.y for slot in plan.inputs}
    for box in shared:
        nearest = min(levels, key=lambda label: abs(levels[label] - box.centre.y))
        assert nearest in own


def test_inputs_named_in_full_stand_at_the_foot_of_a_box():
    plan = restacked(part(["L1", "L2", "M1"], [], TWO_KINDS), (1, 1), ())
    plan = replace(plan, height=plan.height + 4 * PITCH)
    found = draw_onward(plan, Box(0, 0, plan.width, plan.height), PLACES)
    (shared,) = (g for g in found if g.ref.classes == ("further",))
    assert shared.ref.title == "L1, L2 to O1, O2 7 · O3, O4 8"
    assert min(text_box(t).y for t in texts_of([shared])) > max(slot.y for slot in plan.inputs)


def test_a_part_that_no_way_leads_through_cites_no_list():
    plan = replace(part([], ["O5"], TWO_KINDS), cited=True)
    at = Box(0, 0, plan.width, plan.height)
    assert not draw_onward(plan, at, replace(PLACES, listed=lambda _: ""))
    (note,) = draw_onward(plan, at, PLACES)
    assert " ".join(t.text for t in texts_of([note])) == "paths: sheet 16"
