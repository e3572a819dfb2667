"""Another renderer, resvg, finds no lettering on lettering and none on a line: samples and sheets."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import combinations

import numpy as np
import pytest

from slinediag.chart.chart import draw
from slinediag.chart.planning import plan_chart
from slinediag.chart.request import Request
from slinediag.chart.said import Said
from slinediag.chart.sheet import sheet_named
from slinediag.chart.sheetset import draw_set
from slinediag.drawing.marks import Drawing, Line, Text
from slinediag.drawing.query import text_box, walk
from slinediag.paint.svg import paint
from tests.chart.plants import sample, sample_sheet, station
from tests.chart.rules import groups

pytest.importorskip("resvg_py")

DPI = 90
INKED = 0.6
"""A pixel darker than this is covered by ink for more than half."""
NEAR = 1_500
"""Lettering nearer to each other than this is looked at in two pictures."""


def darkness(drawing: Drawing, marks) -> np.ndarray:
    """Only these marks of a sheet, as another renderer paints them."""
    from tests.paint.rendering import render

    return render(paint(replace(drawing, marks=tuple(marks))), dpi=DPI).darkness


def apart(texts: list[Text]) -> list[list[Text]]:
    """Lettering in as many lots as it takes for neighbours to be in different ones."""
    boxes = [text_box(text).grown(NEAR) for text in texts]
    lot: list[int] = []
    for number, box in enumerate(boxes):
        near = {lot[n] for n in range(number) if boxes[n].meets(box)}
        lot.append(next(n for n in range(len(near) + 1) if n not in near))
    return [[t for t, own in zip(texts, lot, strict=True) if own == n] for n in sorted(set(lot))]


def check_clear(drawing: Drawing) -> None:
    """No ink of lettering on other lettering, nor on a line or a normal."""
    placed = list(walk(drawing))
    tags = {"cord-name", "stamp"}
    texts = [
        replace(p.mark, colour="#000000")
        for p in placed
        if isinstance(p.mark, Text) and not any(tags & set(ref.classes) for ref in p.refs)
    ]
    lines = [
        p.mark
        for p in placed
        if isinstance(p.mark, Line) and p.mark.ref and {"line", "normal"} & set(p.mark.ref.classes)
    ]
    pictures = [darkness(drawing, lot) > INKED for lot in apart(texts)]
    for one, other in combinations(pictures, 2):
        assert not (one & other).any(), "lettering over lettering"
    inked = darkness(drawing, lines) > INKED
    for picture in pictures:
        assert not (picture & inked).any(), "lettering on a line"


@pytest.mark.parametrize(
    ("name", "fold"), [("larkfen", False), ("larkfen", True), ("quillmoor", True)]
)
def test_a_sample_is_clear(name, fold):
    check_clear(sample_sheet(name, fold=fold))


@pytest.mark.parametrize("fold", [False, True])
def test_sheets_of_a_sample_are_clear(fold):
    facility = sample("larkfen")
    plan = plan_chart(facility, None, fold=fold)
    a3 = sheet_named("A3")
    drawings = draw_set(Request(facility, None, plan, a3, "quick", Said(), Fraction(1)))
    drawn = [d for d in drawings if list(groups(d.marks, "chart"))]
    for drawing in (drawings[0], *drawn[::2], drawings[-1]):
        check_clear(drawing)


FINE = 200
"""Pixels to the inch at which a quarter of a letter's height is five pixels."""


def within(inked: np.ndarray, pixels: int) -> np.ndarray:
    """What lies no farther from ink than so many pixels."""
    found = np.zeros_like(inked)
    for y, x in np.argwhere(inked):
        found[max(0, y - pixels) : y + pixels + 1, x] = True
    inked, found = found, np.zeros_like(inked)
    for y, x in np.argwhere(inked):
        found[y, max(0, x - pixels) : x + pixels + 1] = True
    return found


def test_a_label_keeps_a_quarter_of_its_height_from_the_triangles_above_it():
    from tests.paint.rendering import render

    drawing = draw(station())[0]
    placed = [p.mark for p in walk(drawing) if getattr(p.mark, "ref", None)]
    labels = [mark for mark in placed if "strip" in mark.ref.classes]
    triangles = [mark for mark in placed if "break-mark" in mark.ref.classes]
    assert len(labels) > 20 < 2 * len(triangles)
    quarter = min(label.height for label in labels) // 4

    def inked(marks):
        picture = render(paint(replace(drawing, marks=tuple(marks))), dpi=FINE)
        return picture.darkness > 0.5, picture.pixel

    letters, pixel = inked([replace(label, colour="#000000") for label in labels])
    marks, _ = inked(triangles)
    near = within(letters, int(quarter / pixel))
    assert (within(letters, 2 * int(quarter / pixel)) & marks).any(), "no triangle near a label"
    assert not (near & marks).any()


def test_what_lies_on_a_line_or_on_lettering_is_found():
    drawing = draw(station())[0]
    texts = [p.mark for p in walk(drawing) if isinstance(p.mark, Text) and p.mark.text == "PB1 5"]
    (line,) = [
        p.mark
        for p in walk(drawing)
        if isinstance(p.mark, Line) and p.mark.ref and ("from", "MIC.O") in p.mark.ref.data
    ]
    on_line = replace(texts[0], at=line.runs[0][0].moved(0, 1_000), anchor="start")
    on_words = replace(texts[0], at=texts[0].at.moved(600, 0))
    for wrong, said in ((on_line, "on a line"), (on_words, "over lettering")):
        with pytest.raises(AssertionError, match=said):
            check_clear(replace(drawing, marks=(*drawing.marks, wrong)))
