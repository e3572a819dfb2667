"""Six tables of differing habits, all invented, each with the facility it should come to.

The expected facilities were worked out from the tables by eye: whoever wires by the table would
say the same. That top rows send and bottom rows receive is common practice.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from slinediag.file.read import load, parse
from slinediag.file.tables.book import Book, load_book, read_book
from slinediag.file.tables.fields import read_maps
from slinediag.file.tables.imports import Import, import_book
from slinediag.file.tables.report_words import report_lines
from tests.file.tables.kept import blocks_of_24, two_bays_wide

DATA = Path(__file__).parent / "data"
GERMAN = ("Quelle=top", "Ziel=bottom", "Art=normal", "Bemerkung=note")


def book_of(name: str) -> Book:
    made = {"blocks_of_24": blocks_of_24, "two_bays_wide": two_bays_wide}
    if name in made:
        return read_book(made[name](), f"{name}.xlsx")
    (path,) = (path for path in DATA.glob(f"{name}.*") if path.suffix != ".yaml")
    return load_book(path)


def imported(name: str) -> Import:
    return import_book(book_of(name), read_maps(GERMAN if name == "signs_windows" else ()))


NAMES = (
    "blocks_of_24",
    "numbers_between",
    "row_a_jack",
    "row_a_position",
    "signs_windows",
    "two_bays_wide",
)


@pytest.mark.parametrize("name", NAMES)
def test_a_kept_table_comes_in_as_its_facility(name):
    made = imported(name)
    assert made.facility == load(DATA / f"{name}.yaml").facility
    assert parse(made.data, name).facility == made.facility


@pytest.mark.parametrize("name", NAMES)
def test_every_cell_has_a_fate(name):
    cells = {cell for sheet in book_of(name).sheets for cell, _ in sheet.cells()}
    assert cells == set(imported(name).report.fates)


def test_positions_are_folded_into_runs():
    text = imported("row_a_position").data.decode()
    assert "3-4: {top: [DISC1.L, DISC1.R], bottom: [DESK.5L, DESK.5R], group: Players}" in text


def test_doubts_stand_at_the_head_of_the_file():
    head = imported("numbers_between").data.decode().partition("slinediag: 1")[0]
    assert "# Doubtful: PB1: every position is half-normaled" in head
    assert "fill in paths" in head
    assert all(line.startswith("# ") for line in head.splitlines())


@pytest.mark.parametrize(
    ("name", "line"),
    [
        ("row_a_position", '"FN": full-normal (C5, C6, C13 and 1 more)'),
        ("signs_windows", '"|": full-normal (C6, C11, C12), likely'),
        ("signs_windows", '"PLATTE 1 L/R": 2 positions: PLATTE 1 L, … (B4)'),
        ("signs_windows", 'F3 "Prüfer": no known heading'),
        ("blocks_of_24", 'Sheet1!F6 "moved here from 9": comment'),
        ("two_bays_wide", '""": as above (PB1!E5)'),
        ("two_bays_wide", '"TIE 1" is the tie line TIE1 from PB2.B3 to PB1.T5'),
        ("numbers_between", "PB1.B13, PB1.B14, PB1.B15, PB1.B16 are the mult MULT"),
    ],
)
def test_the_report_says_what_was_read_and_how_sure(name, line):
    assert any(line in told for told in report_lines(imported(name).report))


def test_guesses_are_graded():
    guesses = {
        g.what.partition(" is ")[0]: g.certainty for g in imported("numbers_between").report.guesses
    }
    assert guesses['"TAPE 1"'] == "sure"
    assert (
        guesses[
            '"MIC 1" to "MIC 4" are 4 pieces of equipment, each with outputs O (at PB1.T1, PB1.T2, PB1.T3, PB1.T4)'
        ]
        == "likely"
    )
