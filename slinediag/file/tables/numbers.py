"""Positions as tables number them: 7, 07, PB1-07, T7, 7-8."""

from __future__ import annotations

import re
from typing import Literal, NamedTuple

Row = Literal["T", "B"]

SINGLE = re.compile(r"(\d{1,5})(?:\.0)?\Z")
RUN = re.compile(r"(\d{1,5})\s*(-|–|to|/|,|&|\+|and)\s*(\d{1,5})\Z", re.I)
IN_ROW = re.compile(r"(?:([TB])\s*-?\s*(\d{1,5})|(\d{1,5})\s*-?\s*([TAB]))\Z", re.I)
IN_BAY = re.compile(
    r"([A-Za-z][A-Za-z0-9]*(?:\s+[A-Za-z0-9]+)?)[\s\-./:]+([TB]?)(\d{1,5})([TB]?)\Z", re.I
)
BARE_BAY = re.compile(r"([A-Za-z]{1,6})(\d{1,5})\Z")
LEAD = re.compile(r"(?:#|no\.?\s|pos\.?\s|nr\.?\s|jack\s|position\s)\s*", re.I)
MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
ISO_DATE = re.compile(r"(\d{4})-(\d\d)-(\d\d)\Z")
NAMED_DATE = re.compile(rf"(\d{{1,2}})-({'|'.join(MONTHS)})\Z", re.I)
LONGEST_RUN = 48


class Numbered(NamedTuple):
    """The positions that a cell names, with the bay and the row if it names them."""

    numbers: tuple[int, ...]
    bay: str = ""
    row: Row | None = None


def read_position(text: str) -> Numbered | None:
    """The positions of a cell; None where it names none."""
    body = LEAD.sub("", text, count=1) if LEAD.match(text) else text
    if not body.isascii() and "–" not in body:
        return None
    if found := SINGLE.match(body):
        return Numbered((int(found[1]),))
    if found := RUN.match(body):
        return run(int(found[1]), int(found[3]), found[2])
    if found := IN_ROW.match(body):
        letter = (found[1] or found[4]).upper()
        return Numbered((int(found[2] or found[3]),), "", "B" if letter == "B" else "T")
    if found := IN_BAY.match(body):
        letter = (found[2] or found[4]).upper()
        row: Row | None = "T" if letter == "T" else "B" if letter == "B" else None
        return Numbered((int(found[3]),), found[1], row)
    if found := BARE_BAY.match(body):
        return Numbered((int(found[2]),), found[1])
    pair = dated_pair(body)
    return Numbered(pair) if pair else None


def dated_pair(text: str) -> tuple[int, int] | None:
    """The two neighbours, as 1-2 or 12-13, of which a spreadsheet has made a date; None else.

    It takes them for a month and a day, in either order, or for a month and a year.
    """
    if found := ISO_DATE.match(text):
        year, month, day = (int(part) for part in found.groups())
    elif found := NAMED_DATE.match(text):
        year, month, day = 0, MONTHS.index(found[2].casefold()) + 1, int(found[1])
    else:
        return None
    if abs(month - day) == 1:
        return min(month, day), max(month, day)
    if year % 100 == month + 1 and day == 1:
        return month, month + 1
    return None


def run(first: int, last: int, sign: str) -> Numbered | None:
    """A run of positions; signs that mean "and" join two neighbours only."""
    longest = LONGEST_RUN if sign.casefold() in ("-", "–", "to") else 2
    if not 0 < last - first < longest:
        return None
    return Numbered(tuple(range(first, last + 1)))
