"""Marks moved to another place on the sheet."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import assert_never

from slinediag.drawing.marks import Circle, Curve, Group, Line, Mark, Rect, Shape, Text
from slinediag.geometry import Box, Point


def moved(mark: Mark, dx: int, dy: int) -> Mark:
    """The mark this far to the right and down, micrometres."""
    match mark:
        case Line():
            runs = tuple(tuple(point.moved(dx, dy) for point in run) for run in mark.runs)
            return replace(mark, runs=runs)
        case Rect():
            return replace(mark, box=mark.box.moved(dx, dy))
        case Circle():
            return replace(mark, centre=mark.centre.moved(dx, dy))
        case Shape():
            return replace(mark, corners=tuple(c.moved(dx, dy) for c in mark.corners))
        case Curve():
            pieces = tuple(
                (a.moved(dx, dy), b.moved(dx, dy), c.moved(dx, dy)) for a, b, c in mark.pieces
            )
            return replace(mark, start=mark.start.moved(dx, dy), pieces=pieces)
        case Text():
            return replace(mark, at=mark.at.moved(dx, dy))
        case Group():
            return replace(mark, marks=all_moved(mark.marks, dx, dy))
        case _:
            assert_never(mark)


def all_moved(marks: Iterable[Mark], dx: int, dy: int) -> tuple[Mark, ...]:
    """All the marks this far to the right and down, micrometres."""
    return tuple(moved(mark, dx, dy) for mark in marks)


def into(room: Box, box: Box) -> Point:
    """The least way, right and down, that brings a box into a room; the left top corner comes first
    where it has not room for all."""
    right, down = min(0, room.right - box.right), min(0, room.bottom - box.bottom)
    return Point(max(right, room.x - box.x), max(down, room.y - box.y))
