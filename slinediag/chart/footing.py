"""The foot of a sheet of a set: its legend, and the notes that its numbers point to."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import product
from typing import NamedTuple

from slinediag.address import Jack, jack_order
from slinediag.chart.blocks import Block, indent_for, prose
from slinediag.chart.brief_legend import JACKS, PLACES, brief_legend
from slinediag.chart.lists import named_block
from slinediag.chart.numbering import CAUTION, as_caution
from slinediag.chart.page import Band, Page, foot_band
from slinediag.chart.request import Request
from slinediag.chart.signs import Sign, signs_on
from slinediag.drawing.marks import Group, Mark, Text
from slinediag.drawing.query import walk_marks
from slinediag.model.labels import jack_name

HEADING, CAUTIONS_FIRST = "Notes on this sheet", "Notes, cautions first"
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
    ink = [placed.box for placed in walk_marks(page.marks)]
    attempts = product(_attempts(request, page, listed), (False, True), (False, True))
    for (shown, on, told, cords), at_worst, beside in attempts:

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

        found = foot_band(request.sheet, blocks, ink, beside=beside, at_worst=at_worst)
        if found is not None:
            return found
    return band


class _Foot(NamedTuple):
    """What a foot says: notes, the sheets with those that it leaves out, signs, what cords are
    for."""

    notes: Numbered
    on: Sequence[int]
    signs: Signs
    cords: Rows


def _attempts(request: Request, page: Page, listed: Sequence[int]) -> Iterator[_Foot]:
    """What is tried in turn: everything first; then without notes that are no cautions, and without
    cords, both of which are listed in any case; only then without signs, of which nothing else
    tells."""
    signs = signs_on(page.marks)
    notes = _notes(page.marks, request.plan.notes.words)
    cautions = [note for note in notes if note[1].startswith(CAUTION)]
    cords = _left_in(page.marks, request)
    fewer: list[tuple[Numbered, Sequence[int]]] = [(notes, ())]
    if notes:
        fewer.append((cautions, listed))
    choices = [
        {sign: sample for sign, sample in signs.items() if sign not in left_out}
        for left_out in ((), JACKS, PLACES)
    ]
    for told, purposes, (some, on) in product(choices, (cords, ()) if cords else ((),), fewer):
        yield _Foot(some, on, told, purposes)
    if notes:
        for on, told in product((listed, ()), choices):
            yield _Foot([], on, told, ())


def _left_in(marks: Iterable[Mark], request: Request) -> Rows:
    """The standing cords and dummy plugs with a note that a sheet shows a plug of, and the note;
    none that the trial has pulled."""
    facility, held = request.facility, request.plan.subject.plugs
    pulled = {frozenset(cord.ends) for cord in held.cords if cord.standing == "pulled"}
    out = {dummy.jack for dummy in held.dummies if dummy.standing == "pulled"}
    plugged = {dict(m.ref.data).get("jack") for m in _of_class(marks, "plugged") if m.ref}

    def row(kind: str, jacks: Sequence[Jack], note: str) -> tuple[str, str]:
        names = " to ".join(jack_name(facility, jack) for jack in jacks)
        return kind, f"{names}: {as_caution(note)}"

    cords = [
        row("Cord", (c.source, c.target), c.note)
        for c in sorted(facility.cords, key=lambda cord: jack_order(cord.source))
        if c.note
        and plugged & {str(c.source), str(c.target)}
        and frozenset((c.source, c.target)) not in pulled
    ]
    plugs = [
        row("Plug", (plug.jack,), plug.note)
        for plug in sorted(facility.plugs, key=lambda plug: jack_order(plug.jack))
        if plug.note and str(plug.jack) in plugged and plug.jack not in out
    ]
    return (*cords, *plugs)


def _notes(marks: Iterable[Mark], words: Sequence[str]) -> Numbered:
    """The notes that numbers on a sheet point to, cautions first."""
    numbers = sorted({int(m.text) for m in _of_class(marks, "note-number") if isinstance(m, Text)})
    found = [(number, words[number - 1]) for number in numbers]
    return sorted(found, key=lambda note: not note[1].startswith(CAUTION))


def _of_class(marks: Iterable[Mark], name: str) -> Iterator[Mark]:
    """The marks in these, however deep, that bear a class."""
    for mark in marks:
        if isinstance(mark, Group):
            yield from _of_class(mark.marks, name)
        elif mark.ref and name in mark.ref.classes:
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
