"""Which columns of a table of rows hold what: by headings, by ``--map``, by what stands in them."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from slinediag.file.tables.cells import Sheet, column_letters
from slinediag.file.tables.contents import (
    guessed_columns,
    is_counting,
    normals_column,
    positions_column,
    texts_in,
)
from slinediag.file.tables.fields import Mapped, field_of, words_of
from slinediag.file.tables.numbers import read_position

SEARCHED = 60
"""Rows in which the headings are looked for."""
SAYS_WHAT = ("label", "box", "port")


@dataclass(frozen=True)
class Columns:
    """Headings as found: their row, and side-by-side tables of column → field."""

    row: int
    rows: int
    tables: tuple[Mapping[int, str], ...]
    headings: Mapping[int, str]
    guessed: tuple[int, ...] = ()
    """Columns whose field was guessed from what they hold."""


def find_columns(sheet: Sheet, maps: Sequence[Mapped]) -> Columns | None:
    """The row of headings with the most known ones; None where no row has enough of them."""
    best: tuple[tuple[int, int], Columns] | None = None
    for row in range(1, min(len(sheet.rows), SEARCHED) + 1):
        alone = columns_at(sheet, row, 0, maps)
        both = row > 1 and sheet.filled(row) and sheet.filled(row - 1)
        double = columns_at(sheet, row, 1, maps) if both else None
        # The row above is one of headings only if it adds to what the lower one says.
        found = double if known_in(double) > known_in(alone) else alone
        score = known_in(found), 0 if found is alone else 1
        if found is not None and (best is None or score > best[0]):
            best = score, found
    if best is not None:
        return with_contents(sheet, best[1])
    return without_headings(sheet, maps)


def known_in(columns: Columns | None) -> int:
    """How many headings of a row are known."""
    return sum(map(len, columns.tables)) - len(columns.guessed) if columns else 0


def columns_at(sheet: Sheet, row: int, above: int, maps: Sequence[Mapped]) -> Columns | None:
    """The columns that a row of headings names, if need be with the row above it."""
    headings = {c: heading_at(sheet, row, c, above) for c in range(1, sheet.width + 1)}
    headings = {c: text for c, text in headings.items() if text}
    fields = of_the_top({c: f for c, t in headings.items() if (f := mapped(t, c, maps))})
    known = set(fields.values())
    fields = {c: f for c, f in fields.items() if "row" in known or not said_by_row(f, known)}
    fields, counted = with_more_positions(sheet, row + 1, fields, headings)
    says = any(field.split(" ")[0] in SAYS_WHAT for field in known)
    if len(known) < 2 or not says or len(fields) * 3 < len(headings):
        return None
    if any(read_position(sheet.text(row, c)) for c, f in fields.items() if f == "position"):
        return None
    if counts_on(sheet, row, fields) and not any(named(text, maps) for text in headings.values()):
        return None
    tables = tuple(side_by_side(fields))
    return Columns(row, 1 + above, tables, headings, counted)


def counts_on(sheet: Sheet, row: int, but: Collection[int]) -> bool:
    """Whether a row counts positions together with others, as one of headings does not."""
    column = positions_column(sheet, 1, but)
    return column is not None and read_position(sheet.text(row, column)) is not None


def of_the_top(fields: Mapping[int, str]) -> dict[int, str]:
    """Columns of no row that stand left of the same ones of the bottom row are of the top row.

    Ports without a column of equipment are labels.
    """
    found = dict(fields)
    if "row" in fields.values():
        return found
    columns = {f: c for c, f in reversed(list(fields.items()))}
    for kind in SAYS_WHAT:
        top, bottom = f"{kind} T", f"{kind} B"
        if kind in columns and top not in columns and columns[kind] < columns.get(bottom, 0):
            found[columns[kind]] = top
    known = set(found.values())
    for row in ("", " T", " B"):
        if f"port{row}" in known and not {f"box{row}", f"label{row}", "box", "label"} & known:
            found = {c: f"label{row}" if f == f"port{row}" else f for c, f in found.items()}
    return found


def with_more_positions(
    sheet: Sheet, first: int, fields: dict[int, str], headings: Mapping[int, str]
) -> tuple[dict[int, str], tuple[int, ...]]:
    """The fields with columns that count positions under no heading, and those columns.

    Only where a heading of labels stands twice or more: then tables stand side by side.
    """
    says = [field for field in fields.values() if field.startswith(SAYS_WHAT)]
    if len(set(says)) == len(says):
        return fields, ()
    bare = [c for c in range(1, sheet.width + 1) if c not in headings]
    counted = tuple(c for c in bare if is_counting(texts_in(sheet, c, first)))
    found = {**fields, **dict.fromkeys(counted, "position")}
    if sum(field == "position" for field in found.values()) < 2:
        return fields, ()
    return dict(sorted(found.items())), counted


def with_contents(sheet: Sheet, columns: Columns) -> Columns:
    """The columns, with those of positions and normals found by what they hold.

    Only where no heading names them; a column of L and R that counts is one of positions.
    """
    if len(columns.tables) > 1:
        return columns
    (table,) = columns.tables
    guessed: dict[int, str] = {}
    known = {c for c, field in table.items() if field != "side"}
    if "position" not in table.values():
        column = positions_column(sheet, columns.row + 1, known)
        guessed |= {column: "position"} if column else {}
    if "normal" not in table.values():
        column = normals_column(sheet, columns.row + 1, known | set(guessed))
        guessed |= {column: "normal"} if column else {}
    return replace(columns, tables=({**table, **guessed},), guessed=(*columns.guessed, *guessed))


def without_headings(sheet: Sheet, maps: Sequence[Mapped]) -> Columns | None:
    """The columns of a table without headings: by their letters, else by what they hold."""
    letters = {column_letters(c).casefold(): c for c in range(1, sheet.width + 1)}
    told = {letters[m.heading]: m.field for m in maps if m.heading in letters}
    table = told or guessed_columns(sheet)
    says = any(field.startswith(SAYS_WHAT) for field in table.values())
    if not says:
        return None
    if told:
        return with_contents(sheet, Columns(0, 0, (first_of_each(table),), {}, ()))
    return Columns(0, 0, (first_of_each(table),), {}, tuple(table))


def said_by_row(field: str, known: Collection[str]) -> bool:
    """Whether a field of no row stands beside the same one of the top or the bottom row."""
    return field in SAYS_WHAT and bool({f"{field} T", f"{field} B"} & set(known))


def heading_at(sheet: Sheet, row: int, column: int, above: int) -> str:
    """A heading, with the wider heading over it where two rows of headings are read."""
    own = sheet.text(row, column)
    if not above:
        return own
    wide = column
    span = sheet.merged.get((row - 1, column))
    if span is not None:
        wide = span.left
    elif not sheet.text(row - 1, column) and own:
        wide = next((c for c in range(column, 0, -1) if sheet.text(row - 1, c)), column)
    over = sheet.text(row - 1, wide)
    if field_of(over) in ("label T", "label B") or not own:
        return " ".join(filter(None, (over, own)))
    return own


def named(heading: str, maps: Sequence[Mapped]) -> bool:
    """Whether a text is a heading by its own words, not by the letters of its column."""
    words = " ".join(words_of(heading))
    return field_of(heading) is not None or any(words == m.heading for m in maps)


def mapped(heading: str, column: int, maps: Sequence[Mapped]) -> str | None:
    """The field of a heading: what ``--map`` says, else what the heading says."""
    letters = column_letters(column).casefold()
    words = " ".join(words_of(heading))
    for name, field in maps:
        if name in (words, letters):
            return field
    return field_of(heading)


def side_by_side(fields: Mapping[int, str]) -> Iterator[Mapping[int, str]]:
    """Tables that stand side by side: a new one begins at each further column of positions."""
    starts = [c for c, field in fields.items() if field == "position"]
    if len(starts) < 2:
        yield first_of_each(fields)
        return
    shared = {c: f for c, f in fields.items() if c < starts[0]}
    for start, end in zip(starts, [*starts[1:], max(fields) + 1], strict=True):
        own = {c: f for c, f in fields.items() if start <= c < end}
        yield {**(shared if start == starts[0] else {}), **first_of_each(own)}


def first_of_each(fields: Mapping[int, str]) -> Mapping[int, str]:
    """Each field once; a second column of the same heading is left to the notes."""
    seen: set[str] = set()
    kept = {}
    for column, field in fields.items():
        if field == "note" or field not in seen:
            kept[column] = field
        seen.add(field)
    return kept
