"""Equipment put on free positions of a bay, with wires and normals, as one pure function.

Each output takes a top jack, each input a bottom jack. What it shall feed, or be fed by, is wired
to the other jack of the position where it is on no jack yet; where it is on one, a normal across
positions joins the two and takes the place of the one that is there.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from slinediag.address import Jack, PortAddress
from slinediag.model.bay import NormalKind, Wire
from slinediag.model.edits import Position, is_free
from slinediag.model.facility import CrossKind, CrossNormal, Facility, Normal
from slinediag.model.items import with_point
from slinediag.problems import Problem, RequestError, problem

CROSS_KINDS: dict[NormalKind, CrossKind] = {"half": "half", "full": "full", "parallel": "parallel"}


@dataclass(frozen=True, slots=True)
class Placed:
    """A port, the position it takes, and the port at the other end of its normal, if any."""

    port: PortAddress
    at: Position
    other: PortAddress | None = None

    @property
    def jack(self) -> Jack:
        """The jack that carries the port."""
        return Jack(self.at.bay, "T" if self.port.side == "out" else "B", self.at.number)

    @property
    def opposite(self) -> Jack:
        """The other jack of the position."""
        return Jack(self.at.bay, "B" if self.port.side == "out" else "T", self.at.number)


def place(facility: Facility, rows: Sequence[Placed], kind: NormalKind | None = None) -> Facility:
    """The facility with ports on positions, normals of a kind (else the bay's) to their others.

    RequestError where a position is in use, a port is wired already, or a normal cannot be.
    """
    problems = [found for row in rows for found in faults(facility, row)]
    problems += _twice(rows)
    if problems:
        raise RequestError(problems)
    for row in rows:
        facility = _with_row(facility, row, kind)
    return facility


def faults(facility: Facility, row: Placed) -> Iterator[Problem]:
    """What keeps a port from its position or its normal."""
    bay = facility.bays.get(row.at.bay)
    if bay is None or not 1 <= row.at.number <= bay.width:
        last = f"Bay {bay.id} has positions 1 to {bay.width}" if bay else "Choose a bay"
        yield problem(str(row.at), "there is no such position", last)
        return
    if not is_free(facility, row.at):
        yield problem(str(row.at), "this position is in use", "Choose a free one")
    if row.jack.row not in bay.jack_rows:
        what = f"bay {bay.id} has one row, top; an input wants a bottom jack"
        yield problem(str(row.at), what, "Choose another bay")
    where = _where(facility, row.port)
    if where:
        what = f"{facility.spelled(row.port)} is wired already, {where}"
        yield problem(str(row.at), what, "Take that wire off first")
    if row.other is not None:
        yield from _faults_of_other(facility, row, row.other)


def _faults_of_other(facility: Facility, row: Placed, other: PortAddress) -> Iterator[Problem]:
    name = facility.spelled(other)
    if other.side == row.port.side:
        word = "an output" if other.side == "out" else "an input"
        wanted = "inputs" if other.side == "out" else "outputs"
        yield problem(
            name, f"this is {word}", f"A normal leads from outputs to inputs: choose {wanted}"
        )
        return
    lines = (line for line in facility.lines.values() if other in (line.source, line.target))
    line = next(lines, None)
    if line is not None:
        what = f"it is joined by line {line.id} and on no jack"
        yield problem(name, what, "Choose a port that is on a jack or free")
        return
    carrier = facility.carriers.get(other)
    end = row.jack if row.port.side == "in" else carrier
    if end is not None and any(c.target == end for c in facility.cross_normals):
        what = f"a normal across positions ends at {end} already"
        yield problem(name, what, "Remove that one first, in the list Normals across")
    if carrier is None and row.opposite.row not in facility.bays[row.at.bay].jack_rows:
        what = f"bay {row.at.bay} has no bottom jack for it"
        yield problem(name, what, "Choose a bay of two rows")


def _twice(rows: Sequence[Placed]) -> Iterator[Problem]:
    others = [row.other for row in rows if row.other is not None]
    for other in dict.fromkeys(o for o in others if others.count(o) > 1 and o.side == "in"):
        name = f"{other.equipment}.{other.port}"
        yield problem(name, "two normals cannot end at one input", "Choose another for one")


def _where(facility: Facility, port: PortAddress) -> str:
    """Where a port is wired, in words; empty where it is not."""
    jack = facility.carriers.get(port)
    if jack is not None:
        return f"at {jack}"
    lines = facility.lines.values()
    return next((f"by line {n.id}" for n in lines if port in (n.source, n.target)), "")


def _with_row(facility: Facility, row: Placed, kind: NormalKind | None) -> Facility:
    bay = facility.bays[row.at.bay]
    point = replace(bay.point(row.at.number), state=None)
    wire = Wire(row.port)
    point = replace(point, top=wire) if row.jack.row == "T" else replace(point, bottom=wire)
    carrier = facility.carriers.get(row.other) if row.other is not None else None
    if row.other is None or (carrier is not None and carrier != row.opposite):
        own: NormalKind = "none"
    else:
        own = kind or replace(bay, points={}).normal_at(row.at.number)
    if row.other is not None and carrier is None:
        other = Wire(row.other)
        point = replace(point, bottom=other) if row.jack.row == "T" else replace(point, top=other)
    default = replace(bay, points={}).normal_at(row.at.number)
    point = replace(point, normal=None if own == default else own)
    facility = with_point(facility, row.at, point)
    if carrier is None or carrier == row.opposite:
        return facility
    source, target = (row.jack, carrier) if row.port.side == "out" else (carrier, row.jack)
    wired = CROSS_KINDS.get(kind or default)
    cross = CrossNormal(source, target, None if wired == "half" else wired)
    return replace(facility, cross_normals=(*facility.cross_normals, cross))


def replaced(facility: Facility, rows: Sequence[Placed]) -> tuple[Normal, ...]:
    """The normals that placing takes the place of, where both their jacks are wired."""
    ends = {
        facility.carriers[row.other]
        for row in rows
        if row.other is not None and row.port.side == "out" and row.other in facility.carriers
    }
    return tuple(
        normal
        for normal in facility.normals
        if normal.target in ends and normal.source in facility.wires
    )


def free_run(facility: Facility, bay: str, count: int, first: int = 1) -> int | None:
    """The first of so many free positions side by side, from one on; None where there are none."""
    width = facility.bays[bay].width
    run = 0
    for number in range(max(1, first), width + 1):
        run = run + 1 if is_free(facility, Position(bay, number)) else 0
        if run == count:
            return number - count + 1
    return None
