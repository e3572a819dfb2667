"""Where a row's strip is cut into pieces that a page holds, and what a piece says of a label cut.

Labels under one heading may run on for longer than a page is wide. They are cut then, and each
piece repeats the heading over its own. Lengths in micrometres.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from operator import add

from slinediag import text
from slinediag.address import Row
from slinediag.papers.groups import group_runs
from slinediag.papers.labels import Field, Words, row_of
from slinediag.papers.setting import PLACES, SIDE, Cell, Line, Setting, best_setting
from slinediag.papers.wording import SMALLEST, STEP, Lettered, Wording

Cost = tuple[int, ...]
"""What a division costs, the worst first: labels that no longer fit, pieces, headings repeated,
those over a single jack, those cut within a group, and how uneven the pieces are."""


def pieces_of(wording: Wording, row: Row, longest: int) -> list[tuple[int, int]]:
    """First and last positions of the pieces a row is printed in: as few as the length allows.

    Labels are cut only where that takes a piece less, and otherwise the pieces are as equal as can
    be. A position longer than ``longest`` is a piece by itself.
    """
    edges = wording.panel.window(row).edges
    price = _prices(wording, row)
    count = len(edges) - 1
    best: list[tuple[Cost, int]] = [((0,) * 6, 0)]
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
    def lost(one: int, other: int) -> bool:
        """Whether the label that stands at both positions has no room between them."""
        part = part_of(over[one], one, other)
        return part.setting is None or part.height < over[one].height

    def price(first: int, last: int) -> Cost:
        unfit = alone = headed = within = 0
        cut = {over[n].field.jacks for n in (first, last) if n in over}
        for jacks in cut:
            start, end = jacks[0].position, jacks[-1].position
            one, other = max(start, first), min(end, last)
            if (one, other) != (start, end):
                unfit += lost(one, other)
                alone += one == other
                headed += 1
                within += start < first and first not in begun
        return unfit, 1, headed, alone, within, (edges[last] - edges[first - 1]) ** 2

    return price


def part_of(lettered: Lettered, first: int, last: int) -> Lettered:
    """What a label prints from one position to another, at least one of them its own: all of it,
    or its own jacks there under the heading once more, as high as that fits.
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
    setting = _shortened(heading, tails[one:other], cell, lettered.height)
    return Lettered(part, printed, cell, lettered.height, setting)


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
