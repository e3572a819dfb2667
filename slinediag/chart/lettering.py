"""Lettering of the chart: measured lines of text, and prose wrapped to a width.

All lengths in micrometres; heights are those of capitals, at least 2.5 mm on paper (ISO 3098).
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from slinediag import text as measured
from slinediag.drawing.marks import Anchor, Ref, Text, Weight
from slinediag.drawing.styles import BLACK, H25, H35, H50
from slinediag.geometry import Point

SMALL = H25
LABEL = H35
TITLE = H50

LEADING = 4200
"""Baseline to baseline of small prose: 1.2 times the em of 2.5 mm capitals."""
JACK = re.compile(r"[TB][0-9]+\b", re.ASCII)
"""A jack of a bay, as it is printed behind the bay's name."""


def width(words: str, height: int = SMALL, weight: Weight = "regular") -> int:
    """The room a line of text takes."""
    return measured.width(words, height, weight)


def letter(
    at: Point,
    words: str,
    *,
    height: int = SMALL,
    anchor: Anchor = "start",
    weight: Weight = "regular",
    colour: str = BLACK,
    ref: Ref | None = None,
) -> Text:
    """One measured line of text with its baseline at a point."""
    clean = measured.printable(words)
    room = measured.width(clean, height, weight)
    return Text(at, clean, height, room, anchor, weight, colour, ref)


def wrap(words: str, room: int, height: int = SMALL, weight: Weight = "regular") -> list[str]:
    """Prose as lines no wider than the room; a word that is wider alone is cut where it must be.

    A jack stays on the line of its bay, ``PB2 B16``, where both have room there.
    """
    lines: list[str] = []
    line = ""
    for word in _with_jacks(measured.printable(words).split(), room, height, weight):
        longer = f"{line} {word}" if line else word
        if width(longer, height, weight) <= room:
            line = longer
            continue
        if line:
            lines.append(line)
        *full, line = _cut(word, room, height, weight)
        lines += full
    return [*lines, line] if line else lines


def wrap_evenly(words: str, room: int) -> list[str]:
    """Prose in as few lines as ``wrap`` takes, as narrow as these can be, so that no number is left
    alone on the last."""
    lines = wrap(words, room)
    if len(lines) < 2:
        return lines
    low, high = max(map(width, words.split())), max(map(width, lines))
    while low < high:
        middle = (low + high) // 2
        if len(wrap(words, middle)) > len(lines):
            low = middle + 1
        else:
            high = middle
    return wrap(words, high)


def _with_jacks(words: Sequence[str], room: int, height: int, weight: Weight) -> Iterator[str]:
    """The words, a jack of a row and a number as one with the word before it."""
    held = ""
    for word in words:
        both = f"{held} {word}"
        if held and JACK.match(word) and width(both, height, weight) <= room:
            held = both
            continue
        if held:
            yield held
        held = word
    if held:
        yield held


def _cut(word: str, room: int, height: int, weight: Weight) -> list[str]:
    """A word as pieces that fit; at least one character each, so that it always ends."""
    pieces = [""]
    for character in word:
        longer = pieces[-1] + character
        if pieces[-1] and width(longer, height, weight) > room:
            pieces.append(character)
        else:
            pieces[-1] = longer
    return pieces
