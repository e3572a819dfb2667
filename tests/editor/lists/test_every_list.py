"""Whatever is typed anywhere: what the lists take the file's reader takes, and nothing else.

The other side of each check is the reader itself, on the whole written file.
"""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from slinediag.editor.lists.judge import Judge
from slinediag.editor.lists.lists_view import LISTINGS
from slinediag.editor.lists.trying import Cell, NewRow, put_cells
from slinediag.file.read import load, parse
from slinediag.file.write import new_file, render, settled
from slinediag.problems import RequestError, WriteError

SAMPLES = Path(__file__).parents[3] / "samples"
DOCUMENT = load(SAMPLES / "quillmoor.yaml")
TEXTS = (
    "", "X", "1", "0.5", "-3", "yes", "no", "none", "half", "PB1.T3", "PB2.B8", "PB9.T1", "DESK.5L",
    "PLY1.L", "LIM.L:in", "S12/3", "2026-03-01", "2026-13-01", "~", '""', "a: b", "L, R", "L/R",
    "straight", "all", "9", "97", "48", "both", "two\nlines", "PB1.T45, PB1.T46", "\x07",
)  # fmt: skip


def reader_takes(facility):
    """Whether the file that says this facility can be written and read."""
    try:
        data = new_file(facility)
    except WriteError:
        return False
    return settled(parse(data, "new.yaml").facility) == settled(facility)


def some_text(column, facility, key, dice):
    names = () if isinstance(key, NewRow) else column.names(facility, key)
    if names and dice.random() < 0.5:
        return dice.choice(names).text
    return dice.choice(TEXTS)


def some_cells(listing, facility, dice):
    """A row and texts for some of its cells."""
    keys = listing.keys(facility)
    new = listing.own_rows and dice.random() < 0.3
    key = NewRow(1) if new or not keys else dice.choice(keys)
    columns = [c for c in listing.columns if not c.fixed or (c.needed and new)]
    picked = columns if new else dice.sample(columns, min(len(columns), dice.randint(1, 2)))
    return {Cell(key, column.title): some_text(column, facility, key, dice) for column in picked}


@pytest.mark.parametrize("kind", LISTINGS, ids=lambda kind: kind.title)
def test_what_is_taken_is_written_and_read(kind):
    listing, dice = kind(), random.Random(kind.title)
    facility, judge, taken = DOCUMENT.facility, Judge(DOCUMENT.facility), 0
    for _ in range(40):
        tried = put_cells(judge, listing, facility, some_cells(listing, facility, dice))
        taken += len(tried.taken)
        facility = tried.facility
        judge.follow(facility)
        assert set(tried.keys.values()) <= set(listing.keys(facility))
    assert taken > 5
    assert reader_takes(facility)
    data = render(DOCUMENT, facility)
    assert settled(parse(data, "again.yaml").facility) == settled(facility)


@pytest.mark.parametrize("kind", LISTINGS, ids=lambda kind: kind.title)
def test_what_the_judge_refuses_the_reader_refuses(kind):
    listing, dice = kind(), random.Random(kind.title + " refused")
    facility, judge, refused = DOCUMENT.facility, Judge(DOCUMENT.facility), 0
    for _ in range(150):
        keys = listing.keys(facility)
        key = dice.choice(keys)
        column = dice.choice([column for column in listing.columns if not column.fixed])
        try:
            other = column.put(facility, key, some_text(column, facility, key, dice))
        except RequestError:
            continue
        faults = judge.faults(other)
        if faults and refused < 6:
            refused += 1
            assert not reader_takes(other), (column.title, faults)


@pytest.mark.parametrize("kind", LISTINGS, ids=lambda kind: kind.title)
def test_every_cell_put_back_as_it_shows_changes_nothing(kind):
    listing, facility = kind(), DOCUMENT.facility
    for key in listing.keys(facility):
        for column in listing.columns:
            if not column.fixed:
                text = column.text(facility, key)
                assert column.put(facility, key, text) == facility, (key, column.title, text)


@pytest.mark.parametrize(
    "kind", [kind for kind in LISTINGS if kind.own_rows], ids=lambda kind: kind.title
)
def test_rows_taken_out_leave_a_file_that_reads(kind):
    listing, facility = kind(), DOCUMENT.facility
    dice = random.Random(kind.title)
    for _ in range(3):
        keys = listing.keys(facility)
        if not keys:
            break
        gone = dice.sample(keys, min(len(keys), 2))
        judge = Judge(facility)
        left = listing.remove(facility, gone)
        if judge.faults(left):
            assert not reader_takes(left)
            continue
        facility = left
        assert len(listing.keys(facility)) == len(keys) - len(gone)
    assert reader_takes(facility)
    data = render(DOCUMENT, facility)
    assert settled(parse(data, "again.yaml").facility) == settled(facility)


def test_the_judge_follows_any_way_through_history():
    listing, dice = LISTINGS[0](), random.Random(1)
    states = [DOCUMENT.facility]
    judge = Judge(states[0])
    for _ in range(30):
        tried = put_cells(judge, listing, states[-1], some_cells(listing, states[-1], dice))
        judge.follow(tried.facility)
        states.append(tried.facility)
    for facility in (states[3], states[-1], states[0], states[12]):
        judge.follow(facility)
        fresh = Judge(facility)
        known = {key: sorted(users) for key, users in judge._taken._users.items() if users}
        assert known == {key: sorted(users) for key, users in fresh._taken._users.items()}
        assert judge.register.ports == fresh.register.ports
        assert judge.register.bays == fresh.register.bays


def code_and_comment(line):
    """A line's two parts; a # within quotes does not occur in the sample."""
    code, mark, comment = line.partition("#")
    return code.rstrip(), (mark + comment).rstrip()


@pytest.mark.parametrize("kind", LISTINGS, ids=lambda kind: kind.title)
def test_one_edit_changes_few_lines_and_no_comment(kind):
    listing, dice, tried_so_far = kind(), random.Random(kind.title + " saved"), 0
    before = DOCUMENT.data.decode().splitlines()
    comments = sorted(c for line in before if (c := code_and_comment(line)[1]))
    for _ in range(60):
        key = dice.choice(listing.keys(DOCUMENT.facility))
        column = dice.choice([c for c in listing.columns if not c.fixed and not c.renames])
        text = some_text(column, DOCUMENT.facility, key, dice)
        cells = {Cell(key, column.title): text}
        tried = put_cells(Judge(DOCUMENT.facility), listing, DOCUMENT.facility, cells)
        if not tried.taken or tried.facility == DOCUMENT.facility:
            continue
        tried_so_far += 1
        after = render(DOCUMENT, tried.facility).decode().splitlines()
        gone = [n for n, line in enumerate(before) if line not in after]
        assert len(gone) <= 3, (column.title, key, text)
        kept = sorted(c for line in after if (c := code_and_comment(line)[1]))
        assert kept == comments, (column.title, key, text)
        if tried_so_far == 5:
            break


@pytest.mark.parametrize(
    ("title", "column", "texts"),
    [
        ("Equipment", "Outputs", ("", "L", "X", "L, R, X")),
        ("Equipment", "Inputs", ("", "L", "X")),
        ("Bays", "Positions", ("1", "20", "40", "46", "60")),
        ("Bays", "Rows", ("1",)),
        ("Cables", "Pairs", ("1", "3", "7", "60")),
    ],
)
def test_what_goes_away_is_missed_where_the_reader_misses_it(title, column, texts):
    listing = next(kind for kind in LISTINGS if kind.title == title)()
    facility, dice = DOCUMENT.facility, random.Random(title + column)
    keys = listing.keys(facility)
    seen = set()
    for key in dice.sample(keys, min(len(keys), 8)):
        other = listing.column(column).put(facility, key, dice.choice(texts))
        refused = bool(Judge(facility).faults(other))
        assert refused != reader_takes(other), (key, column)
        seen.add(refused)
    assert True in seen
