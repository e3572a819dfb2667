"""The bays from the front, to scale: panels, jacks, strips, normals, plugs and cords as a drawing.

Each panel stands as it does in its rack, the racks side by side in natural order.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from slinediag.address import Jack, natural
from slinediag.chart import symbols
from slinediag.chart.lettering import letter
from slinediag.chart.moving import all_moved
from slinediag.chart.plugs import HungCord, Plugs, plugs_of
from slinediag.drawing import styles
from slinediag.drawing.marks import Circle, Curve, Dash, Drawing, Line, Mark, Rect, Ref, Style
from slinediag.editor.face_cords import Ground, Way, hang_all
from slinediag.editor.spread import Spread, spread
from slinediag.geometry import Box, Point
from slinediag.model.bay import Bay
from slinediag.model.edits import Position
from slinediag.model.facility import Facility, Normal
from slinediag.papers import face as paper
from slinediag.papers.panel import Panel, panel_of
from slinediag.tracing.values import Answer

MARGIN = 18_000
HEAD = 13_000
"""Above each panel, for its name."""
GAP = 16_000
"""Between panels, beside and below, where cords hang."""
MIDDLE = 3_200
"""The piece of a normal that is parted where it is broken."""
BLANK = Style(stroke=None, fill=paper.PANEL.fill)
HOLE = Style(stroke=styles.BLACK, width=styles.W50, fill=styles.PAPER)


@dataclass(frozen=True, slots=True)
class Face:
    """All bays' fronts as one drawing, with the places of jacks and of positions' cells on it."""

    drawing: Drawing
    spread: Spread
    jacks: Mapping[Jack, Point]
    cells: Mapping[Position, tuple[Box, ...]]
    panels: Mapping[str, Box]
    ground: Ground


def face_of(facility: Facility) -> Face:
    """The fronts of a facility's bays as filed, standing cords and dummy plugs in."""
    corners = _corners(facility)
    plugs = plugs_of(facility, None)
    marks: list[Mark] = []
    jacks: dict[Jack, Point] = {}
    cells: dict[Position, tuple[Box, ...]] = {}
    panels: dict[str, Box] = {}
    edges: dict[str, tuple[int, ...]] = {}
    for bay in facility.bays.values():
        panel, corner = panel_of(facility, bay), corners[bay.id]
        front = paper.face_of(facility, bay)
        marks += _panel(front, corner)
        edges[bay.id] = _edges(front, corner)
        jacks |= {jack: panel.jack(jack).moved(*corner) for jack in bay.jacks()}
        cells |= {Position(bay.id, n): _cells(panel, n, corner) for n in range(1, bay.width + 1)}
        panels[bay.id] = panel.size.moved(*corner)
    broken = (normal for normal in facility.normals if plugs.breaking(normal))
    marks += (mark for normal in broken for mark in _state(normal, jacks, plugs))
    ground = Ground(jacks, panels, edges)
    marks += front_marks(ground, plugs, ("standing", "pulled"))
    right = max((box.right for box in panels.values()), default=0) + MARGIN
    bottom = max((box.bottom for box in panels.values()), default=0) + 3 * MARGIN
    drawing = Drawing(right, bottom, tuple(marks), f"Bays of {facility.name}")
    return Face(drawing, spread(drawing), jacks, cells, panels, ground)


def tried_on(face: Face, answer: Answer) -> tuple[Mark, ...]:
    """What a trial changes on the fronts: normals parted, plugs and cords in."""
    if answer.trial.empty:
        return ()
    facility, plugs = answer.facility, plugs_of(answer.facility, answer)
    jacks = {jack for cord in (*answer.trial.cords, *answer.trial.pulled_cords) for jack in cord}
    jacks |= {*answer.trial.plugs, *answer.trial.pulled_plugs}
    touched = [n for n in facility.normals if n.source in jacks or n.target in jacks]
    parted = [mark for normal in touched for mark in _state(normal, face.jacks, plugs)]
    emptied = sorted(jacks - set(plugs.plugged))
    holes = [
        Circle(face.jacks[j], panel_of(facility, facility.bays[j.bay]).hole, HOLE) for j in emptied
    ]
    return (*parted, *holes, *front_marks(face.ground, plugs, ("trial", "pulled")))


def _corners(facility: Facility) -> dict[str, Point]:
    """Where each panel's left top corner is: a column for each place, the highest unit on top."""
    columns: dict[str, list[Bay]] = {}
    for bay in facility.bays.values():
        columns.setdefault(bay.place or "", []).append(bay)
    corners: dict[str, Point] = {}
    x = MARGIN
    for place in sorted(columns, key=natural):
        y, widest = MARGIN, 0
        for bay in sorted(columns[place], key=lambda b: (-(b.unit or 0), natural(b.id))):
            size = panel_of(facility, bay).size
            corners[bay.id] = Point(x, y + HEAD)
            y += HEAD + size.height + GAP
            widest = max(widest, size.width)
        x += widest + 2 * GAP
    return corners


def _edges(front: paper.Face, corner: Point) -> tuple[int, ...]:
    """The x of edges at which a cord crosses no label, of both strips where there are two."""
    rows = [front.field_edges(window.row) for window in front.panel.windows]
    free = frozenset.intersection(*rows) if rows else frozenset[int]()
    return tuple(sorted(corner.x + edge for edge in free))


def _panel(front: paper.Face, corner: Point) -> Iterator[Mark]:
    """A panel as it is printed, with its name above it."""
    bay = front.bay
    place = f"   {bay.place}{f', U{bay.unit}' if bay.unit is not None else ''}" if bay.place else ""
    head = letter(corner.moved(0, -3_500), bay.printed, height=styles.H50, weight="bold")
    yield head
    yield letter(
        corner.moved(head.width + 3_000, -3_500), f"{bay.name}{place}", colour=styles.TEXT_GREY
    )
    yield from all_moved(paper.face_marks(front), *corner)


def _cells(panel: Panel, number: int, corner: Point) -> tuple[Box, ...]:
    """The cells of a position on its strips."""
    boxes = []
    for window in panel.windows:
        left, right = window.cell(number)
        box = window.box.moved(*corner)
        boxes.append(Box(box.x + left, box.y, right - left, box.height))
    return tuple(boxes)


def _state(normal: Normal, jacks: Mapping[Jack, Point], plugs: Plugs) -> Iterator[Mark]:
    """A normal's middle as it stands: straight, or parted and crossed where a plug breaks it.

    Only within a position: between positions a panel shows letters and no line.
    """
    if (normal.source.bay, normal.source.position) != (normal.target.bay, normal.target.position):
        return
    one, other = jacks[normal.source], jacks[normal.target]
    middle = Point(one.x, (one.y + other.y) // 2)
    half = MIDDLE // 2
    yield Rect(Box(one.x - 600, middle.y - half, 1_200, MIDDLE), BLANK)
    if plugs.breaking(normal):
        yield symbols.break_cross(middle)
    else:
        yield Line(((middle.moved(0, -half), middle.moved(0, half)),), styles.LINE)


PLUG = 2_300
DASHES: dict[str, Dash] = {"trial": "solid", "standing": "solid", "pulled": "dotted"}
INKS = {
    "trial": (styles.BLUE, styles.W140),
    "standing": (styles.BLACK, styles.W100),
    "pulled": (styles.BLACK, styles.W35),
}


def front_marks(ground: Ground, plugs: Plugs, standings: tuple[str, ...]) -> Iterator[Mark]:
    """Plugs and cords of these standings, cords over all else."""
    ways = hang_all(ground, (cord.ends for cord in plugs.cords))
    for cord, way in zip(plugs.cords, ways, strict=True):
        if cord.standing in standings:
            yield from _cord(cord, way, ground)
    for dummy in plugs.dummies:
        if dummy.standing in standings and dummy.standing != "pulled":
            colour, _ = INKS[dummy.standing]
            at = ground.jacks[dummy.jack]
            yield Circle(at, PLUG, Style(colour, styles.W35, colour))
            yield Circle(at, PLUG - 900, Style(styles.PAPER, styles.W50))


def _cord(cord: HungCord, hung: Way, ground: Ground) -> Iterator[Mark]:
    colour, width = INKS[cord.standing]
    one, way = hung
    dash = DASHES[cord.standing]
    ref = Ref(("cord", cord.standing), (("cord", str(cord)),), title=cord.name)
    if cord.standing != "pulled":
        yield Curve(one, way, Style(styles.PAPER, width + 700, end="round"))
    yield Curve(one, way, Style(colour, width, dash=dash, end="round"), ref)
    if cord.standing != "pulled":
        for at in (ground.jacks[jack] for jack in cord.ends):
            yield Circle(at, PLUG, Style(colour, styles.W35, colour))
