"""Sheets in rows by studio: each studio's cards side by side, and what leads between them."""

from __future__ import annotations

from itertools import combinations

import pytest

from slinediag.chart import glancing
from slinediag.chart.cards import Card
from slinediag.chart.glancing import place_glance
from slinediag.chart.joints import Joint
from slinediag.chart.overview import Contents
from slinediag.chart.rowed_cards import rowed_cards
from slinediag.chart.sheet_groups import SheetGroup
from slinediag.chart.standing import NOTHING
from slinediag.drawing.marks import Drawing, Line, Rect, Text
from slinediag.drawing.query import ink_box, text_box, walk
from slinediag.geometry import Box
from tests.builders import plant
from tests.chart import rules

ROOM = 376_000
STUDIOS = 10
BOXES = plant(
    "equipment:\n"
    + "".join(
        f"  {name}{n}: {{name: Desk, inputs: [I], outputs: [O]}}\n"
        for n in range(1, STUDIOS + 1)
        for name in ("DESK", "DA")
    )
)


def studio(n: int) -> tuple[SheetGroup, dict[tuple[int, int], int]]:
    """Three sheets: the first two feed a desk that feeds the third, a flag leads to the next or
    back; of every third studio one leads past the next, and an amplifier joins the last two."""
    one, two, three = 3 * n, 3 * n + 1, 3 * n + 2
    joints = [Joint(BOXES.equipment[f"DESK{n}"], {one: 8, two: 4}, {three: 2})]
    if n % 3 == 0:
        joints.append(Joint(BOXES.equipment[f"DA{n}"], {two: 1}, {three: 2}))
        return SheetGroup(f"Studio {n}", (one, two, three), tuple(joints)), {(one, three): 1}
    flags = {(one, two): 2} if n % 2 else {(three, two): 2}
    return SheetGroup(f"Studio {n}", (one, two, three), tuple(joints)), flags


@pytest.fixture(scope="module", params=[1, 2])
def drawn(request):
    groups, flags = [], {}
    for n in range(1, STUDIOS + 1):
        group, own = studio(n)
        groups.append(group)
        flags |= own
    joints = [joint for group in groups for joint in group.joints]
    cards = [
        Card(number, tuple(f"PLAYER {number} {k}" for k in range(number % 5 + 1)), (1,))
        for group in groups
        for number in group.sheets
    ]
    made = rowed_cards(cards, groups, (flags, joints), request.param, ROOM)
    assert made is not None
    return made, groups, flags, Drawing(ROOM, made.extent.bottom, made.marks, "")


def frames(marks, name: str, key: str) -> dict[str, object]:
    return {
        rules.data_of(group)[key]: next(m.box for m in group.marks if isinstance(m, Rect))
        for group in rules.groups(marks, name)
    }


def test_the_cards_of_a_studio_stand_side_by_side_under_its_name(drawn):
    made, groups, _, _ = drawn
    cards = frames(made.marks, "sheet-card", "sheet")
    names = {g.ref.title: ink_box(g) for g in rules.groups(made.marks, "sheet-group")}
    for group in groups:
        own = [cards[str(number)] for number in group.sheets]
        assert len({card.y for card in own}) == 1
        assert [card.x for card in own] == sorted(card.x for card in own)
        rule = names[group.name]
        assert all(rule.x <= card.x and card.right <= rule.right + 200 for card in own)
        assert rule.y < own[0].y
    assert made.extent.width <= ROOM


def test_each_line_joins_what_it_says(drawn):
    made, groups, flags, drawing = drawn
    boxes = frames(made.marks, "sheet-card", "sheet") | frames(made.marks, "sheet-joint", "id")
    found = set()
    for line in rules.marked(drawing, "between-sheets"):
        ends = {
            n
            for n, box in boxes.items()
            for run in line.runs
            for p in run
            if box.grown(10).holds(p)
        }
        assert len(ends) == 2, ends
        found.add(tuple(sorted(ends)))
    wanted = {tuple(sorted(map(str, pair))) for pair in flags}
    wanted |= {
        tuple(sorted((str(sheet), joint.equipment.id)))
        for group in groups
        for joint in group.joints
        for sheet in joint.sheets
    }
    assert found == wanted


def test_nothing_lies_on_anything(drawn):
    made, _, _, drawing = drawn
    boxes = [
        *frames(made.marks, "sheet-card", "sheet").values(),
        *frames(made.marks, "sheet-joint", "id").values(),
    ]
    assert not any(a.meets(b) for a, b in combinations(boxes, 2))
    texts = [text_box(p.mark) for p in walk(drawing) if isinstance(p.mark, Text)]
    assert not any(a.meets(b) for a, b in combinations(texts, 2))
    for line in rules.marked(drawing, "between-sheets"):
        for a, b in line.runs:
            way = rules.span(a, b)
            assert not any(rules.crosses(way, text) for text in texts)
            # It ends at boxes and goes through none.
            inside = [box for box in boxes if box.grown(-400).meets(way)]
            assert not inside


def test_the_names_of_all_that_has_room_are_told(drawn):
    made, _, _, _ = drawn
    for card in rules.groups(made.marks, "sheet-card"):
        words = " ".join(m.text for m in card.marks if isinstance(m, Text))
        number = int(rules.data_of(card)["sheet"])
        assert all(f"PLAYER {number} {k}" in words for k in range(number % 5 + 1))


def test_cards_that_would_be_too_narrow_are_not_drawn_so():
    group, flags = studio(1)
    cards = [Card(number, ("A",)) for number in group.sheets]
    assert rowed_cards(cards, [group], (flags, group.joints), 1, 100_000) is None


def test_lines_are_heavy_by_flags_and_thin_through_equipment(drawn):
    made, _, _, _ = drawn
    lines = [m for m in made.marks if isinstance(m, Line) and m.ref]
    hubs = frames(made.marks, "sheet-joint", "id").values()
    for line in lines:
        at_hub = any(box.grown(10).holds(p) for box in hubs for run in line.runs for p in run)
        widths = {other.style.width for other in lines}
        assert line.style.width == (min(widths) if at_hub else max(widths))


def test_ten_studios_stand_above_words_and_take_no_page_of_their_own(monkeypatch):
    """On an A3, where neither all lines between cards nor groups under headings have room."""
    found = [studio(n) for n in range(1, STUDIOS + 1)]
    groups = [group for group, _ in found]
    flags = {pair: lines for _, own in found for pair, lines in own.items()}
    joints = [joint for group in groups for joint in group.joints]
    monkeypatch.setattr(glancing, "flags_of", lambda shares: flags if not list(shares) else {})
    monkeypatch.setattr(glancing, "joints_of", lambda laid: joints if not laid else [])
    monkeypatch.setattr(glancing, "sheet_groups", lambda *given: groups if given else ())
    told = [
        Contents(number, "", "", tuple(f"PLAYER {number} {k}" for k in range(6)))
        for group in groups
        for number in group.sheets
    ]
    room = Box(27_000, 31_000, ROOM, 249_000)
    (placed,) = place_glance(BOXES, told, [], room, 10_000, (190_000, 38_000), 0, NOTHING)
    assert not placed.alone
    cards = frames(placed.marks, "sheet-card", "sheet")
    assert {*cards} == {str(one.number) for one in told}
    for group in groups:
        assert len({cards[str(number)].y for number in group.sheets}) == 1
    assert placed.foot < room.y + 0.75 * room.height
