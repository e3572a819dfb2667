"""Plain values: what a file says, apart from how it is laid out.

A facility is turned into plain values to be written, and two facilities are compared by them to
find what has changed.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Text:
    """A text; quoted where it would read as something else."""

    text: str


@dataclass(frozen=True, slots=True)
class Word:
    """A number, truth, date, address or known word, written without quotes.

    ``also`` holds other spellings of the same: an address with its suffix.
    """

    text: str
    also: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Table:
    """Keys with values.

    ``order`` holds the keys where their order has a meaning. ``short`` names the key whose value
    may stand for the whole table where it is the only one. ``listed`` says that a list of the
    keys may stand for the table where no key has a value. ``spread`` says that a new file gives
    every key a line of its own.
    """

    rows: Mapping[str, Plain] = field(default_factory=dict)
    order: tuple[str, ...] = ()
    short: str = ""
    listed: bool = False
    spread: bool = False

    def lone(self) -> Plain:
        """The value that may stand for the whole table, else None."""
        return self.rows[self.short] if self.short and set(self.rows) == {self.short} else None

    def bare_keys(self) -> tuple[Text, ...] | None:
        """The list of keys that may stand for the table, else None."""
        if self.listed and not any(isinstance(v, Table) and v.rows for v in self.rows.values()):
            return tuple(Text(key) for key in self.rows)
        return None


@dataclass(frozen=True, slots=True)
class Points:
    """The points of a bay by position; a file may hold them in runs."""

    rows: Mapping[int, Table] = field(default_factory=dict)


Plain = Text | Word | Table | Points | tuple["Plain", ...] | None
