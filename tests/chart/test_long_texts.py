"""A text that is longer than a column of a set's lists is told to its end, and so is all behind it."""

from __future__ import annotations

import pytest

from slinediag.chart.blocks import Block, Item, parted, prose
from slinediag.chart.flowing import Column, flow
from slinediag.chart.page import text_pages
from slinediag.chart.sheet import sheet_named
from slinediag.drawing.marks import Group, Ref, Text
from slinediag.drawing.query import ink_box
from tests.builders import plant
from tests.chart import rules
from tests.chart.plants import STATION, drawn_set

WORDS = [f"w{n}" for n in range(1_500)]


def texts_of(marks):
    for mark in marks:
        if isinstance(mark, Group):
            yield from texts_of(mark.marks)
        elif isinstance(mark, Text):
            yield mark


def told(marks):
    """The words besides headings, in the order of their columns."""
    lines = [text for text in texts_of(marks) if text.ref is None and text.weight == "regular"]
    return [word for text in lines for word in text.text.split()]


def test_it_goes_on_over_columns_and_pages():
    def blocks(width):
        long = prose(" ".join(WORDS), width, "7", 5_000)
        return [Block("notes", "Notes", (long, prose("behind", width))),
                Block("ties", "Tie lines", (prose("last", width),))]  # fmt: skip

    pages = text_pages(sheet_named("A4"), blocks, (2,))
    assert len(pages) > 1
    assert [word for page in pages for word in told(page)] == [*WORDS, "behind", "last"]
    for page in pages:
        places = [ink_box(text) for text in texts_of(page)]
        assert not any(a.meets(b) for n, a in enumerate(places) for b in places[n + 1 :])


@pytest.mark.parametrize("column", [60_000, 61_000, 64_199, 64_200])
def test_pieces_have_room_and_stand_for_what_the_whole_does(column):
    long, ref = prose(" ".join(WORDS[:200]), 50_000), Ref(("path-line",), (("equipment", "BOX"),))
    items = Item(long.height, (Group(long.marks, ref),)), prose("short", 50_000)
    block = Block("paths", "Paths", items)
    made = parted(block, column)
    *pieces, short = made.items
    assert len(pieces) > 1
    assert [mark.ref for piece in pieces for mark in piece.marks] == [ref] * len(pieces)
    assert sum(piece.height for piece in pieces) == long.height
    assert short == items[1]
    columns = [Column(n * 60_000, 0, column) for n in range(20)]
    assert flow([block], columns) is None
    assert told(flow([made], columns)) == [*WORDS[:200], "short"]
    assert parted(block, long.height + 10_000) is block


@pytest.mark.parametrize(
    "label", ["W" * 60, "Microphone stand by desk fourteen, left of the window"]
)
def test_a_label_wider_than_its_list_stands_above_what_is_said_of_it(label):
    plain = "TONE: {name: Tone oscillator,"
    assert plain in STATION
    facility = plant(STATION.replace(plain, f"{plain} label: '{label}',"))
    for drawing in drawn_set(facility, "A4"):
        rules.check_lettering(drawing)
    item = prose("on no line", 50_000, label, 25_000)
    lines = list(texts_of(item.marks))
    assert "".join(line.text for line in lines[:-1]).replace(" ", "") == label.replace(" ", "")
    assert max(ink_box(line).right for line in lines) <= 50_000
    assert ink_box(lines[-1]).bottom < item.height


def test_a_long_note_takes_no_list_out_of_a_set():
    note = " ".join(WORDS)
    named = "name: Programme limiter\n"
    assert named in STATION
    long = plant(STATION.replace(named, f"{named}    note: {note}\n"))
    drawings = drawn_set(long, "A4")
    words = [word for d in drawings for g in rules.groups(d.marks, "notes") for word in told([g])]
    assert " ".join(WORDS) in " ".join(words)
    for name in ("finder", "paths", "ties", "spares", "not-drawn"):
        assert any(rules.block_words(drawing, name) for drawing in drawings), name
