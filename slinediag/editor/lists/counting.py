"""Filling down with counting: MIC 1, MIC 2 …; PLY1.L, PLY1.R, PLY2.L …"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

NUMBER = re.compile(r"([0-9]{1,9})")


@dataclass(frozen=True, slots=True)
class Parsed:
    """A text as the words between its numbers, and the numbers as they are written."""

    words: tuple[str, ...]
    numbers: tuple[str, ...]

    def moved(self, place: int, by: int) -> str:
        """The text with one of its numbers counted on; a number never falls below 0."""
        numbers = list(self.numbers)
        was = numbers[place]
        width = len(was) if was.startswith("0") else 0
        numbers[place] = str(max(0, int(was) + by)).zfill(width)
        pieces = [self.words[0]]
        for number, word in zip(numbers, self.words[1:], strict=True):
            pieces += [number, word]
        return "".join(pieces)


@dataclass(frozen=True, slots=True)
class Counting:
    """How some texts go on: the length of the pattern, the number that counts (-1: the last of
    each text), and by how much it grows from one pattern to the next."""

    period: int
    place: int
    step: int


def filled_down(texts: Sequence[str], count: int) -> list[str]:
    """What follows some texts, ``count`` of it.

    A lone text counts its last number on by one. Several that count already go on as they do;
    else they are a pattern that is repeated with the last number of each counted on. Texts without
    a number, and texts that are all alike, are repeated.
    """
    if not texts:
        return []
    parsed = [parse(text) for text in texts]
    way = way_on(parsed)
    made = []
    for index in range(len(texts), len(texts) + count):
        turns, at = divmod(index, way.period)
        base = parsed[at]
        counts = bool(base.numbers) and way.step != 0
        made.append(base.moved(way.place, turns * way.step) if counts else texts[at])
    return made


def parse(text: str) -> Parsed:
    """A text parted at its numbers."""
    pieces = NUMBER.split(text)
    return Parsed(tuple(pieces[::2]), tuple(pieces[1::2]))


def way_on(parsed: Sequence[Parsed]) -> Counting:
    """How some texts go on."""
    for period in range(1, len(parsed)):
        found = repeats(parsed, period)
        if found is not None:
            return found
    last = {int(text.numbers[-1]) for text in parsed if text.numbers}
    if not last:
        return Counting(len(parsed), -1, 0)
    # CH 1 L, CH 2 R goes on with CH 3 L; PLY1.L, PLY1.R with PLY2.L.
    gapless = len(last) == max(last) - min(last) + 1
    return Counting(len(parsed), -1, len(last) if gapless else 1)


def repeats(parsed: Sequence[Parsed], period: int) -> Counting | None:
    """How texts count that repeat themselves after so many; None where they do not."""
    ways = {growth(a, b) for a, b in zip(parsed, parsed[period:], strict=False)}
    ways.discard((-1, 0))
    if len(ways) > 1 or None in ways:
        return None
    place, step = next(iter(ways), None) or (-1, 0)
    return Counting(period, place, step)


def growth(one: Parsed, other: Parsed) -> tuple[int, int] | None:
    """Which number grows from one text to another and by how much; None where more differs."""
    if one.words != other.words:
        return None
    pairs = zip(one.numbers, other.numbers, strict=True)
    grown = [(at, int(b) - int(a)) for at, (a, b) in enumerate(pairs) if int(a) != int(b)]
    if len(grown) > 1:
        return None
    return grown[0] if grown else (-1, 0)
