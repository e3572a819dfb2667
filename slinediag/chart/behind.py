"""Lists on pages of their own behind a chart of one sheet, for which it has no room itself.

Lengths in micrometres.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from slinediag.chart.blocks import Block
from slinediag.chart.frame import drawing_area
from slinediag.chart.one_sheet import Content
from slinediag.chart.page import GUTTER, INSET, Page, finished, text_pages
from slinediag.chart.page_names import called
from slinediag.chart.pointers import Pointer, pointing
from slinediag.chart.sheet import Sheet
from slinediag.drawing.marks import Drawing, Mark

COLUMNS = (82_000, 70_000)
"""Of the lists, narrower ones where that saves a page."""
FIRST = 2
"""The number of the first page behind the sheet."""
HEADING = "Behind this sheet"

Pages = Sequence[Sequence[Mark]]


def told_behind(content: Content, sheet: Sheet) -> Content:
    """The content with a list of what stands on which page behind a sheet, if anything does."""
    if content.behind is None:
        return content
    pages = _pages(content, sheet)

    def blocks(room: int) -> Sequence[Block]:
        *made, last = content.blocks(room)
        items = tuple(pointing(words, room) for words in _where(pages))
        return (*made, Block("behind", HEADING, items), last)

    return replace(content, blocks=blocks)


def _where(pages: Pages) -> Iterator[Sequence[Pointer]]:
    """What each page holds, with its number."""
    for number, page in enumerate(pages, FIRST):
        yield (
            *(Pointer(word) for word in f"{called(page)}:".split()),
            Pointer(f"sheet {number}", number, "bold"),
        )


def sheets_behind(content: Content, sheet: Sheet) -> tuple[Drawing, ...]:
    """The pages behind a sheet, with their numbers; none where nothing stands there."""
    pages = _pages(content, sheet)
    return tuple(
        finished(
            content.facility,
            sheet,
            Page(called(page), content.heading, tuple(page)),
            number,
            FIRST - 1 + len(pages),
            None,
            tried=content.tried,
        )
        for number, page in enumerate(pages, FIRST)
    )


def _pages(content: Content, sheet: Sheet) -> tuple[tuple[Mark, ...], ...]:
    if content.behind is None:
        return ()
    across = drawing_area(sheet).grown(-INSET).width
    counts = [max(1, (across + GUTTER) // (column + GUTTER)) for column in COLUMNS]
    return text_pages(sheet, content.behind, counts)
