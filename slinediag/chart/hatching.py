"""Slanting rules over a box that leave its lettering free."""

from __future__ import annotations

from collections.abc import Iterable

from slinediag.drawing import styles
from slinediag.drawing.marks import Line, Ref, Style
from slinediag.geometry import Box, Point, Run

STEP = 3000
INK = Style(styles.LINE_GREY, styles.W25)


def hatch(box: Box, taken: Iterable[Box]) -> Line:
    """Rules at 45 degrees, rising to the right, cut where they would meet what is taken."""
    free: list[Run] = []
    holes = tuple(taken)
    for offset in range(STEP, box.width + box.height, STEP):
        start = max(0, offset - box.height)
        end = min(offset, box.width)
        free += _free_pieces(box, offset, start, end, holes)
    return Line(tuple(free), INK, Ref(("failed-hatch",)))


def _free_pieces(
    box: Box, offset: int, start: int, end: int, holes: tuple[Box, ...]
) -> Iterable[Run]:
    """The pieces of one rule, on which x − left + y − top = offset, outside all holes."""
    cuts = sorted(
        (max(start, low), min(end, high))
        for hole in holes
        for low, high in [_crossing(box, offset, hole)]
        if low < high
    )
    x = start
    for low, high in cuts:
        if low > x:
            yield _rule(box, offset, x, low)
        x = max(x, high)
    if x < end:
        yield _rule(box, offset, x, end)


def _crossing(box: Box, offset: int, hole: Box) -> tuple[int, int]:
    """Where a rule lies in a hole, as x from the box's left."""
    low = max(hole.x - box.x, offset - (hole.bottom - box.y))
    high = min(hole.right - box.x, offset - (hole.y - box.y))
    return low, high


def _rule(box: Box, offset: int, low: int, high: int) -> Run:
    return (
        Point(box.x + low, box.y + offset - low),
        Point(box.x + high, box.y + offset - high),
    )
