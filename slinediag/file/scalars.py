"""What a scalar says where a key wants a text, a number, a date, a truth or one of some words.

Quotes do not matter for texts, numbers, dates and words; a truth is only a plain ``true`` or
``false``, so that a text in quotes never turns into one.
"""

from __future__ import annotations

import datetime
import math
import re
from dataclasses import dataclass
from typing import TypeVar

from slinediag.file.mistakes import Mistakes
from slinediag.file.nodes import Node, Scalar, kind, shortened

NUMBER = re.compile(r"[-+]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][-+]?[0-9]+)?\Z")
WHOLE = re.compile(r"[-+]?[0-9]{1,12}\Z")
DATE = re.compile(r"([0-9]{4})-([0-9]{2})-([0-9]{2})\Z")
FORBIDDEN = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\ud800-\udfff\ufffe\uffff]")
"""Characters that no drawing or paper can show: those that XML 1.0 forbids, and DEL."""
MOST_LETTERS = 10_000
"""Letters of one text: more has no room on the largest sheet, and is a slip of the hand."""
MINUS_SIGNS = str.maketrans({"−": "-", "–": "-"})

W = TypeVar("W", bound=str)


@dataclass(frozen=True, slots=True)
class Range:
    """The numbers that make sense for a key; ``above`` leaves ``least`` itself out."""

    least: float
    most: float
    above: bool = False

    def holds(self, number: float) -> bool:
        """Whether the number lies in the range."""
        return self.least <= number <= self.most and not (self.above and number == self.least)

    def __str__(self) -> str:
        if self.above:
            return f"above {self.least:.15g} and at most {self.most:.15g}"
        return f"from {self.least:.15g} to {self.most:.15g}"


def read_text(node: Node, where: str, mistakes: Mistakes) -> str | None:
    """The text of a scalar; None, with an error, where it is none, endless or cannot be shown."""
    if not isinstance(node, Scalar) or node.unset:
        mistakes.error(node, where, f"one text is wanted here, not {kind(node)}", "Write one text")
        return None
    if len(node.text) > MOST_LETTERS:
        what = f"the text has {len(node.text):,} letters"
        mistakes.error(node, where, what, f"Write at most {MOST_LETTERS:,}")
        return None
    found = FORBIDDEN.search(node.text)
    if found:
        what = f"the text holds the character U+{ord(found[0]):04X}, which cannot be printed"
        mistakes.error(node, where, what, "Delete it")
        return None
    return node.text


def read_number(node: Node, where: str, mistakes: Mistakes, within: Range) -> float | None:
    """The number of a scalar, decimal, with a point; None, with an error, where it is none."""
    text = read_text(node, where, mistakes)
    if text is None:
        return None
    if not NUMBER.match(text) or not math.isfinite(number := float(text)):
        hint = number_hint(text)
        mistakes.error(node, where, f"{shortened(text)} is not a number", hint)
        return None
    return number if in_range(node, where, mistakes, number, within) else None


def read_whole(node: Node, where: str, mistakes: Mistakes, within: Range) -> int | None:
    """The whole number of a scalar; None, with an error, where it is none."""
    text = read_text(node, where, mistakes)
    if text is None:
        return None
    if not WHOLE.match(text):
        hint = f"Write a whole number {within}"
        mistakes.error(node, where, f"{shortened(text)} is not a whole number", hint)
        return None
    number = int(text)
    return number if in_range(node, where, mistakes, number, within) else None


def in_range(node: Node, where: str, mistakes: Mistakes, number: float, within: Range) -> bool:
    """Whether a number makes sense for its key; an error where it does not."""
    if within.holds(number):
        return True
    mistakes.error(node, where, f"{number:g} is out of range", f"Write a number {within}")
    return False


def number_hint(text: str) -> str:
    """What to write in place of a text that is meant as a number."""
    for better in (text.replace(",", "."), text.translate(MINUS_SIGNS), text.strip()):
        if NUMBER.match(better) and better != text:
            return f"Did you mean {better}?"
    bare = re.match(r"[-+]?[0-9]+(?:\.[0-9]+)?(?=\s*[A-Za-zΩµ%]+\Z)", text)
    if bare:
        return f"Write the number without its unit: {bare[0]}"
    return "Write a number, as 4, -10 or 0.6"


def read_truth(node: Node, where: str, mistakes: Mistakes) -> bool | None:
    """The truth of a plain ``true`` or ``false``; None, with an error, where it is neither."""
    text = read_text(node, where, mistakes)
    if text is None:
        return None
    if isinstance(node, Scalar) and node.plain and text in ("true", "false"):
        return text == "true"
    folded = text.strip().casefold()
    meant = "true" if folded in ("true", "yes", "on", "y", "1") else ""
    meant = "false" if folded in ("false", "no", "off", "n", "0") else meant
    hint = f"Write {meant}, without quotes" if meant else "Write true or false"
    mistakes.error(node, where, f"{shortened(text)} is neither true nor false", hint)
    return None


def read_date(node: Node, where: str, mistakes: Mistakes) -> datetime.date | None:
    """The date of a scalar (ISO 8601, as 2026-03-01); None, with an error, where it is none."""
    text = read_text(node, where, mistakes)
    if text is None:
        return None
    found = DATE.match(text)
    try:
        if found:
            return datetime.date(int(found[1]), int(found[2]), int(found[3]))
    except ValueError:
        what = f"the calendar has no day {text}"
        mistakes.error(node, where, what, "Write year-month-day, as 2026-03-01")
        return None
    hint = "Write year-month-day, as 2026-03-01"
    mistakes.error(node, where, f"{shortened(text)} is not a date", hint)
    return None


def read_word(node: Node, where: str, mistakes: Mistakes, words: tuple[W, ...]) -> W | None:
    """The one of some words that a scalar says; None, with an error, where it says none."""
    text = read_text(node, where, mistakes)
    if text is None:
        return None
    for word in words:
        if word == text:
            return word
    otherwise = f"Write {', '.join(words[:-1])} or {words[-1]}"
    hint = mistakes.nearest(text, words, otherwise)
    mistakes.error(node, where, f"{shortened(text)} is not known here", hint)
    return None
