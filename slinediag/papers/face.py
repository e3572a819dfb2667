"""The front of a bay at 1 : 1: panel, strips, jacks, numbers and normals.

Lengths in micrometres, about its left top corner. Reusable wherever a bay's front is shown: marks
bear ``data-jack``.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from string import ascii_lowercase

from slinediag import text
from slinediag.address import Jack, partner
from slinediag.chart.moving import all_moved
from slinediag.circuit.contacts import broken_by_source, broken_by_target
from slinediag.drawing import styles
from slinediag.drawing.marks import Circle, Group, Line, Mark, Rect, Ref, Style, Text
from slinediag.geometry import Point, from_mm
from slinediag.model.bay import Bay
from slinediag.model.facility import CrossNormal, Facility
from slinediag.papers.panel import Panel, micrometres, number_step
from slinediag.papers.plugging import Act, plug_acts
from slinediag.papers.strip import break_mark, strip, tap_mark
from slinediag.papers.wording import Wording, word_bay

MOUNTING_HOLE = 3_400
MARK_AWAY = 1_300
"""From a jack's hole to the middle of the mark of its normal."""
NUMBER_AWAY = 2_200
"""From a jack's hole to the middle of a number that is its own."""
BESIDE = 900
"""From the middle of a jack to a number or letter beside its normal."""
PLUGGED = Style(width=styles.W50, fill=styles.BLACK)
OPEN = Style(width=styles.W50, fill=styles.PAPER)
PANEL = Style(width=styles.W35, fill="#f2f2f2")


@dataclass(frozen=True)
class Face:
    """A bay's front: what it is drawn from, its panel and its words."""

    facility: Facility
    bay: Bay
    wording: Wording

    @property
    def panel(self) -> Panel:
        """The panel to scale."""
        return self.wording.panel

    @cached_property
    def plugged(self) -> frozenset[Jack]:
        """The jacks in which a standing cord or a dummy plug is."""
        cords = [jack for cord in self.facility.cords for jack in (cord.source, cord.target)]
        return frozenset((*cords, *(plug.jack for plug in self.facility.plugs)))

    def jack(self, jack: Jack) -> Point:
        """The centre of a jack."""
        return self.panel.jack(jack)

    def field_edges(self, row: str) -> frozenset[int]:
        """x of the edges between labels of a row: where a cord covers none of them."""
        window = next(w for w in self.panel.windows if w.row == row)
        inside = {
            jack.position
            for lettered in self.wording.lettered
            for jack in lettered.field.jacks[:-1]
            if jack.row == row
        }
        return frozenset(
            window.box.x + edge for n, edge in enumerate(window.edges) if n not in inside
        )


def face_of(facility: Facility, bay: Bay) -> Face:
    """The face of a bay."""
    return Face(facility, bay, word_bay(facility, bay))


def crossing_letters(facility: Facility) -> dict[CrossNormal, str]:
    """A letter for each normal across positions, by which its two ends find each other."""
    names = (
        *ascii_lowercase,
        *(one + other for one in ascii_lowercase for other in ascii_lowercase),
    )
    return dict(zip(facility.cross_normals, names, strict=False))


def face_marks(face: Face) -> tuple[Mark, ...]:
    """The marks of a face: panel, strips, normals, then jacks over them."""
    acts = plug_acts(face.facility)
    return (
        *_metal(face),
        *_strips(face, acts),
        *_normals(face),
        *_crossings(face),
        *_numbers(face),
        *_jacks(face),
    )


def _metal(face: Face) -> Iterator[Mark]:
    """The panel with its mounting holes, and its name at the left as large as there is room for."""
    size = face.panel.size
    data = (("bay", face.bay.id),)
    yield Rect(size, PANEL, 800, Ref(("panel",), data, title=face.bay.name))
    apart = micrometres("panel", "hole_centres")
    for x in ((size.width - apart) // 2, (size.width + apart) // 2):
        for y in (size.height // 7, size.height - size.height // 7):
            yield Circle(Point(x, y), MOUNTING_HOLE, OPEN)
    room = face.panel.windows[0].box.x - 4_000
    height = next(
        (h for h in (styles.H50, styles.H35, styles.H25) if _width(face.bay.printed, h) <= room),
        styles.H25,
    )
    shown = text.shorten(face.bay.printed, height, room, "bold")
    if shown:
        at = Point(face.panel.windows[0].box.x // 2, size.height // 2 + height // 2)
        yield Text(at, shown, height, text.width(shown, height, "bold"), "middle", "bold")


def _width(words: str, height: int) -> int:
    return text.width(words, height, "bold")


def _strips(face: Face, acts: Mapping[Jack, frozenset[Act]]) -> Iterator[Mark]:
    for window in face.panel.windows:
        marks = strip(face.wording, acts, window.row, 1, face.bay.width)
        yield from all_moved(marks, window.box.x, window.box.y)


def _normals(face: Face) -> Iterator[Mark]:
    """The own normal of each position, between its jacks, with the chart's marks upright."""
    for normal in face.facility.normals:
        top, bottom = normal.source, normal.target
        if top.bay != face.bay.id or bottom.bay != face.bay.id or top.position != bottom.position:
            continue
        if (top.row, bottom.row) != ("T", "B"):
            continue
        one, other = face.jack(top), face.jack(bottom)
        reach = face.panel.hole
        line = Line(
            ((one.moved(0, reach), other.moved(0, -reach)),),
            styles.LINE,
            Ref(("normal",), (("normal", str(normal)),)),
        )
        yield line
        yield _end(face, top, breaks=broken_by_source(normal.kind))
        yield _end(face, bottom, breaks=broken_by_target(normal.kind))


def _end(face: Face, jack: Jack, *, breaks: bool) -> Mark:
    """The mark of a normal beside its jack, towards the panel's middle."""
    way = 1 if jack.row == "T" else -1
    at = face.jack(jack).moved(0, way * (face.panel.hole + MARK_AWAY))
    return break_mark(at, down=jack.row == "B") if breaks else tap_mark(at)


def _crossings(face: Face) -> Iterator[Mark]:
    """Normals across positions: letters at either end, and the marks of those that are no taps."""
    letters: dict[Jack, list[str]] = {}
    for crossing, letter in crossing_letters(face.facility).items():
        if crossing.source.row == "T" and crossing.source == partner(crossing.target):
            continue  # drawn between its jacks as an own normal is
        for jack, breaks in _ends(crossing):
            if jack.bay == face.bay.id:
                letters.setdefault(jack, []).append(letter)
                if breaks or jack == crossing.target:
                    yield _stub(face, jack)
                    yield _end(face, jack, breaks=breaks)
    for jack, found in letters.items():
        yield from _letters(face, jack, "".join(found))


def _ends(crossing: CrossNormal) -> tuple[tuple[Jack, bool], tuple[Jack, bool]]:
    """Both jacks, and whether a plug there breaks the normal."""
    kind = crossing.wired
    return (
        (crossing.source, broken_by_source(kind)),
        (crossing.target, broken_by_target(kind)),
    )


def _stub(face: Face, jack: Jack) -> Line:
    way = 1 if jack.row == "T" else -1
    centre, hole = face.jack(jack), face.panel.hole
    run = (centre.moved(0, way * hole), centre.moved(0, way * (hole + 2 * MARK_AWAY)))
    return Line((run,), styles.LINE)


def _letters(face: Face, jack: Jack, letters: str) -> Iterator[Text]:
    """The letters of the normals that start or end at a jack, beside it, as many as have room."""
    way = 1 if jack.row == "T" else -1
    y = face.jack(jack).y + way * (face.panel.hole + MARK_AWAY + 500) + styles.H25 // 2
    room = from_mm(face.bay.jack_pitch) - BESIDE - 800
    shown = text.shorten(letters, styles.H25, room, "bold")
    if shown:
        at = Point(face.jack(jack).x + BESIDE + 400, y)
        yield Text(at, shown, styles.H25, text.width(shown, styles.H25, "bold"), weight="bold")


def _numbers(face: Face) -> Iterator[Text]:
    """Printed numbers, left of the normals: one for both rows where the rows count alike."""
    bay, panel = face.bay, face.panel
    step = number_step(bay)
    alike = bay.numbering != "through" and bay.rows != 1
    for jack in bay.jacks():
        number = bay.printed_number(jack)
        if (jack.position - 1) % step or (alike and jack.row == "B"):
            continue
        way = 1 if jack.row == "T" else -1
        beside = panel.jack(jack).moved(-BESIDE, way * (panel.hole + NUMBER_AWAY))
        if alike:
            beside = Point(beside.x, panel.size.height // 2)
        at = beside.moved(0, styles.H25 // 2)
        words = str(number)
        width = text.width(words, styles.H25)
        yield Text(at, words, styles.H25, width, "end", colour=styles.TEXT_GREY)


def _jacks(face: Face) -> Iterator[Mark]:
    for jack in face.bay.jacks():
        style = PLUGGED if jack in face.plugged else OPEN
        ref = Ref(("jack",), (("jack", str(jack)),))
        yield Group((Circle(face.jack(jack), face.panel.hole, style),), ref)
