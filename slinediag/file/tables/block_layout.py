"""Tables laid out as the bay looks: a row of numbers, of top labels and of bottom labels."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from slinediag.file.tables.cells import Sheet
from slinediag.file.tables.contents import tells_normals
from slinediag.file.tables.fields import field_of, words_of
from slinediag.file.tables.gather import TITLE, Entry, Gatherer, Said
from slinediag.file.tables.meanings import ROWS, normal_of
from slinediag.file.tables.numbers import read_position

FEWEST = 6
"""Columns of the narrowest block."""
HABITUAL = (24, 48)
"""Positions of the rows that bays have."""


@dataclass(frozen=True)
class Block:
    """One block: columns → numbers, rows → fields, and what stands left of the columns."""

    columns: Mapping[int, int]
    rows: Mapping[int, str]
    numbered: tuple[int, ...] = ()
    through: bool = False


def numbers_in(sheet: Sheet, row: int) -> Mapping[int, int]:
    """The columns that a row numbers, one after another; empty where it is no row of numbers."""
    found: dict[int, int] = {}
    filled = sheet.filled(row)
    for column in filled:
        read = read_position(sheet.text(row, column))
        if read is None or len(read.numbers) != 1 or read.bay:
            continue
        if found and read.numbers[0] != next(reversed(found.values())) + 1:
            if len(found) >= FEWEST:
                break
            found = {}
        found[column] = read.numbers[0]
    return found if len(found) >= FEWEST and len(found) * 10 >= len(filled) * 7 else {}


def row_field(text: str) -> str | None:
    """The field that the name of a row says: ``label T``, ``label B``, ``normal``, ``note``, …"""
    words = words_of(text)
    rows = {ROWS[word] for word in words if word in ROWS and len(word) > 1}
    if len(rows) == 1 and field_of(text) is None:
        return f"label {rows.pop()}"
    if text.casefold() in ROWS:
        return f"label {ROWS[text.casefold()]}"
    return field_of(text)


def bands(sheet: Sheet) -> Iterator[list[int]]:
    """Runs of rows with no blank row among them."""
    band: list[int] = []
    for row in range(1, len(sheet.rows) + 1):
        if sheet.filled(row):
            band.append(row)
        elif band:
            yield band
            band = []
    if band:
        yield band


def has_blocks(sheet: Sheet) -> bool:
    """Whether a sheet is laid out in blocks."""
    return any(numbers_in(sheet, row) for row in range(1, len(sheet.rows) + 1)) or any(
        unnumbered(sheet, band) for band in bands(sheet)
    )


def read_blocks(sheet: Sheet, gather: Gatherer) -> None:
    """Take in all blocks of a sheet; what stands between them is a title or a note."""
    numbered = any(numbers_in(sheet, row) for row in range(1, len(sheet.rows) + 1))
    for band in bands(sheet):
        blocks = list(numbered_blocks(sheet, band)) if numbered else unnumbered(sheet, band)
        reader = BlockReader(sheet, gather)
        done = {row for block in blocks for row in (*block.rows, *block.numbered)}
        first = min(done, default=band[-1] + 1)
        for row in band:
            if row < first:
                reader.titles(row)
        for block in blocks:
            reader.read(block)
        for row in band:
            if row >= first and row not in done:
                reader.remarks(row, sheet.filled(row))


def numbered_blocks(sheet: Sheet, band: Sequence[int]) -> Iterator[Block]:
    """The blocks of a band that has rows of numbers: over the labels, or between them."""
    numbers = {row: found for row in band if (found := numbers_in(sheet, row))}
    if not numbers:
        return
    first, columns = next(iter(numbers.items()))
    over = [row for row in band if row < first and is_labels(sheet, row, columns)]
    yield from (between if over else below)(sheet, band, numbers)


def between(
    sheet: Sheet, band: Sequence[int], numbers: Mapping[int, Mapping[int, int]]
) -> Iterator[Block]:
    """Blocks whose numbers stand between top labels and bottom labels."""
    heads = list(numbers)
    top = [row for row in band if row < heads[0] and is_labels(sheet, row, numbers[heads[0]])]
    while heads:
        own = [heads.pop(0)]
        if heads and heads[0] == own[0] + 1 and of_one_block(numbers[own[0]], numbers[heads[0]]):
            own.append(heads.pop(0))
        end = heads[0] if heads else band[-1] + 1
        following = [row for row in band if own[-1] < row < end]
        bottom = following[: (len(following) + 1) // 2] if heads else following
        columns = numbers[own[0]]
        rows = named(sheet, top, columns, "T") | named(sheet, bottom, columns, "B")
        through = is_through([numbers[row] for row in own])
        yield Block(columns, rows, tuple(own), through)
        top = following[len(bottom) :]


def below(
    sheet: Sheet, band: Sequence[int], numbers: Mapping[int, Mapping[int, int]]
) -> Iterator[Block]:
    """Blocks whose labels stand under their numbers; the bottom row may have numbers of its own."""
    heads = list(numbers)
    parts = [
        (head, [row for row in band if head < row < end])
        for head, end in zip(heads, [*heads[1:], band[-1] + 1], strict=True)
    ]
    while parts:
        head, rows = parts.pop(0)
        columns, own = numbers[head], [head]
        if parts and goes_on(sheet, numbers, (head, rows), parts[0]):
            other, more = parts.pop(0)
            rows, own = [*rows, *more], [head, other]
        through = is_through([numbers[row] for row in own])
        fields = groups_over(sheet, band, head, columns) | named(sheet, rows, columns)
        yield Block(columns, fields, tuple(own), through)


def groups_over(
    sheet: Sheet, band: Sequence[int], head: int, columns: Mapping[int, int]
) -> dict[int, str]:
    """The row of groups over a row of numbers: several texts, each merged over many positions."""
    row = head - 1
    if row not in band or sum(bool(sheet.text(row, c)) for c in columns) < 2:
        return {}
    return {row: "group"} if all_wide(sheet, row, columns) else {}


def goes_on(
    sheet: Sheet, numbers: Mapping[int, Mapping[int, int]],
    one: tuple[int, Sequence[int]], part: tuple[int, Sequence[int]],
) -> bool:  # fmt: skip
    """Whether a row of numbers and what is under it are the bottom row of the block above."""
    head, more = part
    rows = one[1]
    if not of_one_block(numbers[one[0]], numbers[head]):
        return False
    if not more:
        return True
    if len(rows) != 1 or len(more) != 1:
        return False
    return "label B" in named(sheet, more, numbers[head]).values()


def of_one_block(one: Mapping[int, int], other: Mapping[int, int]) -> bool:
    """Whether two rows number the two rows of jacks of one block: alike, or going on."""
    return one.keys() == other.keys() and (dict(one) == dict(other) or is_through([one, other]))


def is_through(rows: Sequence[Mapping[int, int]]) -> bool:
    """Whether the second row of numbers goes on from the first."""
    return len(rows) == 2 and min(rows[1].values()) == max(rows[0].values()) + 1


def is_labels(sheet: Sheet, row: int, columns: Mapping[int, int]) -> bool:
    """Whether a row above numbers holds labels, not a title."""
    texts = sum(column in columns for column in sheet.filled(row))
    return texts > 1 and not all_wide(sheet, row, columns)


def named(
    sheet: Sheet, rows: Sequence[int], columns: Mapping[int, int], lone: str = ""
) -> dict[int, str]:
    """The field of each row: by the name at its left, else top first, then bottom."""
    fields: dict[int, str] = {}
    for row in rows:
        names = [sheet.text(row, c) for c in range(1, min(columns))]
        known = next((f for name in names if name and (f := row_field(name))), None)
        if known is None and not any(sheet.text(row, c) for c in columns):
            continue
        if known is None and is_remark(sheet, row, columns, fields):
            continue
        if known is None:
            known = field_by_turn(sheet, row, columns, lone, fields, len(rows))
        fields[row] = "note" if known in fields.values() else known
    return fields


def is_remark(
    sheet: Sheet, row: int, columns: Mapping[int, int], fields: Mapping[int, str]
) -> bool:
    """Whether a row under both rows of labels holds one text at its left, about the whole bay."""
    texts = [c for c in columns if sheet.text(row, c)]
    if texts != [min(columns)] or not {"label T", "label B"} <= set(fields.values()):
        return False
    return normal_of(sheet.text(row, texts[0])) is None


def field_by_turn(
    sheet: Sheet, row: int, columns: Mapping[int, int],
    lone: str, fields: Mapping[int, str], count: int,
) -> str:  # fmt: skip
    """The field of a row without a name, one of ``count`` rows of which ``fields`` are known."""
    labels = [f"label {lone}"] if lone else ["label T", "label B"]
    if not fields and count > len(labels) and all_wide(sheet, row, columns):
        return "group"
    inside = [text for c in columns if (text := sheet.text(row, c))]
    if fields and all(normal_of(text) for text in inside):
        return "normal"
    return next((label for label in labels if label not in fields.values()), "note")


def all_wide(sheet: Sheet, row: int, columns: Mapping[int, int]) -> bool:
    """Whether every text of a row is merged over more than a pair of positions."""
    spans = (sheet.merged.get((row, c)) for c in columns if sheet.text(row, c))
    return all(span is not None and span.right - span.left > 1 for span in spans)


def unnumbered(sheet: Sheet, band: Sequence[int]) -> list[Block]:
    """The blocks of a band without numbers: two rows of labels in 24 or 48 columns, or so."""
    rows = [row for row in band if len(sheet.filled(row)) >= FEWEST]
    if len(rows) < 2 or rows != list(range(rows[0], rows[-1] + 1)):
        return []
    filled = [sheet.filled(row) for row in rows]
    names = [sheet.text(row, columns[0]) for row, columns in zip(rows, filled, strict=True)]
    left = min(columns[0] for columns in filled)
    start = left + 1 if any(row_field(name) for name in names) else left
    end = max(columns[-1] for columns in filled)
    width = next((n for n in HABITUAL if end - start + 1 <= n), end - start + 1)
    columns = {start + n: n + 1 for n in range(width)}
    if any(row_field(name) for name in names):
        return [Block(columns, named(sheet, rows, columns))]
    normals = [row for row in rows if is_normals(sheet, row, columns)]
    labels = [row for row in rows if row not in normals]
    found = []
    for one, other in zip(labels[::2], labels[1::2], strict=False):
        own = [row for row in normals if one < row <= other + 1]
        found.append(Block(columns, named(sheet, sorted([one, other, *own]), columns)))
    return found


def is_normals(sheet: Sheet, row: int, columns: Mapping[int, int]) -> bool:
    """Whether a row holds normals only."""
    texts = [text for c in columns if (text := sheet.text(row, c))]
    return tells_normals(texts) and all(normal_of(text) for text in texts)


class BlockReader:
    """Takes in blocks, and the texts around them."""

    def __init__(self, sheet: Sheet, gather: Gatherer) -> None:
        self._sheet, self._gather = sheet, gather

    def titles(self, row: int) -> None:
        """Texts over a block: its title."""
        for column in self._sheet.filled(row):
            self._gather.title(self._said(row, column))

    def remarks(self, row: int, columns: Sequence[int]) -> None:
        """Texts beside or under a block: notes of its bay."""
        for column in columns:
            self._gather.remark(self._said(row, column))

    def _said(self, row: int, column: int) -> Said:
        return Said(self._sheet.text(row, column), self._sheet.ref(row, column))

    def read(self, block: Block) -> None:
        """Take in one block: names at the left, then position by position, then the rest."""
        self._names(block)
        for row in block.numbered[: 1 if block.through else 2]:
            for column in self._sheet.filled(row):
                if read_position(self._sheet.text(row, column)) and column in block.columns:
                    self._gather.ledger.take(self._sheet.ref(row, column), "position")
        if not block.numbered:
            self._gather.part()
            why = "no row of numbers; positions counted from the left"
            self._gather.ledger.guess(
                f"rows {min(block.rows)} to {max(block.rows)}: one bay", "doubtful", why
            )
        for column, number in block.columns.items():
            self._position(block, column, number)
        panel = self._gather.panels[-1]
        panel.two_rows = panel.two_rows or block.through or "label B" in block.rows.values()
        if block.through:
            for column, number in block.columns.items():
                panel.bottom[number] = self._said(block.numbered[1], column)
        for row in (*block.numbered, *block.rows):
            self.remarks(row, [c for c in self._sheet.filled(row) if c > max(block.columns)])

    def _names(self, block: Block) -> None:
        """Take down what stands left of a block: names of rows, the name of the bay, notes."""
        sheet, ledger = self._sheet, self._gather.ledger
        for row in sorted((*block.numbered, *block.rows)):
            for column in sheet.filled(row):
                if column >= min(block.columns):
                    break
                said = self._said(row, column)
                if row in block.rows and row_field(said.text):
                    ledger.heading(said.cell, said.text, block.rows[row], "sure")
                elif field_of(said.text) == "position":
                    ledger.heading(said.cell, said.text, "position", "sure")
                elif row in block.numbered or TITLE.search(said.text):
                    self._gather.title(said)
                else:
                    self._gather.remark(said)

    def _position(self, block: Block, column: int, number: int) -> None:
        said: dict[str, Said] = {}
        notes: list[tuple[str, Said]] = []
        for row, field in block.rows.items():
            text = self._at(block, row, column)
            if text is None:
                continue
            if field == "note" or field == "position":
                notes.append(("", text))
            else:
                said["label T" if field == "label" else field] = text
        normals = "normal" in block.rows.values()
        self._gather.add(None, Entry(number, said, tuple(notes), normals))

    def _at(self, block: Block, row: int, column: int) -> Said | None:
        """The text at a position of a row; one that is merged stands for all its columns."""
        span = self._sheet.merged.get((row, column))
        if span is None:
            text = self._sheet.text(row, column)
            return Said(text, self._sheet.ref(row, column)) if text else None
        if span.top != row or not self._sheet.text(span.top, span.left):
            return None
        columns = [c for c in block.columns if span.left <= c <= span.right]
        text = self._sheet.text(span.top, span.left)
        return Said(text, self._sheet.ref(span.top, span.left), len(columns), columns.index(column))
