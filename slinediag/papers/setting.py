"""How a label is set in its cells: in one line to three, squeezed no more than stays readable.

Lengths in micrometres. A label keeps its height; what is squeezed is its width, to no less than
seven tenths: the capitals of this family are then on average still 0.65 of their height wide, where
human-factors guides want three fifths (MIL-STD-1472 and NUREG-0700, from memory).

Under one heading the words of each jack are bold, those that all share are not.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import combinations, pairwise
from typing import Literal

from slinediag import text
from slinediag.papers.labels import Field, Words

NARROWEST = 0.7
SIDE = 350
"""Free at either side of a cell: half of a cord that hangs between two labels."""
BETWEEN = 900
"""Least gap between words of a line that stand apart from each other."""
MOST_WORDS = 12
"""More words than this are never tried over three lines: they would not fit."""

Place = Literal["first", "second", "third"]
PLACES: tuple[Place, ...] = ("first", "second", "third")


@dataclass(frozen=True, slots=True)
class Cell:
    """The room of a field: its left edge, the edges of its cells, and how many lines it takes."""

    edges: tuple[int, ...]
    lines: int

    @property
    def left(self) -> int:
        """Its left edge."""
        return self.edges[0]

    @property
    def right(self) -> int:
        """Its right edge."""
        return self.edges[-1]


@dataclass(frozen=True, slots=True)
class Line:
    """Words of one line: the room they are set in, about whose middle they stand."""

    words: str
    left: int
    right: int
    place: Place
    weight: text.Weight = "regular"

    def width(self, height: int) -> int:
        """The room its words take unsqueezed."""
        return text.width(self.words, height, self.weight)


@dataclass(frozen=True, slots=True)
class Setting:
    """A way to set a label: its lines, and the factor by which all of them must be squeezed."""

    lines: tuple[Line, ...]
    factor: float

    @property
    def depth(self) -> int:
        """How many lines it takes, one below the other."""
        return len({line.place for line in self.lines})


def settings(field: Field, printed: Words, cell: Cell, height: int) -> Iterator[Setting]:
    """Every way to set a field whose words print like this, the one to be preferred first."""
    if not field.tails:
        yield from _single(printed, cell, height)
        return
    heading, tails = printed[: len(field.heading)], printed[len(field.heading) :]
    if len(field.jacks) == 2:
        yield from _pair(heading, tails, cell, height)
    elif cell.lines > 1:
        yield from _over(heading, tails, cell, height)


def best_setting(
    field: Field, printed: Words, cell: Cell, height: int, factor: float = 1.0
) -> Setting | None:
    """The first setting that needs no squeezing; else the first that is squeezed no more than
    ``factor``, two lines before one; else the widest. None where none can be read.
    """
    ways = [way for way in settings(field, printed, cell, height) if way.factor >= NARROWEST]
    easy = [way for way in ways if way.factor >= 1]
    if easy:
        return easy[0]
    good = [way for way in ways if way.factor >= factor]
    if good:
        return min(good, key=lambda way: -way.depth)
    return max(ways, key=lambda way: way.factor, default=None)


def fits(field: Field, cell: Cell, height: int) -> Callable[[Words], bool]:
    """Whether a field fits its cell, by how its words print."""
    return lambda printed: any(
        way.factor >= NARROWEST for way in settings(field, printed, cell, height)
    )


def _single(words: Words, cell: Cell, height: int) -> Iterator[Setting]:
    left, right = cell.left + SIDE, cell.right - SIDE
    for parts in _parted(words, cell.lines):
        lines = tuple(
            Line(part, left, right, place) for part, place in zip(parts, PLACES, strict=False)
        )
        yield _squeezed(lines, height)


def _parted(words: Words, most: int) -> Iterator[tuple[str, ...]]:
    """Words over one line, then over two and three, as many as may be taken."""
    if len(words) > MOST_WORDS:
        most = min(most, 2)
    for count in range(1, min(most, len(words), len(PLACES)) + 1):
        for cuts in combinations(range(1, len(words)), count - 1):
            edges = (0, *cuts, len(words))
            yield tuple(" ".join(words[a:b]) for a, b in pairwise(edges))


def _pair(heading: Words, tails: Words, cell: Cell, height: int) -> Iterator[Setting]:
    """A heading over both cells; left and right in their own, or at the edges beside its end."""
    left, right = cell.left + SIDE, cell.right - SIDE
    yield from _over(heading, tails, cell, height, most=1)
    for split in range(len(heading) if cell.lines > 1 else 1):
        first = (Line(" ".join(heading[:split]), left, right, "first"),) if split else ()
        place: Place = "second" if split else "first"
        yield _beside(first, heading[split:], tails, (left, right), place, height)
    yield from _over(heading, tails, cell, height, least=2)


def _over(
    heading: Words, tails: Words, cell: Cell, height: int, *, least: int = 1, most: int = 2
) -> Iterator[Setting]:
    """A heading in so many lines over all cells, and each jack's own word in its cell."""
    left, right = cell.left + SIDE, cell.right - SIDE
    for parts in _parted(heading, min(most, cell.lines - 1)):
        if len(parts) >= least:
            lines = [
                Line(part, left, right, place) for part, place in zip(parts, PLACES, strict=False)
            ]
            yield _squeezed((*lines, *_tails(tails, cell, PLACES[len(parts)])), height)


def _beside(
    first: tuple[Line, ...],
    middle: Words,
    tails: Words,
    room: tuple[int, int],
    place: Place,
    height: int,
) -> Setting:
    """Words between a left and a right tail, all of one line squeezed alike."""
    left, right = room
    words = " ".join(middle)
    widths = [
        text.width(tails[0], height, "bold"),
        text.width(words, height),
        text.width(tails[1], height, "bold"),
    ]
    factor = min(1.0, (right - left - 2 * BETWEEN) / max(1, sum(widths)))
    if first:
        factor = min(factor, _squeezed(first, height).factor)
    outer = left + int(widths[0] * factor), right - int(widths[2] * factor)
    centre, half = (outer[0] + outer[1]) // 2, int(widths[1] * factor) // 2
    lines = (
        Line(tails[0], left, max(outer[0], centre - half - BETWEEN), place, "bold"),
        Line(words, outer[0] + BETWEEN, outer[1] - BETWEEN, place),
        Line(tails[1], min(outer[1], centre + half + BETWEEN), right, place, "bold"),
    )
    return Setting((*first, *lines), factor)


def _tails(tails: Words, cell: Cell, place: Place) -> tuple[Line, ...]:
    edges = cell.edges
    return tuple(
        Line(tail, edges[n] + SIDE, edges[n + 1] - SIDE, place, "bold")
        for n, tail in enumerate(tails)
    )


def _squeezed(lines: tuple[Line, ...], height: int) -> Setting:
    factor = 1.0
    for line in lines:
        width = line.width(height)
        if width:
            factor = min(factor, (line.right - line.left) / width)
    return Setting(lines, factor)
