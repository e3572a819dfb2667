"""The jacks that a card is about, each as it looks on its bay. Lengths in micrometres."""

from __future__ import annotations

from collections.abc import Mapping

from slinediag.address import Jack
from slinediag.chart.lettering import LABEL, SMALL, letter, wrap
from slinediag.chart.moving import all_moved
from slinediag.drawing import styles
from slinediag.drawing.marks import Circle, Mark, Ref, Style
from slinediag.geometry import Point
from slinediag.model.facility import Facility
from slinediag.model.labels import labelled_jack
from slinediag.papers.face import Face
from slinediag.papers.page import Slab
from slinediag.papers.plugging import plug_acts
from slinediag.papers.strip import strip
from slinediag.tracing.outage.values import Stage

PICTURE = 82_000
"""Width of the column with the pictures of jacks."""
AROUND = 3
"""Positions shown on either side of a jack."""


def jack_pictures(facility: Facility, first: Stage, faces: Mapping[str, Face]) -> Slab:
    """The jacks of a patch's first cord or dummy plugs, each on its strip."""
    cord = (*first.cords, *first.pulls)[0]
    marks: list[Mark] = []
    y = 0
    for jack in first.dummies.get(cord, cord):
        for line in wrap(labelled_jack(facility, jack), PICTURE, LABEL, "bold"):
            marks.append(letter(Point(0, y + LABEL), line, height=LABEL, weight="bold"))
            y += LABEL + 2_000
        picture = jack_picture(faces[jack.bay], jack)
        marks += all_moved(picture.marks, 0, y)
        y += picture.height + 3_500
    return Slab(y, tuple(marks))


def jack_picture(face: Face, jack: Jack) -> Slab:
    """A piece of a bay's face about a jack: its row's strip and holes, the one meant filled."""
    first, last = _shown(face, jack)
    window = face.panel.window(jack.row)
    start = window.edges[first - 1]
    strip_height, hole = window.box.height, face.panel.hole
    below = abs(
        face.panel.rows[jack.row] - (window.box.bottom if jack.row == "T" else window.box.y)
    )
    if jack.row == "T":
        strip_y, hole_y, numbers_y = 0, strip_height + below, strip_height + below + hole + 4_000
    else:
        strip_y, hole_y, numbers_y = hole + below + 4_000, hole + 4_000, SMALL
    acts = plug_acts(face.facility)
    marks: list[Mark] = [*all_moved(strip(face.wording, acts, jack.row, first, last), 0, strip_y)]
    for position in range(first, last + 1):
        other = Jack(jack.bay, jack.row, position)
        x = face.jack(other).x - window.box.x - start
        here = position == jack.position
        ink = Style(width=styles.W100 if here else styles.W35, fill=styles.PAPER)
        marks.append(Circle(Point(x, hole_y), hole - (250 if here else 0), ink))
        number = str(face.bay.printed_number(other))
        at = Point(x, numbers_y)
        marks.append(letter(at, number, anchor="middle", weight="bold" if here else "regular"))
        if here:
            marks.append(_bullseye(Point(x, hole_y), hole))
    height = max(strip_y + strip_height, numbers_y, hole_y + hole) + 1_000
    return Slab(height, tuple(marks))


def _bullseye(centre: Point, hole: int) -> Circle:
    """The jack that is meant, filled."""
    return Circle(centre, hole // 2, Style(stroke=None, fill=styles.BLACK), Ref(("meant",)))


def _shown(face: Face, jack: Jack) -> tuple[int, int]:
    """Positions about a jack that cut no label in two and fit the column."""
    first = max(1, jack.position - AROUND)
    last = min(face.bay.width, jack.position + AROUND)
    for lettered in face.wording.lettered:
        jacks = lettered.field.jacks
        if jacks[0].row == jack.row and jacks[0].position < first <= jacks[-1].position:
            first = jacks[0].position
        if jacks[0].row == jack.row and jacks[0].position <= last < jacks[-1].position:
            last = jacks[-1].position
    edges = face.panel.window(jack.row).edges
    while edges[last] - edges[first - 1] > PICTURE and last - first > 1:
        if jack.position - first >= last - jack.position:
            first += 1
        else:
            last -= 1
    return first, last
