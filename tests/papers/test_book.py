"""The book: every paper in it, numbers and links that lead where they say, the same bytes."""

from __future__ import annotations

import re
import shutil
import subprocess
from pathlib import Path

import pytest

from slinediag.chart.chart import draw
from slinediag.chart.sheet import sheet_named
from slinediag.drawing.query import groups_to_sheets, ink_box, text_boxes, walk
from slinediag.geometry import Box
from slinediag.model.labels import jack_label
from slinediag.papers.book import CHAPTERS, Book, make_book
from slinediag.papers.cover import Entry, contents_pages
from slinediag.papers.findings import findings_table
from slinediag.publish import write_book
from tests.builders import plant
from tests.chart.plants import chain
from tests.papers.apart import hold_apart
from tests.papers.samples import sample

TOLD: list[tuple[float, str]] = []
"""How far the book of larkfen was, as it was told while it was made."""


@pytest.fixture(scope="module")
def book() -> Book:
    TOLD.clear()
    return make_book(sample("larkfen"), tell=lambda share, doing: TOLD.append((share, doing)))


def words_of(page) -> set[str]:
    return {mark.text for mark, _ in text_boxes(page)}


def test_every_chapter_is_in_it_and_in_the_contents(book: Book) -> None:
    contents = words_of(book.pages[1])
    for chapter in CHAPTERS:
        assert chapter.title in contents
        assert chapter.title in {mark.title for mark in book.bookmarks}


def test_contents_say_which_chapters_want_a_larger_sheet(book: Book) -> None:
    rows = text_boxes(book.pages[1])
    sizes = {mark.text: mark.at.y for mark, _ in rows if mark.text.endswith(" mm")}
    at = {mark.text: mark.at.y for mark, _ in rows}
    # A2 for a panel of 482.6 mm at its size, A1 for the chart.
    assert sizes == {"594 × 420 mm": at["Bay faces"], "841 × 594 mm": at["Chart"]}


def test_pages_are_numbered_through(book: Book) -> None:
    for number, page in enumerate(book.pages, 1):
        assert f"{number} / {len(book.pages)}" in words_of(page)


def test_numbers_printed_are_the_pages_that_the_links_lead_to(book: Book) -> None:
    for number, page in enumerate(book.pages[:4]):
        for mark in (p.mark for p in walk(page) if any("entry" in ref.classes for ref in p.refs)):
            if not getattr(mark, "text", "").isdigit() or mark.anchor != "end":
                continue
            target = next(
                jump.target
                for jump in book.jumps
                if jump.page == number and jump.box.holds(mark.at.moved(-100, -100))
            )
            assert int(mark.text) == target + 1


def test_a_bays_bookmark_leads_to_a_page_that_names_the_bay(book: Book) -> None:
    facility = sample("larkfen")
    names = {f"{bay.printed}  {bay.name}": bay.name for bay in facility.bays.values()}
    found = [mark for mark in book.bookmarks if mark.title in names]
    assert len(found) == 4 * len(names)  # faces, strips, schedule, order
    for mark in found:
        assert any(names[mark.title] in words for words in words_of(book.pages[mark.page]))


def test_the_chart_has_a_bookmark_for_each_bay_at_its_place(book: Book) -> None:
    chart = next(mark.page for mark in book.bookmarks if mark.title == "Chart")
    marks = [mark for mark in book.bookmarks if mark.page == chart and mark.room]
    assert {mark.title.split("  ")[0] for mark in marks} == {
        bay.printed for bay in sample("larkfen").bays.values() if points_drawn(book, chart, bay.id)
    }
    page = book.pages[chart]
    for mark in marks:
        inside = [words for words, box in text_boxes(page) if mark.room.contains(box)]
        assert any(words.text.startswith(mark.title.split("  ")[0]) for words in inside)


def points_drawn(book: Book, chart: int, bay: str) -> bool:
    data = (dict(ref.data) for placed in walk(book.pages[chart]) for ref in placed.refs)
    return any(found.get("top", "").rpartition(".")[0] == bay for found in data)


def test_every_label_is_in_the_finder(book: Book) -> None:
    facility = sample("larkfen")
    found = set().union(*(words_of(page) for page in book.pages if page.desc == "Finder"))
    for jack in facility.jacks:
        label = jack_label(facility, jack)
        assert not label or label in found


def test_links_lie_on_their_pages(book: Book) -> None:
    for jump in book.jumps:
        page = book.pages[jump.page]
        assert Box(0, 0, page.width, page.height).meets(jump.box)
        assert 0 <= jump.target < len(book.pages)


def test_every_page_carries_number_revision_and_date(book: Book) -> None:
    # ISO 7200 (from memory): identification number, revision, date of issue on each.
    for page in book.pages:
        assert {"LRR-01", "C", "2026-03-09"} <= words_of(page)


def test_findings_are_those_of_the_checks() -> None:
    table = findings_table(sample("quillmoor"))
    severities = [row[0] for row in table.rows]
    order = ("danger", "error", "warning", "note")
    assert severities == sorted(severities, key=order.index)


@pytest.mark.usefixtures("qapp")
def test_the_written_book_reads_back_and_is_the_same_twice(tmp_path: Path) -> None:
    facility = plant(
        """
        equipment: {A: {name: Player é, outputs: [O]}, B: {name: "=Amp", inputs: [I]}}
        bays: {PB: {name: "Bay <1>", positions: 2, points: {1: {top: A.O, bottom: B.I}}}}
        """
    )
    (one,) = write_book(facility, tmp_path / "a", "plant")
    (two,) = write_book(facility, tmp_path / "b", "plant")
    assert one.read_bytes() == two.read_bytes()
    if not shutil.which("pdftotext"):
        pytest.skip("poppler's pdftotext is not installed")
    text = subprocess.run(
        ["pdftotext", str(one), "-"], capture_output=True, check=True
    ).stdout.decode()
    assert "Test plant" in text
    assert "Bay <1>" in text
    assert "Designation strips" in text


@pytest.mark.parametrize("text", ["", "bays: {PB: {name: Bare, positions: 2}}"])
def test_a_plant_with_nothing_to_find_makes_a_book_too(text: str) -> None:
    made = make_book(plant(text))
    assert len(made.pages) >= 2
    assert all(0 <= mark.page < len(made.pages) for mark in made.bookmarks)
    assert not any(page.desc == "Finder" for page in made.pages)
    assert not any(mark.title == "Where is what" for mark in made.bookmarks)


@pytest.fixture(scope="module")
def set_book() -> Book:
    """The book of a plant whose chart is a set, as that of any large plant is."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(
            "slinediag.papers.book.draw",
            lambda facility, **_: draw(facility, sheet="A3", effort="quick"),
        )
        return make_book(chain(30))


def test_a_chart_of_several_sheets_is_in_the_contents_sheet_by_sheet(set_book: Book) -> None:
    sheets = [n for n, page in enumerate(set_book.pages) if ", sheet " in page.title]
    listed = [mark for mark in set_book.bookmarks if mark.title.startswith("Sheet ")]
    assert [mark.page for mark in listed] == sheets
    assert len(sheets) > 2
    contents = words_of(set_book.pages[1])
    for mark in listed:
        assert mark.depth == 1
        assert any(words.startswith(mark.title[:12]) for words in contents)
        assert str(mark.page + 1) in contents


def test_a_flag_of_a_sheet_leads_to_the_page_of_its_mate(set_book: Book) -> None:
    first = next(n for n, page in enumerate(set_book.pages) if ", sheet 1 of" in page.title)
    seen = 0
    for number, page in enumerate(set_book.pages):
        for group, named in groups_to_sheets(page.marks):
            (jump,) = (j for j in set_book.jumps if (j.page, j.box) == (number, ink_box(group)))
            assert jump.target == first + named - 1
            assert re.search(rf", sheet {named}(:| of)", set_book.pages[jump.target].title)
            seen += "reference" in group.ref.classes
    assert seen


def test_bays_stand_below_the_sheets_they_are_on(set_book: Book) -> None:
    marks = [mark for mark in set_book.bookmarks if mark.room is not None]
    assert marks
    for mark in marks:
        assert mark.depth == 2
        name, positions = mark.title.split("  ")
        first = positions.removeprefix("from ")
        page = set_book.pages[mark.page]
        assert any(
            mark.room.contains(box) and words.text == f"{name} {first}"
            for words, box in text_boxes(page)
        )


def test_contents_longer_than_a_page_read_down_both_columns_of_each() -> None:
    bays = "".join(f"  B{n:02}: {{name: Bay {n}, positions: 2}}\n" for n in range(30))
    facility = plant(f"bays:\n{bays}")
    entries = [Entry(1, bay.name, f"face:{bay.id}") for bay in facility.bays.values()] * 4
    made = contents_pages(facility, entries, {})
    read = [
        mark.text
        for page in made
        for mark, _ in sorted(text_boxes(page), key=lambda found: found[0].at)
        if mark.text.startswith("Bay ")
    ]
    assert len(made) == 3
    assert read == [entry.title for entry in entries]


@pytest.mark.usefixtures("book")
def test_how_far_the_book_is_never_falls() -> None:
    shares = [share for share, _ in TOLD]
    assert shares == sorted(shares)
    assert shares[0] == 0
    assert {doing for _, doing in TOLD} >= {chapter.title for chapter in CHAPTERS}


def test_no_text_of_any_page_lies_on_another(book: Book) -> None:
    hold_apart(book.pages)


def test_strips_of_the_book_come_on_the_sheet_asked_for() -> None:
    facility = plant("bays: {PB: {name: Bay, points: {1: {label_top: MIC 1}}}}")
    made = make_book(facility, sheet=sheet_named("A2"))
    sizes = {page.desc: (page.width, page.height) for page in made.pages}
    assert sizes["Designation strips"] == (594_000, 420_000)  # ISO 216
    assert sizes["Order sheet"] == (297_000, 210_000)


def test_parts_of_the_schedule_are_listed_in_the_order_of_their_pages(book: Book) -> None:
    names = ("Straps at the rear", "Equipment", "Pairs, by cable", "Cables", "Totals to buy")
    listed = [mark for mark in book.bookmarks if mark.title in names]
    assert [mark.title for mark in listed] == list(names)
    assert [mark.page for mark in listed] == sorted(mark.page for mark in listed)
    for mark in listed:
        assert any(mark.title in words for words in words_of(book.pages[mark.page]))
