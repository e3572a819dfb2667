"""Designation strips at 1 : 1, to be cut: every row of every bay, its key, what does not fit.

On A4 in pieces that join; on a larger sheet a row may lie in one. Lengths in micrometres.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from string import ascii_uppercase

from slinediag.address import Jack, Row
from slinediag.chart.lettering import LABEL, SMALL, letter
from slinediag.chart.moving import all_moved
from slinediag.chart.sheet import Sheet
from slinediag.drawing import styles
from slinediag.drawing.marks import Drawing, Line, Mark, Ref, Style
from slinediag.geometry import Box, Point, Run
from slinediag.model.bay import Bay
from slinediag.model.facility import Facility
from slinediag.papers.page import A4, EDGE, LEFT, Paper, Section, Slab, pages, room_on
from slinediag.papers.panel import number_step
from slinediag.papers.pieces import cut_short, pieces_of
from slinediag.papers.plugging import Act, plug_acts
from slinediag.papers.strip import strip
from slinediag.papers.strip_notes import cut_short_words, misfit_words, notes
from slinediag.papers.wording import Lettered, Wording, word_bay

PAPER = Paper("Designation strips", "Designation strips, 1 : 1")
ROWS: Mapping[Row, str] = {"T": "top row", "B": "bottom row"}
MARK_ROOM = 6_000
"""Left of a strip, for its cut marks."""
CUT_LENGTH, CUT_AWAY = 3_500, 1_000
RULE = 100_000
MEASURE = (
    "100 mm. Measure it before you cut: 99.5 to 100.5 mm.",
    "If it is not, print again at 100 %, with no fitting to the page.",
)


@dataclass(frozen=True, slots=True)
class Piece:
    """A piece that a row is printed in: its first and last position, the letters of its joints."""

    row: Row
    first: int
    last: int
    joint_before: str
    joint_after: str

    @property
    def joints(self) -> str:
        """At which letters it is joined, in words; empty where it is the whole row."""
        letters = [joint for joint in (self.joint_before, self.joint_after) if joint]
        return f"join at {' and '.join(letters)}" if letters else ""


def strip_pages(facility: Facility, sheet: Sheet = A4) -> tuple[Drawing, ...]:
    """The strips of every bay in natural order; as many bays on a sheet as it holds whole."""
    acts = plug_acts(facility)
    sections = [_bay_section(facility, bay, acts, sheet) for bay in facility.bays_in_order]
    return pages(facility, PAPER, sections or [Section("No bays", ())], sheet)


def _bay_section(
    facility: Facility, bay: Bay, acts: Mapping[Jack, frozenset[Act]], sheet: Sheet
) -> Section:
    """The strips of a bay in pieces that the sheet holds, with its ruler, key and misfits."""
    wording = word_bay(facility, bay)
    cuts = _cuts(wording, sheet)
    slabs = [
        _ruler(),
        *(
            _piece_slab(wording, acts, piece)
            for row, pieces in cuts.items()
            for piece in _jointed(row, pieces)
        ),
        *notes(facility, wording, acts, _cut_short(wording, cuts), room_on(sheet)),
    ]
    title = f"{bay.printed}  {bay.name}"
    return Section(title, tuple(slabs), anchor=f"strips:{bay.id}", whole=True)


def _cuts(wording: Wording, sheet: Sheet) -> dict[Row, list[tuple[int, int]]]:
    """First and last positions of the pieces of each row that a sheet holds."""
    longest = longest_on(sheet)
    return {row: pieces_of(wording, row, longest) for row in wording.bay.jack_rows}


def _cut_short(
    wording: Wording, cuts: Mapping[Row, Sequence[tuple[int, int]]]
) -> tuple[Lettered, ...]:
    """The labels that pieces cut short."""
    return tuple(part for row, pieces in cuts.items() for part in cut_short(wording, row, pieces))


def longest_on(sheet: Sheet) -> int:
    """The longest piece that a sheet holds."""
    return sheet.width - LEFT - EDGE - 2 * MARK_ROOM


def _jointed(row: Row, pieces: Sequence[tuple[int, int]]) -> Iterator[Piece]:
    """The pieces of a row; the ends that join bear one letter, A for the first joint."""
    joints = ["", *(ascii_uppercase[n % 26] for n in range(len(pieces) - 1)), ""]
    for number, (first, last) in enumerate(pieces):
        yield Piece(row, first, last, joints[number], joints[number + 1])


def _piece_slab(wording: Wording, acts: Mapping[Jack, frozenset[Act]], piece: Piece) -> Slab:
    """A piece with its name and printed numbers above it, outside the cut marks."""
    row, first, last = piece.row, piece.first, piece.last
    window = wording.panel.window(row)
    width = window.edges[last] - window.edges[first - 1]
    numbers_base, top = LABEL + 4_300, LABEL + 5_800
    bay = wording.bay
    numbers = [bay.printed_number(Jack(bay.id, row, n)) for n in (first, last)]
    span = f"{numbers[0]} to {numbers[1]}" if last > first else numbers[0]
    name = f"{bay.printed} {ROWS[row]}, {span}"
    title = letter(Point(MARK_ROOM, LABEL), name, weight="bold")
    joints = Point(MARK_ROOM + title.width + 4_000, LABEL)
    marks: list[Mark] = [title]
    if piece.joints:
        marks.append(letter(joints, piece.joints, colour=styles.TEXT_GREY))
    step = number_step(bay)
    for position in range(first, last + 1):
        if (position - first) % step:
            continue
        left, right = window.cell(position)
        x = MARK_ROOM + (left + right) // 2 - window.edges[first - 1]
        number = str(bay.printed_number(Jack(bay.id, row, position)))
        marks.append(
            letter(Point(x, numbers_base), number, anchor="middle", colour=styles.TEXT_GREY)
        )
    marks += all_moved(strip(wording, acts, row, first, last, numbered=True), MARK_ROOM, top)
    cut = Box(MARK_ROOM, top, width, window.box.height)
    marks.append(Line(tuple(_cut_marks(cut)), Style(width=styles.W18), Ref(("cut-marks",))))
    for joint, x in ((piece.joint_before, cut.x // 2), (piece.joint_after, cut.right + cut.x // 2)):
        if joint:
            at = Point(x, cut.centre.y + SMALL // 2)
            marks.append(letter(at, joint, anchor="middle", weight="bold", ref=Ref(("joint",))))
    return Slab(top + window.box.height + 4_000, tuple(marks))


def _cut_marks(piece: Box) -> Iterator[Run]:
    """Marks on the lines of the edges, outside the corners, so that a knife finds them."""
    near, far = CUT_AWAY, CUT_AWAY + CUT_LENGTH
    for x, way in ((piece.x, -1), (piece.right, 1)):
        for y in (piece.y, piece.bottom):
            yield Point(x + way * near, y), Point(x + way * far, y)
    for y, way in ((piece.y, -1), (piece.bottom, 1)):
        for x in (piece.x, piece.right):
            yield Point(x, y + way * near), Point(x, y + way * (near + 1_500))


def _ruler() -> Slab:
    """A rule of 100 mm, each centimetre marked."""
    left, y = MARK_ROOM, 4_000
    runs = [(Point(left, y), Point(left + RULE, y))]
    for step in range(11):
        x = left + step * RULE // 10
        half = 2_500 if step in (0, 10) else 1_200
        runs.append((Point(x, y - half), Point(x, y + half)))
    words = [
        letter(Point(left + RULE + 5_000, y - 700 + n * 4_000), line)
        for n, line in enumerate(MEASURE)
    ]
    return Slab(9_500, (Line(tuple(runs), Style(width=styles.W18), Ref(("rule",))), *words))


def misfit_lines(facility: Facility, sheet: Sheet = A4) -> list[str]:
    """What does not fit on the strips of all bays, a line a label, with what would."""
    found: list[str] = []
    for wording in (word_bay(facility, bay) for bay in facility.bays_in_order):
        printed = {lettered.field.jacks: lettered for lettered in wording.lettered}
        found += [misfit_words(facility, m, printed[m.jacks]) for m in wording.misfits]
        short = _cut_short(wording, _cuts(wording, sheet))
        found += [cut_short_words(facility, part) for part in short]
    return found
