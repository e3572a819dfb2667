"""Designation strips at 1 : 1 on A4, to be cut: every row of every bay, its key, what does not fit.

Lengths in micrometres.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from slinediag.address import Jack, Row, natural
from slinediag.chart.lettering import LABEL, SMALL, letter
from slinediag.chart.moving import all_moved
from slinediag.drawing import styles
from slinediag.drawing.marks import Drawing, Group, Line, Mark, Rect, Ref, Style
from slinediag.geometry import Box, Point, Run
from slinediag.model.bay import Bay
from slinediag.model.facility import Facility
from slinediag.model.labels import jack_name
from slinediag.papers.groups import groups_of
from slinediag.papers.labels import row_of
from slinediag.papers.page import (
    WIDTH,
    Paper,
    Section,
    Slab,
    cautions,
    in_columns,
    listed,
    pages,
    prose,
    together,
)
from slinediag.papers.panel import figures, number_step
from slinediag.papers.plugging import Act, plug_acts
from slinediag.papers.strip import break_mark, strip, tap_mark
from slinediag.papers.wording import Lettered, Misfit, Wording, look_alikes, word_bay

PAPER = Paper("Designation strips", "Designation strips")
ROWS: Mapping[Row, str] = {"T": "top row", "B": "bottom row"}
MARK_ROOM = 6_000
"""Left of a strip, for its cut marks."""
LONGEST = WIDTH - 2 * MARK_ROOM
CUT_LENGTH, CUT_AWAY = 3_500, 1_000
RULE = 100_000
NOT_PROVEN = (
    "The search for the least shortening was stopped before it had seen all ways: every label is "
    "right, but fewer words might have done."
)
CAUTIONS = (
    "Before you cut, measure the 100 mm rule: it must be 99.5 to 100.5 mm long. If it is not, "
    "print again at 100 %, with no fitting to the page.",
    "A strip is what people trust under pressure: put it in with the bay's positions checked "
    "against the wall, and take the old one away.",
)


def strip_pages(facility: Facility) -> tuple[Drawing, ...]:
    """The strips of every bay in natural order, each bay on pages of its own."""
    acts = plug_acts(facility)
    sections: list[Section] = []
    for bay in sorted(facility.bays.values(), key=lambda bay: natural(bay.id)):
        sections += _bay_sections(facility, bay, acts)
    return pages(facility, PAPER, sections)


def _bay_sections(
    facility: Facility, bay: Bay, acts: Mapping[Jack, frozenset[Act]]
) -> Iterator[Section]:
    wording = word_bay(facility, bay)
    title = f"{bay.printed}  {bay.name}"
    pieces = [
        _piece_slab(wording, acts, row, first, last)
        for row in bay.jack_rows
        for first, last in pieces_of(wording, row)
    ]
    yield Section(title, (_ruler(), *pieces), fresh=True, anchor=f"strips:{bay.id}")
    yield Section("Marks and groups", (together(_marks_key(bay)),))
    if wording.key:
        yield Section("Key to abbreviations", _key(wording.key))
    if wording.misfits:
        yield Section("Does not fit at 2.5 mm", _misfits(facility, wording))
    if not wording.proven:
        yield Section("Abbreviations", (prose(NOT_PROVEN),))
    if wording.alike or look_alikes(wording):
        yield Section("Reads alike", _alike(facility, wording))
    yield Section("This panel", _figures(bay, wording))
    yield cautions(CAUTIONS)


def pieces_of(wording: Wording, row: Row) -> list[tuple[int, int]]:
    """First and last positions of the pieces a row is printed in, as equal as fields allow."""
    edges = wording.panel.window(row).edges
    count = -(-edges[-1] // LONGEST)
    inside = {
        jack.position
        for lettered in wording.lettered
        if row_of(lettered.field) == row
        for jack in lettered.field.jacks[:-1]
    }
    while True:
        pieces = _parted(edges, inside, count)
        if all(edges[last] - edges[first - 1] <= LONGEST for first, last in pieces):
            return pieces
        if count >= len(edges) - 1:
            return [(n, n) for n in range(1, len(edges))]
        count += 1


def _parted(edges: Sequence[int], inside: set[int], count: int) -> list[tuple[int, int]]:
    """Pieces that end where no field is cut, each as near to its share as can be."""
    last = len(edges) - 1
    free = [n for n in range(1, last + 1) if n not in inside]
    ends = [min(free, key=lambda n: (abs(n * count - last * k), n)) for k in range(1, count)]
    ends = sorted({*ends, last})
    starts = [1, *(end + 1 for end in ends[:-1])]
    return list(zip(starts, ends, strict=True))


def _piece_slab(
    wording: Wording, acts: Mapping[Jack, frozenset[Act]], row: Row, first: int, last: int
) -> Slab:
    """A piece with its name and printed numbers above it, outside the cut marks."""
    window = wording.panel.window(row)
    width = window.edges[last] - window.edges[first - 1]
    numbers_base, top = LABEL + 5_500, LABEL + 7_500
    bay = wording.bay
    numbers = [bay.printed_number(Jack(bay.id, row, n)) for n in (first, last)]
    name = f"{bay.printed} {ROWS[row]}, {numbers[0]} to {numbers[1]}"
    marks: list[Mark] = [letter(Point(MARK_ROOM, LABEL), name, weight="bold")]
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
    marks += all_moved(strip(wording, acts, row, first, last), MARK_ROOM, top)
    piece = Box(MARK_ROOM, top, width, window.box.height)
    marks.append(Line(tuple(_cut_marks(piece)), Style(width=styles.W18), Ref(("cut-marks",))))
    return Slab(top + window.box.height + 7_000, tuple(marks))


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
    words = "100 mm. Measure it before you cut: 99.5 to 100.5 mm"
    marks = (
        Line(tuple(runs), Style(width=styles.W18), Ref(("rule",))),
        letter(Point(left + RULE + 5_000, y + SMALL // 2), words),
    )
    return Slab(11_000, marks)


def _marks_key(bay: Bay) -> Iterator[Slab]:
    middle = SMALL // 2 + 600
    acts = (
        (break_mark(Point(1_500, middle), down=True), "a plug in this jack breaks its normal"),
        (tap_mark(Point(1_500, middle)), "a plug in this jack taps its normal"),
    )
    yield from in_columns([_beside(mark, words) for mark, words in acts], 2, WIDTH * 2 // 3)
    slabs = []
    for group in groups_of(bay).values():
        bar = Rect(Box(0, 200, 3_000, 3_000), Style(stroke=None, fill=group.colour))
        name = letter(Point(4_000, SMALL + 600), group.letter, weight="bold")
        slabs.append(_beside(Group((bar, name)), group.name, 10_500))
    if slabs:
        yield from in_columns(slabs, 4)


def _beside(mark: Mark, words: str, indent: int = 6_000) -> Slab:
    return Slab(5_000, (mark, letter(Point(indent, SMALL + 600), words)))


def _key(key: Mapping[str, str]) -> tuple[Slab, ...]:
    slabs = [prose(word, WIDTH // 5, mark=form, indent=17_000) for word, form in key.items()]
    return in_columns(slabs, 5)


def _misfits(facility: Facility, wording: Wording) -> tuple[Slab, ...]:
    printed = {lettered.field.jacks: lettered for lettered in wording.lettered}
    return listed(
        [
            (f"*{number}", misfit_words(facility, misfit, printed[misfit.jacks]))
            for number, misfit in enumerate(wording.misfits, 1)
        ]
    )


def misfit_lines(facility: Facility) -> list[str]:
    """What does not fit on the strips of all bays, a line a label, with what would."""
    bays = sorted(facility.bays.values(), key=lambda bay: natural(bay.id))
    found = []
    for wording in (word_bay(facility, bay) for bay in bays):
        printed = {lettered.field.jacks: lettered for lettered in wording.lettered}
        found += [misfit_words(facility, m, printed[m.jacks]) for m in wording.misfits]
    return found


def misfit_words(facility: Facility, misfit: Misfit, lettered: Lettered) -> str:
    """What a label that does not fit says in full, how it is printed, and what would fit."""
    jacks = " and ".join(jack_name(facility, jack) for jack in misfit.jacks)
    how = f"printed at {lettered.height / 1000:.1f} mm" if lettered.setting else "not printed"
    return f"{jacks}: {misfit.label}, {how}. Would fit: {misfit.cure}."


def _alike(facility: Facility, wording: Wording) -> tuple[Slab, ...]:
    same = [
        f"{', '.join(jack_name(facility, jack) for jack in jacks)} read the same. Give them "
        "labels of their own in the file: label_top, label_bottom."
        for jacks in wording.alike
    ]
    near = [
        f"{one} and {other} are taken for each other at a glance; a longer label parts them."
        for one, other in look_alikes(wording)
    ]
    return listed([("!", words) for words in (*same, *near)])


def _figures(bay: Bay, wording: Wording) -> tuple[Slab, ...]:
    style = bay.jack_style
    window = wording.panel.windows[0]
    pitch = "as filed" if bay.pitch is not None else figures()["panel"]["jackfield"].source
    low = "as filed" if bay.window is not None else figures()[style]["window"].source
    offset = "as filed" if bay.offset is not None else "half a pitch"
    first = wording.panel.first - window.box.x
    words = (
        f"Pitch {bay.jack_pitch:.2f} mm ({pitch}); window {window.box.height / 1000:.2f} mm high "
        f"({low}), {window.box.width / 1000:.2f} mm long; first jack {first / 1000:.2f} mm from "
        f"its left end ({offset}). Where the panel in hand differs, say so in the file: pitch, "
        "window, offset."
    )
    return (prose(words),)
