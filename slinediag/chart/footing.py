"""The foot of a sheet of a set: its legend, and the notes that its numbers point to."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import product

from slinediag.address import jack_order
from slinediag.chart.blocks import Block, indent_for, prose
from slinediag.chart.brief_legend import JACKS, PLACES, brief_legend
from slinediag.chart.lists import named_block
from slinediag.chart.numbering import CAUTION
from slinediag.chart.page import GAP, Band, Page, foot_band
from slinediag.chart.request import Request
from slinediag.chart.signs import Sign, signs_on
from slinediag.drawing.marks import Group, Mark, Text
from slinediag.drawing.query import ink_box
from slinediag.geometry import union
from slinediag.model.facility import Facility
from slinediag.model.labels import jack_name

HEADING, CAUTIONS_FIRST = "Notes on this sheet", "Notes, cautions first"
SLACK = 1_000
"""Of the gap above the legend, for lines as wide as their ink."""
Signs = Mapping[Sign, str]
Numbered = Sequence[tuple[int, str]]
Rows = Sequence[tuple[str, str]]
STANDING = "Standing cords and plugs"


def sheet_foot(request: Request, page: Page, band: Band, listed: Sequence[int]) -> Band:
    """The legend with only the signs that a sheet bears, and below it the sheet's notes, cautions
    first, and what cords left in are for; notes that have no room stand on the sheets ``listed``,
    which the legend then names.

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
    left_in = _left_in(page.marks, request.facility)
    for (shown, on), whole, told, cords in _attempts(tries, choices, left_in):

        def blocks(
            width: int,
            shown: Numbered = shown,
            on: Sequence[int] = on,
            told: Signs = told,
            cords: Rows = cords,
        ) -> list[Block]:
            named = named_block("sheet-cords", STANDING, cords, width)
            made = (brief_legend(told, width, on), _block(shown, width), named)
            return [block for block in made if block.items]

        found = foot_band(request.sheet, blocks, lowest, whole=whole)
        if found is not None:
            return found
    return band


def _attempts(
    notes: Sequence[tuple[Numbered, Sequence[int]]], signs: Sequence[Signs], cords: Rows
) -> Iterator[tuple[tuple[Numbered, Sequence[int]], bool, Signs, Rows]]:
    """What is tried in turn: all notes with all signs and cords first, if that tears nothing; then
    without cords, which are told in a list in any case."""
    if cords:
        yield notes[0], True, signs[0], cords
    for some, whole, told in product(notes, (True, False), signs):
        yield some, whole, told, ()


def _left_in(marks: Iterable[Mark], facility: Facility) -> Rows:
    """The standing cords and dummy plugs with a note that a sheet shows a plug of, and the note."""
    plugged = set(_plugged(marks))
    cords = [
        ("Cord", f"{jack_name(facility, c.source)} to {jack_name(facility, c.target)}: {c.note}")
        for c in sorted(facility.cords, key=lambda cord: jack_order(cord.source))
        if c.note and plugged & {str(c.source), str(c.target)}
    ]
    plugs = [
        ("Plug", f"{jack_name(facility, plug.jack)}: {plug.note}")
        for plug in sorted(facility.plugs, key=lambda plug: jack_order(plug.jack))
        if plug.note and str(plug.jack) in plugged
    ]
    return (*cords, *plugs)


def _plugged(marks: Iterable[Mark]) -> Iterator[str]:
    """The jacks that are drawn with a plug in them."""
    for mark in marks:
        if isinstance(mark, Group):
            yield from _plugged(mark.marks)
        elif mark.ref and "plugged" in mark.ref.classes:
            yield dict(mark.ref.data).get("jack", "")


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
