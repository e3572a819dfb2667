"""The foot of a sheet of a set: its legend, and the notes that its numbers point to."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import product

from slinediag.chart.blocks import Block, indent_for, prose
from slinediag.chart.brief_legend import JACKS, PLACES, brief_legend
from slinediag.chart.numbering import CAUTION
from slinediag.chart.page import GAP, Band, Page, foot_band
from slinediag.chart.request import Request
from slinediag.chart.signs import Sign, signs_on
from slinediag.drawing.marks import Group, Mark, Text
from slinediag.drawing.query import ink_box
from slinediag.geometry import union

HEADING, CAUTIONS_FIRST = "Notes on this sheet", "Notes, cautions first"
SLACK = 1_000
"""Of the gap above the legend, for lines as wide as their ink."""
Signs = Mapping[Sign, str]
Numbered = Sequence[tuple[int, str]]


def sheet_foot(request: Request, page: Page, band: Band, listed: Sequence[int]) -> Band:
    """The legend with only the signs that a sheet bears, and below it the sheet's notes, cautions
    first; those that have no room stand on the sheets ``listed``, which the legend then names.

    ``band``: the legend with every sign, whose room is free in any case.
    """
    signs = signs_on(page.marks)
    choices = [
        {sign: sample for sign, sample in signs.items() if sign not in left_out}
        for left_out in ((), JACKS, PLACES)
    ]
    notes = _notes(page.marks, request.plan.notes.words)
    lowest = union(map(ink_box, page.marks)).bottom + GAP - SLACK if page.marks else band.top
    cautions = [note for note in notes if note[1].startswith(CAUTION)]
    tries: list[tuple[Numbered, Sequence[int]]] = [(notes, ())]
    if notes:
        tries += [(cautions, listed), ([], listed), ([], ())]
    for (shown, elsewhere), whole, told in product(tries, (True, False), choices):

        def blocks(
            width: int, shown: Numbered = shown, on: Sequence[int] = elsewhere, told: Signs = told
        ) -> list[Block]:
            made = (brief_legend(told, width, on), _block(shown, width))
            return [block for block in made if block.items]

        found = foot_band(request.sheet, blocks, lowest, whole=whole)
        if found is not None:
            return found
    return band


def _notes(marks: Iterable[Mark], words: Sequence[str]) -> Numbered:
    """The notes that numbers on a sheet point to, cautions first."""
    numbers = sorted({int(mark.text) for mark in _note_numbers(marks)})
    found = [(number, words[number - 1]) for number in numbers]
    return sorted(found, key=lambda note: not note[1].startswith(CAUTION))


def _note_numbers(marks: Iterable[Mark]) -> Iterator[Text]:
    for mark in marks:
        if isinstance(mark, Group):
            yield from _note_numbers(mark.marks)
        elif isinstance(mark, Text) and mark.ref and "note-number" in mark.ref.classes:
            yield mark


def _block(notes: Numbered, room: int) -> Block:
    """The notes; where cautions come before lower numbers, the heading says so."""
    numbers = [number for number, _ in notes]
    heading = HEADING if numbers == sorted(numbers) else CAUTIONS_FIRST
    indent = indent_for(map(str, numbers))
    items = tuple(prose(words, room, str(number), indent, CAUTION) for number, words in notes)
    return Block("sheet-notes", heading, items)


def notes_sheets(pages: Mapping[int, Page]) -> list[int]:
    """Those of these pages, by number, that have notes by number."""
    return [
        number
        for number, page in sorted(pages.items())
        if any(isinstance(mark, Group) and "notes" in mark.ref.classes for mark in page.marks)
    ]
