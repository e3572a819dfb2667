"""What the pages before and behind the drawings are called, by the lists that stand on them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from slinediag.chart.flowing import CONTINUED
from slinediag.chart.lettering import SMALL
from slinediag.chart.page import AND_MORE, Page
from slinediag.drawing.marks import Group, Mark, Text
from slinediag.text import shorten

SPARES, GRID, INDEX, FINDER = "spares", "bay-index", "sheet-index", "finder"
OUTAGES, FED = "outages", "priority-ways"
"""Lists by their names: the positions not drawn, where each position is, the sheets, the labels,
what to patch, what feeds the priority inputs."""
URGENT = frozenset(("remedy", OUTAGES))
"""What to do where something has failed."""
NAMED = 3
"""Lists that the heading of a page names."""
LONGEST = 80_000
"""Of a label in such a heading."""


def sheets_of(block: str, pages: Mapping[int, Page]) -> list[int]:
    """The pages on which a list stands."""
    return [
        number
        for number, page in sorted(pages.items())
        if any(isinstance(m, Group) and m.ref.classes == ("block", block) for m in page.marks)
    ]


def index_words(pages: Mapping[int, Sequence[Mark]]) -> dict[int, str]:
    """What the index says of these pages, its own too; nothing where it is on none of them."""
    if any(INDEX in block.ref.classes for page in pages.values() for block in _blocks(page)):
        return {number: held_by(page) for number, page in pages.items()}
    return {}


def called(page: Sequence[Mark]) -> str:
    """What a page is called by: what of it is looked for under pressure, then the first of the
    rest."""
    blocks = sorted(_blocks(page), key=lambda block: not {*block.ref.classes} & URGENT)
    found = list(_names(blocks))
    return ", ".join(found[:NAMED]) + (AND_MORE if len(found) > NAMED else "")


def held_by(page: Sequence[Mark]) -> str:
    """All that a page holds."""
    return ", ".join(_names(page))


def _blocks(page: Sequence[Mark]) -> list[Group]:
    return [mark for mark in page if isinstance(mark, Group)]


def _names(page: Sequence[Mark]) -> Iterator[str]:
    """The names of the lists on a page; of the finder, from which label to which."""
    for block in _blocks(page):
        words = block.ref.title
        heads = (m.text for m in block.marks if isinstance(m, Text) and m.ref is not None)
        if next(heads, "").endswith(CONTINUED):
            words = f"{words} (continued)"
        if FINDER in block.ref.classes:
            entered = (mark for mark in block.marks if isinstance(mark, Group))
            labels = [e.ref.title for e in entered if "finder-entry" in e.ref.classes]
            # None where only what is said of labels has room on the page.
            ends = [shorten(label, SMALL, LONGEST) or label for label in labels[:1] + labels[-1:]]
            words = " to ".join((f"{block.ref.title} {ends[0]}", ends[1])) if ends else words
        yield words
