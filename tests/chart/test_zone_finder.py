"""On one sheet: in which zones things are, by name and by number; and where ways go on."""

from __future__ import annotations

import re

import pytest

from slinediag.address import natural
from slinediag.chart.chart import draw
from slinediag.chart.frame import zone_at
from slinediag.chart.leads import chart_leads
from slinediag.chart.sheet import Sheet
from slinediag.drawing.marks import Circle, Group, Rect, Text
from slinediag.drawing.query import groups_to_sheets, ink_box
from tests.builders import plant
from tests.chart import rules
from tests.chart.plants import channels, station

CHANNELS = 26


def studio() -> str:
    """A desk whose returns come back to it, with more players than one takes in at a look."""
    players, inputs, left, right, points = channels(CHANNELS)
    return f"""
equipment:
{players}
  DESK:
    name: On-air desk
    inputs: [{inputs}, RTN1, RTN2]
    outputs: [PL, PR, SND]
    paths: {{PL: [{left}, RTN1], PR: [{right}, RTN2], SND: [1L, 1R]}}
  FX: {{name: Effects, inputs: [I], outputs: [L, R], paths: all}}
  LINK: {{name: Transmitter link, priority: 1, inputs: [L, R]}}
  OLD: {{name: Tape machine, state: removed, outputs: [O]}}
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
      1: {{top: DESK.SND, bottom: FX.I}}
      2-3: {{top: [FX.L, FX.R], bottom: [DESK.RTN1, DESK.RTN2]}}
      7: {{normal: none}}
      21-22: {{top: [DESK.PL, DESK.PR], bottom: [LINK.L, LINK.R]}}
lines:
  T1: {{from: PB.T7, to: PB.B9}}
"""


@pytest.fixture(scope="module")
def drawn():
    facility = plant(studio())
    (drawing,) = draw(facility, sheet="one")
    return facility, drawing


def zone_of(drawing, point) -> str:
    return zone_at(Sheet("", drawing.width, drawing.height), point)


def parts_of(drawing, box):
    return [g for g in rules.groups(drawing.marks, "equipment") if rules.data_of(g)["id"] == box]


def label_of(part) -> Text:
    return next(m for m in part.marks if isinstance(m, Text) and m.ref and "label" in m.ref.classes)


def middle_of(mark):
    return ink_box(mark).centre


def test_the_sheet_keeps_every_rule(drawn):
    rules.check_all(*drawn)


def test_every_piece_of_equipment_is_listed_with_the_zone_of_its_label(drawn):
    facility, drawing = drawn
    rows = [rules.data_of(g) for g in rules.groups(drawing.marks, "finder-entry")]
    labels = [row["label"] for row in rows if row["label"]]
    assert labels == sorted(labels, key=lambda label: natural(label.casefold()))
    assert sorted(labels) == sorted(box.printed for box in facility.equipment.values())
    told = sorted((row["at"].partition(":")[0], row["zone"]) for row in rows if "at" in row)
    there = sorted(
        (box, zone_of(drawing, middle_of(label_of(part))))
        for box in facility.equipment
        for part in parts_of(drawing, box)
    )
    assert told == there
    words = rules.block_words(drawing, "finder")
    assert "LINK" in words
    assert "Transmitter link" in words
    assert "inputs RTN1, RTN2" in words
    assert "OLD listed Tape machine" in words


def test_every_position_is_in_the_grid_with_the_zone_of_its_node(drawn):
    facility, drawing = drawn
    told = {}
    for cell in rules.groups(drawing.marks, "bay-run"):
        data = rules.data_of(cell)
        bay, _, jack = data["at"].partition(".")
        rows = jack[0] if cell.marks[0].text[0] in "TB" else "TB"
        for number in range(int(data["first"]), int(data["last"]) + 1):
            for row in rows:
                assert (bay, row, number) not in told
                told[bay, row, number] = data.get("zone", "")
    there = {}
    for point in rules.groups(drawing.marks, "point"):
        centres = [m for m in _all(point) if isinstance(m, Circle) and "jack" in rules.data_of(m)]
        for circle in centres:
            bay, _, jack = rules.data_of(circle)["jack"].partition(".")
            zones = {zone_of(drawing, one.centre) for one in centres}
            there[bay, jack[0], int(jack[1:])] = zones
    assert len(told) == sum(2 * bay.width for bay in facility.bays.values())
    # A node is in the zone of its middle, which lies between its jacks.
    for place, zone in told.items():
        assert zone in there.get(place, {""}) or len(there[place]) > 1, place
    assert {place for place, zone in told.items() if zone} == there.keys()


def _all(group):
    for mark in group.marks:
        yield from _all(mark) if isinstance(mark, Group) else (mark,)


def test_ports_of_parts_and_boxes_say_in_which_zone_their_ways_go_on(drawn):
    _, drawing = drawn
    main, returns = sorted(parts_of(drawing, "DESK"), key=lambda part: rules.data_of(part)["part"])
    box = next(mark.box for mark in main.marks if isinstance(mark, Rect))
    (at,) = (m.at for m in main.marks if isinstance(m, Text) and m.text == "PL")
    zone = zone_of(drawing, at._replace(x=box.right, y=at.y - 1_250))
    frame = next(mark.box for mark in returns.marks if isinstance(mark, Rect))
    said = {
        rules.data_of(g).get("port", ""): " ".join(m.text for m in g.marks)
        for g in rules.groups(drawing.marks, "onward")
    }
    assert said["DESK.RTN1:in"] == f"to PL {zone}"
    (words,) = (
        g
        for g in rules.groups(drawing.marks, "onward")
        if rules.data_of(g).get("port") == "DESK.RTN1:in"
    )
    assert frame.contains(ink_box(words))
    # Inputs that lead to outputs of their own box across from them say nothing.
    assert not any(port.startswith("DESK.1L") for port in said)
    (begin,) = (
        m.at
        for line in rules.groups(drawing.marks, "path-line")
        for m in line.marks
        if isinstance(m, Text) and m.text == "DESK"
    )
    assert said[""] == f"paths: {zone_of(drawing, begin)}"
    ways = rules.block_words(drawing, "paths")
    assert len(re.findall(r"PL from", ways)) == 1


def test_what_names_a_zone_leads_to_what_is_there(drawn):
    _, drawing = drawn
    led = {link.box: link for link in chart_leads([drawing], {}).links}
    names = {"finder-entry": "equipment", "bay-run": "point", "onward": "equipment"}
    count = 0
    for group, sheet in groups_to_sheets(drawing.marks):
        link = led[ink_box(group)]
        assert (sheet, link.target) == (1, 0)
        (name,) = set(group.ref.classes) & names.keys()
        there = list(rules.groups(drawing.marks, names[name]))
        assert link.room is not None
        assert any(link.room.contains(ink_box(g)) for g in there)
        count += 1
    assert count > 2 * CHANNELS


def test_a_chart_that_is_seen_at_a_look_has_no_finder():
    (drawing,) = draw(station(), sheet="one")
    for name in ("finder", "bay-index"):
        assert not list(rules.groups(drawing.marks, name))


def test_a_named_sheet_without_room_for_the_finder_is_drawn_without(monkeypatch):
    """Rather than divided over a set; and the finder never makes a sheet too small."""
    sheets = ("A3", "A2", "A1")
    alone = [len(draw(station(), sheet=sheet)) == 1 for sheet in sheets]
    monkeypatch.setattr("slinediag.chart.zone_finder.MANY", 1)
    found = [draw(station(), sheet=sheet) for sheet in sheets]
    assert [len(drawings) == 1 for drawings in found] == alone
    for drawings in found:
        rules.check_lettering(drawings[0])
    told = [bool(rules.block_words(d[0], "finder")) for d in found if len(d) == 1]
    assert told == sorted(told), "a larger sheet has the room that a smaller one has"
    assert told[-1]
