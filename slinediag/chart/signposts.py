"""What stands above all else on the first page of a set: where to look for a thing, and the
cautions.

Lengths in micrometres.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from slinediag.chart.lettering import LABEL, LEADING, letter, width, wrap
from slinediag.chart.page import HEAD
from slinediag.chart.page_names import FINDER, GRID, OUTAGES
from slinediag.chart.ranges import called_sheets
from slinediag.drawing.marks import Group, Mark, Ref
from slinediag.drawing.query import ink_box
from slinediag.drawing.styles import H50, TEXT_GREY
from slinediag.geometry import Box, Point, union

QUESTIONS: Mapping[str, str] = {
    GRID: "a position",
    FINDER: "a label",
    OUTAGES: "if a box fails",
}
"""What is found in which list, in the order in which it is said."""
FIND = "Find"
BELOW = "below"
WIDEST = "sheets 88–89, 98"
"""For the room of what is not known yet."""
APART = 7_000
"""Between one thing that is found and the next, and from the heading of the page."""
LINE = 6_000
"""From one line of these to the next."""
BULLET = 3_200
UNDER = 3_000
"""Free below the cautions."""
CAUTION_BASELINE = 3_800


class _Sign(NamedTuple):
    """What is looked for, and on which sheets that is; none where these are not known."""

    words: str
    sheets: Sequence[int] | None

    def told(self, own: int) -> tuple[str, int]:
        """Where that is in words, and the sheet that they lead to or 0."""
        if self.sheets is None:
            return WIDEST, 0
        if list(self.sheets) == [own]:
            return BELOW, own
        return called_sheets(self.sheets), self.sheets[0]


def find_line(
    heading: str, area: Box, found: Mapping[str, Sequence[int] | None], own: int = 1
) -> tuple[Mark, ...]:
    """On which sheets positions, labels and what is to be done are looked up: beside the heading
    where there is room, else below it.

    ``area``: of the page, from its heading on. ``found``: by the name of a list its sheets, None
    where they are not known. ``own``: the number of the page.
    """
    signs = [_Sign(words, found[name]) for name, words in QUESTIONS.items() if name in found]
    if not signs:
        return ()
    begun = width(heading, H50, "bold") + APART
    whole = _set([signs], 0, own)
    across = union(map(ink_box, whole)).right
    if begun + across <= area.width:
        foot = Point(area.right - across, area.y + H50)
        marks: Sequence[Mark] = _set([signs], foot.x, own, foot.y)
    else:
        marks = _set(_lines(signs, area.width, own), area.x, own, area.y + HEAD + LABEL)
    return (Group(tuple(marks), Ref(("find",), title="Where to look")),)


def find_height(heading: str, area: Box, names: Sequence[str]) -> int:
    """The height that this takes below the heading at most."""
    marks = find_line(heading, area, dict.fromkeys(names))
    if not marks:
        return 0
    lowest = union(map(ink_box, marks)).bottom
    return max(0, lowest - area.y - HEAD + UNDER) if lowest > area.y + HEAD else 0


def _lines(signs: Sequence[_Sign], room: int, own: int) -> list[list[_Sign]]:
    """Signs in lines that have room."""
    lines: list[list[_Sign]] = [[]]
    for sign in signs:
        longer = [*lines[-1], sign]
        if lines[-1] and union(map(ink_box, _set([longer], 0, own))).right > room:
            lines.append([sign])
        else:
            lines[-1] = longer
    return lines


def _set(lines: Sequence[Sequence[_Sign]], left: int, own: int, y: int = 0) -> list[Mark]:
    """Lines of signs from a point on, the first with the word that all begin with."""
    gap = width("n n", LABEL) - 2 * width("n", LABEL)
    start = left + width(FIND, LABEL, "bold") + gap
    marks: list[Mark] = [letter(Point(left, y), FIND, height=LABEL, weight="bold")]
    for number, line in enumerate(lines):
        x, foot = start, y + number * LINE
        for sign in line:
            asked = letter(Point(x, foot), f"{sign.words}:", height=LABEL, colour=TEXT_GREY)
            x += asked.width + gap
            words, leads = sign.told(own)
            told = letter(Point(x, foot), words, height=LABEL, weight="bold")
            x += told.width + APART
            link = Ref(("to-sheet",), (("sheet", str(leads)),), title=f"{asked.text} {told.text}")
            marks += [Group((asked, told), link)] if leads not in (0, own) else [asked, told]
    return marks


def caution_strip(heading: str, words: Sequence[str], at: Point, room: int) -> tuple[Mark, ...]:
    """Cautions across a page below its heading, each in one piece where a line has room for it."""
    foot = at.moved(0, CAUTION_BASELINE)
    head = letter(foot, heading, height=LABEL, weight="bold", ref=Ref(("heading",)))
    indent = head.width + APART
    x, y = indent, foot.y
    marks: list[Mark] = [head]
    for sentence in words:
        if x > indent and x + BULLET + width(sentence) > room:
            x, y = indent, y + LEADING
        marks.append(letter(Point(at.x + x, y), "•", weight="bold"))
        lines = wrap(sentence, room - x - BULLET)
        for line in lines:
            marks.append(letter(Point(at.x + x + BULLET, y), line))
            y += LEADING
        y -= LEADING
        x = x + BULLET + width(lines[-1]) + BULLET if len(lines) == 1 else room
    return (Group(tuple(marks), Ref(("block", "cautions"), title=heading)),)
