"""The tree of a YAML file as it is written: scalars, sequences and mappings with their places.

Places are indexes into the file's text, counted in characters; ``Places`` turns them into lines
and columns. Nothing here knows what the file is about.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from dataclasses import dataclass
from functools import cached_property

LINE_END = re.compile(r"\r\n|\r|\n")


@dataclass(frozen=True, slots=True, eq=False)
class Scalar:
    """A scalar: its text as written, and whether it was written plain (without quotes or tag).

    ``start`` and ``end`` enclose it with its quotes, its tag and its anchor. ``anchor`` is the name
    of its anchor, or with ``alias`` that of the anchor which it stands in for; so with all nodes.
    """

    start: int
    end: int
    text: str
    plain: bool
    style: str = ""
    anchor: str = ""
    alias: bool = False

    @property
    def unset(self) -> bool:
        """Whether it says nothing: a plain ``~``, ``null``, or nothing at all."""
        return self.plain and self.text in ("", "~", "null")


@dataclass(frozen=True, slots=True, eq=False)
class Sequence:
    """A sequence, with brackets (``flow``) or with dashes."""

    start: int
    end: int
    items: tuple[Node, ...]
    flow: bool
    anchor: str = ""
    alias: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class Entry:
    """One key of a mapping with its value."""

    key: Node
    value: Node


@dataclass(frozen=True, slots=True, eq=False)
class Mapping:
    """A mapping, with braces (``flow``) or indented. Repeated keys are kept, in file order."""

    start: int
    end: int
    entries: tuple[Entry, ...]
    flow: bool
    anchor: str = ""
    alias: bool = False


Node = Scalar | Sequence | Mapping


def kind(node: Node) -> str:
    """What a node is, in a person's words."""
    if isinstance(node, Mapping):
        return "a mapping (key: value)"
    if isinstance(node, Sequence):
        return "a list"
    if node.unset:
        return "nothing"
    return f"the text {shortened(node.text)}"


def shortened(text: str, limit: int = 60) -> str:
    """A text as a message shows it: escaped, quoted, and cut where it is long."""
    shown = text if len(text) <= limit else text[: limit - 1] + "…"
    return '"' + "".join(c if c.isprintable() else ascii(c)[1:-1] for c in shown) + '"'


class Places:
    """Lines and columns of a text; both count from 1, columns in characters."""

    def __init__(self, text: str) -> None:
        self._text = text

    @cached_property
    def _starts(self) -> list[int]:
        """Where each line begins; found only when a place is asked for."""
        return [0, *(found.end() for found in LINE_END.finditer(self._text))]

    def line(self, index: int) -> int:
        """The line of a place."""
        return bisect_right(self._starts, index)

    def column(self, index: int) -> int:
        """The column of a place."""
        return index - self._starts[self.line(index) - 1] + 1
