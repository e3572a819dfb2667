"""A PDF of sheets bound: bookmarks, links within, page labels, a date and an identity of its own.

What comes out depends on nothing but what goes in: no clock, no chance.
"""

from __future__ import annotations

import datetime
import hashlib
import io
import logging
from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple

from pypdf import PdfReader, PdfWriter
from pypdf.annotations import Link as LinkAnnotation
from pypdf.constants import PageLabelStyle
from pypdf.generic import DictionaryObject, Fit, IndirectObject, NameObject, TextStringObject

from slinediag.geometry import Box
from slinediag.paint.bearing import Unreadable, packed, unpacked
from slinediag.text import printable

ENTRY = "/SlinediagStanding"
"""What the document bears unseen, in its information dictionary (ISO 32000-1, 14.3.3)."""
POINTS_PER_UM = 72 / 25_400
"""Points of a PDF, 1/72 inch (ISO 32000-1, 8.3.2.3), to the micrometre."""

# What the library says of a broken file is said by who asked for it, in words of its own.
logging.getLogger("pypdf").addHandler(logging.NullHandler())


class Bookmark(NamedTuple):
    """An entry of the outline: how deep it stands, from 0, its words, and its page, from 0.

    ``room``: the part of the page that is shown, micrometres; the whole page where None.
    """

    depth: int
    title: str
    page: int
    room: Box | None = None


class Link(NamedTuple):
    """A box on a page, micrometres from its left top corner, that leads to another page.

    ``room`` as for a bookmark.
    """

    page: int
    box: Box
    target: int
    room: Box | None = None


def bind(
    document: bytes,
    *,
    title: str,
    bookmarks: Sequence[Bookmark] = (),
    links: Sequence[Link] = (),
    date: datetime.date | None = None,
    numbers: Sequence[int] = (),
    bears: str = "",
) -> bytes:
    """The document with its outline and links; dated by ``date``, undated where that is None.

    ``numbers``: what each page is called, where that is not its place; ``bears``: what the file
    keeps unseen.
    """
    writer = PdfWriter(clone_from=PdfReader(io.BytesIO(document)))
    _describe(writer, title, date, bears)
    _number(writer, numbers)
    _outline(writer, bookmarks)
    for link in links:
        _link(writer, link)
    if bookmarks:
        writer.page_mode = "/UseOutlines"
    out = io.BytesIO()
    writer.write(out)
    return _identified(out.getvalue())


def borne_by_pdf(path: Path) -> str:
    """What a PDF bears, empty if nothing; OSError, Unreadable."""
    with path.open("rb") as file:
        try:
            information = PdfReader(file).trailer.get("/Info")
            entries = information.get_object() if information is not None else None
            value = entries.get(ENTRY) if isinstance(entries, DictionaryObject) else None
        except OSError:
            raise
        except Exception:
            # Whatever the library trips over says no more than that the file is broken.
            raise Unreadable from None
    return unpacked(str(value)) if value is not None else ""


def _identified(document: bytes) -> bytes:
    """The document with an identity that follows from its content (ISO 32000-1, 14.4).

    It stands in the trailer, behind the cross-reference table, so that no offset moves.
    """
    name = hashlib.md5(document, usedforsecurity=False).hexdigest().encode()
    head, trailer, tail = document.rpartition(b"trailer\n<<")
    return b"".join((head, trailer, b"\n/ID [<", name, b"> <", name, b">]", tail))


def _number(writer: PdfWriter, numbers: Sequence[int]) -> None:
    """Page labels (ISO 32000-1, 12.4.2), a range for each run of numbers that follow each other."""
    starts = [n for n, number in enumerate(numbers) if n == 0 or number != numbers[n - 1] + 1]
    if len(starts) < 2:
        return
    for start, end in zip(starts, (*starts[1:], len(numbers)), strict=True):
        writer.set_page_label(start, end - 1, PageLabelStyle.DECIMAL, start=numbers[start])


def _describe(writer: PdfWriter, title: str, date: datetime.date | None, bears: str) -> None:
    writer.metadata = None
    found = {"/Title": printable(title), "/Creator": "slinediag", "/Producer": "slinediag"}
    if bears:
        found[ENTRY] = packed(bears)
    if date is not None:
        found["/CreationDate"] = found["/ModDate"] = f"D:{date:%Y%m%d}000000Z"
    writer.add_metadata(found)


def _outline(writer: PdfWriter, bookmarks: Sequence[Bookmark]) -> None:
    """Bookmarks in order; each stands under the last one that is less deep."""
    above: list[IndirectObject] = []
    for bookmark in bookmarks:
        parent = above[bookmark.depth - 1] if 0 < bookmark.depth <= len(above) else None
        made = writer.add_outline_item(
            title=printable(bookmark.title),
            page_number=bookmark.page,
            parent=parent,
            is_open=bookmark.depth == 0,
            fit=_fit(writer, bookmark.page, bookmark.room),
        )
        above = [*above[: bookmark.depth], made]


def _link(writer: PdfWriter, link: Link) -> None:
    made = LinkAnnotation(
        rect=_rectangle(writer, link.page, link.box),
        border=[0, 0, 0],
        target_page_index=link.target,
        fit=_fit(writer, link.target, link.room),
    )
    made[NameObject("/Contents")] = TextStringObject(f"To page {link.target + 1}")
    writer.add_annotation(link.page, made)


def _fit(writer: PdfWriter, page: int, room: Box | None) -> Fit:
    """How a page is shown: whole, or a part of it (ISO 32000-1, 12.3.2.2)."""
    return Fit.fit() if room is None else Fit.fit_rectangle(*_rectangle(writer, page, room))


def _rectangle(writer: PdfWriter, page: int, box: Box) -> tuple[float, float, float, float]:
    """A box of a page in points: left, bottom, right, top; y runs upwards."""
    height = float(writer.pages[page].mediabox.height)
    return (
        box.x * POINTS_PER_UM,
        height - box.bottom * POINTS_PER_UM,
        box.right * POINTS_PER_UM,
        height - box.y * POINTS_PER_UM,
    )
