"""The commissioning sheet: a box for every reading, cautions first; the table to be filled in."""

from __future__ import annotations

from pathlib import Path

import slinediag
from slinediag.commissioning.plan import plan_tests
from slinediag.drawing.marks import Group, Rect, Text
from slinediag.papers.tests import commissioning_pages, commissioning_tables

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
