"""Title block and revision table against ISO 7200, ISO 3098 and what must never overflow."""

from __future__ import annotations

import datetime

import pytest

from slinediag.chart.titleblock import (
    REVISION_ROW,
    revision_table,
    revision_table_height,
    title_block,
    title_block_size,
)
from slinediag.drawing.marks import Drawing, Group, Line, Rect, Text
from slinediag.drawing.query import text_boxes, walk
from slinediag.geometry import Box, Point, around
from slinediag.model.facility import Facility, Practice, Revision

CORNER = Point(410_000, 287_000)
FULL = Practice(
    "Quillmoor Community Radio",
    owner="Quillmoor Trust",
    drawing="QCR-AUD-01",
    revision="B",
    date=datetime.date(2026, 3, 14),
    drawn_by="M. Fenwick",
    checked_by="T. Harrow",
    approved_by="O. Sedge",
    revisions=(
        Revision("A", datetime.date(2025, 5, 1), "M. Fenwick", "First issue"),
        Revision("B", datetime.date(2026, 3, 14), "M. Fenwick", "Limiter added"),
    ),
)
LONG = (
    "The Quillmoor and Upper Sedge Valley Åland Community Broadcasting Association of Friends (gjpqy) "
    * 3
)


def block(practice: Practice, title: str = "Programme chain") -> Group:
    return title_block(
        Facility(practice), title=title, sheet_number=1, sheet_count=4, right_bottom=CORNER
    )


def texts(group: Group | None) -> list[str]:
    assert group is not None
    return [mark.text for mark, _ in text_boxes(Drawing(1, 1, (group,), ""))]


def fields(group: Group) -> dict[str, list[str]]:
    inner = [mark for mark in group.marks if isinstance(mark, Group)]
    return {dict(mark.ref.data)["field"]: texts(mark) for mark in inner}


NAME = "The Quillmoor and Upper Sedge Valley Community Broadcasting Association of Listeners"


@pytest.mark.parametrize(
    ("subject", "second"),
    [
        ("", ""),
        ("DESK, LIMITER", ": DESK, LIMITER"),
        ("DESK, LIMITER ON THE WAY TO THE TRANSMITTER", ": DESK and more"),
    ],
)
def test_a_name_too_long_for_a_line_goes_on_in_the_next(subject, second):
    made = title_block(
        Facility(FULL),
        title=NAME,
        sheet_number=1,
        sheet_count=4,
        right_bottom=CORNER,
        subject=subject,
    )
    caption, *lines = fields(made)["title"]
    assert caption == "Title"
    assert " ".join(lines) == NAME + second


def outline(group: Group) -> Box:
    return next(mark.box for mark in group.marks if isinstance(mark, Rect))


def test_block_is_180_mm_wide_and_ends_at_the_corner() -> None:
    # ISO 7200:2004 (P, from memory): the block is 180 mm wide, in the bottom right corner.
    assert title_block_size()[0] == 180_000
    box = outline(block(FULL))
    assert (box.right, box.bottom) == CORNER
    assert (box.width, box.height) == title_block_size()


def test_the_subject_of_a_sheet_stands_below_its_title() -> None:
    # ISO 7200:2004 (P, from memory) has a supplementary title as an optional field.
    for subject in ("DELAY, CALL ED, DESK, PGM DA", LONG):
        made = title_block(
            Facility(FULL),
            title="Programme chain",
            sheet_number=2,
            sheet_count=4,
            right_bottom=CORNER,
            subject=subject,
        )
        placed = text_boxes(Drawing(1, 1, (made,), ""))
        (title,) = (box for mark, box in placed if mark.text == "Programme chain")
        (below,) = (box for mark, box in placed if mark.text[:5] == subject[:5])
        assert below.y > title.bottom
        assert outline(made).contains(below)
        boxes = [box for _, box in placed]
        assert not [1 for i, a in enumerate(boxes) for b in boxes[:i] if a.meets(b)]


def test_the_first_sheet_alone_says_how_many_there_are() -> None:
    """So that all others stay the same picture where the last one is left out."""

    def sheet(number: int, count: int) -> list[str]:
        made = title_block(
            Facility(FULL), title="T", sheet_number=number, sheet_count=count, right_bottom=CORNER
        )
        return fields(made)["sheet"]

    assert sheet(1, 29) == ["Sheet", "1 of 29"]
    assert sheet(1, 1) == ["Sheet", "1 of 1"]
    assert sheet(7, 29) == sheet(7, 28) == ["Sheet", "7"]


def test_block_holds_the_fields_of_iso_7200() -> None:
    # ISO 7200:2004 (P, from memory), mandatory: legal owner, identification number, date of issue,
    # sheet number, title, approval person, creator, document type; optional: revision, sheets.
    found = {key: values[1] for key, values in fields(block(FULL)).items()}
    assert found == {
        "created-by": "M. Fenwick",
        "checked-by": "T. Harrow",
        "approved-by": "O. Sedge",
        "document-type": "Single-line diagram",
        "owner": "Quillmoor Trust",
        "title": "Programme chain",
        "number": "QCR-AUD-01",
        "revision": "B",
        "date": "2026-03-14",
        "sheet": "1 of 4",
    }


def test_unset_fields_are_blank() -> None:
    found = fields(block(Practice("Quillmoor Community Radio")))
    blank = {key for key, values in found.items() if len(values) == 1}
    assert blank == {
        "created-by",
        "checked-by",
        "approved-by",
        "owner",
        "number",
        "revision",
        "date",
    }


@pytest.mark.parametrize("words", ["", "A", "Quillmoor Trust", "漢字" * 40, LONG, "W" * 300])
def test_no_text_leaves_its_field_or_meets_another(words: str) -> None:
    revisions = tuple(Revision(words, datetime.date(2026, 1, 1), words, words) for _ in range(5))
    practice = Practice("x", words, words, words, FULL.date, words, words, words, (), revisions)
    table = revision_table(Facility(practice), right_bottom=CORNER, room=60_000)
    assert table is not None
    for group in (block(practice, words), table):
        drawing = Drawing(1, 1, (group,), "")
        boxes = [box for _, box in text_boxes(drawing)]
        rules = [
            around(run).grown(placed.mark.style.width // 2)
            for placed in walk(drawing)
            if isinstance(placed.mark, Line)
            for run in placed.mark.runs
        ]
        inside = outline(group).grown(-350)
        assert all(inside.contains(box) for box in boxes)
        assert not [1 for box in boxes for rule in rules if box.meets(rule)]
        assert not [1 for i, a in enumerate(boxes) for b in boxes[:i] if a.meets(b)]


def test_shortened_text_keeps_its_words_in_the_title() -> None:
    cut = [
        p.mark
        for p in walk(Drawing(1, 1, (block(FULL, LONG),), ""))
        if isinstance(p.mark, Text) and p.mark.ref
    ]
    assert [mark.ref.title for mark in cut if mark.ref] == [LONG]
    assert cut[0].text.endswith("…")


def test_letters_are_of_standard_heights_and_at_least_2500_micrometres() -> None:
    # ISO 3098 heights (P): 1.8 2.5 3.5 5 7 10 14 20 mm; nothing printed is below 2.5 mm.
    heights = {mark.height for mark, _ in text_boxes(Drawing(1, 1, (block(FULL),), ""))}
    assert heights <= {2_500, 3_500, 5_000, 7_000, 10_000}


def test_revisions_stand_newest_first_under_their_heading() -> None:
    table = revision_table(Facility(FULL), right_bottom=CORNER, room=60_000)
    assert texts(table) == [
        *("Revision", "Date", "By", "What"),
        *("B", "2026-03-14", "M. Fenwick", "Limiter added"),
        *("A", "2025-05-01", "M. Fenwick", "First issue"),
    ]
    assert table is not None
    assert (outline(table).right, outline(table).bottom) == CORNER
    assert (
        outline(table).height == revision_table_height(Facility(FULL), 60_000) == 3 * REVISION_ROW
    )


def test_revisions_without_dates_are_taken_as_filed() -> None:
    filed = Facility(Practice("x", revisions=(Revision("1"), Revision("2"))))
    table = revision_table(filed, right_bottom=CORNER, room=60_000)
    assert texts(table)[4:] == ["2", "1"]


@pytest.mark.parametrize(
    ("rows", "shown"),
    [
        (0, []),
        (1, []),
        (2, ["5", "4 earlier, in the file"]),
        (4, ["5", "4", "and 3 earlier, in the file"]),
        (6, ["5", "4", "3", "2", "1"]),
    ],
)
def test_rows_that_do_not_fit_are_counted(rows: int, shown: list[str]) -> None:
    plant = Facility(Practice("x", revisions=tuple(Revision(str(n)) for n in range(1, 6))))
    room = rows * REVISION_ROW
    height = (min(rows, len(shown) + 1) if shown else 0) * REVISION_ROW
    assert revision_table_height(plant, room) == height
    table = revision_table(plant, right_bottom=CORNER, room=room)
    assert (texts(table)[4:] if table else []) == shown


def test_no_revisions_no_table() -> None:
    assert revision_table(Facility(Practice("x")), right_bottom=CORNER, room=60_000) is None
