"""The book: all papers of a facility as one, with page numbers, contents, links and bookmarks.

Pages keep their own sizes; what leads where is found from the marks' own data: ``goto`` names an
``anchor``.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from slinediag.chart.chart import draw
from slinediag.chart.leads import Leads, chart_leads
from slinediag.chart.lettering import letter
from slinediag.chart.outages import bypass_table
from slinediag.chart.sheet import Sheet
from slinediag.drawing import styles
from slinediag.drawing.marks import Drawing, Group, Ref
from slinediag.drawing.marks import Mark as AnyMark
from slinediag.drawing.query import ink_box
from slinediag.geometry import Box, Point
from slinediag.model.facility import Facility
from slinediag.papers.cards import card_pages
from slinediag.papers.cover import Entry, contents_pages, cover_page, finder_pages
from slinediag.papers.faces import face_pages
from slinediag.papers.findings import findings_pages, revision_pages
from slinediag.papers.order import order_pages
from slinediag.papers.page import A4
from slinediag.papers.schedule import schedule_pages
from slinediag.papers.strips import strip_pages
from slinediag.papers.tests import commissioning_pages
from slinediag.progress import Tell, silent, stages
from slinediag.tracing.outage.prepared import prepared_outages
from slinediag.tracing.outage.values import Outage

LINK_REACH = 800
"""How far around its words a link may be hit, micrometres."""


@dataclass(frozen=True, slots=True)
class Job:
    """What a chapter is made of: the plant, the outages prepared for, the sheet of the strips.

    ``outages``: as ``prepared_outages`` finds them. ``tell`` is the chapter's own.
    """

    facility: Facility
    outages: tuple[Outage, ...]
    sheet: Sheet | None
    tell: Tell


@dataclass(frozen=True, slots=True)
class Chapter:
    """A part of the book: its title, its name as an anchor, its pages, the anchors within."""

    title: str
    name: str
    make: Callable[[Job], tuple[Drawing, ...]]
    within: str = ""
    """The beginning of the anchors of its bays, as ``face:``."""
    weight: int = 1
    """What share of the work it is, as measured on quillmoor."""


def _chart(job: Job) -> tuple[Drawing, ...]:
    """The wall chart; nothing where there is nothing to draw."""
    if not (job.facility.bays or job.facility.equipment):
        return ()
    table = bypass_table(job.facility, job.outages) if job.outages else None
    return draw(job.facility, effort="thorough", outages=table, tell=job.tell)


def _strips(job: Job) -> tuple[Drawing, ...]:
    return strip_pages(job.facility, job.sheet) if job.sheet else strip_pages(job.facility)


def _cards(job: Job) -> tuple[Drawing, ...]:
    return card_pages(job.facility, outages=job.outages)


CHAPTERS = (
    Chapter("Chart", "chart", _chart, weight=60),
    Chapter("Bay faces", "faces", lambda job: face_pages(job.facility), "face:"),
    Chapter("Designation strips", "strips", _strips, "strips:"),
    Chapter("Punch-down and cable schedule", "schedule", lambda job: schedule_pages(job.facility),
            "schedule:", 3),
    Chapter("What to order", "order", lambda job: order_pages(job.facility), "order:"),
    Chapter("Commissioning tests", "tests", lambda job: commissioning_pages(job.facility),
            weight=2),
    Chapter("Outage cards", "cards", _cards, weight=2),
    Chapter("Findings", "findings", lambda job: findings_pages(job.facility)),
    Chapter("Revisions", "revisions", lambda job: revision_pages(job.facility)),
)  # fmt: skip
PREPARING = 80
"""What share of the work the outages are."""
FURTHER = {
    "schedule": (("straps", "Straps at the rear"), ("equipment", "Equipment"),
                 ("pairs", "Pairs, by cable"),
                 ("cables", "Cables"), ("racks", "By rack and room"),
                 ("totals", "Totals to buy"), ("cable-labels", "Cable labels")),
}  # fmt: skip
"""Further anchors of chapters, with their titles."""


@dataclass(frozen=True, slots=True)
class Jump:
    """A box on a page that leads to another page; pages count from 0.

    ``room``: the part of that page which is shown; all of it where None.
    """

    page: int
    box: Box
    target: int
    room: Box | None = None


@dataclass(frozen=True, slots=True)
class Mark:
    """A bookmark: how deep it stands, its words, its page from 0, and what is shown there."""

    depth: int
    title: str
    page: int
    room: Box | None = None


@dataclass(frozen=True, slots=True)
class Book:
    """The pages of a book, its bookmarks and its links."""

    title: str
    pages: tuple[Drawing, ...]
    bookmarks: tuple[Mark, ...]
    jumps: tuple[Jump, ...]


Made = tuple[Chapter, tuple[Drawing, ...]]


def make_book(facility: Facility, *, sheet: Sheet | None = None, tell: Tell = silent) -> Book:
    """All papers of a facility, bound; strips on A4 unless ``sheet`` says otherwise."""
    chapters = _made(facility, sheet, tell)
    chart = next((made for chapter, made in chapters if chapter.name == "chart"), ())
    leads = chart_leads(chart, {bay.id: bay.printed for bay in facility.bays.values()})
    entries = _entries(facility, chapters, leads)
    # Contents and finder are as long whatever the numbers in them: once to count, once for good.
    front = _front(facility, entries, {})
    numbers = _numbers(front, chapters)
    front = _front(facility, entries, numbers)
    bare = [*front, *(page for _, made in chapters for page in made)]
    pages = tuple(_numbered(page, n, len(bare)) for n, page in enumerate(bare, 1))
    pages_of = {anchor: number - 1 for anchor, number in numbers.items()}
    jumps = (*_jumps(pages, pages_of), *_chart_jumps(leads, pages_of.get("chart", 0)))
    title = f"{facility.name}: book of the plant"
    return Book(title, pages, tuple(_bookmarks(entries, leads, pages_of)), jumps)


def _bookmarks(
    entries: Sequence[Entry], leads: Leads, pages_of: Mapping[str, int]
) -> Iterator[Mark]:
    """Cover, contents, what the contents list, and on each sheet of the chart its bays."""
    yield Mark(0, "Cover", 0)
    yield Mark(0, "Contents", pages_of["contents"])
    for entry in entries:
        page = pages_of[entry.anchor]
        yield Mark(entry.depth, entry.title, page)
        single = entry.anchor == "chart" and not _several(leads)
        if single or entry.anchor.startswith("chart:"):
            for depth, title, number, room in leads.marks:
                if depth and number == page - pages_of["chart"]:
                    yield Mark(entry.depth + 1, title, page, room)


def _chart_jumps(leads: Leads, start: int) -> Iterator[Jump]:
    for number, box, target, room in leads.links:
        yield Jump(start + number, box, start + target, room)


def _several(leads: Leads) -> bool:
    """Whether the chart is a set of sheets."""
    return sum(mark.depth == 0 for mark in leads.marks) > 1


def _made(facility: Facility, sheet: Sheet | None, tell: Tell) -> list[Made]:
    """The chapters that have pages, in order."""
    preparing, *told = stages(tell, (PREPARING, *(chapter.weight for chapter in CHAPTERS)))
    preparing(0.0, "outage cards")
    outages = prepared_outages(facility, tell=preparing)
    made: list[Made] = []
    for chapter, say in zip(CHAPTERS, told, strict=True):
        say(0.0, chapter.title)
        found = chapter.make(Job(facility, outages, sheet, say))
        if found:
            made.append((chapter, found))
    return made


def _front(
    facility: Facility, entries: Sequence[Entry], numbers: Mapping[str, int]
) -> list[Drawing]:
    contents = contents_pages(facility, entries, numbers)
    return [cover_page(facility), *contents, *finder_pages(facility, numbers)]


def _entries(facility: Facility, chapters: Sequence[Made], leads: Leads) -> list[Entry]:
    """What the contents list: chapters, the chart's sheets where it has several, bays, parts."""
    there = {n for _, made in chapters for page in made for n, _ in _named(page.marks, "anchor")}
    entries = [Entry(0, "Where is what", "finder")] if finder_pages(facility, {}) else []
    for chapter, made in chapters:
        entries.append(Entry(0, chapter.title, chapter.name, _large(made)))
        if chapter.name == "chart" and _several(leads):
            entries += _sheet_entries(leads)
        within = [
            Entry(1, f"{bay.printed}  {bay.name}", f"{chapter.within}{bay.id}")
            for bay in facility.bays_in_order
        ]
        within += [Entry(1, title, anchor) for anchor, title in FURTHER.get(chapter.name, ())]
        entries += [entry for entry in within if entry.anchor in there]
    return entries


def _large(made: Sequence[Drawing]) -> str:
    """The size of a chapter's largest sheet in words, where it is larger than A4."""
    page = max(made, key=lambda page: (page.width * page.height, page.width))
    if page.width <= A4.width and page.height <= A4.height:
        return ""
    return f"{round(page.width / 1000)} × {round(page.height / 1000)} mm"


def _sheet_entries(leads: Leads) -> Iterator[Entry]:
    for mark in leads.marks:
        if mark.depth == 0:
            yield Entry(1, mark.title, f"chart:{mark.sheet}")


def _numbers(front: Sequence[Drawing], chapters: Sequence[Made]) -> dict[str, int]:
    """Page numbers, from 1, by anchor; the contents are ``contents``."""
    numbers = {"contents": 2}
    finder = next((n for n, page in enumerate(front, 1) if page.desc == "Finder"), None)
    if finder is not None:
        numbers["finder"] = finder
    number = len(front)
    for chapter, made in chapters:
        numbers[chapter.name] = number + 1
        for n, page in enumerate(made):
            number += 1
            if chapter.name == "chart":
                numbers[f"chart:{n}"] = number
            for anchor, _ in _named(page.marks, "anchor"):
                numbers.setdefault(anchor, number)
    return numbers


def _named(marks: Iterable[AnyMark], name: str) -> Iterator[tuple[str, AnyMark]]:
    """What marks bear under a data name, each with its mark."""
    for mark in marks:
        for key, value in mark.ref.data if mark.ref is not None else ():
            if key == name:
                yield value, mark
        if isinstance(mark, Group):
            yield from _named(mark.marks, name)


def _numbered(page: Drawing, number: int, count: int) -> Drawing:
    """The page with its number in the corner that every sheet leaves free; a link to contents."""
    at = Point(4_000, page.height - 4_000)
    ref = Ref(("page-number",), (("goto", "contents"),))
    words = letter(at, f"{number} / {count}", colour=styles.TEXT_GREY, ref=ref)
    return replace(page, marks=(*page.marks, words))


def _jumps(book: Sequence[Drawing], pages_of: Mapping[str, int]) -> Iterator[Jump]:
    for number, page in enumerate(book):
        for anchor, mark in _named(page.marks, "goto"):
            if anchor in pages_of:
                yield Jump(number, ink_box(mark).grown(LINK_REACH), pages_of[anchor])
