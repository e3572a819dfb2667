"""Bay faces for the wall beside the chart: racks from the top down, with their standing cords.

Lengths in micrometres; everything at 1 : 1 on the smallest ISO sheet that is wide enough.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby

from slinediag.address import natural
from slinediag.chart.lettering import LABEL, letter
from slinediag.chart.moving import all_moved
from slinediag.chart.sheet import ISO_SIZES, Sheet
from slinediag.drawing import styles
from slinediag.drawing.marks import Drawing, Group, Line, Mark, Ref, Style, Text
from slinediag.geometry import Point
from slinediag.model.bay import Bay
from slinediag.model.facility import Cord, Facility
from slinediag.model.labels import jack_name
from slinediag.papers.face import crossing_letters, face_marks, face_of
from slinediag.papers.face_cords import (
    CROSSING_ROOM,
    STUB_ROOM,
    Hung,
    cord_marks,
    ends_of,
    hanging_room,
)
from slinediag.papers.page import (
    EDGE,
    FOOT,
    LEFT,
    TOP,
    Paper,
    Section,
    Slab,
    in_columns,
    listed,
    page_of,
    pages,
    together,
)
from slinediag.papers.panel import height_words, micrometres
from slinediag.tracing.reach import Reach

PAPER = Paper("Bay faces", "Bay faces, 1 : 1")
HEAD = 8_000
LEAST_GAP = 7_000
NOTES_GAP = 4_000
CAUTIONS = (
    "On-air and alarm circuits: tell who is on duty, and wait for a word, before you patch.",
    "Phantom power: off, wait, then patch. Monitors and headphones: down first.",
    "Protective earth stays on everything, always; mains is for licensed people under local codes.",
)


def face_pages(facility: Facility) -> tuple[Drawing, ...]:
    """The faces of all bays; one page that says so where there is none."""
    if not facility.bays:
        return pages(facility, PAPER, [Section("No bays", ())])
    sheet = face_sheet()
    stacks = _stacked(facility, sheet)
    return tuple(
        page_of(facility, PAPER, _on_page(facility, stack), number, len(stacks), sheet)
        for number, stack in enumerate(stacks, 1)
    )


def face_sheet() -> Sheet:
    """The smallest ISO sheet on which a 19-inch panel lies at 1 : 1: A2."""
    wide = micrometres("panel", "width") + LEFT + EDGE
    return next(sheet for sheet in ISO_SIZES if sheet.width >= wide)


def rack_order(facility: Facility) -> list[Bay]:
    """Bays place by place, from the top of each rack down; places by their first bay's id."""
    first: dict[str | None, int] = {}
    for n, bay in enumerate(facility.bays_in_order):
        first.setdefault(bay.place, n)

    def key(bay: Bay) -> tuple[object, ...]:
        return first[bay.place], -(bay.unit or 0), natural(bay.id)

    return sorted(facility.bays.values(), key=key)


def _stacked(facility: Facility, sheet: Sheet) -> list[list[Hung]]:
    """Faces on pages; those of one place stay on one page where they fit with cords and notes.

    Each place goes to the first page that has room for all of it.
    """
    x = (sheet.width + LEFT - EDGE - micrometres("panel", "width")) // 2
    stacks: list[list[Bay]] = []
    for _, run in groupby(rack_order(facility), key=lambda bay: bay.place):
        bays = list(run)
        room = next((s for s in stacks if _fits(facility, [*s, *bays], sheet)), None)
        if room is not None:
            room += bays
            continue
        stacks.append([])
        for bay in bays:
            if stacks[-1] and not _fits(facility, [*stacks[-1], bay], sheet):
                stacks.append([])
            stacks[-1].append(bay)
    return [_hung(facility, stack, x) for stack in stacks]


def _hung(facility: Facility, bays: Sequence[Bay], x: int) -> list[Hung]:
    """Faces one below the other."""
    hung: list[Hung] = []
    y = TOP
    for bay in bays:
        face, below = face_of(facility, bay), _gap(facility, bay, bays)
        hung.append(Hung(face, Point(x, y + HEAD), below))
        y += HEAD + face.panel.size.height + below
    return hung


def _fits(facility: Facility, bays: Sequence[Bay], sheet: Sheet) -> bool:
    """Whether faces fit one page with their cords and notes."""
    last = _hung(facility, bays, 0)[-1]
    notes = _notes(facility, [bay.id for bay in bays]).height
    return last.foot + last.below + notes <= sheet.height - EDGE - FOOT - 4_000


def _gap(facility: Facility, bay: Bay, stack: Sequence[Bay]) -> int:
    """Room below a bay of a page: for cords that hang from it, cross to the next, or end short."""
    cords = [c for c in facility.cords if bay.id in (c.source.bay, c.target.bay)]
    here = [each.id for each in stack]
    room = LEAST_GAP
    hanging = 0
    for cord in cords:
        places = [here.index(jack.bay) for jack in ends_of(cord) if jack.bay in here]
        apart = max(places) - min(places)
        if len(places) < 2 or apart > 1:
            room = max(room, STUB_ROOM)
        elif apart == 0:
            hanging += 1
        elif min(places) == here.index(bay.id):
            room = max(room, CROSSING_ROOM)
    return max(room, hanging_room(hanging))


def _on_page(facility: Facility, stack: Sequence[Hung]) -> list[Mark]:
    """What is on one page: faces with their headings, cords, dummy plugs, and the notes below."""
    marks: list[Mark] = []
    for hung in stack:
        marks.append(_heading(hung, hung.face.bay))
        marks.append(Group(all_moved(face_marks(hung.face), *hung.at), Ref(("face",))))
    marks += cord_marks(facility, stack)
    marks += _dummies(facility, stack)
    last = stack[-1]
    notes = _notes(facility, [hung.face.bay.id for hung in stack])
    return [*marks, *all_moved(notes.marks, last.at.x, last.foot + last.below)]


def _heading(hung: Hung, bay: Bay) -> Text:
    where = f", {bay.place}" if bay.place else ""
    where += f", unit {bay.unit}" if bay.place and bay.unit is not None else ""
    words = f"{bay.printed}  {bay.name}{where}"
    data = (("anchor", f"face:{bay.id}"),)
    at = hung.at.moved(0, LABEL - HEAD + 1_000)
    return letter(at, words, height=LABEL, weight="bold", ref=Ref(("heading",), data))


def _heights(facility: Facility, bays: Sequence[str]) -> list[tuple[str, str]]:
    """How high the panels are taken to be, and why, where that is not in the file."""
    said: dict[str, list[str]] = {}
    for bay in (facility.bays[name] for name in bays):
        said.setdefault(height_words(facility, bay), []).append(bay.printed)
    return [("", f"{', '.join(names)}: {words}") for words, names in said.items()]


def _unprinted(facility: Facility, bays: Sequence[str]) -> Iterator[tuple[str, str]]:
    """Labels in full of which the strips have room for no more than the beginning."""
    for name in bays:
        wording = face_of(facility, facility.bays[name]).wording
        lettered = {each.field.jacks: each for each in wording.lettered}
        for misfit in wording.misfits:
            if lettered[misfit.jacks].setting is None:
                jacks = " and ".join(jack_name(facility, jack) for jack in misfit.jacks)
                yield "…", f"{jacks}: {misfit.label}, which has no room on the strip"


def _notes(facility: Facility, bays: Sequence[str]) -> Slab:
    """Below the faces: their standing cords by number, normals from other positions by letter."""
    reach = Reach(facility)
    pairs = [
        (str(number), _cord_words(facility, cord, reach))
        for number, cord in enumerate(facility.cords, 1)
        if cord.source.bay in bays or cord.target.bay in bays
    ]
    for crossing, name in crossing_letters(facility).items():
        if crossing.source.bay in bays or crossing.target.bay in bays:
            ends = (
                f"{jack_name(facility, crossing.source)} to {jack_name(facility, crossing.target)}"
            )
            pairs.append((name, f"{crossing.wired}-normal from {ends}"))
    pairs += _unprinted(facility, bays)
    pairs += _heights(facility, bays)
    pairs += [("!", words) for words in CAUTIONS]
    room = micrometres("panel", "width")
    slab = together(in_columns(listed(pairs, room // 2 - 5_000), 2, room))
    return Slab(slab.height + NOTES_GAP, slab.marks)


def _cord_words(facility: Facility, cord: Cord, reach: Reach) -> str:
    ends = f"{jack_name(facility, cord.source)} to {jack_name(facility, cord.target)}"
    length = cord.length or reach.length(cord.source, cord.target)
    facts = [f"{length:g} m" if length else "", cord.note or ""]
    if cord.since:
        facts.append(f"since {cord.since.isoformat()}")
    return ", ".join([f"standing cord from {ends}", *(fact for fact in facts if fact)])


def _dummies(facility: Facility, stack: Sequence[Hung]) -> Iterator[Mark]:
    """A cross on each dummy plug, its caption beside the bay's name."""
    for hung in stack:
        here = [plug for plug in facility.plugs if plug.jack.bay == hung.face.bay.id]
        for plug in here:
            at, arm = hung.jack(plug.jack), hung.face.panel.hole * 6 // 10
            runs = (
                (at.moved(-arm, -arm), at.moved(arm, arm)),
                (at.moved(-arm, arm), at.moved(arm, -arm)),
            )
            ink = Style(stroke=styles.PAPER, width=styles.W50)
            yield Line(runs, ink, Ref(("dummy-plug",), title=f"Dummy plug in {plug.jack}"))
        if here:
            names = ", ".join(jack_name(facility, plug.jack) for plug in here)
            at = hung.at.moved(hung.face.panel.size.width, LABEL - HEAD + 1_000)
            yield letter(at, f"Dummy plug (crossed): {names}", anchor="end")
