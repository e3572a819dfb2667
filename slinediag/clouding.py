"""The chart of a new revision with a cloud round each thing that changed.

The cloud with the revision's letter in a triangle is the usual mark of drawing practice (ASME
Y14.35, from memory). Lengths in micrometres.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from pathlib import Path

from slinediag.address import Jack, read_jack_part, read_spelling
from slinediag.chart.chart import draw
from slinediag.chart.lettering import letter
from slinediag.comparing.compare import Comparison
from slinediag.drawing import styles
from slinediag.drawing.marks import Curve, Drawing, Group, Mark, Ref, Shape, Style
from slinediag.drawing.query import walk
from slinediag.geometry import Box, Point, union
from slinediag.layout.settings import Effort
from slinediag.model.facility import Facility, Revision
from slinediag.sheetfiles import refuse_ending, write_sheets

CLEAR = 1_800
"""Between a thing and its cloud."""
BULGE = 5_000
"""The chord of one scallop, about."""
INK = Style(stroke=styles.VERMILION, width=styles.W50, end="round")
FLAG = Style(stroke=styles.VERMILION, width=styles.W35, fill=styles.PAPER)
SIDE = 7_000
"""The side of the triangle that holds the revision's letter."""


def draw_changes(
    comparison: Comparison, path: Path, *, sheet: str = "auto", effort: Effort = "thorough"
) -> tuple[Path, ...]:
    """Write the new revision's chart with its changes clouded; the paths written.

    RequestError for an ending that no painter of sheets knows; SheetTooSmall; WriteError.
    """
    refuse_ending(path)
    facility = with_proposed_row(comparison)
    drawings = draw(facility, None, sheet=sheet, effort=effort, fold=False)
    clouds = [clouded(drawing, comparison) for drawing in drawings]
    return write_sheets(path, clouds, facility)


def with_proposed_row(comparison: Comparison) -> Facility:
    """The new revision with the proposed row in its table of revisions, said to be proposed."""
    new, row = comparison.new, comparison.row
    if row is None:
        return new
    proposed = Revision(row.revision, what=f"proposed: {row.what}")
    practice = replace(new.practice, revisions=(*new.practice.revisions, proposed))
    return replace(new, practice=practice)


def clouded(drawing: Drawing, comparison: Comparison) -> Drawing:
    """A sheet with clouds round what changed and is drawn on it; the same where nothing is."""
    rooms = _merged(_rooms(drawing, *changed_things(comparison)))
    revision = comparison.row.revision if comparison.row else comparison.new.practice.revision
    clouds = tuple(_cloud(room.grown(CLEAR), revision or "") for room in rooms)
    return replace(drawing, marks=(*drawing.marks, *clouds))


def changed_things(comparison: Comparison) -> tuple[frozenset[str], frozenset[str]]:
    """The jacks and the equipment that the changes are at, by their addresses."""
    jacks: set[str] = set()
    boxes: set[str] = set()
    for change in comparison.changes:
        at = {jack for where in change.where for jack in _jacks(comparison.new, where)}
        jacks |= at
        if not at:
            owners = (where.partition(".")[0] for where in change.where)
            boxes |= {owner for owner in owners if owner in comparison.new.equipment}
    return frozenset(jacks), frozenset(boxes)


def _jacks(facility: Facility, where: str) -> Iterator[str]:
    """The jacks that a place of a change names: ``PB1.T3``, ``PB1 3``, ``PB1.T3=PB2.B7``."""
    bay, _, number = where.rpartition(" ")
    if bay in facility.bays and number.isdecimal():
        yield from (str(Jack(bay, row, int(number))) for row in facility.bays[bay].jack_rows)
        return
    for end in where.split("="):
        spelling = read_spelling(end)
        if spelling and spelling.owner in facility.bays and read_jack_part(spelling.part):
            yield end


def _rooms(drawing: Drawing, jacks: frozenset[str], boxes: frozenset[str]) -> list[Box]:
    """The room of each drawn position and box that changed; a box drawn in parts has several."""
    found: dict[Ref, list[Box]] = {}
    for placed in walk(drawing):
        for ref in placed.refs:
            data = dict(ref.data)
            point = "point" in ref.classes and {data.get("top"), data.get("bottom")} & jacks
            if point or ("equipment" in ref.classes and data.get("id") in boxes):
                found.setdefault(ref, []).append(placed.box)
                break
    return [union(found[ref]) for ref in found]


def _merged(rooms: Iterable[Box]) -> list[Box]:
    """Rooms whose clouds would meet drawn together to one."""
    merged: list[Box] = []
    for room in rooms:
        joined = room
        while near := [other for other in merged if other.grown(2 * CLEAR).meets(joined)]:
            merged = [other for other in merged if other not in near]
            joined = union([joined, *near])
        merged.append(joined)
    return merged


def _cloud(room: Box, revision: str) -> Group:
    """Scallops round a room, outwards, and the revision in a triangle at its upper right."""
    corners = (
        Point(room.x, room.y),
        Point(room.right, room.y),
        Point(room.right, room.bottom),
        Point(room.x, room.bottom),
    )
    pieces: list[tuple[Point, Point, Point]] = []
    for start, end in zip(corners, (*corners[1:], corners[0]), strict=True):
        pieces += _scallops(start, end)
    marks: list[Mark] = [Curve(corners[0], tuple(pieces), INK)]
    if revision:
        marks += _flag(Point(room.right, room.y), revision)
    return Group(tuple(marks), Ref(("cloud",), (("revision", revision),), "changed"))


def _scallops(start: Point, end: Point) -> Iterator[tuple[Point, Point, Point]]:
    """Half rounds from corner to corner, bulging to the left of the way: clockwise, outwards."""
    dx, dy = end.x - start.x, end.y - start.y
    count = max(1, round((abs(dx) + abs(dy)) / BULGE))
    for n in range(count):
        one = Point(start.x + dx * n // count, start.y + dy * n // count)
        other = Point(start.x + dx * (n + 1) // count, start.y + dy * (n + 1) // count)
        out = (other.y - one.y) // 2, -(other.x - one.x) // 2
        yield one.moved(*out), other.moved(*out), other


def _flag(at: Point, revision: str) -> Iterator[Mark]:
    half, height = SIDE // 2, SIDE * 7 // 8
    corners = (
        at.moved(0, -height),
        at.moved(half, 0),
        at.moved(-half, 0),
    )
    yield Shape(corners, FLAG)
    yield letter(at.moved(0, -900), revision[:2], weight="bold", anchor="middle")
