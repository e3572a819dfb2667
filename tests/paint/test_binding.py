"""A bound PDF as pypdf and poppler read it, and against ISO 32000-1."""

from __future__ import annotations

import datetime
import io
import re
import shutil
import subprocess

import pytest
from pypdf import PdfReader
from PySide6.QtWidgets import QApplication

from slinediag.drawing.marks import Drawing
from slinediag.geometry import Box
from slinediag.paint.binding import Bookmark, Link, bind
from slinediag.paint.pdf import pdf
from tests.paint.sample import SAMPLE

PAGE = Drawing(297_000, 210_000, SAMPLE.marks, "A page")
BOOKMARKS = (Bookmark(0, "One", 0), Bookmark(1, "Inner é", 1), Bookmark(0, "Two", 2))
LINKS = (Link(0, Box(10_000, 20_000, 30_000, 5_000), 2),)
DATE = datetime.date(2026, 5, 18)


@pytest.fixture(autouse=True)
def _application(qapp: QApplication) -> None:
    """The one application that all tests share."""


def bound() -> bytes:
    return bind(pdf([PAGE] * 3), title="Title <&>", bookmarks=BOOKMARKS, links=LINKS, date=DATE)


def test_bookmarks_and_links_lead_where_they_say() -> None:
    reader = PdfReader(io.BytesIO(bound()))
    one, inner, two = reader.outline[0], reader.outline[1][0], reader.outline[2]
    assert (one.title, inner.title, two.title) == ("One", "Inner é", "Two")
    assert [reader.get_destination_page_number(mark) for mark in (one, inner, two)] == [0, 1, 2]
    (annotation,) = (found.get_object() for found in reader.pages[0]["/Annots"])
    assert annotation["/Subtype"] == "/Link"
    left, bottom, right, top = (float(value) for value in annotation["/Rect"])
    height = float(reader.pages[0].mediabox.height)
    # A point is 1/72 inch (ISO 32000-1, 8.3.2.3); y runs upwards there.
    assert left == pytest.approx(10 * 72 / 25.4, abs=0.01)
    assert right == pytest.approx(40 * 72 / 25.4, abs=0.01)
    assert top == pytest.approx(height - 20 * 72 / 25.4, abs=0.01)
    assert bottom == pytest.approx(height - 25 * 72 / 25.4, abs=0.01)
    page = annotation["/Dest"][0]
    assert reader.pages[2].indirect_reference == page or page == 2


def test_the_date_is_the_one_given_and_the_bytes_are_the_same() -> None:
    document = bound()
    assert document == bound()
    meta = PdfReader(io.BytesIO(document)).metadata
    assert meta is not None
    assert meta.creation_date == datetime.datetime(2026, 5, 18, tzinfo=datetime.UTC)
    assert meta.title == "Title <&>"
    undated = bind(pdf([PAGE]), title="T")
    assert b"CreationDate" not in undated


def test_an_identity_follows_from_the_content() -> None:
    # ISO 32000-1, 14.4: two strings in the trailer, alike in a file that was never changed.
    names = re.findall(rb"/ID \[<([0-9a-f]{32})> <([0-9a-f]{32})>\]", bound())
    assert len(names) == 1
    assert names[0][0] == names[0][1]
    assert names[0][0] not in bind(pdf([PAGE]), title="Another")


@pytest.mark.skipif(not shutil.which("pdfinfo"), reason="poppler's pdfinfo is not installed")
def test_poppler_reads_it_without_complaint() -> None:
    done = subprocess.run(["pdfinfo", "-"], input=bound(), capture_output=True, check=True)
    assert done.stderr == b""
    assert b"Pages:           3" in done.stdout
