"""References: where an interrupted line or cord ends, and on which sheet and in which zone its mate
stands (IEC 61082-1). Lengths in micrometres.
"""

from __future__ import annotations

from slinediag import text
from slinediag.chart.division import CordReference, Reference
from slinediag.chart.lettering import SMALL, letter, width
from slinediag.chart.points import JACK_RADIUS, PITCH
from slinediag.drawing import styles
from slinediag.drawing.marks import Group, Mark, Ref, Shape, Text
from slinediag.geometry import Box, Point, to_mm
from slinediag.layout.graph import Node, Port

WIDEST_ZONE = "W88"
WIDEST = f"888 {WIDEST_ZONE}"
"""The longest sheet and zone that a flag has room for."""
FLAG_HALF = 2400
TIP = 2600
PADDING = 1300
FLAG = width(WIDEST, SMALL, "bold") + 2 * PADDING + TIP
LABEL_GAP = 1200
LABEL_ROOM = 34_000
"""A longer label is shortened; its mark's title says it in full."""


def reference_node(reference: Reference) -> Node:
    """The flag of an interrupted line as a box of one row for the layout."""
    port = (Port("in" if reference.way == "to" else "out", to_mm(PITCH // 2)),)
    across = to_mm(FLAG + LABEL_GAP + _label_width(reference.label))
    if reference.way == "to":
        return Node(reference.name, across, to_mm(PITCH), inputs=port)
    return Node(reference.name, across, to_mm(PITCH), outputs=port)


def cord_node(reference: CordReference) -> Node:
    """The flag of an interrupted cord as a box that no line joins."""
    across = 2 * JACK_RADIUS + FLAG + LABEL_GAP + _label_width(reference.label)
    return Node(reference.name, to_mm(across), to_mm(PITCH))


def cord_end(at: Box) -> Point:
    """Where a cord ends at its flag."""
    return Point(at.x + JACK_RADIUS, at.y + PITCH // 2)


def draw_reference(reference: Reference, at: Box, zone: str) -> Group:
    """The flag with the sheet and zone of its mate, and what is there."""
    way = reference.way
    words = "Goes on at" if way == "to" else "Comes from"
    title = f"{words} sheet {reference.mate}, zone {zone}: {reference.label}"
    data = (
        ("net", reference.net),
        ("reference", reference.name),
        ("way", way),
        ("sheet", str(reference.mate)),
        ("zone", zone),
    )
    ref = Ref(("reference",), data, title=title)
    y = at.y + PITCH // 2
    if way == "to":
        flag = Point(at.x, y)
        label = _label(reference.label, Point(at.x + FLAG + LABEL_GAP, y + SMALL // 2), "to")
    else:
        flag = Point(at.right - FLAG, y)
        label = _label(reference.label, Point(flag.x - LABEL_GAP, y + SMALL // 2), "from")
    return Group((*draw_flag(flag, f"{reference.mate} {zone}"), label), ref)


def draw_cord_reference(reference: CordReference, at: Box, zone: str) -> Group:
    """The flag at the end of a cord, with the sheet and zone of the jack it goes to."""
    title = f"The cord goes to {reference.label}, sheet {reference.mate}, zone {zone}"
    data = (("jack", str(reference.jack)), ("sheet", str(reference.mate)), ("zone", zone))
    flag = cord_end(at).moved(JACK_RADIUS, 0)
    foot = flag.moved(FLAG + LABEL_GAP, SMALL // 2)
    marks = (*draw_flag(flag, f"{reference.mate} {zone}"), _label(reference.label, foot, "to"))
    return Group(marks, Ref(("cord-reference",), data, title=title))


def draw_flag(at: Point, words: str) -> tuple[Mark, ...]:
    """A pentagon that points the way of the signal, its left edge's middle at a point."""
    right = at.x + FLAG - TIP
    corners = (
        at.moved(0, -FLAG_HALF),
        Point(right, at.y - FLAG_HALF),
        Point(right + TIP, at.y),
        Point(right, at.y + FLAG_HALF),
        at.moved(0, FLAG_HALF),
    )
    middle = Point((at.x + right) // 2 + TIP // 4, at.y + SMALL // 2)
    return (
        Shape(corners, styles.REFERENCE_FLAG, Ref(("flag",))),
        letter(middle, words, anchor="middle", weight="bold"),
    )


def _label(words: str, foot: Point, way: str) -> Text:
    shown = text.shorten(words, SMALL, LABEL_ROOM) or ""
    return letter(foot, shown, anchor="start" if way == "to" else "end", ref=Ref(("far",)))


def _label_width(words: str) -> int:
    return width(text.shorten(words, SMALL, LABEL_ROOM) or "")
