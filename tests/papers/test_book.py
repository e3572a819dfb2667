"""The book: every paper in it, numbers and links that lead where they say, the same bytes."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest

from slinediag.drawing.query import text_boxes, walk
from slinediag.geometry import Box
from slinediag.model.labels import jack_label
from slinediag.papers.book import CHAPTERS, Book, make_book
from slinediag.papers.findings import findings_table
from slinediag.publish import write_book
from tests.builders import plant
from tests.papers.samples import sample


@pytest.fixture(scope="module")
def book() -> Book:
    return make_book(sample("larkfen"))


def words_of(page) -> set[str]:
    return {mark.text for mark, _ in text_boxes(page)}


def test_every_chapter_is_in_it_and_in_the_contents(book: Book) -> None:
    contents = words_of(book.pages[1])
    for chapter in CHAPTERS:
        assert chapter.title in contents
        assert chapter.title in {mark.title for mark in book.bookmarks}


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


def test_an_empty_plant_makes_a_book_too() -> None:
    made = make_book(plant(""))
    assert len(made.pages) >= 2
