"""What the text of a cell says, read by the rules of the file's own reader, and how it is shown."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from slinediag.file.mistakes import Mistakes
from slinediag.file.nodes import Node, Places, Scalar, shortened
from slinediag.file.scalars import (
    Range,
    read_date,
    read_number,
    read_text,
    read_whole,
    read_word,
)
from slinediag.problems import Problem, RequestError, problem

Reader = Callable[[Node, str, Mistakes], Any]

TRUTHS = {"yes": True, "true": True, "no": False, "false": False}


@dataclass(frozen=True)
class Kind:
    """A kind of cell: how a text is read, how a value is shown, and the words it may be."""

    read: Reader
    show: Callable[[Any], str]
    words: tuple[str, ...] = ()


def says(kind: Kind, text: str, where: str = "") -> Any:
    """The value of a cell's text, None where it is empty; RequestError where it says none."""
    if not text.strip():
        return None
    return asked(lambda node, mistakes: kind.read(node, where, mistakes), text)


def asked(read: Callable[[Scalar, Mistakes], Any], text: str) -> Any:
    """What a reader of the file makes of a text; RequestError with what it finds wrong."""
    mistakes = Mistakes(Places(text))
    value = read(Scalar(0, len(text), text, False), mistakes)
    if mistakes.errors:
        raise RequestError([placeless(error) for error in mistakes.errors])
    return value


def placeless(error: Problem) -> Problem:
    """A problem of the reader without its place in a file."""
    return problem(error.where, error.what, error.hint)


def read_kept_text(node: Node, where: str, mistakes: Mistakes) -> str | None:
    """A text; two quotes alone are the empty text, which is not the same as none."""
    text = read_text(node, where, mistakes)
    if text is None:
        return None
    text = text.strip()
    return text[1:-1] if len(text) > 1 and not text.strip('"') else text


def show_text(value: str) -> str:
    """A text as a cell shows it."""
    return value if value.strip('"') else f'"{value}"'


def read_yes(node: Node, where: str, mistakes: Mistakes) -> bool | None:
    """Yes or no; the file's own true and false do as well."""
    text = read_text(node, where, mistakes) or ""
    found = TRUTHS.get(text.strip().casefold())
    if found is None:
        mistakes.error(node, where, f"{shortened(text)} is neither yes nor no", "Write yes or no")
    return found


def show_number(value: float) -> str:
    """A number without needless zeros."""
    return repr(value).removesuffix(".0")


def show_date(value: datetime.date) -> str:
    """A date as ISO 8601 has it."""
    return value.isoformat()


def stripped(node: Node) -> Node:
    """The node without spaces about its text."""
    return Scalar(0, 0, node.text.strip(), node.plain) if isinstance(node, Scalar) else node


TEXT = Kind(read_kept_text, show_text)
YES = Kind(read_yes, lambda value: "yes" if value else "no", ("yes", "no"))
DATE = Kind(lambda node, where, found: read_date(stripped(node), where, found), show_date)


def number(within: Range) -> Kind:
    """Numbers of a range."""
    return Kind(
        lambda node, where, found: read_number(stripped(node), where, found, within), show_number
    )


def whole(within: Range) -> Kind:
    """Whole numbers of a range."""
    return Kind(lambda node, where, found: read_whole(stripped(node), where, found, within), str)


def word(words: tuple[str, ...]) -> Kind:
    """One of some words."""
    return Kind(
        lambda node, where, found: read_word(stripped(node), where, found, words), str, words
    )


def several(kind: Kind) -> Kind:
    """Several values of a kind, parted by commas."""

    def read(node: Node, where: str, mistakes: Mistakes) -> tuple[Any, ...]:
        text = node.text if isinstance(node, Scalar) else ""
        parts = [part.strip() for part in text.split(",")]
        return tuple(kind.read(Scalar(0, 0, part, False), where, mistakes) for part in parts)

    def show(values: tuple[Any, ...]) -> str:
        return ", ".join(kind.show(value) for value in values)

    return Kind(read, show, kind.words)
