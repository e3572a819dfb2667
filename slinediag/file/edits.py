"""Edits of a text by index, and where lines begin and end in it."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import NamedTuple

NEXT_LINE = re.compile(r"[^\r\n]*(?:\r\n|\r|\n)?")
REST_OF_LINE = re.compile(r"[ \t]*,?[ \t]*(?:#[^\r\n]*)?(?=[\r\n]|\Z)")


class Awkward(Exception):
    """A place where lines cannot be changed one by one; what encloses it must be written anew."""


class Edit(NamedTuple):
    """What is to stand in place of ``start`` to ``end``."""

    start: int
    end: int
    new: str


@dataclass(frozen=True, slots=True)
class Lines:
    """The lines of a text; ``line_end`` is what new lines end with."""

    text: str
    line_end: str

    def start(self, index: int) -> int:
        """Where the line of a place begins."""
        newline = max(self.text.rfind("\n", 0, index), self.text.rfind("\r", 0, index))
        return newline + 1

    def after(self, index: int) -> int:
        """Where the line behind that of a place begins; a place at a line's start, behind a text
        block that keeps its empty lines, is there already."""
        if index and self.text[index - 1] in "\r\n":
            return index
        found = NEXT_LINE.match(self.text, index)
        return found.end() if found else index

    def indent(self, index: int) -> int:
        """The columns before a place on its line."""
        return index - self.start(index)

    def begins(self, index: int) -> bool:
        """Whether nothing but space stands before a place on its line."""
        return not self.text[self.start(index) : index].strip()

    def closes(self, index: int) -> bool:
        """Whether nothing but a comma and a comment stand behind a place on its line."""
        return REST_OF_LINE.match(self.text, index) is not None

    def join(self, lines: list[str]) -> str:
        """Whole lines as text."""
        return "".join(line + self.line_end for line in lines)


def applied(lines: Lines, edits: list[Edit]) -> str:
    """The text with its edits; Awkward where two of them meet.

    Edits at one place keep their order. Whole lines behind a last line without an end are parted
    from it.
    """
    text = lines.text
    pieces: list[str] = []
    done = 0
    open_line = bool(text) and text[-1] not in "\r\n"
    for edit in sorted(edits, key=lambda e: (e.start, e.end)):
        if edit.start < done:
            raise Awkward
        pieces.append(text[done : edit.start])
        if edit.start == len(text) and open_line and edit.new.endswith(lines.line_end):
            pieces.append(lines.line_end)
            open_line = False
        pieces.append(edit.new)
        done = edit.end
    pieces.append(text[done:])
    return "".join(pieces)
