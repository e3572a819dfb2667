"""Texts put into cells, as many at once as there are: what can be is, and the rest is told."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import NamedTuple

from slinediag.editor.lists.judge import Judge
from slinediag.editor.lists.listing import Key, Listing
from slinediag.model.facility import Facility
from slinediag.problems import Problem, RequestError

MOST_TURNS = 8
"""How often cells that do not fit are tried again after others have gone in."""


class Cell(NamedTuple):
    """A cell: the key of its row and the title of its column."""

    key: Key
    title: str


@dataclass(frozen=True)
class NewRow:
    """The key of a row that is being typed and is not in the facility yet."""

    number: int


@dataclass(frozen=True, slots=True)
class Draft:
    """A text that a cell cannot take yet, and why; it may only wait for the rest of a new row."""

    text: str
    problem: Problem
    waits: bool = False


@dataclass
class Tried:
    """The facility with all that could be put in, what was, what could not be, and new keys."""

    facility: Facility
    taken: list[Cell] = field(default_factory=list)
    drafts: dict[Cell, Draft] = field(default_factory=dict)
    keys: dict[Key, Key] = field(default_factory=dict)
    """Rows whose keys are others now: renamed ones, and new ones that are in."""

    def now(self, cell: Cell) -> Cell:
        """A cell by its row's key as it is now."""
        return Cell(self.keys.get(cell.key, cell.key), cell.title)


def put_cells(
    judge: Judge, listing: Listing, facility: Facility, cells: Mapping[Cell, str]
) -> Tried:
    """Put texts into cells of the judge's facility, those that fit together.

    All at once where that can be; else one by one, again and again while more of them fit, since
    one may make room for another.
    """
    tried = Tried(facility)
    known = judge.facility
    old, new = _parted(cells)
    _put_old(judge, listing, tried, old)
    for key, texts in new.items():
        _put_new(judge, listing, tried, key, texts)
    judge.follow(known)
    return tried


def check_cell(
    judge: Judge, listing: Listing, cells: Mapping[Cell, str], cell: Cell
) -> Problem | None:
    """What is wrong with the text of one of some cells; nothing is put in."""
    return (
        draft.problem
        if (draft := put_cells(judge, listing, judge.facility, cells).drafts.get(cell))
        else None
    )


def _parted(
    cells: Mapping[Cell, str],
) -> tuple[dict[Cell, str], dict[NewRow, dict[str, str]]]:
    """Cells of rows that there are, and texts of new rows by column."""
    old: dict[Cell, str] = {}
    new: dict[NewRow, dict[str, str]] = {}
    for cell, text in cells.items():
        if isinstance(cell.key, NewRow):
            new.setdefault(cell.key, {})[cell.title] = text
        else:
            old[cell] = text
    return old, new


def _put_old(judge: Judge, listing: Listing, tried: Tried, cells: dict[Cell, str]) -> None:
    left = dict(cells)
    if len(cells) > 1:
        for cell in _put_together(judge, listing, tried, left):
            del left[cell]
        if len(tried.drafts) == len(cells):
            # None can be read, and none goes in to change that.
            return
    for turn in range(MOST_TURNS):
        count = len(left)
        # A column that moves up by one row fits from its end only, and one that moves down from
        # its beginning.
        for cell in list(left) if turn % 2 == 0 else list(reversed(left)):
            found = _put_one(judge, listing, tried, cell, left[cell])
            if found is None:
                del left[cell]
                tried.drafts.pop(cell, None)
            else:
                tried.drafts[cell] = Draft(left[cell], found)
        if len(left) in (0, count):
            break
    if 1 < len(left) < len(cells):
        for cell in _put_together(judge, listing, tried, left):
            tried.drafts.pop(cell, None)


def _put_together(
    judge: Judge, listing: Listing, tried: Tried, cells: dict[Cell, str]
) -> tuple[Cell, ...]:
    """Put in at once those of some cells that can be read; none where they do not fit together."""
    facility, keys = tried.facility, dict(tried.keys)
    read = []
    for cell, text in cells.items():
        column = listing.column(cell.title)
        key = keys.get(cell.key, cell.key)
        try:
            facility = column.put(facility, key, text)
        except RequestError as error:
            found = placed(listing, facility, key, cell.title, error.problems)
            tried.drafts[cell] = Draft(text, found)
            continue
        if column.renames:
            keys[cell.key] = listing.renamed(facility, key, column, text)
        read.append(cell)
    if judge.faults(facility):
        return ()
    tried.facility, tried.keys = facility, keys
    tried.taken += read
    judge.follow(facility)
    return tuple(read)


def _put_one(judge: Judge, listing: Listing, tried: Tried, cell: Cell, text: str) -> Problem | None:
    """Put one cell in; else what is wrong with it."""
    column = listing.column(cell.title)
    key = tried.keys.get(cell.key, cell.key)
    try:
        facility = column.put(tried.facility, key, text)
    except RequestError as error:
        return placed(listing, tried.facility, key, cell.title, error.problems)
    faults = () if column.sound else judge.faults(facility)
    if faults:
        return placed(listing, tried.facility, key, cell.title, faults)
    judge.follow(facility)
    tried.facility = facility
    tried.taken.append(cell)
    if column.renames:
        tried.keys[cell.key] = listing.renamed(facility, key, column, text)
    return None


def placed(
    listing: Listing, facility: Facility, key: Key, title: str, problems: Sequence[Problem]
) -> Problem:
    """The first of some problems, at the cell it is in."""
    return replace(problems[0], line=0, column=0, where=f"{listing.name(facility, key)}, {title}")


def _put_new(
    judge: Judge, listing: Listing, tried: Tried, row: NewRow, texts: dict[str, str]
) -> None:
    """Make a new row of what cannot be left out, then put the rest in."""
    given = {title: text for title, text in texts.items() if text.strip()}
    wrong = _wrong_cells(listing, tried.facility, given)
    if not given:
        return
    lacking = listing.lacks(given)
    faults: Sequence[Problem] = (lacking,) if lacking else ()
    facility: Facility = tried.facility
    key: Key = row
    if not lacking:
        try:
            facility, key = listing.begin(tried.facility, given)
            faults = judge.faults(facility)
        except RequestError as error:
            faults = error.problems
    if faults:
        found = replace(faults[0], line=0, column=0, where=f"New {listing.one}")
        for title, text in texts.items():
            waits = lacking is not None or not listing.column(title).needed
            draft = Draft(text, found, waits)
            tried.drafts[Cell(row, title)] = wrong.get(title, draft)
        return
    judge.follow(facility)
    tried.facility = facility
    tried.keys[row] = key
    tried.taken += [Cell(row, title) for title in given]
    for column in listing.columns:
        if column.title in given and not column.needed:
            cell, text = Cell(key, column.title), given[column.title]
            found_wrong = _put_one(judge, listing, tried, cell, text)
            if found_wrong is not None:
                tried.drafts[cell] = Draft(text, found_wrong)


def _wrong_cells(listing: Listing, facility: Facility, texts: dict[str, str]) -> dict[str, Draft]:
    """The cells of a new row that are wrong whatever is still to come."""
    wrong = {}
    for title, text in texts.items():
        try:
            listing.column(title).check(facility, text)
        except RequestError as error:
            where = f"New {listing.one}, {title}"
            found = replace(error.problems[0], line=0, column=0, where=where)
            wrong[title] = Draft(text, found)
    return wrong
