"""The room in a strip's window: for lines of letters, the colour bar, the marks of normals.

Lengths in micrometres.
"""

from __future__ import annotations

from slinediag.papers.labels import Field, row_of
from slinediag.papers.panel import Panel
from slinediag.papers.setting import Cell

LEADING, TIGHT_LEADING = 1.36, 1.3
"""Baseline to baseline of two lines, and of three, in heights of capitals."""
BAR = 3_000
"""The colour bar, as high as its letters of 2.5 mm need."""
MARKS = 2_100
"""The marks of normals."""
EDGE = 400
"""Free above and below the lines of a strip."""


def cell_of(panel: Panel, field: Field, height: int) -> Cell:
    """The room of a field on its strip, about the window's left end."""
    window = panel.window(row_of(field))
    first, last = field.jacks[0].position, field.jacks[-1].position
    lines = min(field.lines, lines_in(window.box.height, height))
    return Cell(window.edges[first - 1 : last + 1], lines)


def lines_in(window: int, height: int) -> int:
    """How many lines of this height a window takes: none to three, three only beside the marks."""
    if window >= MARKS + depth_of(3, height):
        return 3
    return next((lines for lines in (2, 1) if window >= depth_of(lines, height)), 0)


def depth_of(lines: int, height: int) -> int:
    """The room of so many lines with what is free above and below them."""
    return 2 * EDGE + height + (lines - 1) * leading(lines, height)


def leading(lines: int, height: int) -> int:
    """Baseline to baseline of so many lines."""
    return round((TIGHT_LEADING if lines > 2 else LEADING) * height)


def lines_beside(panel: Panel, height: int) -> int:
    """How many lines of this height leave the colour bar and the marks their room."""
    window = min(window.box.height for window in panel.windows)
    return lines_in(window - BAR - MARKS, height)
