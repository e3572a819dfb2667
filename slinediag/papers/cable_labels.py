"""Cable labels, two alike for each cable, as a sheet to print and wrap. Lengths in micrometres.

Both ends alike, within 300 mm of the jacket's end, machine-printed, unique (ANSI/TIA-606, from
memory).
"""

from __future__ import annotations

from slinediag import text
from slinediag.chart.lettering import LABEL, SMALL, letter, wrap
from slinediag.chart.moving import moved
from slinediag.drawing import styles
from slinediag.drawing.marks import Group, Line, Mark, Rect, Ref, Style
from slinediag.geometry import Box, Point
from slinediag.model.facility import Facility
from slinediag.papers.cables import MOST_NAMED, label_text, runs_in
from slinediag.papers.page import WIDTH, Section, Slab, prose
from slinediag.papers.runs import CableRun

COLUMNS = 3
ONE = WIDTH // COLUMNS // 2
HEIGHT = 16_900
PADDING = 1_300
ROOM = ONE - 2 * PADDING
LINES = 3
LEADING = 3_700


def label_section(facility: Facility) -> Section:
    """The labels of all cables: both of a cable side by side, cut apart at the dashed line."""
    made = [_both(*_fitting_text(facility, run)) for run in runs_in(facility)]
    rows = [made[n : n + COLUMNS] for n in range(0, len(made), COLUMNS)]
    slabs = tuple(_side_by_side(row) for row in rows)
    words = (
        "Two to a cable, alike. Wrap one round the jacket at either end, within 300 mm of where "
        "the jacket stops."
    )
    return Section("Cable labels", (prose(words), *slabs), fresh=True, anchor="cable-labels")


def _fitting_text(facility: Facility, run: CableRun) -> tuple[str, str]:
    """Name and ends of a cable, with places while there is room, as many things named as fit."""
    texts = [
        label_text(facility, run, most, placed=placed)
        for placed in (True, False)
        for most in range(MOST_NAMED, 0, -1)
    ]
    return next((text for text in texts if len(wrap(text[1], ROOM)) <= LINES), texts[-1])


def _side_by_side(row: list[Group]) -> Slab:
    return Slab(HEIGHT, tuple(moved(pair, n * 2 * ONE, 0) for n, pair in enumerate(row)))


def _both(name: str, ends: str) -> Group:
    marks: list[Mark] = []
    for n in range(2):
        marks += _label(name, ends, n * ONE)
    box = Rect(Box(0, 0, 2 * ONE, HEIGHT), Style(width=styles.W18))
    cut = Line(((Point(ONE, 0), Point(ONE, HEIGHT)),), Style(width=styles.W18, dash="dashed"))
    return Group((box, cut, *marks), Ref(("cable-label",), (("cable", name),)))


def _label(name: str, ends: str, x: int) -> list[Mark]:
    """One of the two labels: the name as large as fits, what both ends belong to below it."""
    height = LABEL if text.width(name, LABEL, "bold") <= ROOM else SMALL
    shown = text.shorten(name, height, ROOM, "bold") or ""
    marks: list[Mark] = [
        letter(Point(x + PADDING, PADDING + LABEL), shown, height=height, weight="bold")
    ]
    lines = wrap(ends, ROOM)
    if len(lines) > LINES:
        last = text.shorten(" ".join(lines[LINES - 1 :]), SMALL, ROOM) or ""
        lines = [*lines[: LINES - 1], last]
    marks += [
        letter(Point(x + PADDING, PADDING + LABEL + (n + 1) * LEADING), line)
        for n, line in enumerate(lines)
    ]
    return marks
