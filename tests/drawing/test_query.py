"""Room and hits of marks, held against renderings by an SVG renderer that is not ours."""

from __future__ import annotations

import pytest

from slinediag import text
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
from slinediag.drawing.query import at, ink_box, text_boxes, walk
from slinediag.geometry import Box, Point
from slinediag.paint.svg import paint
from tests.paint.rendering import render

BLACK_FILL = Style(stroke=None, fill="#000000")
OPEN = Style(width=500)


def label(words: str, **more: object) -> Text:
    height = 5_000
    weight = "bold" if more.get("weight") == "bold" else "regular"
    return Text(Point(30_000, 25_000), words, height, text.width(words, height, weight), **more)  # type: ignore[arg-type]


MARKS: dict[str, Mark] = {
    "line": Line(
        (
            (Point(10_000, 10_000), Point(40_000, 10_000), Point(40_000, 30_000)),
            (Point(20_000, 10_000), Point(20_000, 35_000)),
        ),
        Style(width=1000, end="round"),
    ),
    "rect": Rect(Box(12_000, 9_000, 30_000, 21_000), OPEN),
    "circle": Circle(Point(30_000, 20_000), 7_500, OPEN),
    "shape": Shape(
        (Point(10_000, 10_000), Point(50_000, 20_000), Point(15_000, 32_000)), BLACK_FILL
    ),
    "cord": Curve(
        Point(10_000, 8_000),
        ((Point(12_000, 45_000), Point(45_000, 48_000), Point(50_000, 8_000)),),
        Style(width=1400, end="round"),
    ),
    "wave": Curve(
        Point(10_000, 20_000), ((Point(60_000, 0), Point(0, 40_000), Point(50_000, 20_000)),), OPEN
    ),
    "text": label("Hxg|Å"),
    "text in the middle": label("MASTER Q", anchor="middle", weight="bold"),
    "text at the end": label("jfy", anchor="end"),
}


@pytest.mark.parametrize("mark", MARKS.values(), ids=MARKS)
def test_ink_box_is_where_a_renderer_puts_ink(mark: Mark) -> None:
    picture = render(paint(Drawing(60_000, 40_000, (mark,), "")), dpi=508)  # 20 pixels to the mm
    found = picture.ink_box()
    expected = ink_box(mark)
    # Side bearings leave a text's ink short of its box; only a j hangs over, by 0.03 em.
    over, short = (250, 1_200) if isinstance(mark, Text) else (100, 150)
    assert expected.grown(over).contains(found)
    assert found.grown(short).contains(expected)


def test_walk_goes_in_painting_order_with_what_marks_stand_for() -> None:
    outer, inner = Ref(("equipment",)), Ref(("port",))
    dot = Circle(Point(5, 5), 2, ref=inner)
    box = Rect(Box(0, 0, 10, 10))
    drawing = Drawing(20, 20, (Group((box, Group((dot,))), outer), label("x")), "")
    placed = list(walk(drawing))
    assert [p.mark for p in placed][:2] == [box, dot]
    assert placed[1].refs == (outer, Ref(), inner)
    assert [mark.text for mark, _ in text_boxes(drawing)] == ["x"]


@pytest.mark.parametrize(
    "mark",
    [m for m in MARKS.values() if not isinstance(m, Text)],
    ids=[k for k in MARKS if "text" not in k],
)
def test_hits_are_where_a_renderer_puts_ink(mark: Mark) -> None:
    drawing = Drawing(60_000, 40_000, (Group((mark,), Ref(("it",))),), "")
    picture = render(paint(drawing), dpi=50.8)  # 2 pixels to the mm
    for point, darkness in picture.samples():
        hit = bool(at(drawing, point))
        # Points on an edge, grey in the rendering, may go either way.
        if darkness > 0.95:
            assert hit, point
        if darkness < 0.05:
            assert not hit, point


def test_topmost_mark_is_hit_and_marks_that_stand_for_nothing_are_seen_through() -> None:
    below, above = Ref(("below",)), Ref(("above",))
    filled = Style(fill="#ffffff")
    box = Box(0, 0, 10_000, 10_000)
    group = Group(
        (
            Rect(box, filled, ref=below),
            Rect(box.grown(-2_000), filled, ref=above),
            Rect(box, filled),
        ),
        Ref(("equipment",)),
    )
    drawing = Drawing(20_000, 20_000, (Rect(Box(0, 0, 20_000, 20_000), filled), group), "")
    # The last rectangle has no reference of its own but belongs to the equipment.
    assert at(drawing, Point(5_000, 5_000)) == (Ref(("equipment",)),)
    assert at(drawing, Point(15_000, 15_000)) == ()


def test_reach_widens_a_hit() -> None:
    drawing = Drawing(
        20_000, 20_000, (Line(((Point(0, 5_000), Point(9_000, 5_000)),), ref=Ref(("line",))),), ""
    )
    assert at(drawing, Point(4_000, 6_000)) == ()
    assert at(drawing, Point(4_000, 6_000), reach=1_000) == (Ref(("line",)),)


def test_an_open_rectangle_is_hit_on_its_edge_only() -> None:
    drawing = Drawing(
        20_000, 20_000, (Rect(Box(1_000, 1_000, 9_000, 9_000), ref=Ref(("rect",))),), ""
    )
    assert at(drawing, Point(5_000, 5_000)) == ()
    assert at(drawing, Point(1_000, 5_000)) != ()


def test_a_group_takes_the_room_of_all_its_marks() -> None:
    inner = Group((Circle(Point(30_000, 20_000), 2_000, BLACK_FILL),))
    assert ink_box(Group((Rect(Box(0, 0, 10, 10), BLACK_FILL), inner))) == Box(0, 0, 32_000, 22_000)


def test_text_is_hit_anywhere_in_its_room() -> None:
    mark = label("I I", ref=Ref(("label",)))
    drawing = Drawing(60_000, 40_000, (mark,), "")
    between = Point(mark.at.x + mark.width // 2, mark.at.y - 2_000)
    assert at(drawing, between) == (Ref(("label",)),)
    assert at(drawing, between.moved(0, 4_000)) == ()


def test_the_room_of_a_curve_that_bends_one_way_only() -> None:
    # A quadratic raised to a cubic has no cubic term: its lowest point lies at half of its way,
    # at 0.75 of the height of its inner control points.
    sag = Curve(
        Point(0, 0), ((Point(2_000, 8_000), Point(4_000, 8_000), Point(6_000, 0)),), BLACK_FILL
    )
    assert ink_box(sag) == Box(0, 0, 6_000, 6_000)
