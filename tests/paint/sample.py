"""One drawing that has every mark on it."""

from __future__ import annotations

from typing import Any

from slinediag import text
from slinediag.drawing import styles
from slinediag.drawing.marks import (
    Circle,
    Curve,
    Drawing,
    Group,
    Line,
    Rect,
    Ref,
    Shape,
    Style,
    Text,
)
from slinediag.geometry import Box, Point


def words(line: str, at: Point, height: int = 2_500, **more: Any) -> Text:
    """A text with its measured width."""
    return Text(at, line, height, text.width(line, height, more.get("weight", "regular")), **more)


SAMPLE = Drawing(
    100_000,
    60_000,
    (
        Rect(Box(0, 0, 100_000, 60_000), Style(stroke=None, fill="#ffffff"), ref=Ref(("paper",))),
        Line(
            (
                (Point(10_000, 10_500), Point(50_000, 10_500), Point(50_000, 20_000)),
                (Point(50_000, 10_500), Point(60_001, 10_500)),
            ),
            styles.LINE,
            Ref(("line",), (("from", "DISC.L"), ("to", "DESK.1 REC.1")), "DISC L to DESK 1"),
        ),
        Group(
            (
                Rect(Box(20_000, 25_000, 24_000, 10_000), styles.EQUIPMENT),
                words("LIM Äjg", Point(21_000, 31_000)),
                words("OUT", Point(43_000, 31_000), anchor="end", colour=styles.TEXT_GREY),
            ),
            Ref(("equipment",), (("id", "LIM"),), "Limiter", "peak limiting"),
        ),
        Circle(Point(70_000, 20_000), 1_500, styles.JACK),
        Circle(Point(76_000, 20_000), 950, styles.TAP_MARK),
        Shape(
            (Point(70_000, 30_000), Point(72_200, 31_250), Point(72_200, 28_750)), styles.BREAK_MARK
        ),
        Curve(
            Point(20_000, 45_000),
            ((Point(40_000, 62_000), Point(50_000, 62_000), Point(60_000, 40_000)),),
            styles.CORD,
            Ref(("cord",), (("cord", "PB1.T3=PB2.B7"),)),
        ),
        Line(((Point(5_000, 40_000), Point(15_000, 40_000)),), Style(width=350, dash="dashed")),
        Line(((Point(5_000, 43_000), Point(15_000, 43_000)),), Style(width=500, dash="dotted")),
        Rect(Box(63_000, 34_000, 34_000, 8_000), styles.REFERENCE_FLAG, radius=1_200),
        words(
            "Cord 1 · to XMIT",
            Point(80_000, 39_000),
            weight="bold",
            colour=styles.BLUE,
            anchor="middle",
        ),
        words("two  spaces ", Point(95_000, 50_000), 3_500, anchor="end", weight="bold"),
    ),
    "Sample",
    "Every mark once.",
)

MACHINE_WITHOUT_FONTS = """<?xml version="1.0"?>
<!DOCTYPE fontconfig SYSTEM "urn:fontconfig:fonts.dtd">
<fontconfig></fontconfig>
"""
"""A fontconfig file that finds no font."""
