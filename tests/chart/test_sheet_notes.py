"""The notes that a sheet's numbers point to: on that sheet, or else the legend says on which."""

from __future__ import annotations

import re

import pytest

from slinediag.chart.chart import draw
from slinediag.drawing.marks import Text
from slinediag.drawing.query import ink_box, walk, walk_marks
from tests.builders import plant
from tests.chart import rules
from tests.chart.plants import station


def numbers_on(drawing) -> set[int]:
    """The numbers of notes that stand in a sheet's drawing."""
    return {
        int(placed.mark.text)
        for placed in walk(drawing)
        if isinstance(placed.mark, Text)
        and placed.mark.ref
        and "note-number" in placed.mark.ref.classes
        and any("chart" in ref.classes for ref in placed.refs)
    }


def listed(drawings) -> tuple[str, dict[int, str]]:
    """What the sheets with the notes by number are called, and what these say."""
    told = {d.number: rules.block_words(d, "notes") for d in drawings}
    words = " ".join(told.values()).replace("Notes by number, continued", "")
    parts = re.split(r"(?:^| )(\d+) ", words.replace("Notes by number", ""))[1:]
    said = (" ".join(part.split()) for part in parts[1::2])
    found = dict(zip(map(int, parts[::2]), said, strict=True))
    on = [number for number, here in told.items() if here]
    first, last = min(on), max(on)
    assert on == [*range(first, last + 1)]
    return f"sheet {first}" if first == last else f"sheets {first}–{last}", found


def check_notes(drawings) -> tuple[int, int]:
    """Every note on its sheet or pointed to; how many sheets have theirs, and how many point."""
    on, words = listed(drawings)
    here = there = 0
    for drawing in drawings:
        wanted = numbers_on(drawing)
        if not wanted:
            continue
        own, legend = (rules.block_words(drawing, name) for name in ("sheet-notes", "legend"))
        if all(f"{number} {words[number]}" in own for number in wanted):
            assert "sheet" not in legend.partition("note of this number")[2][:8]
            here += 1
        else:
            assert f"see the note of this number, {on}" in legend
            there += 1
        chart = [placed.box for placed in walk_marks(rules.groups(drawing.marks, "chart"))]
        for name in ("legend", "sheet-notes"):
            for block in rules.groups(drawing.marks, "block"):
                if name in block.ref.classes:
                    said = [placed.box for placed in walk_marks([block])]
                    assert not any(box.meets(one) for box in chart for one in said)
    return here, there


def test_the_notes_of_a_sheet_stand_on_it():
    drawings = draw(station(), sheet="A4")
    here, _ = check_notes(drawings)
    assert here


LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
LONG = "a word and another, and so on for a whole paragraph that takes its lines; " * 5


@pytest.fixture(scope="module")
def crowded():
    """Sheets that are full of boxes, each with a long note; one of them is a caution."""
    boxes = "".join(
        f"  A{n}: {{name: Deck, outputs: [L, R], note: '{LETTERS[n]} {LONG}'}}\n"
        for n in range(1, 20)
    )
    boxes += "  A20: {name: Deck, outputs: [L, R], caution: it bites}\n"
    points = "".join(f"{2 * n - 1}-{2 * n}: {{top: [A{n}.L, A{n}.R]}}, " for n in range(1, 21))
    bay = f"bays:\n  PB: {{name: Bay, positions: 40, points: {{{points}}}}}\n"
    return draw(plant("equipment:\n" + boxes + bay), sheet="A4", fold=False)


def test_notes_without_room_are_pointed_to_and_cautions_stand_there_all_the_same(crowded):
    _, there = check_notes(crowded)
    assert there
    on, words = listed(crowded)
    (caution,) = (number for number, text in words.items() if text.startswith("Caution:"))
    (sheet,) = (d for d in crowded if caution in numbers_on(d))
    assert "it bites" in rules.block_words(sheet, "sheet-notes")
    led = {
        rules.data_of(g)["sheet"]
        for d in crowded
        for block in rules.groups(d.marks, "block")
        if "legend" in block.ref.classes
        for g in rules.groups(block.marks, "to-sheet")
    }
    assert led == {re.findall(r"\d+", on)[0]}


def test_cautions_come_first_and_in_one_piece():
    for drawings in (draw(station(), sheet="A4"), draw(station())):
        first = next(iter(rules.groups(drawings[0].marks, "block")))
        assert "cautions" in first.ref.classes
        boxes = [ink_box(g) for g in rules.groups(drawings[0].marks, "block")]
        if len(drawings) == 1:
            xs = {mark.at.x for mark in first.marks if isinstance(mark, Text)}
            # A bullet and what hangs by it: more would be another column.
            assert len(xs) == 2
        else:
            # Across the page, above all else that is listed or drawn.
            boxes += [ink_box(g) for g in rules.groups(drawings[0].marks, "overview")]
            assert all(boxes[0].bottom < box.y for box in boxes[1:])


def test_what_a_cord_is_for_is_said_beside_it(quillmoor_set):
    """Wherever that has room, and nowhere else."""
    _, drawings = quillmoor_set
    purposes = {
        "PB2 T5 to PB3 B15: guest 2 to the compressor": {"PB2.T5", "PB3.B15"},
        "PB3 T15 to PB2 B5: compressor back to guest 2": {"PB3.T15", "PB2.B5"},
    }
    seen = set()
    for drawing in drawings:
        plugged = {rules.data_of(mark).get("jack") for mark in rules.marked(drawing, "plugged")}
        for said, ends in purposes.items():
            if f"Cord {said}" in rules.block_words(drawing, "sheet-cords"):
                assert plugged & ends
                seen.add(said)
    assert seen == {*purposes}
