"""Pages, A4 lying unless said: sections that flow down them; what ISO 7200 wants at each foot.

Lengths in micrometres. Everything on a page is drawn about its own left top corner and moved.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from slinediag import text
from slinediag.chart.lettering import LEADING, SMALL, letter, width, wrap
from slinediag.chart.moving import all_moved
from slinediag.chart.sheet import Sheet, sheet_named
from slinediag.drawing import styles
from slinediag.drawing.marks import Drawing, Group, Line, Mark, Rect, Ref, Style, Text, Weight
from slinediag.geometry import Box, Point
from slinediag.model.facility import Facility

A4 = sheet_named("A4")
# ISO 5457:1999: 20 mm at the left to file by, 10 mm elsewhere.
LEFT, EDGE = 20_000, 10_000
WIDTH = A4.width - LEFT - EDGE
FOOT = 10_500
"""Height of the row of fields at the foot."""
TOP = EDGE + 11_000
BOTTOM = A4.height - EDGE - FOOT - 3_500
ROOM = BOTTOM - TOP
"""Height for sections on one page of A4."""
SECTION_GAP = 4_500
HEADING = 8_000
PADDING = 1_200
MOST_LINES = 30


def room_on(sheet: Sheet) -> int:
    """The width of words on a sheet: that of A4, less on a narrower one."""
    return min(WIDTH, sheet.width - LEFT - EDGE)


@dataclass(frozen=True, slots=True)
class Slab:
    """What stays together on a page: its height, and its marks about its left top corner."""

    height: int
    marks: tuple[Mark, ...]


@dataclass(frozen=True, slots=True)
class Section:
    """A heading and slabs, in order; ``head`` stands again on every page that it goes on.

    ``fresh`` starts it on a new page; ``whole`` does where what is left of a page does not hold
    all of it; ``anchor`` is the name by which other pages point to it.
    """

    heading: str
    slabs: tuple[Slab, ...]
    head: Slab | None = None
    fresh: bool = False
    anchor: str = ""
    whole: bool = False

    @property
    def height(self) -> int:
        """Its height on one page."""
        top = (HEADING if self.heading else 0) + (self.head.height if self.head else 0)
        return top + sum(slab.height for slab in self.slabs)


@dataclass(frozen=True, slots=True)
class Paper:
    """What a page is called: the document's type and its title."""

    kind: str
    title: str


def prose(words: str, room: int = WIDTH, *, mark: str = "", indent: int = 0) -> Slab:
    """Words wrapped to a room, behind a hanging mark where there is one."""
    lines = held(wrap(words, room - indent)) or [""]
    marks: list[Mark] = [
        letter(Point(indent, SMALL + 600 + n * LEADING), line) for n, line in enumerate(lines)
    ]
    if mark:
        shown = text.shorten(mark, SMALL, max(indent, 1), "bold") or ""
        marks.insert(0, letter(Point(0, SMALL + 600), shown, weight="bold"))
    return Slab(LEADING * len(lines) + 600, tuple(marks))


def held(lines: Sequence[str]) -> list[str]:
    """Lines of a text that somebody filed, as many as stay together on a page; the last says so."""
    if len(lines) <= MOST_LINES:
        return list(lines)
    return [*lines[: MOST_LINES - 1], text.ELLIPSIS]


def listed(pairs: Sequence[tuple[str, str]], room: int = WIDTH) -> tuple[Slab, ...]:
    """Marks with prose behind them, all indented alike."""
    indent = max((width(mark, SMALL, "bold") for mark, _ in pairs), default=0) + 2_500
    return tuple(
        prose(words, room, mark=mark, indent=min(indent, room // 2)) for mark, words in pairs
    )


def in_columns(slabs: Sequence[Slab], columns: int, room: int = WIDTH) -> tuple[Slab, ...]:
    """Slabs beside each other, reading down each column; one slab that stays together a row."""
    rows = -(-len(slabs) // columns)
    made = []
    for row in range(rows):
        beside = slabs[row::rows]
        marks = [
            m for n, s in enumerate(beside) for m in all_moved(s.marks, n * room // columns, 0)
        ]
        made.append(Slab(max(s.height for s in beside), tuple(marks)))
    return tuple(made)


def together(slabs: Iterable[Slab]) -> Slab:
    """Slabs one below the other, never parted."""
    marks: list[Mark] = []
    height = 0
    for slab in slabs:
        marks += all_moved(slab.marks, 0, height)
        height += slab.height
    return Slab(height, tuple(marks))


def cautions(words: Iterable[str]) -> Section:
    """What to take care of, each caution once."""
    return Section("Take care", listed([("!", caution) for caution in dict.fromkeys(words)]))


def pages(
    facility: Facility, paper: Paper, sections: Sequence[Section], sheet: Sheet = A4
) -> tuple[Drawing, ...]:
    """The sections through as many pages as they need, at least one."""
    bodies = _flow(sections, ROOM + sheet.height - A4.height)
    return tuple(
        page_of(facility, paper, body, number, len(bodies), sheet)
        for number, body in enumerate(bodies, 1)
    )


def _flow(sections: Sequence[Section], room: int) -> list[list[Mark]]:
    pen = _Pen(room)
    for section in sections:
        if section.fresh or (section.whole and not pen.fits(section.height)):
            pen.turn_if_used()
        _flow_section(section, pen)
    return pen.pages


def _flow_section(section: Section, pen: _Pen) -> None:
    """Slab after slab over pages; heading and head again at the top of each."""
    heading = section.heading
    start = True
    for slab in section.slabs or (Slab(0, ()),):
        top = (HEADING if heading else 0) + (section.head.height if section.head else 0)
        if not pen.fits(slab.height + (top if start else 0)):
            pen.turn()
            if not start and section.heading:
                heading = f"{section.heading}, continued"
            start = True
        if start:
            pen.put(_heading(heading, section.anchor))
            if section.head:
                pen.put(section.head)
            start = False
        pen.put(slab)
    pen.down(SECTION_GAP)


def _heading(words: str, anchor: str) -> Slab:
    if not words:
        return Slab(0, ())
    data = (("anchor", anchor),) if anchor else ()
    at = Point(0, styles.H35 + 1_000)
    return Slab(
        HEADING, (letter(at, words, height=styles.H35, weight="bold", ref=Ref(("heading",), data)),)
    )


class _Pen:
    """Where the next slab goes, and the marks of every page so far."""

    def __init__(self, room: int) -> None:
        self.pages: list[list[Mark]] = [[]]
        self._room = room
        self._y = 0

    def fits(self, height: int) -> bool:
        """Whether this much more goes onto the page; always onto an empty one."""
        return self._y + height <= self._room or not self.pages[-1]

    def put(self, slab: Slab) -> None:
        """Draw a slab and go down by its height."""
        self.pages[-1] += all_moved(slab.marks, LEFT, TOP + self._y)
        self._y += slab.height

    def down(self, height: int) -> None:
        """Leave room, unless at the top of a page."""
        if self.pages[-1]:
            self._y += height

    def turn(self) -> None:
        """Go on to a new page."""
        self.pages.append([])
        self._y = 0

    def turn_if_used(self) -> None:
        """Go on to a new page unless this one is empty."""
        if self.pages[-1]:
            self.turn()


def page_of(
    facility: Facility,
    paper: Paper,
    body: Sequence[Mark],
    number: int,
    count: int,
    sheet: Sheet = A4,
) -> Drawing:
    """One page of any size: what is on it, its head and its foot."""
    title = f"{facility.name}: {paper.title}"
    ground = Rect(sheet.box, Style(stroke=None, fill=styles.PAPER), ref=Ref(("paper",)))
    head = _top(facility, paper, sheet)
    marks = (ground, *head, *body, foot(facility, paper, number, count, sheet))
    return Drawing(sheet.width, sheet.height, marks, title, paper.kind)


def _top(facility: Facility, paper: Paper, sheet: Sheet) -> tuple[Mark, ...]:
    """The paper's title at the left, the facility's name at the right, over a rule."""
    y = EDGE + styles.H50 + 500
    right = sheet.width - EDGE
    title = letter(Point(LEFT, y), paper.title, height=styles.H50, weight="bold")
    room = right - LEFT - title.width - 8_000
    name = text.shorten(facility.name, styles.H35, max(room, 1)) or ""
    at = Point(right, y)
    facility_name = letter(at, name, height=styles.H35, anchor="end", colour=styles.TEXT_GREY)
    rule = (Point(LEFT, y + 2_500), Point(right, y + 2_500))
    return title, facility_name, Line((rule,), Style(width=styles.W50))


def foot(facility: Facility, paper: Paper, number: int, count: int, sheet: Sheet = A4) -> Group:
    """The row of fields at the foot: all that ISO 7200:2004 (from memory) wants of a document."""
    practice = facility.practice
    date = practice.date.isoformat() if practice.date else ""
    fields = (
        ("Owner", practice.owner or "", 70_000),
        ("Document type", paper.kind, 36_000),
        ("Created by", practice.drawn_by or "", 25_000),
        ("Approved by", practice.approved_by or "", 25_000),
        ("Identification number", practice.drawing or "", 40_000),
        ("Revision", practice.revision or "", 19_000),
        ("Date of issue", date, 27_000),
        ("Sheet", f"{number} of {count}", 25_000),
    )
    width = room_on(sheet)
    top, left = sheet.height - EDGE - FOOT, sheet.width - EDGE - width
    marks: list[Mark] = [Rect(Box(left, top, width, FOOT), Style(width=styles.W35))]
    x = left
    for caption, value, share in fields:
        room = share * width // WIDTH
        if x > left:
            rule = ((Point(x, top), Point(x, top + FOOT)),)
            marks.append(Line(rule, Style(width=styles.W18)))
        at = Point(x + PADDING, top + SMALL + 1_300)
        shown = text.shorten(caption, SMALL, room - 2 * PADDING) or ""
        marks.append(letter(at, shown, colour=styles.TEXT_GREY))
        at = Point(x + PADDING, top + FOOT - 1_600)
        marks += fitted(at, value, room - 2 * PADDING)
        x += room
    return Group(tuple(marks), Ref(("title-block",)))


def fitted(
    at: Point, words: str, room: int, weight: Weight = "regular", height: int = SMALL
) -> list[Text]:
    """Words at a point in a room, cut where they are longer; names and prose only."""
    shown = text.shorten(words, height, room, weight)
    return [letter(at, shown, height=height, weight=weight)] if shown else []
