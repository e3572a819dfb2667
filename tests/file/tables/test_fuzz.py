"""Whatever table comes in, nothing crashes and no cell is lost.

Each cell's text is looked for in the facility and in the report, not in what the import says of
itself: a text must be printed at a jack, stand somewhere in the facility, or be told.
"""

from __future__ import annotations

import dataclasses
import io
import random
from collections.abc import Iterator, Mapping
from typing import Any

from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from slinediag.file.read import parse
from slinediag.file.tables.book import Book, read_book
from slinediag.file.tables.cells import Sheet, Span
from slinediag.file.tables.imports import Import, import_book
from slinediag.file.tables.numbers import read_position
from slinediag.file.tables.report_words import report_lines
from slinediag.model.facility import Facility
from slinediag.model.labels import jack_label
from slinediag.problems import FileErrors
from tests.file.strategies import AWKWARD_TEXTS
from tests.file.tables.kept import blocks_of_24, two_bays_wide

SETTINGS = settings(
    max_examples=60,
    deadline=None,
    derandomize=True,
    suppress_health_check=list(HealthCheck),
    phases=[Phase.generate],
)
HEADINGS = [
    "Pos", "No.", "Top", "Bottom", "Source", "Destination", "Normal", "Notes", "Bay", "Row", "L/R",
    "Top equipment", "Top port", "Bottom equipment", "Bottom port", "Cable", "Source cable",
    "Location", "State", "Group", "Engineer", "Label", "Bay place", "Equipment", "Port", "Source L",
    "Source R", "Bottom left", "Equip", "Sig", "Equip in", "Sig in",
]  # fmt: skip
CELLS = [
    *AWKWARD_TEXTS, "DISC 1 L", "DISC 1 R", "DISC 1", "DISC 2 L/R", "DESK 5L", "DESK 5R", "MIC 1",
    "DESK 1-8", "HN", "FN", "half", "½", "–", "N", "Y", "SPARE", "spare", "reserved", '"', "ditto",
    "TIE 1", "MULT", "MULT A", "Studio A MIC 2", "LIM IN L", "LIM OUT L", "(L)", "L", "R", "stereo",
    "Bay 2", "PB1", "Rack 3", "S1/1", "S1/1", "W5", "Patch bay 3", "T1", "B1", "1", "2", "3", "1-2",
    "97", "0", "T", "B", "top", "x" * 400, "in", "out", "(see note)", "A (B)", "1.5", "é" * 3,
    "2024-01-02", "4-Mar", "0.5", "↓", "|", "=", "h", "*", "???", "all half-normalled", "Total", "L/R",
    "page 2", "Studio 1 PB C", "Line 9/10",
]  # fmt: skip
some_cells = st.just("") | st.just("") | st.sampled_from(CELLS) | st.integers(0, 60).map(str)


def book(*sheets: Sheet) -> Book:
    return Book("fuzz.csv", sheets, "made here")


def all_texts(value: Any) -> Iterator[str]:
    """Every text anywhere in a value."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, Mapping):
        for key, item in value.items():
            yield from all_texts(key)
            yield from all_texts(item)
    elif isinstance(value, list | tuple | frozenset | set):
        for item in value:
            yield from all_texts(item)
    elif dataclasses.is_dataclass(value):
        for field in dataclasses.fields(value):
            yield from all_texts(getattr(value, field.name))


def labels_of(facility: Facility) -> set[str]:
    return {label for jack in facility.jacks if (label := jack_label(facility, jack)) is not None}


def nothing_lost(table: Book, made: Import) -> None:
    labels = labels_of(made.facility)
    held = "\n".join([*all_texts(made.facility), *report_lines(made.report), *labels])
    numbers = {bay.printed_number(j) for bay in made.facility.bays.values() for j in bay.jacks()}
    for sheet in table.sheets:
        for cell, text in sheet.cells():
            fate = made.report.fates[cell]
            if fate == "label":
                assert text in labels, (cell, text)
            elif fate == "position":
                found = read_position(text)
                assert found is not None
                assert set(found.numbers) <= numbers, (cell, text)
            else:
                assert text in held, (cell, text, fate)
        for text in sheet.remarks.values():
            assert " ".join(text.split()) in held


def taken_in(table: Book) -> None:
    try:
        made = import_book(table)
    except FileErrors:
        return
    assert parse(made.data, "fuzz.yaml").facility == made.facility
    nothing_lost(table, made)


@st.composite
def merges(draw: Any, rows: int, columns: int) -> dict[tuple[int, int], Span]:
    """Up to three spans of merged cells that do not meet."""
    found: dict[tuple[int, int], Span] = {}
    for _ in range(draw(st.integers(0, 3))):
        top, left = draw(st.integers(1, rows)), draw(st.integers(1, columns))
        span = Span(
            top,
            left,
            min(rows, top + draw(st.integers(0, 2))),
            min(columns, left + draw(st.integers(0, 2))),
        )
        cells = [(r, c) for r in range(top, span.bottom + 1) for c in range(left, span.right + 1)]
        if not any(cell in found for cell in cells):
            found.update(dict.fromkeys(cells, span))
    return found


@st.composite
def sheets(draw: Any, rows: list[list[str]]) -> Sheet:
    """A sheet of these rows with merged cells and comments; covered cells are blank."""
    spans = draw(merges(len(rows), max(map(len, rows))))
    for (row, column), span in spans.items():
        if (row, column) != (span.top, span.left) and column <= len(rows[row - 1]):
            rows[row - 1][column - 1] = ""
    remarks = {(1, 1): "a comment\nof two lines"} if draw(st.booleans()) else {}
    return Sheet("", tuple(map(tuple, rows)), spans, remarks)


@st.composite
def headed(draw: Any) -> Sheet:
    """A table with headings, its positions nearly in order."""
    headings = draw(st.lists(st.sampled_from(HEADINGS), min_size=2, max_size=7))
    body = []
    for number in range(1, draw(st.integers(1, 9))):
        row = [draw(some_cells) for _ in range(len(headings) + draw(st.integers(0, 1)))]
        for column, heading in enumerate(headings):
            if heading in ("Pos", "No.") and draw(st.integers(0, 5)):
                row[column] = str(number)
        body.append(row)
    over = [[draw(some_cells)] for _ in range(draw(st.integers(0, 2)))]
    return draw(
        sheets(
            [
                *over,
                ["Pos", "Top", *headings],
                *[
                    ["", "", *row]
                    if draw(st.integers(0, 9)) == 0
                    else [str(n + 1), draw(some_cells), *row]
                    for n, row in enumerate(body)
                ],
            ]
        )
    )


@st.composite
def blocks(draw: Any) -> Sheet:
    """Rows of numbers and labels, in some order, with names at the left or none."""
    width = draw(st.integers(6, 9))
    rows: list[list[str]] = []
    for _ in range(draw(st.integers(1, 8))):
        kind = draw(st.sampled_from(["numbers", "labels", "labels", "blank", "title"]))
        first = draw(st.sampled_from([1, 1, 7, 25]))
        name = draw(st.sampled_from(["", "Top", "Bottom", "Normal", "PB1", "Notes", "odd"]))
        if kind == "numbers":
            rows.append([name, *(str(first + n) for n in range(width))])
        elif kind == "labels":
            rows.append([name, *(draw(some_cells) for _ in range(width + 1))])
        else:
            rows.append([draw(some_cells) if kind == "title" else ""])
    return draw(sheets(rows))


@SETTINGS
@given(headed())
def test_tables_with_headings(sheet: Sheet) -> None:
    taken_in(book(sheet))


@SETTINGS
@given(blocks())
def test_tables_in_blocks(sheet: Sheet) -> None:
    taken_in(book(sheet))


@SETTINGS
@given(
    st.lists(st.lists(some_cells | st.sampled_from(HEADINGS), max_size=6), min_size=1, max_size=8)
)
def test_cells_at_random(rows: list[list[str]]) -> None:
    taken_in(book(Sheet("", tuple(map(tuple, rows)))))


@settings(SETTINGS, max_examples=20)
@given(st.lists(headed() | blocks(), min_size=2, max_size=3))
def test_books_of_several_sheets(found: list[Sheet]) -> None:
    named = [dataclasses.replace(sheet, name=f"Bay {n}") for n, sheet in enumerate(found)]
    taken_in(book(*named))


@SETTINGS
@given(st.binary(max_size=300) | st.text(max_size=200).map(str.encode))
def test_bytes_at_random(data: bytes) -> None:
    try:
        table = read_book(data, "fuzz.csv")
    except FileErrors:
        return
    taken_in(table)


@settings(SETTINGS, max_examples=25)
@given(st.sampled_from([blocks_of_24(), two_bays_wide()]), st.integers(0, 2**32))
def test_damaged_workbooks(data: bytes, seed: int) -> None:
    chance = random.Random(seed)
    torn = bytearray(data)
    for _ in range(chance.randint(1, 12)):
        torn[chance.randrange(len(torn))] = chance.randrange(256)
    if chance.random() < 0.3:
        torn = torn[: chance.randrange(len(torn))]
    try:
        table = read_book(bytes(torn), "torn.xlsx")
    except FileErrors:
        return
    taken_in(table)


def test_workbooks_lose_no_cell() -> None:
    for data in (blocks_of_24(), two_bays_wide()):
        table = read_book(io.BytesIO(data).getvalue(), "kept.xlsx")
        nothing_lost(table, import_book(table))
