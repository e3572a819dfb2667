"""Which column holds what by its cells, where no heading says it."""

from __future__ import annotations

import itertools
from collections.abc import Collection, Mapping, Sequence

from slinediag.file.tables.cells import Sheet
from slinediag.file.tables.meanings import SURE_NORMALS, folded, normal_of
from slinediag.file.tables.numbers import read_position

FEWEST = 4
"""Rows of the shortest table whose columns are guessed."""
MOSTLY = 0.8
"""The share of cells that must be of a kind before a column is taken for it."""
SURE = frozenset(word for words in SURE_NORMALS.values() for word in words)

DRAWN = frozenset({"↓", "⇣", "↑", "⇡", "|", "│", "=", "h", "f"})
"""Signs and letters of normals that a column of labels would not hold again and again."""


def texts_in(sheet: Sheet, column: int, first: int) -> list[str]:
    """The filled cells of a column from a row on."""
    texts = (sheet.text(row, column) for row in range(first, len(sheet.rows) + 1))
    return [text for text in texts if text]


def normals_column(sheet: Sheet, first: int, but: Collection[int]) -> int | None:
    """The first column, none of ``but``, that holds words of normals and hardly anything else."""
    for column in range(1, sheet.width + 1):
        texts = [] if column in but else texts_in(sheet, column, first)
        known = sum(normal_of(text) is not None for text in texts)
        if texts and known >= MOSTLY * len(texts) and tells_normals(texts):
            return column
    return None


def tells_normals(texts: Sequence[str]) -> bool:
    """Whether some of these texts can hardly be anything but normals."""
    words = [folded(text) for text in texts]
    return any(word in SURE for word in words) or sum(word in DRAWN for word in words) > 1


def positions_column(sheet: Sheet, first: int, but: Collection[int]) -> int | None:
    """The first column, none of ``but``, that counts positions, one by one."""
    for column in range(1, sheet.width + 1):
        if column not in but and is_counting(texts_in(sheet, column, first)):
            return column
    return None


def is_counting(texts: Sequence[str]) -> bool:
    """Whether texts count positions, one by one."""
    read = [read_position(text) for text in texts]
    numbers = [found.numbers for found in read if found and not found.row]
    steps = sum(b[0] == a[-1] + 1 for a, b in itertools.pairwise(numbers))
    return len(numbers) >= FEWEST and steps + 1 >= MOSTLY * len(read)


def guessed_columns(sheet: Sheet) -> Mapping[int, str]:
    """Positions, normals, and the first two columns of texts as top and bottom; or nothing."""
    position = positions_column(sheet, 1, ())
    if position is None:
        return {}
    found = {position: "position"}
    normal = normals_column(sheet, 1, {position})
    if normal is not None:
        found[normal] = "normal"
    labels = ["label T", "label B"]
    for column in range(position + 1, sheet.width + 1):
        texts = texts_in(sheet, column, 1)
        varied = len(set(texts)) * 2 > len(texts) >= FEWEST // 2
        if labels and column not in found and varied:
            found[column] = labels.pop(0)
    return found
