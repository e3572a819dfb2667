"""Which jack of a patch point stands where on its node, and what is printed at it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

from slinediag.address import Address, Jack, partner
from slinediag.chart.numbering import NumberedNotes
from slinediag.chart.points import PointPlan, PointRow, Spot, half_point, whole_point
from slinediag.chart.subject import Position, Subject, branching_jacks, joins
from slinediag.model.facility import Facility, Normal
from slinediag.model.labels import jack_label, jack_name

End = Literal["left", "right"]
UNWIRED = "not wired"
"""What is printed in place of a label at a jack alone on its row to which nothing is joined."""


def plan_points(
    subject: Subject, notes: NumberedNotes, apart: frozenset[Position] = frozenset()
) -> tuple[PointPlan, ...]:
    """A node for each drawn position; the jacks of positions ``apart`` get a node each."""
    rear = _Rear.of(subject.facility)
    return tuple(
        plan for position in subject.drawn for plan in _plans(subject, rear, notes, position, apart)
    )


@dataclass(frozen=True, slots=True)
class _Rear:
    """What is at the rear of each jack: the names of its tie lines and mults, and lines that swap.

    ``wants``: the sides of the node on which a jack must stand for its lines not to turn back.
    """

    names: Mapping[Jack, tuple[str, ...]]
    mults: Mapping[Jack, tuple[str, ...]]
    swapped: frozenset[Jack]
    wants: Mapping[Jack, frozenset[End]]

    @classmethod
    def of(cls, facility: Facility) -> _Rear:
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
            ends: tuple[tuple[Address, End], ...] = ((line.source, "right"), (line.target, "left"))
            for address, end in ends:
                if isinstance(address, Jack):
                    names.setdefault(address, []).append(line.id)
                    wants.setdefault(address, set()).add(end)
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

    def idle(self, facility: Facility, jack: Jack) -> bool:
        """Whether nothing is joined to a jack, at its rear or by a normal."""
        normals = (end for normal in facility.normals for end in (normal.source, normal.target))
        joined = jack in facility.wires or jack in self.names or jack in self.mults
        return not joined and jack not in normals

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
    rear: _Rear,
    notes: NumberedNotes,
    position: Position,
    apart: frozenset[Position],
) -> list[PointPlan]:
    """The node of a position, or one for each of its jacks; a note is marked at the first row."""
    facility = subject.facility
    bay = facility.bays[position.bay]
    jacks = [Jack(position.bay, row, position.number) for row in bay.jack_rows]
    note = notes.of_point(position)
    entering = [
        Normal(cross.source, cross.target, cross.wired)
        for jack in jacks
        for cross in facility.cross_normals
        if cross.target == jack
    ]
    if len(entering) > 1 or (entering and entering[0].source not in jacks):
        rows = _cross_rows(facility, rear, entering, jacks)
        rows[0] = replace(rows[0], note=note)
        return [whole_point(position, rows)]
    if position in apart or len(jacks) == 1:
        alone = [_lone_row(facility, rear, jack) for jack in jacks]
        alone[0] = replace(alone[0], note=note)
        return [half_point(position, row) for row in alone]
    own = [n for n in facility.normals if n.source in jacks and n.target in jacks]
    row = _own_row(facility, rear, position, jacks, own[0] if own else None)
    return [whole_point(position, [replace(row, note=note)])]


def _own_row(
    facility: Facility,
    rear: _Rear,
    position: Position,
    jacks: list[Jack],
    normal: Normal | None,
) -> PointRow:
    """The row of a position with its own normal, or none."""
    top, bottom = jacks
    shared = _mult_through(facility, top) if normal is None else ""
    flips = rear.flips(top)
    left, right = (bottom, top) if flips else (top, bottom)
    return PointRow(
        left=_spot(facility, rear, left, through=bool(shared)),
        right=_spot(facility, rear, right, through=bool(shared)),
        normal=normal,
        title=_position_title(facility, position),
        tags=flips,
        through=shared,
    )


def _cross_rows(
    facility: Facility, rear: _Rear, entering: list[Normal], jacks: list[Jack]
) -> list[PointRow]:
    """A row for each normal that comes in from elsewhere, then the jack that none comes to."""
    rows = [
        PointRow(
            right=_spot(facility, rear, normal.target),
            normal=normal,
            entry=f"from {jack_name(facility, normal.source)}",
            title=_jack_title(facility, normal.target),
        )
        for normal in entering
    ]
    reached = {normal.target for normal in entering}
    return rows + [_lone_row(facility, rear, jack) for jack in jacks if jack not in reached]


def _lone_row(facility: Facility, rear: _Rear, jack: Jack) -> PointRow:
    """A jack on a row of its own, on the side that its line wants."""
    spot = _spot(facility, rear, jack)
    if not spot.label and rear.idle(facility, jack):
        # On a row of its own it may stand in line with what it has nothing to do with.
        spot = replace(spot, label=UNWIRED, dim=True)
    title = _jack_title(facility, jack)
    if rear.stands(jack) == "left":
        return PointRow(left=spot, title=title)
    return PointRow(right=spot, title=title)


def _spot(facility: Facility, rear: _Rear, jack: Jack, *, through: bool = False) -> Spot:
    """A jack with its label, or with its state in place of one; ``through``: its mult is named
    between the jacks, not behind them."""
    label = jack_label(facility, jack)
    wire = facility.wires.get(jack)
    if (
        wire is not None
        and not joins(facility, wire.to)
        and facility.point(jack).label(jack.row) is None
    ):
        label = None
    state = facility.point(jack).state
    named = (*rear.names.get(jack, ()), *(() if through else rear.mults.get(jack, ())))
    word = state if label is None and state in ("spare", "reserved") else ""
    return Spot(jack, label or word or "", label is None, " ".join(named), jack in rear.swapped)


def _mult_through(facility: Facility, top: Jack) -> str:
    """The mult that holds both jacks of a position, or nothing."""
    both = {top, partner(top)}
    held = sorted(m.id for m in facility.mults.values() if both <= set(m.jacks))
    return held[0] if held else ""


def _position_title(facility: Facility, position: Position) -> str:
    """Bay label and printed position: ``PB1 12``, or ``PB1 12/60`` where rows are numbered on."""
    bay = facility.bays[position.bay]
    numbers = [bay.printed_number(Jack(bay.id, row, position.number)) for row in bay.jack_rows]
    return f"{bay.printed} {'/'.join(str(n) for n in dict.fromkeys(numbers))}"


def _jack_title(facility: Facility, jack: Jack) -> str:
    """A jack as it is called where it stands alone: ``PB1 T12``, or ``PB1 12`` of one row."""
    bay = facility.bays[jack.bay]
    row = jack.row if len(bay.jack_rows) > 1 else ""
    return f"{bay.printed} {row}{jack.position}"
