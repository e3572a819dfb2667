"""One designation strip at 1 : 1: its letters, groups and marks of normals, as it is cut.

Lengths in micrometres, about the strip's own left top corner. From the edge away from the jacks
to the edge beside them: the colour bar with the groups' letters, the labels, and for each jack the
chart's marks: a triangle that points to the jack where a plug breaks, a dot where it taps.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from slinediag import text
from slinediag.address import Jack, Row
from slinediag.chart.moving import all_moved
from slinediag.chart.ranges import number_runs
from slinediag.drawing import styles
from slinediag.drawing.marks import Circle, Group, Line, Mark, Rect, Ref, Shape, Style, Text
from slinediag.geometry import Box, Point, Run, union
from slinediag.papers.groups import group_runs, groups_of
from slinediag.papers.labels import row_of
from slinediag.papers.pieces import part_of
from slinediag.papers.plugging import Act
from slinediag.papers.setting import NARROWEST, PLACES, SIDE, Setting
from slinediag.papers.setting import Line as Lettering
from slinediag.papers.windows import BAR, MARKS, depth_of, leading, lines_in
from slinediag.papers.wording import SMALLEST, Lettered, Wording

TRIANGLE_HALF, TRIANGLE_HEIGHT, DOT = 900, 1_500, 650
APART = 1_200
"""From the middle of a jack's one mark to the middle between two."""
FIELD_EDGE = Style(stroke=styles.LINE_GREY, width=styles.W13)
"""Thin and grey, not to be read as a 1 or an I beside a label."""
TICK = 900
CHIP_EDGE = 600
"""Free beside a group's letter."""


@dataclass(frozen=True, slots=True)
class Bands:
    """What stands at which height of a strip; bar and marks are 0 high where left out."""

    bar: Box
    labels: Box
    marks: Box


def bands(wording: Wording, row: Row, width: int) -> Bands:
    """The bands of a strip. What a low window has no room for is left out: first the bar."""
    height = wording.panel.window(row).box.height
    rest = height - depth_of(max(1, min(2, lines_in(height, wording.height))), wording.height)
    marks = MARKS if rest >= MARKS else 0
    bar = BAR if rest >= MARKS + BAR else 0
    label = height - marks - bar
    tops = (0, bar, bar + label) if row == "T" else (marks + label, marks, 0)
    return Bands(*(Box(0, y, width, h) for y, h in zip(tops, (bar, label, marks), strict=True)))


def strip(
    wording: Wording,
    acts: Mapping[Jack, frozenset[Act]],
    row: Row,
    first: int,
    last: int,
    *,
    numbered: bool = False,
) -> tuple[Mark, ...]:
    """The strip of a row from one position to another, both within it.

    A label that does not fit prints as much as it can; ``numbered``: its number in the list of
    what does not fit, which then has to stand beside.
    """
    edges = wording.panel.window(row).edges
    start = edges[first - 1]
    piece = Box(0, 0, edges[last] - start, wording.panel.window(row).box.height)
    there = bands(wording, row, piece.width)
    inside = [
        *_bar(wording, row, there.bar, first, last),
        *_fields(wording, row, there, first, last, numbered=numbered),
        *_normals(wording, acts, row, there.marks, first, last),
    ]
    paper = Rect(piece, Style(stroke=None, fill=styles.PAPER))
    outline = Rect(piece, Style(width=styles.W13), ref=Ref(("cut",)))
    data = (("bay", wording.bay.id), ("row", row), ("first", str(first)), ("last", str(last)))
    return (Group((paper, *all_moved(inside, -start, 0), outline), Ref(("strip",), data)),)


def _bar(wording: Wording, row: Row, band: Box, first: int, last: int) -> Iterator[Mark]:
    """The groups' colours over their positions, each begun with its letter on white.

    Where a label needs the bar's room there is none; behind it the letter stands again.
    """
    if not band.height:
        return
    groups, edges = groups_of(wording.bay), wording.panel.window(row).edges
    covered = _covered(wording, row)
    for name, one, other in group_runs(wording.bay):
        free = [n for n in range(max(one, first), min(other, last) + 1) if n not in covered]
        group = groups[name]
        for start, end in number_runs(free):
            run = Box(edges[start - 1], band.y, edges[end] - edges[start - 1], band.height)
            room = text.width(group.letter, styles.H25, "bold")
            chip = Box(run.x, run.y, room + 2 * CHIP_EDGE, run.height)
            at = Point(run.x + CHIP_EDGE, band.y + (band.height + styles.H25) // 2)
            yield from group.bar(run, Ref(("group",), title=name))
            yield Rect(chip, Style(stroke=None, fill=styles.PAPER))
            yield Text(at, group.letter, styles.H25, room, weight="bold")


def _covered(wording: Wording, row: Row) -> frozenset[int]:
    """The positions whose label takes the colour bar's room as well as its own."""
    there = bands(wording, row, 0)
    return frozenset(
        jack.position
        for lettered in wording.lettered
        if row_of(lettered.field) == row and _needs(lettered) > there.labels.height
        for jack in lettered.field.jacks
    )


def _needs(lettered: Lettered) -> int:
    """The height that a label needs, with what is free above and below it."""
    depth = lettered.setting.depth if lettered.setting else 1
    return depth_of(depth, lettered.height)


def _fields(
    wording: Wording, row: Row, there: Bands, first: int, last: int, *, numbered: bool
) -> Iterator[Mark]:
    """The labels of a piece, and the thin rules between them: short within one field.

    A label that runs on over the piece's end prints what stands within it.
    """
    edges, band = wording.panel.window(row).edges, there.labels
    joined: set[int] = set()
    numbers = {misfit.jacks: n for n, misfit in enumerate(wording.misfits, 1)}
    for whole_label in wording.lettered:
        jacks = whole_label.field.jacks
        if row_of(whole_label.field) != row:
            continue
        if jacks[0].position > last or jacks[-1].position < first:
            continue
        number = numbers.get(jacks) if numbered else None
        lettered = part_of(whole_label, first, last)
        jacks = lettered.field.jacks
        joined |= {jack.position for jack in jacks[:-1]}
        data = (("jacks", " ".join(map(str, jacks))),)
        room = band if _needs(lettered) <= band.height else union((band, there.bar))
        yield Group(tuple(_label(lettered, room, number)), Ref(("label",), data))
    whole = [n for n in range(first, last) if n not in joined]
    covered = _covered(wording, row)
    deep = [n for n in whole if n in covered or n + 1 in covered]
    runs = (
        *_uprights(edges, whole, band.y, band),
        *_uprights(edges, deep, there.bar.y, there.bar),
        *_uprights(edges, joined, band.bottom - TICK, band),
    )
    if runs:
        yield Line(runs, FIELD_EDGE)


def _uprights(
    edges: tuple[int, ...], positions: Iterable[int], top: int, band: Box
) -> Iterator[Run]:
    for n in sorted(positions):
        yield Point(edges[n], top), Point(edges[n], band.bottom)


def _label(lettered: Lettered, band: Box, number: int | None) -> Iterator[Text]:
    """The lines of a label; where it cannot be printed, its number in the list of what does not
    fit, or else as much of it as can."""
    if lettered.setting is None and number is None:
        yield from _cut_short(lettered, band)
        return
    if lettered.setting is None:
        mark = f"*{number}"
        middle = (lettered.cell.left + lettered.cell.right) // 2
        at = Point(middle, band.y + (band.height + styles.H25) // 2)
        yield Text(at, mark, styles.H25, text.width(mark, styles.H25), "middle")
        return
    yield from lines(lettered.setting, lettered.height, band)


def _cut_short(lettered: Lettered, band: Box) -> Iterator[Text]:
    """The beginning of a label that has no room, in small letters: one or two lines, the last with
    the sign that it goes on."""
    left, right = lettered.cell.left + SIDE, lettered.cell.right - SIDE
    room = round((right - left) / NARROWEST)
    first, rest = lettered.printed[:1], lettered.printed[1:]
    two = bool(rest) and band.height >= depth_of(2, SMALLEST)
    parts = (first, rest) if two and _fitting(first[0], room) else (lettered.printed,)
    shown = [text.shorten(" ".join(part), SMALLEST, room) for part in parts]
    told = tuple(
        Lettering(words, left, right, place)
        for words, place in zip(filter(None, shown), PLACES, strict=False)
    )
    if told:
        yield from lines(Setting(told, NARROWEST), SMALLEST, band)


def _fitting(word: str, room: int) -> bool:
    return text.width(word, SMALLEST) <= room


def lines(setting: Setting, height: int, band: Box) -> Iterator[Text]:
    """A setting's lines in the middle of a band, all squeezed alike."""
    below = leading(setting.depth, height)
    depth = height + (setting.depth - 1) * below
    base = band.y + (band.height - depth) // 2 + height
    for line in setting.lines:
        if line.words:
            at = Point((line.left + line.right) // 2, base + PLACES.index(line.place) * below)
            width = int(line.width(height) * min(1.0, setting.factor))
            yield Text(at, line.words, height, width, "middle", line.weight)


def _normals(
    wording: Wording,
    acts: Mapping[Jack, frozenset[Act]],
    row: Row,
    band: Box,
    first: int,
    last: int,
) -> Iterator[Mark]:
    """The mark of what a plug does, beside each jack that has a normal."""
    if not band.height:
        return
    window = wording.panel.window(row)
    x0 = window.box.x
    for position in range(first, last + 1):
        jack = Jack(wording.bay.id, row, position)
        found = acts.get(jack, frozenset())
        x = wording.panel.jack(jack).x - x0
        shift = APART if len(found) > 1 else 0
        if "breaks" in found:
            yield break_mark(Point(x - shift, band.centre.y), down=row == "T")
        if "taps" in found:
            yield tap_mark(Point(x + shift, band.centre.y))


def break_mark(centre: Point, *, down: bool) -> Shape:
    """A triangle that points to the jack below or above it."""
    way = 1 if down else -1
    tip = centre.moved(0, way * TRIANGLE_HEIGHT // 2)
    back = centre.moved(0, -way * TRIANGLE_HEIGHT // 2)
    corners = (tip, back.moved(-TRIANGLE_HALF, 0), back.moved(TRIANGLE_HALF, 0))
    return Shape(corners, Style(width=styles.W25, fill=styles.PAPER), Ref(("break-mark",)))


def tap_mark(centre: Point) -> Circle:
    """A filled dot."""
    return Circle(centre, DOT, Style(stroke=None, fill=styles.BLACK), Ref(("tap-mark",)))
