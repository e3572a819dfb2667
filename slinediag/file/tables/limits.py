"""How large a table may be: the table of one plant is far below all of these."""

from __future__ import annotations

from slinediag.file.source import refusal

LARGEST = 4 * 1024 * 1024
"""Bytes of the file."""
UNPACKED = 64 * 1024 * 1024
"""Bytes of all parts of a workbook once unpacked."""
MOST_ROWS, MOST_COLUMNS, MOST_CELLS = 20_000, 500, 400_000


def check_area(rows: int, columns: int, name: str) -> None:
    """Refuse a sheet that is larger than any table of positions; FileErrors."""
    if rows > MOST_ROWS or columns > MOST_COLUMNS or rows * columns > MOST_CELLS:
        what = f"a sheet of {rows:,} rows and {columns:,} columns is too large for a table of bays"
        raise refusal(name, what, "Delete the empty rows and columns round the table")
