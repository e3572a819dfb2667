"""The report of an import in words, as plain values, and as comments at the head of the file."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Any

from slinediag.file.source import UNPRINTABLE
from slinediag.file.tables.cells import CellRef, clean, quoted
from slinediag.file.tables.fields import field_words
from slinediag.file.tables.ledger import Mark, Reading, Report

SHOWN = 3
"""Cells that a line of the report names."""
IN_FILE = 60
"""Marks that are written at the head of the file; the report holds all."""
WIDEST = 300
"""Characters of one comment in the file."""


def report_lines(report: Report) -> Iterator[str]:
    """The report as a person reads it: every text that was translated, with its cells."""
    yield f"Read {report.table}: {report.how}."
    yield from (f"  {layout}" for layout in report.layouts)
    if report.headings:
        yield "Headings:"
        yield from map(reading_line, report.headings)
    if report.readings:
        yield "Words:"
        yield from map(reading_line, report.readings)
    if report.guesses:
        yield "Guessed:"
        yield from (f"  {g.certainty}: {g.what}: {g.why}" for g in report.guesses)
    if report.marks:
        marks = row_by_row(report.marks)
        yield f"To look at ({len(marks)}):"
        yield from (f"  {mark_words(mark)}" for mark in marks)
    else:
        yield "Nothing is left to look at."


def reading_line(reading: Reading) -> str:
    """One word of the table, what it was read as, how sure that is, and where it stands."""
    line = f'  "{reading.text}": {field_words(reading.meaning)} ({cell_words(reading.cells)})'
    return line if reading.certainty == "sure" else f"{line}, {reading.certainty}"


def cell_words(cells: Sequence[CellRef]) -> str:
    """Where a text stands: the first cells, and how many more."""
    more = f" and {len(cells) - SHOWN} more" if len(cells) > SHOWN else ""
    return ", ".join(map(str, cells[:SHOWN])) + more


def row_by_row(marks: Sequence[Mark]) -> list[Mark]:
    """Marks with those that say the same of cells of one row drawn together."""
    found: dict[tuple[object, ...], Mark] = {}
    for mark in marks:
        own = (mark,) if mark.cell is None else ()
        key = *own, mark.cell and mark.cell[:2], mark.what
        known = found.get(key)
        found[key] = mark if known is None else replace(known, text=f"{known.text} | {mark.text}")
    return list(found.values())


def mark_words(mark: Mark) -> str:
    """One thing to look at."""
    place = f"{mark.cell} " if mark.cell else ""
    text = f'"{mark.text}": ' if mark.text else ""
    return f"{place}{text}{mark.what}"


def head_comments(report: Report) -> str:
    """Comment lines for the head of the file: where it came from and what to look at."""
    lines = [f"Imported from {clean(report.table.replace(chr(92), '/').rpartition('/')[2])}."]
    doubtful = [f"Doubtful: {g.what}: {g.why}" for g in report.guesses if g.certainty == "doubtful"]
    marks = [f"To look at: {short_mark(mark)}" for mark in row_by_row(report.marks)]
    words = [
        f"Doubtful: {quoted(word.text)} read as {word.meaning} ({cell_words(word.cells)})"
        for word in report.readings
        if word.certainty == "doubtful" and not word.meaning.startswith("not known")
    ]
    told = [*doubtful, *words, *marks]
    lines += told[:IN_FILE]
    if len(told) > IN_FILE:
        lines.append(f"And {len(told) - IN_FILE} more: see the report of the import.")
    return "".join(f"# {UNPRINTABLE.sub('�', clean(line))[:WIDEST]}\n" for line in lines)


def short_mark(mark: Mark) -> str:
    """One thing to look at, its text cut to what fits a line."""
    place = f"{mark.cell} " if mark.cell else ""
    return f"{place}{quoted(mark.text)}: {mark.what}" if mark.text else f"{place}{mark.what}"


def report_dict(report: Report) -> dict[str, Any]:
    """The report as plain values for JSON."""

    def readings(found: Sequence[Reading]) -> list[dict[str, Any]]:
        return [
            {"text": r.text, "meaning": field_words(r.meaning), "certainty": r.certainty,
             "cells": list(map(str, r.cells))}
            for r in found
        ]  # fmt: skip

    return {
        "table": report.table,
        "how": report.how,
        "layouts": list(report.layouts),
        "headings": readings(report.headings),
        "words": readings(report.readings),
        "guesses": [
            {"what": g.what, "certainty": g.certainty, "why": g.why} for g in report.guesses
        ],
        "look_at": [
            {"cell": str(m.cell) if m.cell else None, "text": m.text, "what": m.what}
            for m in report.marks
        ],
        "cells": {str(cell): fate for cell, fate in report.fates.items()},
    }
