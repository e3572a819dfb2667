"""Patch points as nodes: which jack stands where, what is printed at it, and how wide it all is.

A row of a node is drawn on one line: a left jack with its rear line at the left edge, a normal,
a right jack with its rear line at the right edge. Lengths in micrometres.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from slinediag.address import Jack, partner
from slinediag.chart.lettering import SMALL, width
from slinediag.chart.numbering import NumberedNotes
from slinediag.chart.subject import Position, Subject, branching_jacks, joins
from slinediag.model.facility import Facility, Normal
from slinediag.model.labels import jack_label, jack_name

PITCH = 10_000
"""The one grid of rows: ports, jacks and trunks all stand on it."""

JACK_RADIUS = 1400
STUB = 3000
"""From a node's edge to the centre of its jack, where nothing is printed at the rear line."""
LABEL_INSET = 1500
"""From a jack's centre inwards to its strip label: leaves the way straight down to a cord."""
MARK_ROOM = 6500
"""From a jack's centre to the nearest end of the position's label: room for marks and rings."""
LABEL_GAP = 2500
LEAST_SPAN = 26_000
SPAN_STEP = 2000
CAPTION_ROOM = 1500
INLINE_GAP = 1200
NOTE_MARK = 4600
SWAP_ROOM = 6500
LONG_RUN = 20
"""Letters of a run of labels beyond which words that both ends share are said once."""
SLASH_ROOM = 4200
"""What a slash takes of a line, before its count."""
SLASH_BEFORE = 1700
"""From the left end of a slash's room to its middle."""

End = Literal["left", "right"]


@dataclass(frozen=True, slots=True)
class Spot:
    """A jack on the chart: its strip label, and what is named on the line behind it.

    ``members``: all jacks that it stands for where lines are folded; ``count`` of the lines that
    are folded behind it, 0 where there is none or one.
    """

    jack: Jack
    label: str = ""
    dim: bool = False
    rear: str = ""
    swapped: bool = False
    members: tuple[Jack, ...] = ()
    count: int = 0

    @property
    def jacks(self) -> tuple[Jack, ...]:
        """The jack, or all that it stands for."""
        return self.members or (self.jack,)


@dataclass(frozen=True, slots=True)
class PointRow:
    """One line of a node. ``entry`` is a normal that comes in from another position's jack.

    ``title`` is printed in bold above the middle; ``tags`` name jacks that do not stand where
    the reader expects them; ``through`` names a mult that joins both jacks straight.
    """

    left: Spot | None = None
    right: Spot | None = None
    normal: Normal | None = None
    entry: str = ""
    title: str = ""
    tags: bool = False
    through: str = ""
    note: int | None = None

    @property
    def normals(self) -> tuple[Normal, ...]:
        """All normals that its own stands for where lines are folded, else none."""
        if self.normal is None or self.left is None or self.right is None:
            return ()
        pairs = zip(self.left.members, self.right.members, strict=True)
        away = self.left.jack == self.normal.source
        return tuple(
            replace(self.normal, source=one if away else other, target=other if away else one)
            for one, other in pairs
        )


@dataclass(frozen=True, slots=True)
class PointPlan:
    """A position as a node: its rows, and its measures from left to right.

    ``half``: a node of one jack, whose other side ends behind its title. ``members``: all
    positions that it stands for where lines are folded.
    """

    id: str
    position: Position
    rows: tuple[PointRow, ...]
    left_stub: int
    span: int
    right_stub: int
    half: bool = False
    members: tuple[Position, ...] = ()

    @property
    def positions(self) -> tuple[Position, ...]:
        """The position, or all that it stands for."""
        return self.members or (self.position,)

    @property
    def width(self) -> int:
        """From edge to edge."""
        return self.left_stub + self.span + self.right_stub

    @property
    def height(self) -> int:
        """A pitch for each row."""
        return PITCH * len(self.rows)

    @property
    def left_x(self) -> int:
        """The centre of its left jacks, from its left edge."""
        return self.left_stub

    @property
    def right_x(self) -> int:
        """The centre of its right jacks, from its left edge."""
        return self.left_stub + self.span

    def row_y(self, number: int) -> int:
        """The line of a row, from the node's top."""
        return PITCH * number + PITCH // 2


def plan_points(
    subject: Subject, notes: NumberedNotes, apart: frozenset[Position] = frozenset()
) -> tuple[PointPlan, ...]:
    """A node for each drawn position; the jacks of positions ``apart`` get a node each."""
    namer = _RearNames.of(subject.facility)
    return tuple(
        plan
        for position in subject.drawn
        for plan in _plans(subject, namer, notes, position, apart)
    )


def levelled(
    plans: Iterable[PointPlan], column_of: Mapping[str, tuple[str, int]]
) -> tuple[PointPlan, ...]:
    """Whole positions that stand in one column given one span, so that jacks stand in line.

    ``column_of``: by node, the island and the layer it stands in.
    """
    spans: dict[tuple[str, int], int] = {}
    kept = tuple(plans)
    for plan in kept:
        if not plan.half:
            column = column_of[plan.id]
            spans[column] = max(spans.get(column, 0), plan.span)
    return tuple(
        plan if plan.half else replace(plan, span=spans[column_of[plan.id]]) for plan in kept
    )


@dataclass(frozen=True, slots=True)
class _RearNames:
    """What is named at the rear of each jack: tie lines and mults; and tie lines that swap."""

    names: Mapping[Jack, tuple[str, ...]]
    mults: Mapping[Jack, tuple[str, ...]]
    swapped: frozenset[Jack]
    wants: Mapping[Jack, frozenset[End]]

    @classmethod
    def of(cls, facility: Facility) -> _RearNames:
        """Read the facility's tie lines, mults and wires once."""
        names: dict[Jack, list[str]] = {}
        mults: dict[Jack, list[str]] = {}
        swapped: set[Jack] = set()
        wants: dict[Jack, set[End]] = {}
        told_at_port = branching_jacks(facility)
        for jack, wire in facility.wires.items():
            if joins(facility, wire.to):
                wants.setdefault(jack, set()).add("left" if wire.to.side == "out" else "right")
                if wire.swapped and jack not in told_at_port:
                    swapped.add(jack)
        for line in sorted(facility.lines.values(), key=lambda line: line.id):
            for address, end in ((line.source, "right"), (line.target, "left")):
                if isinstance(address, Jack):
                    names.setdefault(address, []).append(line.id)
                    wants.setdefault(address, set()).add("right" if end == "right" else "left")
            if line.swapped and isinstance(line.target, Jack):
                swapped.add(line.target)
        for mult in sorted(facility.mults.values(), key=lambda mult: mult.id):
            for jack in mult.jacks:
                mults.setdefault(jack, []).append(mult.id)
        return cls(
            {jack: tuple(found) for jack, found in names.items()},
            {jack: tuple(found) for jack, found in mults.items()},
            frozenset(swapped),
            {jack: frozenset(found) for jack, found in wants.items()},
        )

    def flips(self, top: Jack) -> bool:
        """Whether the flow at a position runs from its bottom jack to its top jack."""
        up, down = self.wants.get(top, frozenset()), self.wants.get(partner(top), frozenset())
        return ("right" in up or "left" in down) and not ("left" in up or "right" in down)

    def stands(self, jack: Jack) -> End:
        """The side a jack alone on its row stands on."""
        wants = self.wants.get(jack, frozenset())
        if len(wants) == 1:
            return next(iter(wants))
        return "left" if jack.row == "T" else "right"


def _plans(
    subject: Subject,
    namer: _RearNames,
    notes: NumberedNotes,
    position: Position,
    apart: frozenset[Position],
) -> list[PointPlan]:
    facility = subject.facility
    bay = facility.bays[position.bay]
    top = Jack(position.bay, "T", position.number)
    jacks = [Jack(position.bay, row, position.number) for row in bay.jack_rows]
    note = notes.of_point(position)
    entering = [
        Normal(cross.source, cross.target, cross.wired)
        for jack in jacks
        for cross in facility.cross_normals
        if cross.target == jack
    ]
    if len(entering) > 1 or (entering and entering[0].source not in jacks):
        rows = _cross_rows(facility, namer, entering, jacks)
        rows[0] = replace(rows[0], note=note)
        return [_measured(position, rows)]
    if position in apart or len(jacks) == 1:
        alone = [_lone_row(facility, namer, jack) for jack in jacks]
        alone[0] = replace(alone[0], note=note)
        return [_half(position, row) for row in alone]
    own = [n for n in facility.normals if n.source in jacks and n.target in jacks]
    row = _own_row(facility, namer, jacks, top, own[0] if own else None)
    return [_measured(position, [replace(row, note=note)])]


def _lone_row(facility: Facility, namer: _RearNames, jack: Jack) -> PointRow:
    """A jack on a row of its own, on the side that its line wants."""
    spot = _spot(facility, namer, jack)
    title = jack_title(facility, jack)
    if namer.stands(jack) == "left":
        return PointRow(left=spot, title=title)
    return PointRow(right=spot, title=title)


def _spot(facility: Facility, namer: _RearNames, jack: Jack, *, through: bool = False) -> Spot:
    label = jack_label(facility, jack)
    wire = facility.wires.get(jack)
    if (
        wire is not None
        and not joins(facility, wire.to)
        and facility.point(jack).label(jack.row) is None
    ):
        label = None
    state = facility.point(jack).state
    rear = (*namer.names.get(jack, ()), *(() if through else namer.mults.get(jack, ())))
    word = state if label is None and state in ("spare", "reserved") else ""
    return Spot(jack, label or word or "", label is None, " ".join(rear), jack in namer.swapped)


def _own_row(
    facility: Facility,
    namer: _RearNames,
    jacks: list[Jack],
    top: Jack,
    normal: Normal | None,
) -> PointRow:
    """The row of a position with its own normal, or none."""
    title = position_title(facility, Position(top.bay, top.position))
    shared = mult_through(facility, top) if normal is None else ""
    first, second = jacks
    flips = namer.flips(top)
    if flips:
        first, second = second, first
    return PointRow(
        left=_spot(facility, namer, first, through=bool(shared)),
        right=_spot(facility, namer, second, through=bool(shared)),
        normal=normal,
        title=title,
        tags=flips,
        through=shared,
    )


def mult_through(facility: Facility, top: Jack) -> str:
    """The mult that holds both jacks of a position, or nothing."""
    both = {top, partner(top)}
    held = sorted(m.id for m in facility.mults.values() if both <= set(m.jacks))
    return held[0] if held else ""


def _cross_rows(
    facility: Facility, namer: _RearNames, entering: list[Normal], jacks: list[Jack]
) -> list[PointRow]:
    """A row for each normal that comes in from elsewhere, then the jack that none comes to."""
    rows = [
        PointRow(
            right=_spot(facility, namer, normal.target),
            normal=normal,
            entry=f"from {jack_name(facility, normal.source)}",
            title=jack_title(facility, normal.target),
        )
        for normal in entering
    ]
    reached = {normal.target for normal in entering}
    return rows + [_lone_row(facility, namer, jack) for jack in jacks if jack not in reached]


def position_title(facility: Facility, position: Position) -> str:
    """Bay label and printed position: ``PB1 12``, or ``PB1 12/60`` where rows are numbered on."""
    bay = facility.bays[position.bay]
    numbers = [bay.printed_number(Jack(bay.id, row, position.number)) for row in bay.jack_rows]
    return f"{bay.printed} {'/'.join(str(n) for n in dict.fromkeys(numbers))}"


def jack_title(facility: Facility, jack: Jack) -> str:
    """A jack as it is called where it stands alone: ``PB1 T12``, or ``PB1 12`` of one row."""
    bay = facility.bays[jack.bay]
    row = jack.row if len(bay.jack_rows) > 1 else ""
    return f"{bay.printed} {row}{jack.position}"


def _half(position: Position, row: PointRow) -> PointPlan:
    """A node of one jack: its stub on one side, its title on the other."""
    spot = row.left or row.right
    assert spot is not None
    title = JACK_RADIUS + INLINE_GAP + width(row.title, SMALL, "bold") + INLINE_GAP
    title += NOTE_MARK if row.note is not None else 0
    across = max(title, JACK_RADIUS + 2 * INLINE_GAP + width(spot.label))
    return PointPlan(
        id=f"{spot.jack.bay}:{spot.jack.row}{spot.jack.position}",
        position=position,
        rows=(row,),
        left_stub=_stub(row.left) if row.left else 0,
        span=across,
        right_stub=_stub(row.right) if row.right else 0,
        half=True,
    )


def _measured(position: Position, rows: list[PointRow]) -> PointPlan:
    span = max(_span(row) for row in rows)
    # Alike on both sides, so that jacks stand in one column however much is named behind them.
    stub = max(_stub(spot) for row in rows for spot in (row.left, row.right))
    return PointPlan(
        id=f"{position.bay}:{position.number}",
        position=position,
        rows=tuple(rows),
        left_stub=stub,
        span=-(-span // SPAN_STEP) * SPAN_STEP,
        right_stub=stub,
    )


def _span(row: PointRow) -> int:
    """Least distance between the jacks' centres at which nothing printed overlaps."""
    title = width(row.title, SMALL, "bold") + (NOTE_MARK if row.note is not None else 0)
    left = row.entry or (row.left.label if row.left else "")
    right = row.right.label if row.right else ""
    return max(LEAST_SPAN, title + 2 * MARK_ROOM, _foot(left, mult_caption(row), right))


def mult_caption(row: PointRow) -> str:
    """What is printed under the middle of a row whose jacks a mult joins."""
    return f"mult {row.through}" if row.through else ""


def _foot(left: str, middle: str, right: str) -> int:
    """The room of the lettering below a row: a label inwards from each jack, one in the middle."""
    ends = [width(words, SMALL) for words in (left, right) if words]
    if middle:
        return 2 * (max(ends, default=0) + LABEL_GAP + LABEL_INSET) + width(middle, SMALL)
    return sum(ends) + LABEL_GAP + 2 * LABEL_INSET


def _stub(spot: Spot | None) -> int:
    if spot is None:
        return STUB
    room = width(spot.rear, SMALL) + 2 * CAPTION_ROOM if spot.rear else 0
    room += SWAP_ROOM if spot.swapped else 0
    room += slash_room(spot.count) if spot.count else 0
    return max(STUB, room + (JACK_RADIUS if room else 0))


def slash_room(count: int) -> int:
    """What a slash with its count takes of a line."""
    return SLASH_ROOM + width(str(count), SMALL, "bold")


def folded_point(plans: Sequence[PointPlan], lines: Mapping[Jack, int]) -> PointPlan:
    """Nodes that are alike as one that stands for all of them, their order kept.

    ``lines``: by the first jack of a side, how many lines are folded there.
    """
    first, rows = plans[0], [plan.rows[0] for plan in plans]
    row = replace(
        first.rows[0],
        left=_folded_spot([r.left for r in rows], lines),
        right=_folded_spot([r.right for r in rows], lines),
        title=run_of_titles([r.title for r in rows]),
    )
    measured = _half(first.position, row) if first.half else _measured(first.position, [row])
    return replace(measured, members=tuple(plan.position for plan in plans))


def _folded_spot(spots: Sequence[Spot | None], lines: Mapping[Jack, int]) -> Spot | None:
    found = [spot for spot in spots if spot is not None]
    if not found:
        return None
    return replace(
        found[0],
        label=run_of_labels([spot.label for spot in found]),
        rear=run_of_labels([spot.rear for spot in found]),
        members=tuple(spot.jack for spot in found),
        count=lines.get(found[0].jack, 0),
    )


def run_of_titles(titles: Sequence[str]) -> str:
    """Titles that count up, by their ends: ``PB1 1–8``, ``PB1 1/49–8/56``, ``PB1 T1–8``."""
    return f"{titles[0]}–{titles[-1].rpartition(' ')[2].lstrip('TB')}"


def run_of_labels(labels: Sequence[str]) -> str:
    """Labels by their ends: ``MIC 1 … MIC 8``; what they share said once where that is long, and
    of two labels: ``PLAYOUT AL … BR``, ``DISC 1 L, R``; one where all are the same."""
    first, last = labels[0], labels[-1]
    if len(set(labels)) == 1:
        return first
    stem, space, _ = first.rpartition(" ")
    shared = bool(space) and last.startswith(stem + space)
    rest = last[len(stem) + 1 :] if shared else last
    if len(labels) == 2:
        return f"{first}, {rest}" if shared else ", ".join(filter(None, labels))
    whole = f"{first} … {last}"
    return whole if len(whole) <= LONG_RUN else f"{first} … {rest}"
