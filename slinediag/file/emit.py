"""Plain values as YAML text that people can edit: short values on one line, long ones indented."""

from __future__ import annotations

from slinediag.file.plain import Plain, Points, Table, Text, Word
from slinediag.file.quoting import quoted_if_needed
from slinediag.file.runs import folded

WIDTH = 100
"""Columns that a line may take before its value goes on lines of its own."""
SHORT = 24
"""Characters of a text up to which a list of them stays in brackets."""
STEP = 2
"""Columns of one level of indentation."""


def flow(value: Plain) -> str:
    """A value on one line, lists in brackets and tables in braces."""
    if isinstance(value, Text):
        return quoted_if_needed(value.text, flow=True)
    if isinstance(value, Word):
        return value.text
    if isinstance(value, Points):
        rows = folded(value.rows, fits_on_line)
        return "{" + ", ".join(f"{key}: {flow(row)}" for key, row in rows) + "}"
    if isinstance(value, Table):
        return flow_table(value)
    if isinstance(value, tuple):
        return "[" + ", ".join(flow(item) for item in value) + "]"
    return "~"


def flow_table(table: Table) -> str:
    """A table on one line, in its short form where it has one."""
    if (lone := table.lone()) is not None:
        return flow(lone)
    if (keys := table.bare_keys()) is not None:
        return flow(keys)
    return "{" + ", ".join(flow_entry(key, value) for key, value in table.rows.items()) + "}"


def flow_entry(key: str, value: Plain) -> str:
    """One key of a table in braces."""
    return f"{quoted_if_needed(key, flow=True)}: {flow(value)}"


def fits_on_line(key: str, row: Table) -> bool:
    """Whether the key of a point or run fits its line, indented as deep as it stands."""
    return len(f"{key}: {flow(row)}") + 3 * STEP <= WIDTH


def entry_lines(key: str, value: Plain, indent: int, spread: bool = False) -> list[str]:
    """The lines of one key outside of braces; ``spread`` gives each key below a line of its own."""
    head = " " * indent + quoted_if_needed(key, flow=False) + ":"
    return headed_lines(head, value, indent, spread)


def span_lines(key: str, row: Table, indent: int, spread: bool = False) -> list[str]:
    """The lines of one position or run; its key is written as it stands."""
    return headed_lines(" " * indent + key + ":", row, indent, spread)


def headed_lines(head: str, value: Plain, indent: int, spread: bool) -> list[str]:
    """The lines of a value behind its key."""
    if isinstance(value, Text):
        return [f"{head} {quoted_if_needed(value.text, flow=False)}"]
    line = f"{head} {flow(value)}"
    if not spreads(value, spread) and len(line) <= WIDTH:
        return [line]
    if is_listed(value):
        return wrapped(line, indent + 2 * STEP)
    below = block_lines(value, indent + STEP)
    return [head, *below] if below else [line]


def spreads(value: Plain, asked: bool) -> bool:
    """Whether a value takes a line for every key however short it is."""
    if isinstance(value, Table):
        return (value.spread or asked) and value.lone() is None and value.bare_keys() is None
    if isinstance(value, Points):
        return True
    return isinstance(value, tuple) and any(isinstance(item, Table) for item in value)


def is_listed(value: Plain) -> bool:
    """Whether a value is written in brackets however long it is: a list of short scalars."""
    if isinstance(value, Table):
        return value.bare_keys() is not None
    return isinstance(value, tuple) and all(is_short(item) for item in value)


def is_short(value: Plain) -> bool:
    """Whether a value is a word, a short text or nothing."""
    if isinstance(value, Text):
        return len(value.text) <= SHORT
    return value is None or isinstance(value, Word)


def wrapped(line: str, indent: int) -> list[str]:
    """A line with a list in brackets, broken behind commas where it is too long."""
    lines = [""]
    for piece in comma_pieces(line):
        if lines[-1].strip() and len(lines[-1]) + len(piece.rstrip()) > WIDTH:
            lines[-1] = lines[-1].rstrip()
            lines.append(" " * indent)
        lines[-1] += piece
    return lines


def comma_pieces(line: str) -> list[str]:
    """A line cut behind each comma and space that is not within quotes."""
    pieces, start, within = [], 0, False
    for index, character in enumerate(line):
        if character == '"' and (index == 0 or not escaped_at(line, index)):
            within = not within
        elif character == " " and not within and line[index - 1 : index] == ",":
            pieces.append(line[start : index + 1])
            start = index + 1
    return [*pieces, line[start:]]


def escaped_at(line: str, index: int) -> bool:
    """Whether the character at an index stands behind an odd number of backslashes."""
    before = line[:index]
    return (len(before) - len(before.rstrip("\\"))) % 2 == 1


def block_lines(value: Plain, indent: int) -> list[str]:
    """The lines of a list or table outside of brackets; none where it has nothing to show so."""
    if isinstance(value, Points):
        rows = folded(value.rows, lambda key, row: len(f"{key}: {flow(row)}") + indent <= WIDTH)
        return [line for key, row in rows for line in span_lines(key, row, indent)]
    if isinstance(value, Table):
        return [line for key, row in value.rows.items() for line in entry_lines(key, row, indent)]
    if isinstance(value, tuple):
        return [line for item in value for line in item_lines(item, indent)]
    return []


def item_lines(value: Plain, indent: int) -> list[str]:
    """The lines of one item with a dash."""
    head = " " * indent + "- "
    if isinstance(value, Text):
        return [head + quoted_if_needed(value.text, flow=False)]
    line = head + flow(value)
    if len(line) <= WIDTH or not isinstance(value, Table) or not value.rows:
        return [line]
    first, *more = block_lines(value, indent + STEP)
    return [head + first[indent + STEP :], *more]


def file_lines(sections: Table) -> list[str]:
    """The lines of a whole file, with an empty line between sections and between bays."""
    lines: list[str] = []
    for key, value in sections.rows.items():
        lines += [""] if lines and key != "facility" else []
        lines += bays_lines(value) if key == "bays" else entry_lines(key, value, 0)
    return lines


def bays_lines(value: Plain) -> list[str]:
    """The section of bays, an empty line between two."""
    lines = ["bays:"]
    for key, bay in value.rows.items() if isinstance(value, Table) else ():
        lines += [""] if len(lines) > 1 else []
        lines += entry_lines(key, bay, STEP)
    return lines
