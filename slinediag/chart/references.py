"""References: where an interrupted line or cord ends, and on which sheet and in which zone its mate
stands (IEC 61082-1); or the name of where it goes, if that is not drawn. Lengths in micrometres.
"""

from __future__ import annotations

from functools import cache

from slinediag.chart import symbols
from slinediag.chart.lettering import LEADING, SMALL, letter, width, wrap
from slinediag.chart.points import JACK_RADIUS, PITCH, SLASH_BEFORE, slash_room
from slinediag.chart.shares import ELSEWHERE, CordReference, Reference
from slinediag.drawing import styles
from slinediag.drawing.marks import Anchor, Group, Mark, Ref, Shape, Weight
from slinediag.geometry import Box, Point, to_mm
from slinediag.layout.graph import Node, Port

WIDEST_ZONE = "W88"
WIDEST = f"888 {WIDEST_ZONE}"
"""The longest sheet and zone that a flag has room for."""
FLAG_HALF = 2000
NODE_HALF = 1000
"""Half the height that the layout is told of, which lets a flag stand on the row below a box: what
is kept free below boxes and above them has room for the rest."""
TIP = 2600
PADDING = 1300
FLAG = width(WIDEST, SMALL, "bold") + 2 * PADDING + TIP
LABEL_GAP = 1200
HIGH_FLAG_HALF = 4300
"""Half the height of a flag with two lines."""
LABEL_ROOM = 40_000
"""A longer label takes two lines, as wide as these have to be: no two ends are to read alike."""
WIDER = 500

MOST_LINES = 2

AnyReference = Reference | CordReference
Lines = tuple[str, ...]


def reference_node(reference: Reference) -> Node:
    """The flag of an interrupted line as a low box for the layout."""
    half = NODE_HALF if max(map(len, _words(reference))) < MOST_LINES else HIGH_FLAG_HALF
    port = (Port("in" if reference.way == "to" else "out", to_mm(half)),)
    across = to_mm(_flag_width(reference) + _beside_width(reference) + lead_of(reference))
    if reference.way == "to":
        return Node(reference.name, across, to_mm(2 * half), inputs=port)
    return Node(reference.name, across, to_mm(2 * half), outputs=port)


def lead_of(reference: Reference) -> int:
    """How far a line goes on inside its flag's node, to have room for a slash with its count."""
    return slash_room(reference.count) if reference.count else 0


def cord_node(reference: CordReference) -> Node:
    """The flag of an interrupted cord as a box that no line joins."""
    across = 2 * JACK_RADIUS + _flag_width(reference) + _beside_width(reference)
    return Node(reference.name, to_mm(across), to_mm(PITCH))


def cord_end(at: Box) -> Point:
    """Where a cord ends at its flag."""
    return Point(at.x + JACK_RADIUS, at.y + PITCH // 2)


def draw_reference(reference: Reference, at: Box, zone: str) -> Group:
    """The flag with the sheet and zone of its mate, and what is there.

    Of a line that is not drawn on, the flag says where it goes.
    """
    way = reference.way
    words = "Goes on at" if way == "to" else "Comes from"
    data = (("net", reference.net), ("reference", reference.name), ("way", way))
    ref = _ref("reference", reference, zone, data, words)
    lead = lead_of(reference)
    start = Point(at.x if way == "to" else at.right - lead, at.centre.y)
    flag = start.moved(lead if way == "to" else -_flag_width(reference), 0)
    folded = symbols.slash(start.moved(SLASH_BEFORE, 0), reference.count) if lead else ()
    return Group((*_marks(reference, flag, zone, way), *folded), ref)


def flag_middle(reference: Reference, at: Box) -> Point:
    """The middle of a reference's flag, its node being here: what the zone is told of."""
    aside = lead_of(reference) + _flag_width(reference) // 2
    return Point(at.x + aside if reference.way == "to" else at.right - aside, at.centre.y)


def draw_cord_reference(reference: CordReference, at: Box, zone: str) -> Group:
    """The flag at the end of a cord, with the sheet and zone of the jack it goes to."""
    data = (("jack", str(reference.jack)),)
    ref = _ref("cord-reference", reference, zone, data, "The cord goes to")
    return Group(_marks(reference, cord_end(at).moved(JACK_RADIUS, 0), zone, "to"), ref)


def _ref(
    name: str, reference: AnyReference, zone: str, data: tuple[tuple[str, str], ...], words: str
) -> Ref:
    """What a reference stands for: on which sheet and where, or the name of what is not drawn."""
    far = reference.label
    if reference.mate == ELSEWHERE:
        beside = f" ({reference.beside})" if reference.beside else ""
        title = f"{words} {far}{beside}, not drawn here"
        return Ref((name, "elsewhere"), (*data, ("far", far)), title=title)
    title = f"{words} sheet {reference.mate}, zone {zone}: {far}"
    return Ref((name,), (*data, ("sheet", str(reference.mate)), ("zone", zone)), title=title)


def _marks(reference: AnyReference, flag: Point, zone: str, way: str) -> tuple[Mark, ...]:
    """The flag, its left edge's middle at a point, and the words behind or before it."""
    across, (inside, beside) = _flag_width(reference), _words(reference)
    marks = draw_flag(flag, *(inside or (f"{reference.mate} {zone}",)), across=across)
    x = across + LABEL_GAP if way == "to" else -LABEL_GAP
    anchor: Anchor = "start" if way == "to" else "end"
    words = [
        letter(foot, line, anchor=anchor, ref=Ref(("far",)))
        for line, foot in zip(beside, _feet(flag.moved(x, 0), len(beside)), strict=True)
    ]
    return (*marks, *words)


def _feet(middle: Point, count: int) -> list[Point]:
    """The baselines of lines about a level."""
    top = SMALL // 2 - (count - 1) * LEADING // 2
    return [middle.moved(0, top + number * LEADING) for number in range(count)]


def _words(reference: AnyReference) -> tuple[Lines, Lines]:
    """What stands in the flag, nothing for sheet and zone of the mate; and beside it."""
    label = (isinstance(reference, Reference) and reference.shown) or reference.label
    if reference.mate == ELSEWHERE:
        return _in_lines(label, "bold"), _in_lines(reference.beside)
    return (), _in_lines(label)


@cache
def _in_lines(words: str, weight: Weight = "regular") -> Lines:
    """Words in one line or two, no wider than they have to be for that."""
    if width(words, SMALL, weight) <= LABEL_ROOM:
        return (words,) if words else ()
    room = width(words, SMALL, weight) // MOST_LINES
    while len(lines := wrap(words, room, SMALL, weight)) > MOST_LINES:
        room += WIDER
    return tuple(lines)


def _flag_width(reference: AnyReference) -> int:
    inside, _ = _words(reference)
    return _width(inside, "bold") + 2 * PADDING + TIP if inside else FLAG


def _beside_width(reference: AnyReference) -> int:
    _, beside = _words(reference)
    return LABEL_GAP + _width(beside) if beside else 0


def _width(lines: Lines, weight: Weight = "regular") -> int:
    return max(width(line, SMALL, weight) for line in lines)


def draw_flag(at: Point, *lines: str, across: int = FLAG) -> tuple[Mark, ...]:
    """A pentagon that points the way of the signal, its left edge's middle at a point."""
    right = at.x + across - TIP
    half = FLAG_HALF if len(lines) < MOST_LINES else HIGH_FLAG_HALF
    corners = (
        at.moved(0, -half),
        Point(right, at.y - half),
        Point(right + TIP, at.y),
        Point(right, at.y + half),
        at.moved(0, half),
    )
    middle = Point((at.x + right) // 2 + TIP // 4, at.y)
    words = [
        letter(foot, line, anchor="middle", weight="bold")
        for line, foot in zip(lines, _feet(middle, len(lines)), strict=True)
    ]
    return (Shape(corners, styles.REFERENCE_FLAG, Ref(("flag",))), *words)
