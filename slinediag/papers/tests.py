"""The commissioning test sheet: cautions, how it is read, a box for every reading as walked.

Lengths in micrometres. The same readings as a table to be filled in, one row a reading.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import groupby

from slinediag import text
from slinediag.chart.lettering import SMALL, letter
from slinediag.commissioning.limits import LEVEL, contact_limit, normal_limit
from slinediag.commissioning.plan import CommissioningPlan, PlanRow, plan_tests
from slinediag.commissioning.points import MeasuringPoint
from slinediag.drawing import styles
from slinediag.drawing.marks import Drawing, Line, Mark, Rect, Ref, Style
from slinediag.geometry import Box, Point
from slinediag.model.facility import Facility
from slinediag.model.labels import jack_label
from slinediag.papers.page import WIDTH, Paper, Section, Slab, cautions, listed, pages
from slinediag.papers.table import Table
from slinediag.tracing.phrases import counted

PAPER = Paper("Test sheet", "Commissioning tests")
COLUMNS = (
    "No", "Point", "Code", "Plugs", "From", "To", "Expected", "Unit", "Value", "By", "Date",
    "Remark",
)  # fmt: skip
# The limits of IEC 60512-2 are from memory of those who quote it.
CAUTIONS = (
    "Tell who is on air, and wait for a word, before an on-air or alarm circuit is opened: these "
    "tests open every circuit. Alarm and alert circuits are tested as their licence lays down.",
    "Phantom power off, and a wait until it has bled away, before a plug goes in or a meter is "
    "joined. For the phantom tests: plug in, phantom on, measure, phantom off, wait, plug out.",
    "Monitors, headphones and loudspeakers down before a tone is sent: it can harm hearing.",
    "Units unplugged from their lines before resistance is measured. Test contacts with no more "
    "than 20 mV and 100 mA (after IEC 60512-2): more burns through the film you look for.",
    "A lifted shield is the audio shield of a cable alone. Protective earth stays on everything, "
    "always; work on mains and protective earth is for licensed people under local codes.",
)
NORMAL_CODES = ("N", "NA", "NAB", "NB")
JACK_CODES = ("L{}-T", "L{}-R", "P{}", "I{}-TR", "I{}-TS", "I{}-RS", "S{}-N", "S{}-F")
JACK_CAPTIONS = ("T", "R", "T/R", "TR", "TS", "RS", "S", "SF")

NAME, LABELS, BY, DATE = 21_000, 37_000, 13_000, 18_000
BOX = (WIDTH - NAME - LABELS - BY - DATE) // 24
HEIGHT = 9_500
PADDING, APART = 700, 2_000
SQUEEZED = 0.6
"""The share of its width that a name may be squeezed to."""
FINE = Style(stroke=styles.LINE_GREY, width=styles.W13)
FIRM = Style(width=styles.W35)


def commissioning_tables(facility: Facility) -> tuple[Table, ...]:
    """All readings as a table to be filled in: one row each, value, by, date and remark empty."""
    plan = plan_tests(facility)
    rows = tuple(
        (
            row.number,
            row.point,
            row.code,
            row.plugs,
            row.one,
            row.other,
            row.expected,
            row.unit,
            None,
            None,
            None,
            None,
        )
        for row in plan.rows
    )
    return (Table("readings", "Commissioning readings", COLUMNS, rows),)


def commissioning_pages(facility: Facility) -> tuple[Drawing, ...]:
    """The sheet as pages: a row of boxes a position, then levels and phantom."""
    plan = plan_tests(facility)
    sections = [cautions(CAUTIONS), _reading(plan)]
    sections += _point_sections(plan)
    sections += _line_sections(plan)
    return pages(facility, PAPER, sections)


def _reading(plan: CommissioningPlan) -> Section:
    """How the sheet is read, what it takes to walk it, and by which figures it is judged."""
    walk, facility = plan.walk, plan.facility
    saved = walk.row_moves - walk.moves
    contact, normal = contact_limit(facility), normal_limit(facility)
    words = [
        ("Boxes", "ohm. J: joined, at most the limit; –: open. Write the figure, or OPEN; write "
         "COMES AND GOES where it does. An empty box counts as not measured; in one that is struck "
         "through there is nothing to measure."),
        ("None A AB B", "the normal, rear post to rear post, tip and ring, with no plug, a test "
         "plug in jack A (where the normal starts, the top jack), in both, in jack B."),
        ("T, R, T/R", "with a test plug in that jack alone: its tip and its ring to the far end "
         "of the line, and its tip to the pole that the ring belongs to, which is to be open."),
        ("TR, TS, RS", "tip, ring and sleeve of that plug against each other: open."),
        ("S, SF", "the cable's shield to the sleeve, and to the far connector's shield contact."),
        ("Limits", f"a contact {contact:g} ohm, a closed normal {normal:g} ohm, a shield 1 ohm; to "
         f"the far end as the table says, by the cable's length. Levels within {LEVEL:g} dB."),
        ("Walk", f"in this order the plugs are put in and pulled {walk.moves} times. Row by row, "
         f"each position in the order none, A, B, both, it would be {walk.row_moves}: {saved} "
         f"more. {counted(len(plan.rows), 'reading')} in all, {_normals(plan)} of them of "
         "normals."),
        ("Levels", "send the tone at the level stated from the unit, or from a generator of the "
         "unit's impedance; 12 dB below alignment where it is to stand for long, and add the 12 dB "
         "to what you read. Take it off afterwards."),
    ]  # fmt: skip
    return Section("How to read it", listed(words))


def _normals(plan: CommissioningPlan) -> int:
    return sum(row.code.startswith("N") for row in plan.rows)


def _point_sections(plan: CommissioningPlan) -> Iterator[Section]:
    """One section a bay in walking order, a row a point."""
    rows: dict[str, dict[str, PlanRow]] = {}
    for row in plan.rows:
        if row.of_point:
            rows.setdefault(row.point, {})[row.code] = row
    points = {point.name: point for point in plan.points}
    walked = [points[name] for name in rows]
    for bay, found in groupby(walked, key=lambda point: point.a.bay):
        slabs = tuple(_row(plan.facility, point, rows[point.name]) for point in found)
        printed = plan.facility.bays[bay].printed
        title = f"Bay {printed}" if printed == bay else f"Bay {printed}, filed as {bay}"
        yield Section(title, slabs, head=_head(), anchor=f"tests:{bay}")


def _columns() -> list[int]:
    """The left edges of the boxes, then of by and date."""
    first = NAME + LABELS
    edges = [first + n * BOX for n in range(25)]
    return [*edges, edges[-1] + BY]


def _head() -> Slab:
    """The captions over the boxes, in two lines."""
    edges = _columns()
    marks: list[Mark] = [letter(Point(PADDING, HEIGHT - 1_500), "Point", weight="bold")]
    marks.append(letter(Point(NAME + PADDING, HEIGHT - 1_500), "Jack A, jack B", weight="bold"))
    upper = [("None", 0, 2), ("A", 2, 4), ("A, B", 4, 6), ("B", 6, 8)]
    upper += [("Plug in A alone", 8, 16), ("Plug in B alone", 16, 24)]
    for words, first, last in upper:
        middle = Point((edges[first] + edges[last]) // 2, 3_300)
        marks.append(letter(middle, words, weight="bold", anchor="middle"))
    lower = [*("TR" * 4), *JACK_CAPTIONS, *JACK_CAPTIONS]
    for n, caption in enumerate(lower):
        at = Point(edges[n] + BOX // 2, HEIGHT - 1_500)
        marks.append(letter(at, caption, anchor="middle"))
    marks += [letter(Point(edges[24] + APART, HEIGHT - 1_500), "By", weight="bold")]
    marks += [letter(Point(edges[25] + APART, HEIGHT - 1_500), "Date", weight="bold")]
    marks.append(Line(((Point(0, HEIGHT), Point(WIDTH, HEIGHT)),), FIRM))
    return Slab(HEIGHT, tuple(marks))


def _row(facility: Facility, point: MeasuringPoint, rows: Mapping[str, PlanRow]) -> Slab:
    """A point: its name, what is at its jacks, its boxes, by and date."""
    edges = _columns()
    marks: list[Mark] = [*_name(facility, point)]
    codes = [f"{code}-{leg}" for code in NORMAL_CODES for leg in "TR"]
    codes += [code.format(place) for place in "AB" for code in JACK_CODES]
    for n, code in enumerate(codes):
        if code in rows:
            marks += _box(edges[n], BOX, rows[code])
        else:
            marks.append(_struck(edges[n], BOX))
    for left, room in ((edges[24], BY), (edges[25], DATE)):
        marks.append(Rect(Box(left, 0, room, HEIGHT), FINE))
    for n in (0, 2, 4, 6, 8, 16, 24):
        marks.append(Line(((Point(edges[n], 0), Point(edges[n], HEIGHT)),), FIRM))
    marks.append(Line(((Point(0, HEIGHT), Point(WIDTH, HEIGHT)),), FINE))
    return Slab(HEIGHT, tuple(marks))


def _name(facility: Facility, point: MeasuringPoint) -> Iterator[Mark]:
    """What a row is about: a position with its labels, or a normal across positions."""
    if point.across:
        jacks = f"{point.a} to {point.b}"
        yield letter(Point(PADDING, SMALL + 1_200), "across", weight="bold")
        yield from fitted(Point(NAME + PADDING, SMALL + 1_200), jacks, LABELS - 2 * PADDING)
        return
    yield from fitted(Point(PADDING, SMALL + 1_200), point.name, NAME - PADDING)
    for n, jack in enumerate(j for j in (point.a, point.b) if j is not None):
        label = jack_label(facility, jack)
        at = Point(NAME + PADDING, SMALL + 1_200 + n * 4_200)
        yield from fitted(at, label or "", LABELS - 2 * PADDING)


def fitted(at: Point, words: str, room: int) -> Iterator[Mark]:
    """A name squeezed into its room; its last word, L or R, stays whatever has to go."""
    if not words:
        return
    whole = letter(at, words)
    if whole.width <= room:
        yield whole
    elif whole.width * SQUEEZED <= room:
        yield replace(whole, width=room)
    else:
        begin, _, end = words.rpartition(" ")
        last = letter(at, f" {end}").width
        wide = round(room / SQUEEZED)
        begun = text.shorten(begin, SMALL, wide - last) if last < wide else None
        shown = f"{begun} {end}" if begun else text.shorten(words, SMALL, wide)
        yield replace(letter(at, shown or ""), width=room)


def _box(left: int, room: int, row: PlanRow) -> Iterator[Mark]:
    """A box with what it should hold in grey at its top."""
    ref = Ref(("reading",), (("point", row.point), ("code", row.code)))
    yield Rect(Box(left, 0, room, HEIGHT), FINE, ref=ref)
    should = "J" if row.joined else "–"
    at = Point(left + 600, SMALL + 900)
    yield letter(at, should, colour=styles.TEXT_GREY, ref=Ref(("expected",)))


def _struck(left: int, room: int) -> Line:
    """A place in the row where nothing is to be measured, struck through."""
    corners = Point(left, HEIGHT), Point(left + room, 0)
    return Line((corners,), FINE, ref=Ref(("no-reading",)))


LINE_EDGES = (0, 16_000, 56_000, 138_000, 178_000, 208_000, 230_000)
LINE_CAPTIONS = ("No", "At", "What to send or set", "To be", "Value", "By", "Date")


def _line_sections(plan: CommissioningPlan) -> Iterator[Section]:
    """Loops, levels and phantom, each a list with boxes."""
    fresh = True
    for unit, heading in (
        ("ohm", "Loops by cord: units plugged in, one standing cord out at a time"),
        ("dBu", "Levels: units plugged in and on"),
        ("V", "Phantom, on"),
    ):
        rows = [row for row in plan.rows if row.unit == unit and not row.of_point]
        if rows:
            slabs = tuple(_line_row(row) for row in rows)
            yield Section(heading, slabs, head=_line_head(), fresh=fresh, anchor=f"tests:{unit}")
            fresh = False


def _line_head() -> Slab:
    marks: list[Mark] = [
        letter(Point(edge + PADDING, SMALL + 900), caption, weight="bold")
        for edge, caption in zip(LINE_EDGES, LINE_CAPTIONS, strict=True)
    ]
    marks.append(Line(((Point(0, 5_000), Point(WIDTH, 5_000)),), FIRM))
    return Slab(5_000, tuple(marks))


def _line_row(row: PlanRow) -> Slab:
    """A row to be measured on a line: what, what it should be, and boxes to write in."""
    what = row.one if row.unit == "dBu" else f"{row.one} to {row.other}"
    should = row.expected if row.joined is False else f"{row.expected} {row.unit}"
    words: Sequence[str] = (str(row.number), row.point, what, should)
    height = 7_500
    marks: list[Mark] = []
    rooms = [b - a for a, b in zip(LINE_EDGES, [*LINE_EDGES[1:], WIDTH], strict=True)]
    for edge, room, word in zip(LINE_EDGES, rooms, words, strict=False):
        marks += fitted(Point(edge + PADDING, SMALL + 2_000), word, room - 2 * PADDING)
    for edge, room in list(zip(LINE_EDGES, rooms, strict=True))[len(words) :]:
        ref = Ref(("reading",), (("point", row.point), ("code", row.code)))
        marks.append(
            Rect(Box(edge, 0, room, height), FINE, ref=ref if edge == LINE_EDGES[4] else None)
        )
    marks.append(Line(((Point(0, height), Point(WIDTH, height)),), FINE))
    return Slab(height, tuple(marks))
