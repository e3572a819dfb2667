"""The room in a strip's window: for lines of letters, the colour bar, the marks of normals.

Lengths in micrometres.
"""

from __future__ import annotations

from slinediag.papers.labels import Field, row_of
from slinediag.papers.panel import Panel
from slinediag.papers.setting import Cell

LEADING = 1.36
"""Baseline to baseline of two lines, in heights of capitals."""
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
    return Cell(window.edges[first - 1 : last + 1], lines_in(window.box.height, height))


def lines_in(window: int, height: int) -> int:
    """How many lines of this height a window takes: none, one or two."""
    if window >= 2 * EDGE + height + round(LEADING * height):
        return 2
    return 1 if window >= 2 * EDGE + height else 0


def lines_beside(panel: Panel, height: int) -> int:
    """How many lines of this height leave the colour bar and the marks their room."""
    window = min(window.box.height for window in panel.windows)
    return lines_in(window - BAR - MARKS, height)
