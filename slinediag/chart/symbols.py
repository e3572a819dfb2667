"""The chart's symbols: jack, the marks of normals, priority, arrow, branch dot, warning.

Each is drawn about a point of its line; a mark that belongs to a jack touches its circle.
Lengths in micrometres. The shapes carry the meaning; no colour does (WCAG 2 SC 1.4.1).
"""

from __future__ import annotations

from dataclasses import replace

from slinediag.chart.lettering import SMALL, letter
from slinediag.chart.points import JACK_RADIUS
from slinediag.drawing import styles
from slinediag.drawing.marks import Circle, Line, Mark, Rect, Ref, Shape, Style, Text
from slinediag.geometry import Box, Point

TRIANGLE_LENGTH = 2300
TRIANGLE_HALF = 1000
TRIANGLE_LIFT = 2700
DOT_RADIUS = 850
DOT_AWAY = JACK_RADIUS + 1300
RING_RADIUS = 1350
CROSS_HALF = 1300
DISC_RADIUS = 2100
BRANCH_RADIUS = 750
SILENT = Style(width=styles.W100, dash="dashed")
HOLLOW = Style(stroke=styles.PAPER, width=styles.W50)
STANDING_PLUG = Style(width=styles.W50, fill=styles.BLACK)


def jack(centre: Point, plugged: str | None = None, name: str = "", members: str = "") -> Circle:
    """A jack: an open circle, filled where a plug is in; ``name`` is its address.

    ``members``: the addresses of all that it stands for.
    """
    style = styles.JACK
    if plugged == "trial":
        style = styles.PLUGGED_JACK
    elif plugged == "standing":
        style = STANDING_PLUG
    named = (("jack", name), ("members", members))
    data = tuple((key, value) for key, value in named if value)
    classes = ("jack", "plugged") if plugged else ("jack",)
    return Circle(centre, JACK_RADIUS, style, Ref(classes, data, title=name))


def plug(centre: Point, standing: str) -> Circle:
    """The plug at the end of a cord, over the end, so that it shows whole."""
    return replace(jack(centre, standing), ref=Ref(("plug",)))


def break_mark(jack_at: Point, inward: int, *, lifted: bool = False) -> Shape:
    """An open triangle on the line that points to the jack: a plug there breaks.

    ``inward`` is 1 where the normal lies to the right of the jack, -1 to the left. Lifted off the
    line where a plug has broken it.
    """
    tip = jack_at.moved(inward * (JACK_RADIUS + 150), -TRIANGLE_LIFT if lifted else 0)
    back = tip.moved(inward * TRIANGLE_LENGTH, 0)
    corners = (tip, back.moved(0, -TRIANGLE_HALF), back.moved(0, TRIANGLE_HALF))
    classes = ("break-mark", "lifted") if lifted else ("break-mark",)
    return Shape(corners, styles.BREAK_MARK, Ref(classes))


def tap_mark(jack_at: Point, inward: int) -> Circle:
    """A filled dot on the line beside the jack: a plug there taps."""
    centre = jack_at.moved(inward * DOT_AWAY, 0)
    return Circle(centre, DOT_RADIUS, styles.TAP_MARK, Ref(("tap-mark",)))


def tap_ring(jack_at: Point, inward: int, *, trial: bool) -> Circle:
    """The ring about a tap mark where a plug taps."""
    style = styles.TAP_RING if trial else Style(width=styles.W50)
    return Circle(jack_at.moved(inward * DOT_AWAY, 0), RING_RADIUS, style, Ref(("tap-ring",)))


def break_cross(centre: Point) -> Line:
    """The cross on a parted normal."""
    arm = CROSS_HALF
    runs = (
        (centre.moved(-arm, -arm), centre.moved(arm, arm)),
        (centre.moved(-arm, arm), centre.moved(arm, -arm)),
    )
    return Line(runs, styles.BREAK_CROSS, Ref(("break-cross",)))


def branch_dot(at: Point) -> Circle:
    """A dot where a trunk branches."""
    return Circle(at, BRANCH_RADIUS, styles.BRANCH_DOT, Ref(("branch",)))


def arrow_back(at: Point) -> Shape:
    """A filled arrow on a line that runs from right to left."""
    tip = at.moved(-1700, 0)
    corners = (tip, tip.moved(3400, -1300), tip.moved(3400, 1300))
    return Shape(corners, Style(stroke=None, fill=styles.BLACK), Ref(("arrow",)))


def priority_mark(centre: Point, number: int) -> tuple[Mark, ...]:
    """A number in a filled disc, as wide as it needs: how early an input must be brought back."""
    foot = centre.moved(0, SMALL // 2)
    words = letter(foot, str(number), anchor="middle", weight="bold", colour=styles.PAPER)
    ref = Ref(("priority",), title=f"Priority {number}")
    style, across = Style(stroke=None, fill=styles.BLACK), priority_mark_width(number)
    if across == 2 * DISC_RADIUS:
        return Circle(centre, DISC_RADIUS, style, ref), words
    frame = Box(centre.x - across // 2, centre.y - DISC_RADIUS, across, 2 * DISC_RADIUS)
    return Rect(frame, style, DISC_RADIUS, ref), words


def priority_mark_width(number: int) -> int:
    """The room a priority takes: a disc, drawn out where its number is wider than that."""
    return max(2 * DISC_RADIUS, letter(Point(0, 0), str(number), weight="bold").width + 1800)


def note_mark(left: Point, number: int) -> tuple[Mark, ...]:
    """A number in a thin frame, its left edge and middle at the point: see the note."""
    words = letter(left.moved(700, SMALL // 2), str(number), ref=Ref(("note-number",)))
    box = Box(left.x, left.y - 1550, words.width + 1400, 3100)
    return Rect(box, Style(width=styles.W18, fill=styles.PAPER), 600, Ref(("note",))), words


def note_mark_width(number: int) -> int:
    """The room a note's number takes with its frame."""
    return letter(Point(0, 0), str(number)).width + 1400


def swap_mark(centre: Point) -> tuple[Mark, ...]:
    """A bow on the line with the signs above it: + and − change places on the way."""
    half, rise = 1800, 1100
    bow = (
        centre.moved(-half, -rise),
        centre.moved(half, rise),
        centre.moved(half, -rise),
        centre.moved(-half, rise),
    )
    mark = Shape(bow, Style(width=styles.W35, fill=styles.PAPER), Ref(("swapped",)))
    return mark, letter(centre.moved(0, -1900), "+/−", anchor="middle")


def slash(middle: Point, count: int) -> tuple[Mark, ...]:
    """A slash across a line at a point, behind it how many circuits the line stands for."""
    run = (middle.moved(-900, 1700), middle.moved(900, -1700))
    mark = Line((run,), Style(width=styles.W35), Ref(("slash",), title=f"{count} circuits"))
    return mark, letter(middle.moved(1200, -800), str(count), weight="bold")


def warning_mark(left: Point) -> tuple[Mark, ...]:
    """A triangle with an exclamation mark, its left corner and middle at the point."""
    base = left.moved(0, 1900)
    corners = (base, base.moved(4600, 0), base.moved(2300, -4000))
    mark = Shape(corners, Style(styles.VERMILION, styles.W50, styles.PAPER), Ref(("warning",)))
    bar = Line(
        ((base.moved(2300, -2600), base.moved(2300, -1300)),),
        Style(width=styles.W50),
    )
    dot = Circle(base.moved(2300, -650), 300, Style(stroke=None, fill=styles.BLACK))
    return mark, bar, dot


def dummy_cap(centre: Point, style: Style) -> tuple[Mark, ...]:
    """A short cap above a plugged jack: a dummy plug, with no cord on it."""
    foot, top = centre.moved(0, -JACK_RADIUS), centre.moved(0, -JACK_RADIUS - 1500)
    runs = ((foot, top), (top.moved(-1300, 0), top.moved(1300, 0)))
    return (Line(runs, style, Ref(("dummy-plug",), title="Dummy plug")),)


def small_grey(at: Point, words: str, anchor: str = "start") -> Text:
    """Second-rank lettering: names, places, captions."""
    if anchor == "end":
        return letter(at, words, anchor="end", colour=styles.TEXT_GREY)
    if anchor == "middle":
        return letter(at, words, anchor="middle", colour=styles.TEXT_GREY)
    return letter(at, words, colour=styles.TEXT_GREY)
