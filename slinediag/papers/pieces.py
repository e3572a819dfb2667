"""Where a row's strip is cut into pieces that a page holds, and what a piece says of a label cut.

Labels under one heading may run on for longer than a page is wide. They are cut then, and each
piece repeats the heading over its own. Lengths in micrometres.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from functools import cache
from operator import add

from slinediag import text
from slinediag.address import Row
from slinediag.papers.groups import group_runs
from slinediag.papers.labels import Field, Words, row_of
from slinediag.papers.setting import PLACES, SIDE, Cell, Line, Setting, best_setting
from slinediag.papers.wording import SMALLEST, STEP, Lettered, Wording

Cost = tuple[int, ...]
"""What a division costs, the worst first: headings cut short, labels that are smaller, pieces,
headings repeated, those over a single jack, those cut within a group, how uneven the pieces are."""


def pieces_of(wording: Wording, row: Row, longest: int) -> list[tuple[int, int]]:
    """First and last positions of the pieces a row is printed in: as few as the length allows.

    Labels are cut only where that takes a piece less, and otherwise the pieces are as equal as can
    be. A position longer than ``longest`` is a piece by itself.
    """
    edges = wording.panel.window(row).edges
    price = _prices(wording, row)
    count = len(edges) - 1
    best: list[tuple[Cost, int]] = [((0,) * 7, 0)]
    for last in range(1, count + 1):
        ways = []
        for first in range(last, 0, -1):
            if first < last and edges[last] - edges[first - 1] > longest:
                break
            before = best[first - 1][0]
            ways.append((tuple(map(add, before, price(first, last))), first))
        best.append(min(ways))
    pieces, last = [], count
    while last:
        first = best[last][1]
        pieces.append((first, last))
        last = first - 1
    return pieces[::-1]


def _prices(wording: Wording, row: Row) -> Callable[[int, int], Cost]:
    """What a piece costs, by its first and last position."""
    edges = wording.panel.window(row).edges
    over = {
        jack.position: lettered
        for lettered in wording.lettered
        if row_of(lettered.field) == row and len(lettered.field.jacks) > 1
        for jack in lettered.field.jacks
    }
    groups = group_runs(wording.bay)
    begun = {one for _, one, _ in groups} | {other + 1 for _, _, other in groups}

    @cache
    def lost(one: int, other: int) -> tuple[bool, bool]:
        """Whether the heading over both positions is cut short between them, and its label smaller
        than in the whole row."""
        part = part_of(over[one], one, other)
        return part.cut_short, part.setting is None or part.height < over[one].height

    def price(first: int, last: int) -> Cost:
        short = smaller = alone = headed = within = 0
        cut = {over[n].field.jacks for n in (first, last) if n in over}
        for jacks in cut:
            start, end = jacks[0].position, jacks[-1].position
            one, other = max(start, first), min(end, last)
            if (one, other) != (start, end):
                told = lost(one, other)
                short, smaller = short + told[0], smaller + told[1]
                alone += one == other
                headed += 1
                within += start < first and first not in begun
        uneven = (edges[last] - edges[first - 1]) ** 2
        return short, smaller, 1, headed, alone, within, uneven

    return price


def part_of(lettered: Lettered, first: int, last: int) -> Lettered:
    """What a label prints from one position to another, at least one of them its own: all of it,
    or its own jacks there under the heading once more, as high as that fits; where it does not at
    any height, the heading is cut short.
    """
    field = lettered.field
    kept = [n for n, jack in enumerate(field.jacks) if first <= jack.position <= last]
    if len(kept) == len(field.jacks):
        return lettered
    one, other = kept[0], kept[-1] + 1
    part = _cut(field, one, other)
    heading, tails = lettered.printed[: len(field.heading)], lettered.printed[len(field.heading) :]
    printed = heading + tails[one:other]
    cell = Cell(lettered.cell.edges[one : other + 1], lettered.cell.lines)
    if lettered.setting is None:
        return Lettered(part, printed, cell, lettered.height, None)
    for height in range(lettered.height, SMALLEST - 1, -STEP):
        setting = best_setting(part, printed, cell, height, lettered.setting.factor)
        if setting is not None:
            return Lettered(part, printed, cell, height, setting)
    smallest = min(lettered.height, SMALLEST)
    setting = _shortened(heading, tails[one:other], cell, smallest)
    return Lettered(part, printed, cell, smallest, setting, cut_short=True)


def cut_short(wording: Wording, row: Row, pieces: Iterable[tuple[int, int]]) -> Iterator[Lettered]:
    """The labels of which pieces of a row print no more than the beginning of the heading."""
    for first, last in pieces:
        for lettered in wording.lettered:
            jacks = lettered.field.jacks
            there = jacks[0].position <= last and jacks[-1].position >= first
            if there and row_of(lettered.field) == row:
                part = part_of(lettered, first, last)
                if part.cut_short:
                    yield part


def _cut(field: Field, one: int, other: int) -> Field:
    """A field of only some of its jacks; a jack that is left alone reads all its words."""
    jacks, tails = field.jacks[one:other], field.tails[one:other]
    if len(jacks) == 1:
        return Field(jacks, field.heading + tails, lines=field.lines)
    return Field(jacks, field.heading, tails, field.lines)


def _shortened(heading: Words, tails: Words, cell: Cell, height: int) -> Setting:
    """Each jack's own word under as much of the heading as has room."""
    left, right = cell.left + SIDE, cell.right - SIDE
    shown = text.shorten(" ".join(heading), height, right - left)
    head = (Line(shown, left, right, PLACES[0]),) if shown else ()
    own = tuple(
        Line(tail, cell.edges[n] + SIDE, cell.edges[n + 1] - SIDE, PLACES[len(head)], "bold")
        for n, tail in enumerate(tails)
    )
    factors = [(line.right - line.left) / max(1, line.width(height)) for line in own]
    return Setting((*head, *own), min(1.0, *factors))
