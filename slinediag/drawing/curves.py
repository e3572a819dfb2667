"""Bézier curves as plain geometry: the box about one, and one as straight pieces."""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil, floor, sqrt

from slinediag.drawing.marks import Circle, Curve
from slinediag.geometry import Box, Point, Run

# Straight pieces that stand for one Bézier piece.
STEPS = 24


def circle_as_curve(mark: Circle) -> Curve:
    """A circle as four Bézier pieces, true to 0.03 % of its radius."""
    (x, y), r = mark.centre, mark.radius
    k = round(r * 0.5523)
    east, south, west, north = Point(x + r, y), Point(x, y + r), Point(x - r, y), Point(x, y - r)
    return Curve(
        east,
        (
            (east.moved(0, k), south.moved(k, 0), south),
            (south.moved(-k, 0), west.moved(0, k), west),
            (west.moved(0, -k), north.moved(-k, 0), north),
            (north.moved(k, 0), east.moved(0, -k), east),
        ),
        mark.style,
    )


def _pieces(curve: Curve) -> Iterator[tuple[Point, Point, Point, Point]]:
    start = curve.start
    for first, second, end in curve.pieces:
        yield start, first, second, end
        start = end


def _bezier(a: int, b: int, c: int, d: int, t: float) -> float:
    """One coordinate of a cubic Bézier piece at a parameter from 0 to 1."""
    u = 1 - t
    return u * u * u * a + 3 * u * u * t * b + 3 * u * t * t * c + t * t * t * d


def flattened(curve: Curve) -> Run:
    """A curve as straight pieces."""
    points = [curve.start]
    for piece in _pieces(curve):
        xs, ys = zip(*piece, strict=True)
        for step in range(1, STEPS + 1):
            t = step / STEPS
            points.append(Point(round(_bezier(*xs, t)), round(_bezier(*ys, t))))
    return tuple(points)


def curve_box(curve: Curve) -> Box:
    """The smallest box about a curve, rounded outwards: its ends and its turning points."""
    xs: list[float] = [curve.start.x]
    ys: list[float] = [curve.start.y]
    for piece in _pieces(curve):
        for values, column in zip((xs, ys), zip(*piece, strict=True), strict=True):
            values += [column[3], *(_bezier(*column, t) for t in _turns(*column))]
    left, top = floor(min(xs)), floor(min(ys))
    return Box(left, top, ceil(max(xs)) - left, ceil(max(ys)) - top)


def _turns(a: int, b: int, c: int, d: int) -> list[float]:
    """Where one coordinate of a cubic Bézier piece turns: the zeros of its derivative in (0, 1)."""
    square, linear, constant = -a + 3 * b - 3 * c + d, 2 * (a - 2 * b + c), b - a
    if square == 0:
        zeros = [-constant / linear] if linear else []
    else:
        root = linear * linear - 4 * square * constant
        zeros = [(-linear + s * sqrt(root)) / (2 * square) for s in (1, -1)] if root >= 0 else []
    return [t for t in zeros if 0 < t < 1]
