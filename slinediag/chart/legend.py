"""The legend: every symbol of the chart with its words, drawn by the same functions."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from slinediag.chart import symbols
from slinediag.chart.blocks import FIRST_BASELINE, Block, Item, prose
from slinediag.chart.cords import EDGE, PULLED, STANDING
from slinediag.chart.lettering import LEADING, SMALL, letter, width, wrap
from slinediag.chart.pointers import leading
from slinediag.chart.points import JACK_RADIUS
from slinediag.chart.ranges import called_sheets
from slinediag.circuit.contacts import broken_by_source, broken_by_target
from slinediag.drawing import styles
from slinediag.drawing.marks import Curve, Line, Mark, Rect, Style
from slinediag.geometry import Box, Point
from slinediag.model.bay import NormalKind

SAMPLE = 26_000
"""Width of the column of symbols."""
LEFT, RIGHT = 2000, 22_000
WORD_GAP = 1400
ROWS = "Left jack: top row (T). Right: bottom (B). Else T or B stands with it."

NORMALS: tuple[tuple[NormalKind, str], ...] = (
    ("full", "full-normal"),
    ("half", "half-normal"),
    ("reverse-half", "reverse half-normal"),
    ("parallel", "parallel"),
    ("none", "non-normaled"),
)


def legend(room: int) -> Block:
    """The legend of a chart that is not folded, with every sign, in a column of this width."""
    items = [
        rows_item(room),
        *normal_items(room),
        *jack_items(room),
        *_marks(room),
        *line_items(room),
        *plug_items(room),
        *trial_items(room),
    ]
    return Block("legend", "Legend", tuple(items))


def legend_item(
    marks: Iterable[Mark], words: str, room: int, bold: str = "", least: int = 5900
) -> Item:
    """A symbol about the first line's middle, and its words beside it."""
    text: list[Mark] = []
    at = Point(SAMPLE, FIRST_BASELINE)
    if bold:
        name = letter(at, bold, weight="bold")
        text.append(name)
        beside = at.moved(name.width + WORD_GAP, 0)
        fits = beside.x + width(words) <= room
        at = beside if fits else at.moved(0, LEADING - 400)
    lines = wrap(words, room - at.x)
    text += [letter(at.moved(0, n * LEADING), line) for n, line in enumerate(lines)]
    foot = at.y - FIRST_BASELINE + LEADING * len(lines) + 900
    return Item(max(foot, least), (*marks, *text))


MIDDLE = FIRST_BASELINE - SMALL // 2
"""The height of a symbol's line: the middle of the first line's capitals."""


def normal_items(room: int) -> Iterator[Item]:
    """The five normals, in the order of ``NORMALS``."""
    left, right = Point(LEFT, MIDDLE), Point(RIGHT, MIDDLE)
    for kind, name in NORMALS:
        marks: list[Mark] = []
        if kind != "none":
            marks.append(_straight(left, right))
            marks.append(_end(broken_by_source(kind), left, 1))
            marks.append(_end(broken_by_target(kind), right, -1))
        marks += [symbols.jack(left), symbols.jack(right)]
        yield legend_item(marks, _normal_words(kind), room, name)


def jack_items(room: int) -> Iterator[Item]:
    """Jacks without marks: of a mult, and alone on their line."""
    left, right = Point(LEFT, MIDDLE), Point(RIGHT, MIDDLE)
    both = (_straight(left, right), symbols.jack(left), symbols.jack(right))
    yield legend_item(both, "a plug joins, breaks nothing", room, "mult")
    line = Line(((left.moved(JACK_RADIUS, 0), right),), styles.LINE)
    yield legend_item((line, symbols.jack(left)), "a plug here breaks nothing", room)


def rows_item(room: int) -> Item:
    """Which jack of a position is in which row of its bay, as ``points`` sets them."""
    return prose(ROWS, room)


def _normal_words(kind: NormalKind) -> str:
    """What a plug in either jack does, by the contact table."""
    if kind == "none":
        return "no line without a cord"
    left, right = broken_by_source(kind), broken_by_target(kind)
    if left == right:
        return "either jack breaks it" if left else "no plug breaks it"
    return f"left {'breaks' if left else 'taps'}, right {'breaks' if right else 'taps'}"


def _end(breaks: bool, at: Point, inward: int) -> Mark:
    return symbols.break_mark(at, inward) if breaks else symbols.tap_mark(at, inward)


def _straight(left: Point, right: Point) -> Line:
    return Line(((left.moved(JACK_RADIUS, 0), right.moved(-JACK_RADIUS, 0)),), styles.LINE)


def _marks(room: int) -> Iterator[Item]:
    at = Point(LEFT + 8000, MIDDLE)
    stub = Line(((at.moved(JACK_RADIUS, 0), at.moved(8000, 0)),), styles.LINE)
    yield legend_item(
        (stub, symbols.jack(at), symbols.break_mark(at, 1)), "a plug in this jack breaks", room
    )
    yield legend_item(
        (stub, symbols.jack(at), symbols.tap_mark(at, 1)), "a plug in this jack taps", room
    )


def line_items(
    room: int, notes_on: Sequence[int] = (), idle: str = "3, 4", number: int = 1
) -> Iterator[Item]:
    """Joints and crossings, arrow back, swap, priority, number of a note, ports without a line.

    ``notes_on``: the sheets with the notes, where these are on others. ``idle``, ``number``:
    samples of ports and of a note.
    """
    left, right = Point(LEFT, MIDDLE), Point(RIGHT, MIDDLE)
    middle = Point((LEFT + RIGHT) // 2, MIDDLE)
    line = Line(((left, right),), styles.LINE)
    one, other = Point(LEFT + 5000, MIDDLE), Point(RIGHT - 5000, MIDDLE)
    runs = (
        (left, middle.moved(-1000, 0)),
        (one, one.moved(0, 2600)),
        (middle.moved(1000, 0), right),
        (other.moved(0, -2300), other.moved(0, 2600)),
    )
    both = (Line(runs, styles.LINE), symbols.branch_dot(one))
    yield legend_item(both, "lines joined; crossing, not joined", room)
    yield legend_item((line, symbols.arrow_back(middle)), "runs from right to left", room)
    low = 1800
    swapped = (
        Line(((left.moved(0, low), right.moved(0, low)),), styles.LINE),
        *symbols.swap_mark(middle.moved(0, low)),
    )
    yield legend_item(swapped, "+ and − swapped on the way", room)
    disc = symbols.priority_mark(middle, 1)
    yield legend_item(disc, "priority of an input, 1 the highest", room)
    note = "see the note of this number"
    if notes_on:
        note = f"see the note of this number, {called_sheets(notes_on)}"
    numbered = legend_item(symbols.note_mark(middle.moved(-1500, 0), number), note, room)
    yield leading(numbered, notes_on[0]) if notes_on else numbered
    ports = symbols.small_grey(middle.moved(0, SMALL // 2), idle, "middle")
    yield legend_item((ports,), "ports without a line", room)


def place_items(room: int, place: str, tie: str) -> Iterator[Item]:
    """Where a way inside equipment goes on, what stands on a tie line, and a wall in a box;
    ``place``: a sheet and a zone, on one sheet a zone; ``tie``: the tie line's name."""
    left, middle = Point(LEFT, MIDDLE), Point((LEFT + RIGHT) // 2, MIDDLE + SMALL // 2)
    sheet, _, zone = place.rpartition(" ")
    where = f"sheet {sheet}, zone {zone}" if sheet else f"zone {zone}"
    sample = letter(middle, place, anchor="middle", weight="bold")
    yield legend_item((sample,), f"in a box: goes on at {where}", room)
    low = 1800
    line = Line(((left.moved(0, low), Point(RIGHT, MIDDLE + low)),), styles.LINE)
    name = symbols.small_grey(middle.moved(0, low - 1000 - SMALL // 2), tie, "middle")
    yield legend_item((line, name), "tie line, or mult, of this name", room)
    box = Rect(Box(LEFT + 4000, MIDDLE - 2200, RIGHT - LEFT - 8000, 4400), styles.EQUIPMENT)
    x = (LEFT + RIGHT) // 2
    wall = Line(((Point(x, box.box.y), Point(x, box.box.bottom)),), styles.LINE)
    yield legend_item((box, wall), "in a box: nothing passes from left to right", room)


def slash_item(room: int) -> Item:
    """A line that stands for several."""
    left, right = Point(LEFT, MIDDLE + 600), Point(RIGHT, MIDDLE + 600)
    line = Line(((left, right),), styles.LINE)
    marks = (line, *symbols.slash(Point((LEFT + RIGHT) // 2, MIDDLE + 600), 8))
    return legend_item(marks, "8 circuits alike, drawn as one line", room)


def plug_items(room: int) -> Iterator[Item]:
    """Standing cord, dummy plug, normal broken, normal tapped."""
    left, right = Point(LEFT, MIDDLE), Point(RIGHT, MIDDLE)
    cord = _cord(STANDING, EDGE, "standing")
    yield legend_item(cord, "standing cord: left in by intent", room, least=8000)
    dummy = Point((LEFT + RIGHT) // 2, MIDDLE + 600)
    cap = Style(width=styles.W70)
    marks = (symbols.jack(dummy, "standing"), *symbols.dummy_cap(dummy, cap))
    yield legend_item(marks, "dummy plug: breaks a normal", room)
    low = 1800
    left, right = left.moved(0, low), right.moved(0, low)
    gap = Point((LEFT + RIGHT) // 2, MIDDLE + low)
    parted = Line(
        (
            (left.moved(JACK_RADIUS, 0), gap.moved(-2200, 0)),
            (gap.moved(2200, 0), right.moved(-JACK_RADIUS, 0)),
        ),
        styles.LINE,
    )
    broken = (
        parted,
        symbols.jack(left),
        symbols.jack(right, "standing"),
        symbols.break_cross(gap),
        symbols.tap_mark(left, 1),
        symbols.break_mark(right, -1, lifted=True),
    )
    yield legend_item(broken, "normal broken by a plug", room, least=8000)
    tapped = (
        _straight(left, right),
        symbols.jack(left, "standing"),
        symbols.jack(right),
        symbols.tap_mark(left, 1),
        symbols.tap_ring(left, 1, trial=False),
        symbols.break_mark(right, -1),
    )
    yield legend_item(tapped, "normal tapped by a plug", room, least=8000)


def _cord(ink: Style, edge: Style | None, plugged: str | None) -> tuple[Mark, ...]:
    left, right = Point(LEFT, MIDDLE - 1500), Point(RIGHT, MIDDLE - 1500)
    piece = (left.moved(1500, 6000), right.moved(-1500, 6000), right)
    under = (Curve(left, (piece,), edge),) if edge else ()
    jacks = (symbols.jack(left, plugged), symbols.jack(right, plugged))
    return *under, Curve(left, (piece,), ink), *jacks


def trial_items(room: int) -> Iterator[Item]:
    """What a trial adds."""
    left, right = Point(LEFT, MIDDLE), Point(RIGHT, MIDDLE)
    middle = Point((LEFT + RIGHT) // 2, MIDDLE)
    cord = _cord(styles.CORD, styles.CORD_EDGE, "trial")
    yield legend_item(cord, "cord of the trial", room, least=8000)
    yield legend_item(
        _cord(PULLED, None, None), "standing cord pulled by the trial", room, least=8000
    )
    silent = (Line(((left, right),), symbols.SILENT), Line(((left, right),), symbols.HOLLOW))
    yield legend_item(silent, "falls silent under the trial", room)
    warning = symbols.warning_mark(middle.moved(-2300, 0))
    yield legend_item(warning, "doubled: two sources tied together", room)
    words = letter(
        middle.moved(0, SMALL // 2),
        "FAILED",
        anchor="middle",
        weight="bold",
        colour=styles.PAPER,
    )
    half = words.width // 2 + 1500
    frame = Box(middle.x - half, middle.y - 2000, 2 * half, 4000)
    stamp = Rect(frame, Style(stroke=None, fill=styles.BLACK), 500)
    yield legend_item(
        (stamp, words), "taken as failed: passes nothing on, except through a bypass", room
    )
