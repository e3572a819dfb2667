"""SVG 1.1: millimetres on the sheet, exact to the micrometre; the same drawing, the same bytes."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import assert_never
from urllib.parse import quote

import svgwrite
from svgwrite.base import BaseElement
from svgwrite.container import Group as GroupElement
from svgwrite.container import Hyperlink
from svgwrite.path import Path
from svgwrite.shapes import Circle as CircleElement
from svgwrite.shapes import Polygon
from svgwrite.shapes import Rect as RectElement
from svgwrite.text import Text as TextElement

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
from slinediag.drawing.query import sheet_named_by
from slinediag.drawing.styles import dash_lengths
from slinediag.geometry import Point, Run
from slinediag.paint.bearing import svg_element
from slinediag.text import font_size, printable, width

FONTS = "Liberation Sans, Arial, Helvetica, sans-serif"
HEADER = '<?xml version="1.0" encoding="utf-8"?>\n'
# Before these tags a line may break without a change to any text on the sheet.
BREAKABLE = re.compile("(?<=>)(?=<(?:g|metadata|path|rect|circle|polygon|text|/g|/svg)[ >])")

Attributes = dict[str, str | bool]
ALONE: Mapping[int, str] = {}
"""The files of the set where a drawing is in none."""


def paint(drawing: Drawing, sheets: Mapping[int, str] = ALONE) -> str:
    """The drawing as an SVG document, to be encoded as UTF-8.

    ``sheets``: the file names of the set it belongs to, by number; what names a sheet leads there.
    """
    width, height = mm(drawing.width), mm(drawing.height)
    root = svgwrite.Drawing(
        size=(f"{width}mm", f"{height}mm"),
        viewBox=f"0 0 {width} {height}",
        font_family=FONTS,
        debug=False,
    )
    root["xml:space"] = "preserve"
    root.elements.clear()  # an empty <defs>
    root.set_desc(title=printable(drawing.title), desc=printable(drawing.desc) or None)
    borne = svg_element(drawing)
    if borne is not None:
        root.set_metadata(borne)
    for mark in drawing.marks:
        root.add(element(mark, sheets))
    return HEADER + BREAKABLE.sub("\n", root.tostring()) + "\n"


def mm(value: int) -> str:
    """Micrometres as millimetres, as short as they can be written exactly."""
    whole, part = divmod(abs(value), 1000)
    sign = "-" if value < 0 else ""
    return f"{sign}{whole}.{part:03d}".rstrip("0").rstrip(".")


def element(mark: Mark, sheets: Mapping[int, str] = ALONE) -> BaseElement:
    """A mark as one SVG element, its reference on that element; ``sheets`` as for ``paint``."""
    match mark:
        case Line():
            return _marked(Path(_runs(mark.runs), **_ink(mark.style)), mark.ref)
        case Rect():
            return _marked(_rectangle(mark), mark.ref)
        case Circle():
            centre, radius = _pair(mark.centre), mm(mark.radius)
            return _marked(CircleElement(centre, radius, **_ink(mark.style)), mark.ref)
        case Shape():
            return _marked(Polygon(map(_pair, mark.corners), **_ink(mark.style)), mark.ref)
        case Curve():
            return _marked(Path(_pieces(mark), **_ink(mark.style)), mark.ref)
        case Text():
            return _marked(_text(mark), mark.ref)
        case Group():
            group = _marked(GroupElement(debug=False), mark.ref)
            for inner in mark.marks:
                group.add(element(inner, sheets))
            return _leading(group, mark.ref, sheets)
        case _:
            assert_never(mark)


def _leading(group: BaseElement, ref: Ref, sheets: Mapping[int, str]) -> BaseElement:
    """The group as a link, where it names one of the sheets."""
    number = sheet_named_by(ref) or 0
    if number not in sheets:
        return group
    link = Hyperlink(quote(sheets[number]), target="_self", debug=False)
    link.add(group)
    return link


def _marked(made: BaseElement, ref: Ref | None) -> BaseElement:
    """The element with what it stands for: classes, data, title and description."""
    if ref is None:
        return made
    if ref.classes:
        made["class"] = " ".join(ref.classes)
    for name, value in ref.data:
        made[f"data-{name}"] = printable(value)
    made.set_desc(title=printable(ref.title) or None, desc=printable(ref.desc) or None)
    return made


def _ink(style: Style) -> Attributes:
    """Presentation attributes; svgwrite's own checks are off, since it knows no data attributes."""
    ink: Attributes = {"debug": False, "fill": style.fill or "none"}
    ink["stroke"] = style.stroke or "none"
    if style.stroke is None:
        return ink
    ink["stroke_width"] = mm(style.width)
    if style.end == "round":
        ink |= {"stroke_linecap": "round", "stroke_linejoin": "round"}
    if dashes := dash_lengths(style):
        ink["stroke_dasharray"] = " ".join(map(mm, dashes))
    return ink


def _pair(point: Point) -> tuple[str, str]:
    return mm(point.x), mm(point.y)


def _listed(points: Iterable[Point]) -> str:
    return " ".join(",".join(_pair(point)) for point in points)


def _runs(runs: Iterable[Run]) -> str:
    return " ".join("M" + " L".join(_listed([corner]) for corner in run) for run in runs)


def _pieces(curve: Curve) -> str:
    return " ".join([f"M{_listed([curve.start])}", *(f"C{_listed(p)}" for p in curve.pieces)])


def _rectangle(mark: Rect) -> BaseElement:
    box = mark.box
    corner, size = _pair(Point(box.x, box.y)), _pair(Point(box.width, box.height))
    radius = mm(mark.radius) if mark.radius else None
    return RectElement(corner, size, rx=radius, **_ink(mark.style))


def _text(mark: Text) -> BaseElement:
    """A text held to its measured width, so that another font cannot overflow its room."""
    made = TextElement(printable(mark.text), x=[mm(mark.at.x)], y=[mm(mark.at.y)], debug=False)
    made["font-size"] = mm(font_size(mark.height))
    made["fill"] = mark.colour
    if mark.weight == "bold":
        made["font-weight"] = "bold"
    if mark.anchor != "start":
        made["text-anchor"] = mark.anchor
    natural = width(mark.text, mark.height, mark.weight)
    if mark.width > 0:
        made["textLength"] = mm(max(mark.width, natural))
        made["lengthAdjust"] = "spacingAndGlyphs"
    if 0 < mark.width < natural:
        # Squeezed by what every viewer heeds: some heed no textLength.
        shift = round(mark.at.x * (natural - mark.width) / natural)
        made["transform"] = f"matrix({mark.width / natural:.5f} 0 0 1 {mm(shift)} 0)"
    return made
