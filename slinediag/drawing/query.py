"""Questions about a drawing: what is on it, how much room each mark takes, what lies at a point."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import assert_never

from slinediag import text
from slinediag.drawing.curves import circle_as_curve, curve_box, flattened
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
    Text,
)
from slinediag.geometry import Box, Point, Run, around, union

Leaf = Line | Rect | Circle | Shape | Curve | Text


@dataclass(frozen=True, slots=True)
class Placed:
    """A mark that is no group, what it stands for, outermost first, and the room its ink takes."""

    mark: Leaf
    refs: tuple[Ref, ...]
    box: Box


def walk(drawing: Drawing) -> Iterator[Placed]:
    """Every mark that is no group, in painting order."""
    return walk_marks(drawing.marks)


def walk_marks(marks: Iterable[Mark]) -> Iterator[Placed]:
    """Of marks, every one that is no group, in painting order."""
    return _walk(marks, ())


def _walk(marks: Iterable[Mark], refs: tuple[Ref, ...]) -> Iterator[Placed]:
    for mark in marks:
        within = (*refs, mark.ref) if mark.ref is not None else refs
        if isinstance(mark, Group):
            yield from _walk(mark.marks, within)
        else:
            yield Placed(mark, within, ink_box(mark))


def ink_box(mark: Mark) -> Box:
    """The room a mark's ink takes, its stroke included as if every end and corner were round."""
    match mark:
        case Line():
            return around(p for run in mark.runs for p in run).grown(_reach(mark))
        case Rect():
            return mark.box.grown(_reach(mark))
        case Circle():
            radius = mark.radius
            x, y = mark.centre
            return Box(x - radius, y - radius, 2 * radius, 2 * radius).grown(_reach(mark))
        case Shape():
            return around(mark.corners).grown(_reach(mark))
        case Curve():
            return curve_box(mark).grown(_reach(mark))
        case Text():
            return text_box(mark)
        case Group():
            return union(ink_box(inner) for inner in mark.marks)
        case _:
            assert_never(mark)


def text_box(mark: Text) -> Box:
    """The room a text takes: its measured width, and its ink's height about the baseline."""
    above, below = text.ink(mark.text, mark.height, mark.weight)
    left = {"start": 0, "middle": mark.width // 2, "end": mark.width}[mark.anchor]
    return Box(mark.at.x - left, mark.at.y - above, mark.width, above + below)


def text_boxes(drawing: Drawing) -> tuple[tuple[Text, Box], ...]:
    """Every text with the room it takes, in painting order."""
    return tuple((p.mark, p.box) for p in walk(drawing) if isinstance(p.mark, Text))


def sheet_named_by(ref: Ref) -> int | None:
    """The number of the sheet that a mark refers to; None where it refers to none."""
    number = dict(ref.data).get("sheet", "")
    return int(number) if number.isdecimal() else None


def groups_to_sheets(marks: Iterable[Mark]) -> Iterator[tuple[Group, int]]:
    """Every group that refers to a sheet, with that sheet's number."""
    for mark in marks:
        if isinstance(mark, Group):
            number = sheet_named_by(mark.ref)
            if number is not None:
                yield mark, number
            yield from groups_to_sheets(mark.marks)


def at(drawing: Drawing, point: Point, reach: int = 0) -> tuple[Ref, ...]:
    """What the topmost mark at a point stands for, as ``at_placed`` says."""
    return at_placed(tuple(walk(drawing)), point, reach)


def at_placed(marks: Sequence[Placed], point: Point, reach: int = 0) -> tuple[Ref, ...]:
    """What the topmost mark at a point stands for, innermost first; empty where nothing does.

    ``marks`` are those of ``walk``, kept by whoever asks often. Marks that stand for nothing,
    such as the paper's, are looked through. ``reach`` is how far off, in micrometres, a mark
    still counts.
    """
    for placed in reversed(marks):
        if placed.box.grown(reach).holds(point) and _touches(placed.mark, point, reach):
            refs = tuple(ref for ref in reversed(placed.refs) if ref != Ref())
            if refs:
                return refs
    return ()


def _reach(mark: Line | Rect | Circle | Shape | Curve) -> int:
    """How far a mark's stroke reaches beyond its outline."""
    return -(-mark.style.width // 2) if mark.style.stroke is not None else 0


def _touches(mark: Leaf, point: Point, reach: int) -> bool:
    """Whether a point within reach of a mark's box touches the mark itself."""
    match mark:
        case Text():
            return True
        case Rect() | Circle() | Shape() if mark.style.fill is not None:
            return _within(mark, point) or _near(_outlines(mark), point, reach + _reach(mark))
        case Line() | Rect() | Circle() | Shape() | Curve():
            return _near(_outlines(mark), point, reach + _reach(mark))
        case _:
            assert_never(mark)


def _outlines(mark: Line | Rect | Circle | Shape | Curve) -> tuple[Run, ...]:
    """A mark's outline as straight runs."""
    match mark:
        case Line():
            return mark.runs
        case Rect():
            box = mark.box
            right, bottom = Point(box.right, box.y), Point(box.x, box.bottom)
            first = Point(box.x, box.y)
            return ((first, right, Point(box.right, box.bottom), bottom, first),)
        case Circle():
            return (flattened(circle_as_curve(mark)),)
        case Shape():
            return ((*mark.corners, mark.corners[0]),)
        case Curve():
            return (flattened(mark),)
        case _:
            assert_never(mark)


def _within(mark: Rect | Circle | Shape, point: Point) -> bool:
    match mark:
        case Rect():
            return mark.box.holds(point)
        case Circle():
            dx, dy = point.x - mark.centre.x, point.y - mark.centre.y
            return dx * dx + dy * dy <= mark.radius**2
        case Shape():
            return _inside(mark.corners, point)
        case _:
            assert_never(mark)


def _inside(corners: Run, point: Point) -> bool:
    """Whether a point lies in a polygon, by counting the sides to its right."""
    inside = False
    for a, b in pairwise((*corners, corners[0])):
        if (a.y > point.y) != (b.y > point.y):
            # Whole numbers throughout: multiplied out instead of divided.
            side = (b.x - a.x) * (point.y - a.y) - (point.x - a.x) * (b.y - a.y)
            inside ^= (side > 0) == (b.y > a.y)
    return inside


def _near(runs: Iterable[Run], point: Point, distance: int) -> bool:
    return any(
        _distance_squared(a, b, point) <= distance * distance
        for run in runs
        for a, b in pairwise(run)
    )


def _distance_squared(a: Point, b: Point, point: Point) -> float:
    """The squared distance from a point to a straight piece."""
    dx, dy = b.x - a.x, b.y - a.y
    length = dx * dx + dy * dy
    along = (point.x - a.x) * dx + (point.y - a.y) * dy
    share = min(1.0, max(0.0, along / length)) if length else 0.0
    return float((a.x + share * dx - point.x) ** 2 + (a.y + share * dy - point.y) ** 2)
