"""The first pages of a book: its cover, its contents, and where every label is.

Lengths in micrometres.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from slinediag import text
from slinediag.address import natural
from slinediag.chart.lettering import LABEL, SMALL, letter, wrap
from slinediag.drawing import styles
from slinediag.drawing.marks import Drawing, Line, Mark, Rect, Ref, Style
from slinediag.geometry import Point
from slinediag.model.facility import Facility
from slinediag.model.labels import jack_label, jack_name
from slinediag.papers.page import (
    A4,
    EDGE,
    LEFT,
    ROOM,
    WIDTH,
    Paper,
    Section,
    Slab,
    foot,
    in_columns,
    pages,
)

COVER = Paper("Book of the plant", "Book of the plant")
CONTENTS = Paper("Contents", "Contents")
FINDER = Paper("Finder", "Where is what")
ROW = 5_600
FINDER_ROW, FINDER_BASE = 4_400, 3_000
COLUMNS = 4
CARE = (
    "These papers say what the file says, not what is behind the panel. Look before you pull.",
    "On-air and alarm circuits: tell who is on duty, and wait for a word, before you patch.",
    "Phantom power: off, wait, then patch. Monitors and headphones: down first.",
    "Protective earth stays on everything, always. Work on mains and protective earth is for "
    "licensed people under local codes.",
)


class Entry(NamedTuple):
    """A line of the contents: how deep it stands, its words, the anchor of its page.

    ``size``: of its sheets, in words, where an office printer does not take them.
    """

    depth: int
    title: str
    anchor: str
    size: str = ""


def cover_page(facility: Facility) -> Drawing:
    """The cover: whose plant, which drawing, which revision, and what to take care of."""
    practice = facility.practice
    marks: list[Mark] = [Rect(A4.box, Style(stroke=None, fill=styles.PAPER), ref=Ref(("paper",)))]
    y = 42_000
    for line in wrap(facility.name, WIDTH, styles.H100, "bold")[:2]:
        marks.append(letter(Point(LEFT, y), line, height=styles.H100, weight="bold"))
        y += 17_000
    under = "Jackfield papers: chart, faces, strips, wiring, orders, tests, cards, findings"
    marks.append(letter(Point(LEFT, y), under, height=styles.H50, colour=styles.TEXT_GREY))
    y += 8_000
    marks.append(Line(((Point(LEFT, y), Point(LEFT + WIDTH, y)),), Style(width=styles.W70)))
    y += 12_000
    facts = (
        ("Owner", practice.owner),
        ("Drawing", practice.drawing),
        ("Revision", practice.revision),
        ("Date of issue", practice.date.isoformat() if practice.date else None),
        ("Drawn by", practice.drawn_by),
        ("Checked by", practice.checked_by),
        ("Approved by", practice.approved_by),
    )
    for caption, value in facts:
        if value:
            marks.append(letter(Point(LEFT, y), caption, height=LABEL, colour=styles.TEXT_GREY))
            shown = text.shorten(value, LABEL, WIDTH - 45_000) or ""
            marks.append(letter(Point(LEFT + 45_000, y), shown, height=LABEL))
            y += 7_000
    marks += _notes(y + 3_000, (*practice.notes, *CARE))
    marks.append(foot(facility, COVER, 1, 1))
    return Drawing(A4.width, A4.height, tuple(marks), f"{facility.name}: {COVER.title}", COVER.kind)


def _notes(top: int, notes: Sequence[str]) -> Iterator[Mark]:
    """Notes and cautions as far as the page goes; the papers themselves repeat theirs."""
    y = top
    for note in notes:
        lines = wrap(note, WIDTH - 5_000)
        if y + len(lines) * 4_400 > A4.height - EDGE - 16_000:
            return
        yield letter(Point(LEFT, y), "!", weight="bold")
        for line in lines:
            yield letter(Point(LEFT + 5_000, y), line)
            y += 4_400
        y += 600


def contents_pages(
    facility: Facility, entries: Sequence[Entry], numbers: Mapping[str, int]
) -> tuple[Drawing, ...]:
    """Chapters and what is in them, each a link to its page. ``numbers``: page by anchor."""
    slabs = [_line(entry, str(numbers.get(entry.anchor, ""))) for entry in entries]
    per_page = 2 * (ROOM // ROW)
    sections = [
        Section("", in_columns(slabs[n : n + per_page], 2, WIDTH + 7_000), fresh=True)
        for n in range(0, len(slabs), per_page)
    ]
    return pages(facility, CONTENTS, sections)


def _line(entry: Entry, number: str) -> Slab:
    """A line of the contents: title, size of the sheet where there is room, dots, page number."""
    room = WIDTH // 2 - 7_000
    indent = 5_000 * entry.depth
    weight = styles_of(entry.depth)
    height = LABEL if entry.depth == 0 else SMALL
    words = text.shorten(entry.title, height, room - indent - 14_000, weight) or ""
    ref = Ref(("entry",), (("goto", entry.anchor),))
    base = ROW - 1_500
    title = letter(Point(indent, base), words, height=height, weight=weight, ref=ref)
    page = letter(Point(room, base), number, height=height, anchor="end", ref=ref)
    start, end = indent + title.width + 1_500, room - page.width - 1_500
    marks: list[Mark] = [title, page]
    if entry.size and start + text.width(entry.size, SMALL) < end:
        size = letter(Point(start, base), entry.size, colour=styles.TEXT_GREY)
        start += size.width + 1_500
        marks.append(size)
    if end > start:
        dotted = Style(stroke=styles.LINE_GREY, width=styles.W18, dash="dotted")
        marks.append(Line(((Point(start, base), Point(end, base)),), dotted))
    return Slab(ROW, tuple(marks))


def styles_of(depth: int) -> text.Weight:
    """Chapters are bold."""
    return "bold" if depth == 0 else "regular"


def finder_pages(facility: Facility, numbers: Mapping[str, int]) -> tuple[Drawing, ...]:
    """Every printed label in alphabetical order: its jack, and the page of its bay's face."""
    found = sorted(
        ((label, jack) for jack in facility.jacks if (label := jack_label(facility, jack))),
        key=lambda pair: natural(pair[0].casefold()),
    )
    slabs = [
        _place(label, jack_name(facility, jack), f"face:{jack.bay}", numbers)
        for label, jack in found
    ]
    per_page = COLUMNS * (ROOM // FINDER_ROW)
    sections = [
        Section("", in_columns(slabs[n : n + per_page], COLUMNS, WIDTH + 5_000), fresh=True)
        for n in range(0, len(slabs), per_page)
    ]
    return pages(facility, FINDER, sections) if sections else ()


def _place(label: str, name: str, anchor: str, numbers: Mapping[str, int]) -> Slab:
    room = (WIDTH + 5_000) // COLUMNS - 5_000
    ref = Ref(("entry",), (("goto", anchor),))
    jack = letter(Point(room - 7_500, FINDER_BASE), name, anchor="end", ref=ref)
    page = letter(Point(room, FINDER_BASE), str(numbers.get(anchor, "")), anchor="end", ref=ref)
    words = text.shorten(label, SMALL, room - 7_500 - jack.width - 1_500) or ""
    return Slab(FINDER_ROW, (letter(Point(0, FINDER_BASE), words, ref=ref), jack, page))
