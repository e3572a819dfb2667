"""Tables of one row a position, or one row a jack: the rows under the headings."""

from __future__ import annotations

import itertools
import re
from collections.abc import Mapping, Sequence
from typing import Literal

from slinediag.file.tables.cells import Sheet, column_letters
from slinediag.file.tables.fields import field_of, field_words
from slinediag.file.tables.gather import TITLE, Entry, Gatherer, Said
from slinediag.file.tables.headings import SAYS_WHAT, Columns
from slinediag.file.tables.ledger import Ledger
from slinediag.file.tables.meanings import ROWS, folded, is_ditto
from slinediag.file.tables.numbers import Numbered, dated_pair, read_position

GROUP_TITLE = 40
"""Characters of the longest text that is taken for the name of a group."""
TOTAL = re.compile(r"(?:sub-?|grand )?(?:totals?|sums?|count)\b(?!\s+[A-Za-z]*\d)", re.I)
"""What a row of totals begins with."""
PAGE = re.compile(r"\bpage\s*\d", re.I)
Pairing = Literal["none", "next", "double"]
DOWN = ("normal", "group", "place", "bay place", "state")


def read_rows(sheet: Sheet, columns: Columns, gather: Gatherer) -> None:
    """Take in all rows of a sheet with headings."""
    reader = RowReader(sheet, columns, gather)
    titles = titles_over(sheet, columns)
    reader.note_headings()
    for column in columns.guessed:
        field = next(table[column] for table in columns.tables if column in table)
        what = f"column {column_letters(column)} holds: {field_words(field)}"
        gather.ledger.guess(
            what, "doubtful", "what stands in it looks like that; no heading says it"
        )
    for index, table in enumerate(columns.tables):
        for title in titles[index]:
            gather.title(title)
        reader.read(table, first=index == 0)


def titles_over(sheet: Sheet, columns: Columns) -> list[list[Said]]:
    """The texts over the headings, for each table: its own where every table has some, else all."""
    rows = range(1, columns.row - columns.rows + 1)
    titles = [Said(sheet.text(r, c), sheet.ref(r, c)) for r in rows for c in sheet.filled(r)]
    starts = [1, *(min(table) for table in columns.tables[1:]), sheet.width + 1]
    own = [
        [title for title in titles if start <= title.cell.column < end]
        for start, end in itertools.pairwise(starts)
    ]
    return own if all(own) else [titles, *([] for _ in own[1:])]


class RowReader:
    """Reads the rows under one row of headings."""

    def __init__(self, sheet: Sheet, columns: Columns, gather: Gatherer) -> None:
        self._sheet, self._columns, self._gather = sheet, columns, gather
        self._ledger: Ledger = gather.ledger
        self._body = range(columns.row + 1, len(sheet.rows) + 1)
        self._known = {c: f for table in columns.tables for c, f in table.items()}
        self._group: Said | None = None
        self._prefix = ""
        self._pairing: Pairing = "none"
        gather.two_rows = any(field.endswith(" B") for field in self._known.values())

    def note_headings(self) -> None:
        """Take down what each heading was read as."""
        sheet, top = self._sheet, self._columns.row - self._columns.rows + 1
        for row in range(max(1, top), self._columns.row + 1):
            for column in sheet.filled(row):
                cell, text = sheet.ref(row, column), sheet.text(row, column)
                field = self._known.get(column)
                self._ledger.heading(
                    cell, text, field or "not known", "sure" if field else "doubtful"
                )
                if field is None:
                    what = "a heading that stands twice" if field_of(text) else "no known heading"
                    kept = "what stands under it is kept as notes of the positions"
                    self._ledger.mark(cell, text, f"{what}: {kept}; --map says otherwise")

    def read(self, table: Mapping[int, str], first: bool) -> None:
        """Take in the rows of one of the tables that stand side by side."""
        down = {c: f for c, f in table.items() if self._goes_down(c, f)}
        owned = self._owned(table, first)
        self._pairing = self._find_pairing(table)
        last: dict[tuple[int, str], Said] = {}
        number = 0
        for row in self._body:
            if self._is_heading(row) or not any(self._sheet.text(row, c) for c in owned):
                self._group = self._group if self._is_heading(row) else None
                continue
            number = self._row(row, table, owned, down, last, number)

    def _find_pairing(self, table: Mapping[int, str]) -> Pairing:
        """What a number of a table with columns of left and right stands for."""
        column = next((c for c, f in table.items() if f == "position"), None)
        if column is None or not any(is_sided(f, " L") for f in table.values()):
            return "none"
        read = (read_position(self._sheet.text(row, column)) for row in self._body)
        numbers = [found.numbers for found in read if found is not None]
        steps = {b[0] - a[0] for a, b in itertools.pairwise(numbers)}
        if len(numbers) < 2 or any(len(found) > 1 for found in numbers):
            return "none"
        if steps == {2}:
            what = "a number stands for itself and the next: left and right"
            self._ledger.guess(what, "likely", "the numbers go in twos")
            return "next"
        if steps == {1}:
            what = f"number {numbers[0][0]} stands for two positions, as all others do"
            why = "one number for a left and a right; see how the bay counts them"
            self._ledger.guess(f"{what}: left and right", "doubtful", why)
            return "double"
        return "none"

    def _as_pair(self, numbered: Numbered) -> Numbered:
        """The two positions of a row that names one number for left and right."""
        first = numbered.numbers[0]
        if self._pairing == "none" or len(numbered.numbers) > 1:
            return numbered
        if self._pairing == "double":
            first = 2 * first - 1
        return numbered._replace(numbers=(first, first + 1))

    def _owned(self, table: Mapping[int, str], first: bool) -> list[int]:
        """The columns whose texts belong to a table: its own and the unknown ones beside it."""
        others = {c for t in self._columns.tables if t is not table for c in t}
        start = 1 if first else min(table)
        following = [min(t) for t in self._columns.tables if min(t) > max(table)]
        end = min(following, default=self._sheet.width + 1)
        return [c for c in range(start, end) if c not in others]

    def _goes_down(self, column: int, field: str) -> bool:
        """Whether a blank in a column means "as above"."""
        if field == "bay":
            return True
        if field.split(" ")[0] == "box":
            return False
        if field not in DOWN and not field.startswith("place"):
            return False
        texts = [self._sheet.text(row, column) for row in self._body if self._sheet.filled(row)]
        filled = [text for text in texts if text]
        if len(filled) * 2 > len(texts) or not filled or not next(iter(texts), ""):
            return False
        changes = all(a != b for a, b in itertools.pairwise(filled))
        if changes:
            name = self._columns.headings.get(column, field)
            self._ledger.guess(
                f'blanks under "{name}" mean "as above"', "likely",
                "the first row is filled, and a text stands only where it changes",
            )  # fmt: skip
        return changes

    def _is_heading(self, row: int) -> bool:
        """Whether a row repeats the headings, as on each page of a print."""
        sheet, head = self._sheet, self._columns.row
        filled = sheet.filled(row)
        if len(filled) < 2 or any(sheet.text(row, c) != sheet.text(head, c) for c in filled):
            return False
        for column in filled:
            self._ledger.take(sheet.ref(row, column), "heading")
        return True

    def _row(
        self, row: int, table: Mapping[int, str], owned: Sequence[int],
        down: Mapping[int, str], last: dict[tuple[int, str], Said], number: int,
    ) -> int:  # fmt: skip
        """Take in one row; the last of its positions."""
        said = {c: s for c in owned if (s := self._said(row, c, c in table))}
        numbered = self._position(said, table)
        if numbered is None and self._alone(row, said, table):
            return number
        if numbered is None:
            numbered = self._counted(row, said, table, number)
        if numbered is None:
            for column, text in said.items():
                self._gather.remark(text, self._columns.headings.get(column, ""))
                self._ledger.mark(text.cell, text.text, "no position: kept as a note")
            return number
        numbered = self._as_pair(numbered)
        self._as_above(said, table, down, last)
        entry = {f: said[c] for c, f in table.items() if c in said and f != "note"}
        notes = tuple(
            (self._columns.headings.get(c, "") if table.get(c) != "note" else "", said[c])
            for c in said
            if table.get(c, "note") == "note"
        )
        for position in numbered.numbers:
            self._add(numbered, position, entry, notes)
        return numbered.numbers[-1]

    def _said(self, row: int, column: int, known: bool) -> Said | None:
        text = self._sheet.text(row, column)
        span = self._sheet.merged.get((row, column))
        if span is None:
            return Said(text, self._sheet.ref(row, column)) if text else None
        held = self._sheet.text(span.top, span.left)
        if not held or column != span.left or not (known or text):
            return None
        rows = span.bottom - span.top + 1
        return Said(held, self._sheet.ref(span.top, span.left), rows, row - span.top)

    def _position(self, said: Mapping[int, Said], table: Mapping[int, str]) -> Numbered | None:
        """The positions of a row; a lone text that names a new bay, as "Total 14", is none."""
        column = next((c for c, f in table.items() if f == "position"), None)
        found = said.get(column) if column is not None else None
        numbered = read_position(found.text) if found else None
        if found is None or numbered is None or (len(said) == 1 and numbered.bay != self._prefix):
            return None
        if TOTAL.match(next(iter(said.values())).text):
            return None
        if dated_pair(found.text):
            meaning = f"positions {numbered.numbers[0]} and {numbered.numbers[1]}, turned to a date"
            self._ledger.read(found.cell, found.text, meaning, "doubtful", "position")
        if numbered.row == "T" and found.text[-1] in "aA":
            what = "A and B behind a number are the top jack and the bottom jack"
            self._ledger.guess(what, "likely", f"as at {found.cell}; so bays are often numbered")
        self._ledger.take(found.cell, "position")
        self._prefix = numbered.bay
        return numbered

    def _alone(self, row: int, said: Mapping[int, Said], table: Mapping[int, str]) -> bool:
        """Take in a row that holds one text only: the title of a bay or of a group, or a note."""
        if len(said) != 1:
            return False
        ((column, text),) = said.items()
        wide = (span := self._sheet.merged.get((row, column))) and span.right > span.left
        ahead = column <= min(table) or table.get(column) in ("position", "bay", "group")
        if table.get(column, "").startswith(SAYS_WHAT) and not (wide or ahead):
            return False
        if not (wide or ahead):
            self._gather.remark(text)
            return True
        if TITLE.search(text.text) and self._position_follows(row, table):
            self._gather.title(text)
            self._group = None
        elif PAGE.search(text.text):
            self._gather.remark(text)
        elif len(text.text) <= GROUP_TITLE and self._position_follows(row, table):
            self._ledger.read(text.cell, text.text, "name of the group below", "likely", "group")
            self._group = text
        else:
            self._gather.remark(text)
        return True

    def _position_follows(self, row: int, table: Mapping[int, str]) -> bool:
        rows = (r for r in self._body if r > row and any(self._sheet.text(r, c) for c in table))
        following = next(rows, None)
        while following is not None and self._is_heading(following):
            following = next(rows, None)
        column = next((c for c, f in table.items() if f == "position"), None)
        if following is None:
            return False
        return column is None or read_position(self._sheet.text(following, column)) is not None

    def _counted(
        self, row: int, said: Mapping[int, Said], table: Mapping[int, str], number: int
    ) -> Numbered | None:
        """The position of a row without a number: the next one; none for a last lone text."""
        if not any(table.get(c, "").startswith(SAYS_WHAT) for c in said):
            return None
        column = next((c for c, f in table.items() if f == "position"), None)
        if TOTAL.match(next(iter(said.values())).text):
            return None
        if column is not None and len(said) == 1 and not self._position_follows(row, table):
            return None
        if column is None:
            self._ledger.guess("rows counted from 1", "likely", "no column holds the positions")
            return Numbered((number + 1,))
        if column in said:
            return None
        if "row" in table.values() and number:
            return Numbered((number,))
        first = next(iter(said.values()))
        self._ledger.mark(first.cell, first.text, f"no number: taken for position {number + 1}")
        return Numbered((number + 1,))

    def _as_above(
        self, said: dict[int, Said], table: Mapping[int, str],
        down: Mapping[int, str], last: dict[tuple[int, str], Said],
    ) -> None:  # fmt: skip
        """Fill ditto marks, blanks that mean "as above", and equipment over further ports."""
        jack_row = next((said[c].text for c, f in table.items() if f == "row" and c in said), "")
        for column, field in table.items():
            found = said.get(column)
            # The equipment above, in a table of one row a jack, is that of the same row of jacks.
            key = (column, jack_row if field == "box" else "")
            if found and is_ditto(found.text) and key in last and field != "position":
                self._ledger.read(found.cell, found.text, "as above", "sure")
                said[column] = last[key]
            elif found is None and key in last and self._fills(column, said, table, down):
                said[column] = last[key]
            if column in said:
                last[key] = said[column]
            elif column not in down and not field.startswith("box"):
                last.pop(key, None)

    def _fills(
        self, column: int, said: Mapping[int, Said], table: Mapping[int, str],
        down: Mapping[int, str],
    ) -> bool:  # fmt: skip
        """Whether a blank cell stands for the text above it."""
        if not table[column].startswith("box"):
            return column in down
        row = table[column][3:]
        return any(table.get(c) in (f"port{row}", f"side{row}") for c in said)

    def _add(
        self, numbered: Numbered, position: int,
        entry: Mapping[str, Said], notes: tuple[tuple[str, Said], ...],
    ) -> None:  # fmt: skip
        count, nth = len(numbered.numbers), numbered.numbers.index(position)
        own = {
            f: spread(s, f, count, nth)
            for f, s in of_one_side(entry, count, nth).items()
            if f not in ("position", "bay")
        }
        bay = entry.get("bay")
        if bay is None and numbered.bay:
            bay = Said(numbered.bay, entry["position"].cell)
        row = self._jack_row(own, numbered)
        if row:
            jack = "top" if row == "T" else "bottom"
            notes = tuple((f"{name}, {jack}" if name else "", said) for name, said in notes)
        if "group" not in own and self._group is not None:
            own["group"] = self._group
        fields = {in_row(f, row, count == 2): s for f, s in own.items()}
        normals = "normal" in self._known.values()
        self._gather.add(bay, Entry(position, fields, notes, normals))

    def _jack_row(self, own: dict[str, Said], numbered: Numbered) -> str | None:
        """The row of jacks that a row of the table is about; None where it is about both."""
        said = own.get("row")
        row = ROWS.get(folded(said.text)) if said else None
        if said and row:
            meaning = "top row" if row == "T" else "bottom row"
            self._ledger.read(said.cell, said.text, meaning, "sure")
            del own["row"]
        return row or numbered.row


def of_one_side(entry: Mapping[str, Said], count: int, nth: int) -> Mapping[str, Said]:
    """An entry at one of two positions, without the columns that are of the other side."""
    other = " " + "RL"[nth % 2]
    return {f: s for f, s in entry.items() if count != 2 or not is_sided(f, other)}


def is_sided(field: str, side: str) -> bool:
    """Whether a field is the label of one side of a pair, as ``label T L``."""
    return field.startswith("label ") and field.endswith(side) and len(field) == len("label T L")


def spread(said: Said, field: str, count: int, nth: int) -> Said:
    """A text of a row that stands for several positions, at one of them."""
    sided = is_sided(field, " L") or is_sided(field, " R")
    if count == 1 or sided or not field.startswith(SAYS_WHAT):
        return said
    return Said(said.text, said.cell, count, nth)


def in_row(field: str, row: str | None, paired: bool) -> str:
    """A field of no row as that of the row it is about; labels of no row are of the top."""
    if is_sided(field, " L") or is_sided(field, " R"):
        return field[:-2] if paired else field
    if field in ("label", "box", "port"):
        return f"{field} {row or 'T'}"
    if row and field in ("side", "cable", "place"):
        return f"{field} {row}"
    return field
