"""Cells as the text that spreadsheets hand over: tabs between cells, lines between rows.

A cell with a tab, a line end or a quote stands in quotes, its own quotes doubled, as in RFC 4180
with tabs for commas; that is what the common spreadsheets write to the clipboard and read from it.
"""

from __future__ import annotations

from collections.abc import Sequence

QUOTED = ("\t", "\n", "\r", '"')


def written(rows: Sequence[Sequence[str]]) -> str:
    """Cells as text."""
    return "".join("\t".join(map(_quoted, row)) + "\n" for row in rows)


def _quoted(text: str) -> str:
    if any(mark in text for mark in QUOTED):
        return '"' + text.replace('"', '""') + '"'
    return text


def read(text: str) -> list[list[str]]:
    """The cells of a text, all rows as long as the longest.

    A quote counts only at the beginning of a cell, and only where it is closed at a cell's end: a
    7" reel stays what it is, and so does a cell that just begins with a quote.
    """
    rows: list[list[str]] = [[]]
    at, end = 0, len(text)
    while at <= end:
        cell, at = _cell(text, at)
        rows[-1].append(cell)
        if at < end and text[at] == "\t":
            at += 1
            continue
        if at >= end:
            break
        at += 2 if text.startswith("\r\n", at) else 1
        if at >= end:
            break
        rows.append([])
    width = max(map(len, rows))
    return [row + [""] * (width - len(row)) for row in rows]


def _cell(text: str, at: int) -> tuple[str, int]:
    """The cell that begins at an index, and the index behind it."""
    if text.startswith('"', at):
        found = _quoted_cell(text, at + 1)
        if found is not None:
            return found
    stop = at
    while stop < len(text) and text[stop] not in "\t\n\r":
        stop += 1
    return text[at:stop], stop


def _quoted_cell(text: str, at: int) -> tuple[str, int] | None:
    """The cell in quotes whose text begins at an index; None where its quote is never closed."""
    pieces = []
    while True:
        close = text.find('"', at)
        if close < 0:
            return None
        pieces.append(text[at:close])
        if text.startswith('"', close + 1):
            pieces.append('"')
            at = close + 2
            continue
        behind = close + 1
        if behind < len(text) and text[behind] not in "\t\n\r":
            return None
        return "".join(pieces).replace("\r\n", "\n").replace("\r", "\n"), behind
