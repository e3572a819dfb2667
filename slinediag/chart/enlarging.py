"""Marks drawn larger, so that a chart fills its sheet and is read from further off."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace
from fractions import Fraction
from typing import assert_never

from slinediag import text
from slinediag.drawing.marks import Circle, Curve, Group, Line, Mark, Rect, Shape, Style, Text
from slinediag.geometry import Box, Point

SCALES = tuple(Fraction(n, 5) for n in (5, 7, 10, 14, 20, 28, 40))
"""Steps of about √2, as those of letter heights (ISO 3098) and line widths (ISO 128)."""

LEAST_HEIGHT = 2500
"""Of a chart's labels at scale 1, micrometres."""
LEAST_ANGLE = math.radians(16 / 60)
"""16 minutes of arc: the least at which lettering is read (ISO 9241-3; NUREG-0700 1.3.1-4)."""


def scale_to_read_at(distance: float) -> Fraction:
    """The least scale at which labels are read from a distance in mm: height = 2·D·tan(a/2)."""
    wanted = 2000 * distance * math.tan(LEAST_ANGLE / 2)
    steps = (scale for scale in SCALES if LEAST_HEIGHT * scale >= wanted)
    return next(steps, SCALES[-1])


def farthest(scale: Fraction) -> float:
    """From how far off, in mm, labels are read at a scale."""
    return float(LEAST_HEIGHT * scale / 2000) / math.tan(LEAST_ANGLE / 2)


def enlarged(marks: Iterable[Mark], scale: Fraction) -> tuple[Mark, ...]:
    """All marks this many times as large about the origin, strokes and lettering too."""
    if scale == 1:
        return tuple(marks)
    return tuple(_enlarged(mark, scale) for mark in marks)


def _enlarged(mark: Mark, scale: Fraction) -> Mark:
    """A mark with all its lengths times the scale; a text measured anew."""

    def at(point: Point) -> Point:
        return Point(round(point.x * scale), round(point.y * scale))

    if isinstance(mark, Group):
        return replace(mark, marks=enlarged(mark.marks, scale))
    if isinstance(mark, Text):
        height = round(mark.height * scale)
        width = text.width(mark.text, height, mark.weight)
        return replace(mark, at=at(mark.at), height=height, width=width)
    style = _enlarged_style(mark.style, scale)
    match mark:
        case Line():
            runs = tuple(tuple(at(point) for point in run) for run in mark.runs)
            return replace(mark, runs=runs, style=style)
        case Rect():
            radius = round(mark.radius * scale)
            return replace(mark, box=enlarged_box(mark.box, scale), style=style, radius=radius)
        case Circle():
            radius = round(mark.radius * scale)
            return replace(mark, centre=at(mark.centre), radius=radius, style=style)
        case Shape():
            return replace(mark, corners=tuple(map(at, mark.corners)), style=style)
        case Curve():
            pieces = tuple((at(a), at(b), at(c)) for a, b, c in mark.pieces)
            return replace(mark, start=at(mark.start), pieces=pieces, style=style)
        case _:
            assert_never(mark)


def _enlarged_style(style: Style, scale: Fraction) -> Style:
    return replace(style, width=round(style.width * scale))


def enlarged_box(box: Box, scale: Fraction) -> Box:
    """A box this many times as large about the origin."""
    left, top = round(box.x * scale), round(box.y * scale)
    return Box(left, top, round(box.right * scale) - left, round(box.bottom * scale) - top)
