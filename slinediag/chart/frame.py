"""The frame of a sheet by ISO 5457:1999: border, centring marks, zones; and a 100 mm graduation."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from typing import Literal

from slinediag import text
from slinediag.chart.sheet import Sheet
from slinediag.drawing import styles
from slinediag.drawing.marks import Group, Line, Mark, Rect, Ref, Style, Text
from slinediag.geometry import Box, Point

Way = Literal["across", "down"]

BORDER_LEFT = 20_000  # room to file the sheet
BORDER = 10_000
ZONE = 50_000
ZONE_TICK = 5_000  # outwards from the frame
ZONE_NAME_OUT = 5_000  # from the frame to the middle of a zone's name
GRADUATION = 100_000
GRADUATION_STEP = 10_000
GRADUATION_TICK, GRADUATION_END = 2_500, 5_000  # outwards from the frame; no wider than 5 mm
GRADUATION_GAP = 1_500  # before the words
GRADUATION_WORDS = "100 mm"
LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ"  # no I and no O, which look like 1 and 0


@dataclass(frozen=True, slots=True)
class Zone:
    """One field of the border: its letter or number, and where it starts and ends."""

    name: str
    start: int
    end: int


def drawing_area(sheet: Sheet) -> Box:
    """What the frame encloses, measured to the middle of its line."""
    width = sheet.width - BORDER_LEFT - BORDER
    return Box(BORDER_LEFT, BORDER, width, sheet.height - 2 * BORDER)


def frame(sheet: Sheet) -> tuple[tuple[Mark, ...], Box]:
    """The sheet's paper, frame, centring marks, zones and graduation; the drawing area within."""
    area = drawing_area(sheet)
    paper = Rect(sheet.box, Style(stroke=None, fill=styles.PAPER), ref=Ref(("paper",)))
    outline = Rect(area, styles.FRAME, ref=Ref(("frame",)))
    return (
        paper,
        _zone_marks(sheet, area),
        _centring_marks(sheet, area),
        outline,
        *_graduation(sheet, area),
        *_size_marks(sheet, area),
    ), area


@lru_cache(maxsize=64)
def zones(sheet: Sheet, way: Way) -> tuple[Zone, ...]:
    """The zones across (numbers) or down (letters), from the frame's left or top.

    Fields of 50 mm are counted from the centring marks; what is left over at the corners joins
    the last field where it is less than half a field, and is a field of its own where it is
    more: so ISO 5457:1999 comes to 24 × 16 on A0 and 16 × 12 on A1.
    """
    area = drawing_area(sheet)
    if way == "across":
        length, first, last = sheet.width, area.x, area.right
    else:
        length, first, last = sheet.height, area.y, area.bottom
    centre = length // 2
    half = max(1, (centre + ZONE // 2) // ZONE)
    inner = [centre + ZONE * step for step in range(1 - half, half)]
    edges = [first, *inner, last]
    return tuple(
        Zone(_zone_name(i, way), start, end) for i, (start, end) in enumerate(pairwise(edges))
    )


def zone_at(sheet: Sheet, point: Point) -> str:
    """The zone a point lies in, letter then number, as `C4`; on the border, the nearest one."""
    row = _zone_holding(zones(sheet, "down"), point.y)
    return row + _zone_holding(zones(sheet, "across"), point.x)


def _zone_holding(fields: tuple[Zone, ...], place: int) -> str:
    return next((zone.name for zone in fields if place < zone.end), fields[-1].name)


def _zone_name(index: int, way: Way) -> str:
    if way == "across":
        return str(index + 1)
    turn, letter = divmod(index, len(LETTERS))
    return (LETTERS[turn - 1] if turn else "") + LETTERS[letter]


def _zone_marks(sheet: Sheet, area: Box) -> Group:
    """Ticks between zones and their names on all four sides, outside the frame."""
    across, down = zones(sheet, "across"), zones(sheet, "down")
    tick, out = ZONE_TICK, ZONE_NAME_OUT
    runs = [
        (Point(zone.start, edge), Point(zone.start, edge + way))
        for zone in across[1:]
        for edge, way in ((area.y, -tick), (area.bottom, tick))
    ] + [
        (Point(edge, zone.start), Point(edge + way, zone.start))
        for zone in down[1:]
        for edge, way in ((area.x, -tick), (area.right, tick))
    ]
    names = [
        _zone_text(zone.name, Point((zone.start + zone.end) // 2, middle))
        for zone in across
        for middle in (area.y - out, area.bottom + out)
    ] + [
        _zone_text(zone.name, Point(middle, (zone.start + zone.end) // 2))
        for zone in down
        for middle in (area.x - out, area.right + out)
    ]
    return Group(
        (Line(tuple(runs), styles.FRAME_TICK), *names), Ref(("zones",), title="Zones of the sheet")
    )


def _zone_text(name: str, centre: Point) -> Text:
    at = centre.moved(0, styles.H35 // 2)
    return Text(at, name, styles.H35, text.width(name, styles.H35), "middle")


def _centring_marks(sheet: Sheet, area: Box) -> Line:
    """Marks at the sheet's axes, from its edge to the frame and not past it.

    The standard lets them reach into the drawing space, where they could meet a line.
    """
    x, y = sheet.width // 2, sheet.height // 2
    runs = (
        (Point(x, 0), Point(x, area.y)),
        (Point(x, area.bottom), Point(x, sheet.height)),
        (Point(0, y), Point(area.x, y)),
        (Point(area.right, y), Point(sheet.width, y)),
    )
    return Line(runs, styles.CENTRING, Ref(("centring",)))


def _graduation(sheet: Sheet, area: Box) -> tuple[Group, ...]:
    """The metric reference graduation, in the border at the foot: it shows whether a print is true
    to size, or how far from it.

    By ISO 5457:1980 (from memory; the edition of 1999 has none): at least 100 mm in steps of
    10 mm about a centring mark, close to the frame and no wider than 5 mm, lines of 0.5 mm at
    least. The words beside it are ours. None where the sheet is not as wide.
    """
    middle, foot = sheet.width // 2, area.bottom
    left, right = middle - GRADUATION // 2, middle + GRADUATION // 2
    if left < area.x or right > area.right:
        return ()
    ends = (left, middle, right)
    runs = tuple(
        (Point(x, foot), Point(x, foot + (GRADUATION_END if x in ends else GRADUATION_TICK)))
        for x in range(left, right + 1, GRADUATION_STEP)
    )
    height = styles.H25
    wide = text.width(GRADUATION_WORDS, height)
    at = Point(right + GRADUATION_GAP, foot + ZONE_NAME_OUT + height // 2)
    marks: list[Mark] = [Line(runs, styles.GRADUATION, Ref(("graduation",)))]
    beside = [zone for zone in zones(sheet, "across") if zone.start == right]
    names_from = (beside[0].start + beside[0].end) // 2 - styles.H35 if beside else area.right
    if at.x + wide <= names_from:
        marks.append(Text(at, GRADUATION_WORDS, height, wide))
    title = "Measures 100 mm where the sheet is printed true to size"
    return (Group(tuple(marks), Ref(("rule",), title=title)),)


def _size_marks(sheet: Sheet, area: Box) -> tuple[Text, ...]:
    """The name of a standard size in the bottom right corner, outside the frame."""
    centre = Point((area.right + sheet.width) // 2, (area.bottom + sheet.height) // 2)
    mark = _zone_text(sheet.name, centre)
    return (mark,) if mark.width < BORDER else ()
