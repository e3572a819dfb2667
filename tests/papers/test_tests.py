"""The commissioning sheet: a box for every reading, cautions first; the table to be filled in."""

from __future__ import annotations

from pathlib import Path

import slinediag
from slinediag import text
from slinediag.commissioning.plan import plan_tests
from slinediag.drawing.marks import Group, Line, Rect, Text
from slinediag.drawing.query import text_boxes
from slinediag.geometry import Point
from slinediag.papers.tests import commissioning_pages, commissioning_tables, fitted
from tests.papers.samples import sample

SAMPLES = Path(__file__).parent.parent.parent / "samples"
LARKFEN = slinediag.load(SAMPLES / "larkfen.yaml")


def leaves(marks):
    for mark in marks:
        if isinstance(mark, Group):
            yield from leaves(mark.marks)
        else:
            yield mark


PAGES = commissioning_pages(LARKFEN)
MARKS = [mark for page in PAGES for mark in leaves(page.marks)]


def test_every_reading_has_its_box():
    boxes = {
        tuple(value for _, value in mark.ref.data)
        for mark in MARKS
        if isinstance(mark, Rect) and mark.ref is not None and "reading" in mark.ref.classes
    }
    assert boxes == {(row.point, row.code) for row in plan_tests(LARKFEN).rows}


def test_cautions_stand_first():
    texts = [str(mark) for mark in MARKS if isinstance(mark, Text)]
    heading = next(n for n, text in enumerate(texts) if "Take care" in text)
    boxes = next(n for n, text in enumerate(texts) if "Jack A, jack B" in text)
    assert heading < boxes
    said = " ".join(texts[heading:boxes])
    assert "Protective earth stays on everything" in said
    assert "Phantom power off" in said


def test_the_saving_is_stated():
    said = " ".join(str(mark) for mark in MARKS if isinstance(mark, Text))
    walk = plan_tests(LARKFEN).walk
    assert f"put in and pulled {walk.moves} times" in said


def test_no_letters_run_out_of_the_page():
    for page in PAGES:
        for mark in leaves(page.marks):
            if isinstance(mark, Text) and mark.anchor == "start":
                assert mark.at.x + mark.width <= page.width


def test_the_table_has_a_row_a_reading_and_empty_boxes():
    (table,) = commissioning_tables(LARKFEN)
    assert len(table.rows) == len(plan_tests(LARKFEN).rows)
    at = [table.columns.index(name) for name in ("Value", "By", "Date", "Remark")]
    assert all(row[n] is None for row in table.rows for n in at)


def test_a_bay_printed_otherwise_than_filed_says_both():
    """Points bear the name that is filed; on the panel stands what is printed."""
    words = {
        mark.text for page in commissioning_pages(sample("quillmoor"))
        for mark, _ in text_boxes(page)
    }  # fmt: skip
    assert {"Bay PANEL, filed as WB", "Bay PB4", "WB.1"} <= words


def test_where_nothing_is_measured_is_struck_through():
    """Every place of a row is a box to fill in or is struck through; none only looks like a box."""
    plan = plan_tests(LARKFEN)
    struck = [m for m in MARKS if isinstance(m, Line) and m.ref and "no-reading" in m.ref.classes]
    of_points = sum(row.of_point for row in plan.rows)
    assert of_points + len(struck) == 24 * len(plan.points)
    assert struck


def test_a_long_label_keeps_its_side():
    names = [f"FROM THE LARGE OUTSIDE BROADCAST RELAY ROOM {side}" for side in "LR"]
    texts = set()
    for room in (60_000, 30_000, 12_000):
        for name in names:
            (mark,) = fitted(Point(0, 0), name, room)
            assert mark.width <= room
            assert mark.text.endswith(f" {name[-1]}")
            # Squeezed to no less than three fifths, so that it stays readable.
            assert text.width(mark.text, mark.height) * 0.59 <= room
            texts.add((room, mark.text))
    assert len(texts) == 6


def test_labels_of_a_sheet_are_not_cut_where_a_squeeze_will_do():
    pages = commissioning_pages(slinediag.load(SAMPLES / "quillmoor.yaml"))
    said = [m.text for page in pages for m in leaves(page.marks) if isinstance(m, Text)]
    assert "PROD DESK EXT A L" in said
    assert not any("…" in words for words in said)
