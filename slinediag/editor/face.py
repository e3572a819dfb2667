"""The bays from the front, to scale: panels, jacks, strips, normals, plugs and cords as a drawing.

Each panel stands as it does in its rack, the racks side by side in natural order.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from slinediag.address import Jack, natural
from slinediag.chart.lettering import letter
from slinediag.chart.plugs import HungCord, Plugs, plugs_of
from slinediag.circuit.contacts import broken_by_source, broken_by_target
from slinediag.drawing import styles
from slinediag.drawing.marks import (
    Circle,
    Curve,
    Dash,
    Drawing,
    Group,
    Line,
    Mark,
    Rect,
    Ref,
    Style,
    Text,
)
from slinediag.editor.spread import Spread, spread
from slinediag.geometry import Box, Point
from slinediag.model.bay import Bay
from slinediag.model.edits import Position
from slinediag.model.facility import Facility, Normal
from slinediag.model.labels import jack_label
from slinediag.papers.panel import Panel, panel_of
from slinediag.papers.strip import break_mark, tap_mark
from slinediag.text import shorten
from slinediag.tracing.values import Answer

MARGIN = 18_000
HEAD = 13_000
"""Above each panel, for its name."""
GAP = 16_000
"""Between panels, beside and below, where cords hang."""
LABEL = 2_000
NUMBER = 1_800
METAL = "#e4e2dc"
"""A panel's front: text and lines on it keep more than 4.5 : 1."""
PANEL = Style(stroke=styles.LINE_GREY, width=styles.W35, fill=METAL)
WINDOW = Style(stroke=styles.LINE_GREY, width=styles.W13, fill=styles.PAPER)
HOLE = Style(stroke=styles.BLACK, width=styles.W50, fill=styles.PAPER)
CELL = Style(stroke=styles.LINE_GREY, width=styles.W13)
NORMAL = Style(width=styles.W25)
PARTED = Style(width=styles.W25, dash="dotted")


@dataclass(frozen=True, slots=True)
class Face:
    """All bays' fronts as one drawing, with the places of jacks and of positions' cells on it."""

    drawing: Drawing
    spread: Spread
    jacks: Mapping[Jack, Point]
    cells: Mapping[Position, tuple[Box, ...]]
    panels: Mapping[str, Box]


def face_of(facility: Facility) -> Face:
    """The fronts of a facility's bays as filed, standing cords and dummy plugs in."""
    corners = _corners(facility)
    plugs = plugs_of(facility, None)
    marks: list[Mark] = []
    jacks: dict[Jack, Point] = {}
    cells: dict[Position, tuple[Box, ...]] = {}
    panels: dict[str, Box] = {}
    for bay in facility.bays.values():
        panel, corner = panel_of(facility, bay), corners[bay.id]
        marks += _panel(facility, panel, corner)
        jacks |= {jack: panel.jack(jack).moved(*corner) for jack in bay.jacks()}
        cells |= {Position(bay.id, n): _cells(panel, n, corner) for n in range(1, bay.width + 1)}
        panels[bay.id] = panel.size.moved(*corner)
    marks += _normals(facility, jacks, plugs)
    marks += front_marks(jacks, plugs, ("standing", "pulled"))
    right = max((box.right for box in panels.values()), default=0) + MARGIN
    bottom = max((box.bottom for box in panels.values()), default=0) + 3 * MARGIN
    drawing = Drawing(right, bottom, tuple(marks), f"Bays of {facility.name}")
    return Face(drawing, spread(drawing), jacks, cells, panels)


def tried_on(face: Face, answer: Answer) -> tuple[Mark, ...]:
    """What a trial changes on the fronts: normals parted, plugs and cords in."""
    if answer.trial.empty:
        return ()
    facility, plugs = answer.facility, plugs_of(answer.facility, answer)
    jacks = {jack for cord in (*answer.trial.cords, *answer.trial.pulled_cords) for jack in cord}
    jacks |= {*answer.trial.plugs, *answer.trial.pulled_plugs}
    touched = [n for n in facility.normals if n.source in jacks or n.target in jacks]
    parted = [mark for normal in touched for mark in _normal(normal, face.jacks, plugs, over=True)]
    holes = [Circle(face.jacks[j], 2_600, HOLE) for j in sorted(jacks - set(plugs.plugged))]
    return (*parted, *holes, *front_marks(face.jacks, plugs, ("trial", "pulled")))


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


def _panel(facility: Facility, panel: Panel, corner: Point) -> Iterator[Mark]:
    bay = panel.bay
    place = f"   {bay.place}{f', U{bay.unit}' if bay.unit is not None else ''}" if bay.place else ""
    head = letter(corner.moved(0, -3_500), bay.printed, height=styles.H50, weight="bold")
    yield head
    yield letter(
        corner.moved(head.width + 3_000, -3_500), f"{bay.name}{place}", colour=styles.TEXT_GREY
    )
    yield Rect(panel.size.moved(*corner), PANEL, 1_000, Ref(("panel",), (("bay", bay.id),)))
    for window in panel.windows:
        yield Rect(window.box.moved(*corner), WINDOW)
        for n in range(1, bay.width + 1):
            yield _strip_cell(facility, panel, Jack(bay.id, window.row, n), corner)
    for jack in bay.jacks():
        at = panel.jack(jack).moved(*corner)
        yield Circle(at, panel.hole, HOLE, Ref(("jack",), (("jack", str(jack)),)))


def _cells(panel: Panel, number: int, corner: Point) -> tuple[Box, ...]:
    """The cells of a position on its strips."""
    boxes = []
    for window in panel.windows:
        left, right = window.cell(number)
        box = window.box.moved(*corner)
        boxes.append(Box(box.x + left, box.y, right - left, box.height))
    return tuple(boxes)


def _strip_cell(facility: Facility, panel: Panel, jack: Jack, corner: Point) -> Group:
    """What the strip says at a jack: its number, and its label on two lines at most."""
    window = panel.window(jack.row)
    left, right = window.cell(jack.position)
    strip = window.box.moved(*corner)
    box = Box(strip.x + left, strip.y, right - left, strip.height)
    number = str(panel.bay.printed_number(jack))
    top = jack.row == "T"
    at = Point(box.centre.x, box.bottom - 900 if top else box.y + 900 + NUMBER)
    marks: list[Mark] = [Rect(box, CELL)]
    marks.append(letter(at, number, height=NUMBER, anchor="middle", weight="bold"))
    first = box.y + 1_200 + LABEL if top else box.y + NUMBER + 2_400 + LABEL
    marks += _label(jack_label(facility, jack) or "", Point(box.centre.x, first), box.width - 600)
    return Group(tuple(marks), Ref(("strip",), (("jack", str(jack)),)))


def _label(words: str, at: Point, room: int) -> Iterator[Text]:
    """A label on two lines, parted where the halves are most alike; cut only where it must be."""
    lines = _halves(words)
    for number, line in enumerate(lines):
        shown = shorten(line, LABEL, room * 10 // 7)
        if shown:
            text = letter(at.moved(0, number * (LABEL + 900)), shown, height=LABEL, anchor="middle")
            # Drawn together a little rather than cut.
            yield Text(
                text.at, text.text, text.height, min(text.width, room), "middle", text.weight
            )


def _halves(words: str) -> list[str]:
    parts = words.split()
    if len(parts) < 2:
        return parts
    splits = [(" ".join(parts[:n]), " ".join(parts[n:])) for n in range(1, len(parts))]
    return list(min(splits, key=lambda pair: max(map(len, pair))))


def _normals(facility: Facility, jacks: Mapping[Jack, Point], plugs: Plugs) -> Iterator[Mark]:
    for normal in facility.normals:
        yield from _normal(normal, jacks, plugs)


def _normal(
    normal: Normal, jacks: Mapping[Jack, Point], plugs: Plugs, *, over: bool = False
) -> Iterator[Mark]:
    """A normal between its jacks, with a mark at each for what a plug there does; parted if so.

    Only within a position: a line across a panel would be taken for a cord.
    """
    one, other = jacks[normal.source], jacks[normal.target]
    if (normal.source.bay, normal.source.position) != (normal.target.bay, normal.target.position):
        return
    upper, lower = sorted((one, other), key=lambda p: p.y)
    middle = (upper.y + lower.y) // 2
    reach = (lower.y - upper.y) // 2 - 3_300
    if over:
        yield Rect(Box(upper.x - 2_600, middle - reach, 5_200, 2 * reach), Style(None, 0, METAL))
    breaking = plugs.breaking(normal)
    ends = Point(upper.x, middle - reach), Point(lower.x, middle + reach)
    ref = Ref(("normal",), (("normal", str(normal)), ("kind", normal.kind)))
    yield Line((ends,), PARTED if breaking else NORMAL, ref)
    for jack, breaks in (
        (normal.source, broken_by_source(normal.kind)),
        (normal.target, broken_by_target(normal.kind)),
    ):
        up = jacks[jack] == upper
        at = Point(upper.x, middle + (1_100 - reach if up else reach - 1_100))
        yield break_mark(at, down=not up) if breaks else tap_mark(at)
    if breaking:
        arm, centre = 1_100, Point(upper.x, middle)
        cross = (
            (centre.moved(-arm, -arm), centre.moved(arm, arm)),
            (centre.moved(-arm, arm), centre.moved(arm, -arm)),
        )
        yield Line(cross, styles.BREAK_CROSS, Ref(("broken",)))


PLUG = 2_300
DASHES: dict[str, Dash] = {"trial": "solid", "standing": "solid", "pulled": "dotted"}
INKS = {
    "trial": (styles.BLUE, styles.W140),
    "standing": (styles.BLACK, styles.W100),
    "pulled": (styles.BLACK, styles.W35),
}


def front_marks(
    jacks: Mapping[Jack, Point], plugs: Plugs, standings: tuple[str, ...]
) -> Iterator[Mark]:
    """Plugs and cords of these standings, cords over all else."""
    for cord in plugs.cords:
        if cord.standing in standings:
            yield from _cord(cord, jacks)
    for dummy in plugs.dummies:
        if dummy.standing in standings and dummy.standing != "pulled":
            colour, _ = INKS[dummy.standing]
            at = jacks[dummy.jack]
            yield Circle(at, PLUG, Style(colour, styles.W35, colour))
            yield Circle(at, PLUG - 900, Style(styles.PAPER, styles.W50))


def _cord(cord: HungCord, jacks: Mapping[Jack, Point]) -> Iterator[Mark]:
    colour, width = INKS[cord.standing]
    one, other = (jacks[jack] for jack in cord.ends)
    low = max(one.y, other.y) + 14_000 + abs(one.x - other.x) // 8
    way = ((Point(one.x, low), Point(other.x, low), other),)
    dash = DASHES[cord.standing]
    ref = Ref(("cord", cord.standing), (("cord", str(cord)),), title=cord.name)
    if cord.standing != "pulled":
        yield Curve(one, way, Style(styles.PAPER, width + 1_000, end="round"))
    yield Curve(one, way, Style(colour, width, dash=dash, end="round"), ref)
    if cord.standing != "pulled":
        for at in (one, other):
            yield Circle(at, PLUG, Style(colour, styles.W35, colour))
