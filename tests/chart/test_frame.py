"""Border, frame and zones against ISO 5457:1999."""

from __future__ import annotations

from itertools import pairwise

import pytest

from slinediag.chart.frame import frame, zone_at, zones
from slinediag.chart.sheet import ASME_SIZES, ISO_SIZES, Sheet, custom, sheet_named
from slinediag.drawing.marks import Drawing, Rect, Text
from slinediag.drawing.query import text_boxes, walk
from slinediag.geometry import Box, Point, from_mm

EVERY_SHEET = [*ISO_SIZES, *ASME_SIZES, custom(3_000_000, 1_234_567), custom(205_000, 149_000)]
EVERY = pytest.mark.parametrize("sheet", EVERY_SHEET, ids=lambda sheet: sheet.name)

# ISO 5457:1999 (P, counts as quoted): fields across × down.
FIELDS = {"A0": (24, 16), "A1": (16, 12), "A2": (12, 8), "A3": (8, 6), "A4": (6, 4)}
# ISO 5457:1999 (P, from memory): drawing space of the trimmed sheet lying, mm.
DRAWING_SPACE = {
    "A0": (1159, 821),
    "A1": (811, 574),
    "A2": (564, 400),
    "A3": (390, 277),
    "A4": (267, 190),
}


@pytest.mark.parametrize(("name", "counts"), FIELDS.items())
def test_field_counts(name: str, counts: tuple[int, int]) -> None:
    sheet = sheet_named(name)
    assert (len(zones(sheet, "across")), len(zones(sheet, "down"))) == counts


@pytest.mark.parametrize(("name", "space"), DRAWING_SPACE.items())
def test_drawing_space(name: str, space: tuple[int, int]) -> None:
    _, area = frame(sheet_named(name))
    # 20 mm on the left edge, where the sheet is filed, 10 mm on the others.
    assert area == Box(20_000, 10_000, from_mm(space[0]), from_mm(space[1]))


@EVERY
def test_fields_are_50_mm_from_the_centring_marks(sheet: Sheet) -> None:
    for fields, length in (
        (zones(sheet, "across"), sheet.width),
        (zones(sheet, "down"), sheet.height),
    ):
        assert all(a.end == b.start for a, b in pairwise(fields))
        assert all(f.end - f.start == 50_000 for f in fields[1:-1])
        assert length // 2 in [f.end for f in fields]
        assert all(f.end - f.start >= 5_000 for f in fields)


@EVERY
def test_no_letter_is_taken_for_a_figure(sheet: Sheet) -> None:
    letters = [zone.name for zone in zones(sheet, "down")]
    assert letters[0] == "A"
    assert not {"I", "O"} & set("".join(letters))
    assert len(set(letters)) == len(letters)
    assert [zone.name for zone in zones(sheet, "across")][:3] == ["1", "2", "3"]


@EVERY
def test_frame_line_is_700_micrometres_and_zone_letters_are_on_all_sides(sheet: Sheet) -> None:
    marks, area = frame(sheet)
    drawing = Drawing(sheet.width, sheet.height, marks, "sheet")
    outline = [p.mark for p in walk(drawing) if isinstance(p.mark, Rect) and p.mark.box == area]
    assert [mark.style.width for mark in outline] == [700]
    texts = [p.mark for p in walk(drawing) if isinstance(p.mark, Text)]
    expected = [zone.name for way in ("across", "down") for zone in zones(sheet, way)] * 2
    size = [] if "×" in sheet.name else [sheet.name]
    assert sorted(mark.text for mark in texts) == sorted([*expected, *size, "100 mm"])
    # ISO 5457 letters the fields 3.5 mm high (P, from memory).
    assert {mark.height for mark in texts if mark.text != "100 mm"} == {3_500}


@EVERY
def test_border_texts_stay_in_the_border_and_apart(sheet: Sheet) -> None:
    marks, area = frame(sheet)
    boxes = [box for _, box in text_boxes(Drawing(sheet.width, sheet.height, marks, "sheet"))]
    for box in boxes:
        assert sheet.box.contains(box)
        assert not box.meets(area.grown(350))
    assert not [1 for i, a in enumerate(boxes) for b in boxes[:i] if a.meets(b)]


def test_zone_of_a_point() -> None:
    a3 = sheet_named("A3")
    # Counted by hand from the centre of A3, (210, 148.5): C4 spans 160–210 mm by 98.5–148.5 mm.
    assert zone_at(a3, Point(161_000, 99_000)) == "C4"
    assert zone_at(a3, Point(209_999, 148_499)) == "C4"
    assert zone_at(a3, Point(210_000, 148_500)) == "D5"
    assert zone_at(a3, Point(0, 0)) == "A1"
    assert zone_at(a3, Point(420_000, 297_000)) == "F8"


def test_zones_down_go_on_after_z() -> None:
    tall = custom(400_000, 1_300_000)
    assert [zone.name for zone in zones(tall, "down")][22:] == ["Y", "Z", "AA", "AB"]
