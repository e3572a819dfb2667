"""The SVG painter against a strict XML parser and a renderer that is not ours."""

from __future__ import annotations

import re
import subprocess
import sys
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slinediag import text
from slinediag.drawing import styles
from slinediag.drawing.marks import (
    Circle,
    Curve,
    Drawing,
    Group,
    Line,
    Mark,
    Rect,
    Ref,
    Shape,
    Style,
    Text,
)
from slinediag.drawing.query import text_box
from slinediag.geometry import Box, Point
from slinediag.paint.svg import mm, paint
from tests.paint.rendering import render
from tests.paint.sample import SAMPLE, words

SVG = "{http://www.w3.org/2000/svg}"
ROOT = Path(__file__).resolve().parents[2]


def parsed(*marks: Mark) -> ET.Element:
    return ET.fromstring(paint(Drawing(60_000, 40_000, marks, "A title")).encode())


def only(tag: str, *marks: Mark) -> ET.Element:
    (found,) = parsed(*marks).iter(SVG + tag)
    return found


def test_document_is_svg_1_1_in_millimetres() -> None:
    root = ET.fromstring(paint(Drawing(420_000, 297_001, (), "A3", "words")).encode())
    assert root.tag == SVG + "svg"
    assert root.attrib["version"] == "1.1"
    assert (root.attrib["width"], root.attrib["height"]) == ("420mm", "297.001mm")
    assert root.attrib["viewBox"] == "0 0 420 297.001"
    assert (root.findtext(SVG + "title"), root.findtext(SVG + "desc")) == ("A3", "words")


@pytest.mark.parametrize(
    ("micrometres", "millimetres"),
    [
        (0, "0"),
        (1, "0.001"),
        (-1, "-0.001"),
        (10, "0.01"),
        (1_500, "1.5"),
        (-2_050, "-2.05"),
        (120_000, "120"),
    ],
)
def test_millimetres_are_exact_and_short(micrometres: int, millimetres: str) -> None:
    assert mm(micrometres) == millimetres


@given(st.integers(-(10**10), 10**10))
def test_millimetres_read_back_to_the_micrometre(value: int) -> None:
    assert round(float(mm(value)) * 1000) == value
    assert len(mm(value).partition(".")[2]) <= 3


def test_a_line_is_one_path_that_says_what_it_joins() -> None:
    runs = ((Point(0, 0), Point(5_000, 0), Point(5_000, 2_500)), (Point(5_000, 0), Point(9_000, 0)))
    ref = Ref(
        ("line", "folded"),
        (("from", "DESK.1"), ("to", "PB1.T1 PB1.T2"), ("net", "n1")),
        "title",
        "desc",
    )
    path = only("path", Line(runs, Style(width=350), ref))
    assert path.attrib["d"] == "M0,0 L5,0 L5,2.5 M5,0 L9,0"
    assert path.attrib["class"] == "line folded"
    assert path.attrib["data-to"] == "PB1.T1 PB1.T2"
    assert [child.tag for child in path] == [SVG + "title", SVG + "desc"]
    assert path.attrib["stroke-width"] == "0.35"


def test_the_first_rectangle_of_a_group_is_the_first_drawn() -> None:
    box = Rect(Box(1_000, 2_000, 30_000, 20_000), styles.EQUIPMENT)
    group = only("g", Group((box, Rect(Box(0, 0, 1, 1))), Ref(("equipment",), (("id", "LIM"),))))
    assert group.attrib["data-id"] == "LIM"
    first = next(group.iter(SVG + "rect"))
    assert [first.attrib[key] for key in ("x", "y", "width", "height")] == ["1", "2", "30", "20"]


def test_every_mark_carries_its_reference() -> None:
    ref = Ref(("it",), (("name", "x"),), "what it is")
    marks: list[Mark] = [
        Line(((Point(0, 0), Point(1, 1)),), ref=ref),
        Rect(Box(0, 0, 1, 1), ref=ref),
        Circle(Point(0, 0), 1, ref=ref),
        Shape((Point(0, 0), Point(1, 0), Point(0, 1)), ref=ref),
        Curve(Point(0, 0), ((Point(0, 1), Point(1, 1), Point(1, 0)),), ref=ref),
        words("x", Point(0, 0), ref=ref),
        Group((), ref),
    ]
    elements = [e for e in parsed(*marks).iter() if e.attrib.get("class") == "it"]
    assert len(elements) == len(marks)
    for element in elements:
        assert element.attrib["data-name"] == "x"
        assert element.findtext(SVG + "title") == "what it is"


@given(st.text(st.characters(exclude_categories=())))
def test_any_text_survives_as_what_xml_allows(anything: str) -> None:
    ref = Ref(("a",), (("value", anything),), anything, anything)
    element = only("text", Text(Point(0, 0), anything, 2_500, 1, ref=ref))
    assert (element.text or "") == text.printable(anything)
    assert (element.findtext(SVG + "title") or "") == text.printable(anything)
    assert element.attrib.get("data-value", "") == text.printable(anything)


def test_there_is_nothing_to_run_or_to_fetch() -> None:
    hostile = '"><script>alert(1)</script><a href="x" onload="y">&lol; <!-- ]]>'
    root = parsed(words(hostile, Point(0, 0), ref=Ref((), (("v", hostile),), hostile)))
    assert {e.tag.removeprefix(SVG) for e in root.iter()} == {"svg", "title", "text"}
    assert not [
        k for e in root.iter() for k in e.attrib if k.startswith("on") or k.endswith("href")
    ]


def test_spaces_are_kept() -> None:
    root = parsed(words("A  B ", Point(0, 0)))
    assert root.attrib["{http://www.w3.org/XML/1998/namespace}space"] == "preserve"
    assert root.findtext(SVG + "text") == "A  B "


@pytest.mark.parametrize("anchor", ["start", "middle", "end"])
@pytest.mark.parametrize("line", ["PB1 12", "LIM.L:out", "Hxg|", "Ångström", "WAVE To AVA"])
def test_rendered_text_lies_in_its_room(line: str, anchor: str) -> None:
    mark = words(line, Point(60_000, 20_000), height=5_000, anchor=anchor)
    found = render(paint(Drawing(120_000, 40_000, (mark,), "")), dpi=508).ink_box()
    assert text_box(mark).grown(100).contains(found)
    # Kerned natural widths would fall short by more than the letters' side bearings.
    assert found.width > mark.width - 1_600


def test_another_font_is_held_to_the_measured_width() -> None:
    mark = words("MASTER 12", Point(5_000, 20_000), height=3_500)
    svg = paint(Drawing(60_000, 40_000, (mark,), ""))
    # As a far wider font would be: the same letters at a font size half as large again.
    size = f'font-size="{mm(text.font_size(3_500))}"'
    assert size in svg
    wide = svg.replace(size, f'font-size="{mm(text.font_size(5_250))}"')
    assert render(wide, dpi=508).ink_box().right <= text_box(mark).right + 100


def test_dashes_are_drawn_with_their_gaps() -> None:
    dashed = Style(width=1_000, dash="dashed")
    mark = Line(((Point(5_000, 20_000), Point(50_000, 20_000)),), dashed)
    row = render(paint(Drawing(60_000, 40_000, (mark,), "")), dpi=254).darkness[200]
    # 45 mm in dashes of 6 mm with gaps of 3 mm: 30 mm of ink, 10 pixels to the mm.
    assert row.sum() == pytest.approx(300, abs=2)


def test_same_drawing_same_bytes_whatever_the_hash_seed() -> None:
    code = "from tests.paint.sample import SAMPLE; from slinediag.paint.svg import paint; import sys; sys.stdout.buffer.write(paint(SAMPLE).encode())"
    runs = {
        subprocess.run(
            [sys.executable, "-c", code],
            env={"PYTHONHASHSEED": seed, "LC_ALL": "C"},
            capture_output=True,
            check=True,
            cwd=ROOT,
        ).stdout
        for seed in ("1", "2")
    }
    assert runs == {paint(SAMPLE).encode()}


def test_painting_svg_loads_no_qt() -> None:
    code = "import sys, slinediag.paint.svg, slinediag.drawing.query; sys.exit(any('PySide6' in name for name in sys.modules))"
    assert subprocess.run([sys.executable, "-c", code], check=False, cwd=ROOT).returncode == 0


@pytest.mark.parametrize("anchor", ["start", "middle", "end"])
@pytest.mark.parametrize("held", [True, False])
def test_a_squeezed_text_fits_its_room_with_and_without_a_held_length(anchor, held) -> None:
    natural = text.width("MUSIC DESK", styles.H25)
    squeezed = Text(Point(30_000, 20_000), "MUSIC DESK", styles.H25, natural * 7 // 10, anchor)
    svg = paint(Drawing(60_000, 40_000, (squeezed,), "A title"))
    if not held:  # as a viewer reads it that knows of no such attribute
        svg = re.sub(r' (textLength|lengthAdjust)="[^"]*"', "", svg)
    ink, room = render(svg, dpi=200).ink_box(), text_box(squeezed)
    assert room.x - 200 <= ink.x
    assert ink.right <= room.right + 200
    assert ink.width > 0.9 * room.width
