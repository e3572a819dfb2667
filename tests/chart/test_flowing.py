"""How lists flow through columns: whole where they have room, torn so that nothing stands alone."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slinediag.chart.blocks import Block, prose
from slinediag.chart.brief_legend import brief_legend
from slinediag.chart.flowing import Column, Manner, Tears, flow, through
from slinediag.drawing.marks import Text
from slinediag.drawing.query import ink_box
from slinediag.drawing.styles import H25, H35
from tests.chart import rules
from tests.chart.plants import drawn_set, station

LINE = 5_200
"""The height of an item of one line."""


def block(name: str, count: int, *, whole: bool = False) -> Block:
    return Block(name, name, tuple(prose(f"{name} {n}", 50_000) for n in range(count)), whole)


def columns(*heights: int) -> list[Column]:
    return [Column(n * 60_000, 0, height) for n, height in enumerate(heights)]


def under_headings(marks) -> list[list[str]]:
    """Heading by heading, the words that follow it."""
    found: list[list[str]] = []
    for group in marks:
        for text in (mark for mark in group.marks if isinstance(mark, Text)):
            if text.ref and "heading" in text.ref.classes:
                found.append([])
            else:
                found[-1].append(text.text)
    return found


def test_no_item_stands_alone_where_a_list_goes_on():
    # Room for five items below the heading, then for many: one would be left over.
    made = flow([block("A", 6)], columns(8_000 + 5 * LINE, 60_000))
    assert [len(words) for words in under_headings(made)] == [4, 2]


def test_a_heading_has_two_items_at_least():
    blocks = [block("A", 3), block("B", 5)]
    # Behind A there is room for the heading of B and one item.
    height = 8_000 + 3 * LINE + 4_000 + 8_000 + LINE
    made = flow(blocks, columns(height, 60_000))
    assert [len(words) for words in under_headings(made)] == [3, 5]


def test_what_has_no_room_otherwise_is_torn_all_the_same():
    made = flow([block("A", 3)], columns(8_000 + 2 * LINE, 5_600 + LINE))
    assert [len(words) for words in under_headings(made)] == [2, 1]
    assert flow([block("A", 3)], columns(8_000 + 2 * LINE, 5_600)) is None


def test_a_later_list_fills_what_one_in_one_piece_leaves_free():
    blocks = [block("A", 4), block("B", 6), block("C", 2)]
    height = 8_000 + 4 * LINE + 4_000 + 8_000 + 3 * LINE
    found = through(blocks, columns(height, 60_000), Manner(60_000, fill=True))
    places = {group.ref.title: ink_box(group).x // 60_000 for group in found.marks}
    assert places == {"A": 0, "B": 1, "C": 0}
    assert found.tears == Tears(0, 0)
    plain = through(blocks, columns(height, 60_000), Manner())
    assert plain.tears == Tears(0, 1)


@given(
    st.lists(st.integers(1, 12), min_size=1, max_size=5),
    st.lists(st.integers(20_000, 90_000), min_size=1, max_size=6),
    st.sampled_from([Manner(), Manner(together=1), Manner(45_000, fill=True)]),
)
def test_all_is_there_once_in_order_and_in_its_columns(counts, heights, manner):
    blocks = [block(f"B{n}", count) for n, count in enumerate(counts)]
    across = columns(*heights)
    found = through(blocks, across, manner)
    if found is None:
        # Then it has no room in the plainest way either, or in columns twice as many it has.
        again = through(blocks, columns(*heights, *([90_000] * len(blocks))), manner)
        assert again is not None
        return
    told = {group.ref.title: [*words_of(group)] for group in found.marks}
    assert told == {b.name: [f"{b.name} {n}" for n in range(len(b.items))] for b in blocks}
    boxes = [ink_box(m) for group in found.marks for m in group.marks if isinstance(m, Text)]
    for box in boxes:
        column = across[box.x // 60_000]
        assert column.top <= box.y
        assert box.bottom <= column.bottom
    assert not any(a.meets(b) for n, a in enumerate(boxes) for b in boxes[n + 1 :])


def words_of(group):
    for text in (mark for mark in group.marks if isinstance(mark, Text)):
        if not (text.ref and "heading" in text.ref.classes):
            yield text.text


def test_a_heading_keeps_within_its_column_and_what_goes_on_says_the_first_of_it():
    heading = "Notes on this sheet, cautions first"
    long = replace(block("A", 8), heading=heading)
    for room, height in ((0, H35), (90_000, H35), (70_000, H25)):
        (made,) = flow([replace(long, room=room)], columns(8_000 + 5 * LINE, 60_000))
        first, on = heads(made)
        assert (first.text, first.height) == (heading, height)
        assert first.width <= room or not room
        assert on.text == "Notes on this sheet, continued"
        assert on.width <= 58_000


def feet(drawings):
    """The legends and notes at the feet of sheets."""
    for drawing in drawings:
        if list(rules.groups(drawing.marks, "chart")):
            for group in rules.groups(drawing.marks, "block"):
                if {"legend", "sheet-notes"} & set(group.ref.classes):
                    yield drawing, group


def test_little_is_torn_at_the_foot_of_the_sample_s_sheets(quillmoor_set):
    """Only where a sheet bears more than has room in one piece, and once."""
    _, drawings = quillmoor_set
    found = list(feet(drawings))
    assert len(found) > 15
    torn = [drawing.number for drawing, group in found if len(list(heads(group))) > 1]
    assert len(set(torn)) <= 2, torn
    for drawing, group in found:
        words = [text.text for text in heads(group)]
        assert len(words) <= 2, (drawing.number, words)


def heads(group):
    for mark in group.marks:
        if isinstance(mark, Text) and mark.ref and "heading" in mark.ref.classes:
            yield mark


def test_notes_stand_by_number_and_cautions_first_if_that_is_said(quillmoor_set):
    _, drawings = quillmoor_set
    some = 0
    for _, group in feet(drawings):
        if "sheet-notes" not in group.ref.classes:
            continue
        bold = [m for m in group.marks if isinstance(m, Text) and m.weight == "bold"]
        numbers = [int(m.text) for m in bold if m.text.isdecimal()]
        cautions = sum(m.text == "Caution:" for m in bold)
        assert numbers[cautions:] == sorted(numbers[cautions:])
        assert numbers[:cautions] == sorted(numbers[:cautions])
        head, *_ = heads(group)
        assert ("cautions first" in head.text) == (numbers != sorted(numbers))
        some += "cautions first" in head.text
    assert some


@pytest.mark.parametrize("sheet", ["A4", "A3"])
def test_no_page_of_lists_leaves_a_single_line_where_a_list_goes_on(sheet, quillmoor_set):
    drawings = drawn_set(station(), "A4") if sheet == "A4" else quillmoor_set[1]
    for drawing in drawings:
        for group in rules.groups(drawing.marks, "block"):
            if "cautions" in group.ref.classes:
                continue
            tops = [head.at for head in heads(group) if head.text.endswith(", continued")]
            for at in tops:
                below = {
                    ink_box(mark).y
                    for mark in group.marks
                    if at.x - 100 <= ink_box(mark).x < at.x + 50_000 and ink_box(mark).y > at.y
                }
                assert len(below) > 1, (drawing.number, group.ref.title)


def test_the_heading_of_a_legend_stands_over_signs_and_never_over_words_alone():
    signs = dict.fromkeys(("rows", "full", "half", "joined", "note", "sheet", "cord"), "")
    legend = brief_legend(signs, 58_000)
    rooms = [columns(0, 18_000, high) for high in range(54_000, 96_000, 3_000)]
    found = [made[0] for room in rooms if (made := flow([legend], room, whole=45_000))]
    assert len(found) > 3
    for made in found:
        head, *_ = heads(made)
        below = [m for m in made.marks if ink_box(m).x // 60_000 == head.at.x // 60_000]
        assert any(not isinstance(mark, Text) for mark in below)


def test_what_is_to_stay_together_goes_to_the_column_that_has_room_for_it():
    """The next column has room for a few items of the group, one behind it for all."""
    group = LINE * 4
    items = tuple(replace(item, group=group) for item in block("A", 4).items[:1])
    whole = replace(block("A", 4), items=(*items, *block("A", 4).items[1:]))
    room = 8_000 + group
    made = flow([whole], columns(8_000 + 2 * LINE, 8_000 + 2 * LINE, room))
    assert [len(words) for words in under_headings(made)] == [4]
