"""Frozen marks on a sheet, in micrometres, that every painter paints alike.

A painter matches on the mark's type and ends in ``assert_never``: a new mark that a painter
does not know fails type checking, not the person at the printer.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from slinediag.geometry import Box, Point, Run

Anchor = Literal["start", "middle", "end"]
Weight = Literal["regular", "bold"]
Dash = Literal["solid", "dashed", "dotted"]
End = Literal["butt", "round"]


@dataclass(frozen=True, slots=True)
class Style:
    """How a mark is inked: colours as ``#rrggbb`` or None for none, stroke width in micrometres."""

    stroke: str | None = "#000000"
    width: int = 350
    fill: str | None = None
    dash: Dash = "solid"
    end: End = "butt"


@dataclass(frozen=True, slots=True)
class Ref:
    """What a mark stands for: its classes, its data attributes, a title and a description.

    ``data`` holds (name, value) pairs without the ``data-`` prefix, in the order written.
    """

    classes: tuple[str, ...] = ()
    data: tuple[tuple[str, str], ...] = ()
    title: str = ""
    desc: str = ""


@dataclass(frozen=True, slots=True)
class Line:
    """One or several runs inked as one path: a line, or a trunk with its branches."""

    runs: tuple[Run, ...]
    style: Style = Style()
    ref: Ref | None = None


@dataclass(frozen=True, slots=True)
class Rect:
    """An upright rectangle, its corners rounded by ``radius``."""

    box: Box
    style: Style = Style()
    radius: int = 0
    ref: Ref | None = None


@dataclass(frozen=True, slots=True)
class Circle:
    """A circle about a point."""

    centre: Point
    radius: int
    style: Style = Style()
    ref: Ref | None = None


@dataclass(frozen=True, slots=True)
class Shape:
    """A closed polygon."""

    corners: tuple[Point, ...]
    style: Style = Style()
    ref: Ref | None = None


@dataclass(frozen=True, slots=True)
class Curve:
    """Cubic Bézier pieces end to end: a start, then (control, control, end) for each piece."""

    start: Point
    pieces: tuple[tuple[Point, Point, Point], ...]
    style: Style = Style()
    ref: Ref | None = None


@dataclass(frozen=True, slots=True)
class Text:
    """One line of text. ``height`` is the height of its capitals, ``at`` its baseline's anchor.

    ``width`` is the room it takes as measured by slinediag.text; painters hold it to that.
    """

    at: Point
    text: str
    height: int
    width: int
    anchor: Anchor = "start"
    weight: Weight = "regular"
    colour: str = "#000000"
    ref: Ref | None = None


@dataclass(frozen=True, slots=True)
class Group:
    """Marks that belong together and stand for one thing, in painting order."""

    marks: tuple[Mark, ...]
    ref: Ref = field(default_factory=Ref)


Mark = Line | Rect | Circle | Shape | Curve | Text | Group


@dataclass(frozen=True, slots=True)
class Drawing:
    """One sheet: its size in micrometres, its marks in painting order, its title and words.

    ``number``: by which others of its set call it; 0 where that is its place among them.
    ``bears``: what its file keeps unseen for who draws it again, names with their values as JSON.
    """

    width: int
    height: int
    marks: tuple[Mark, ...]
    title: str
    desc: str = ""
    number: int = 0
    bears: tuple[tuple[str, str], ...] = ()
