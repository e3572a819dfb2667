"""What adding a box from a template, or putting one on a bay, makes of a facility, in words too."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from slinediag.address import Jack, PortAddress, Side, read_spelling
from slinediag.editor.lists.addresses import read_port
from slinediag.model.bay import NormalKind
from slinediag.model.edits import Position
from slinediag.model.equipment import Equipment, Port
from slinediag.model.facility import Facility
from slinediag.model.items import with_box, with_port
from slinediag.model.labels import labelled_jack
from slinediag.model.placing import Placed, free_run, place, replaced
from slinediag.model.renaming import check_owner_id
from slinediag.model.templates import Template, box_of
from slinediag.problems import RequestError, problem


@dataclass(frozen=True)
class BoxWish:
    """A box that is wanted: its template, id, name, place and count."""

    template: Template
    id: str
    name: str
    place: str = ""
    count: int = 0


@dataclass(frozen=True)
class BayWish:
    """Where a box is wanted: bay, first position, ports, kind of normals, and their other ends.

    ``others`` are texts by port, empty where there shall be no normal. ``missing`` lets equipment
    get the ports that are named there and that it has not.
    """

    bay: str
    first: int
    ports: tuple[PortAddress, ...]
    others: tuple[str, ...] = ()
    kind: NormalKind | None = None
    missing: bool = False


@dataclass(frozen=True)
class Plan:
    """The facility as it would be, the step's name, and what it does in words."""

    facility: Facility
    name: str
    words: str


def new_box(wish: BoxWish) -> Equipment:
    """The box of a wish."""
    name, where = wish.name.strip(), wish.place.strip() or None
    return box_of(wish.template, wish.id.strip(), name, where, wish.count)


def plan_box(facility: Facility, wish: BoxWish, bay: BayWish | None) -> Plan:
    """A new box, on a bay where that is wished; RequestError where it cannot be."""
    name = wish.id.strip()
    check_owner_id(facility, name)
    if not wish.name.strip():
        raise RequestError([problem(name, "the name is missing", "Say what it is")])
    added = with_box(facility, new_box(wish))
    if bay is None:
        return Plan(added, f"Add {name}", f"Adds {name}, on no bay yet.")
    plan = plan_on_bay(added, bay)
    return replace(
        plan, name=f"Add {name} at {_span(added, bay)}", words=f"Adds {name}. {plan.words}"
    )


def plan_on_bay(facility: Facility, wish: BayWish) -> Plan:
    """Ports of a box on a bay; RequestError where they cannot be."""
    if not wish.ports:
        raise RequestError([problem("", "there is no port to place", "Choose other ports")])
    _refuse_without_room(facility, wish)
    before = facility
    others: list[PortAddress | None] = []
    for port, text in zip(wish.ports, _padded(wish), strict=True):
        side: Side = "in" if port.side == "out" else "out"
        if wish.missing:
            facility = with_missing_port(facility, text, side)
        others.append(read_port(facility, text, side) if text.strip() else None)
    rows = [
        Placed(port, Position(wish.bay, wish.first + n), other)
        for n, (port, other) in enumerate(zip(wish.ports, others, strict=True))
    ]
    made = place(facility, rows, wish.kind)
    box = wish.ports[0].equipment
    words = [f"Puts {len(rows)} ports on {_span(made, wish)}."]
    if len(rows) == 1:
        words = [f"Puts {facility.spelled(rows[0].port)} on {_span(made, wish)}."]
    fresh = [p for p in others if p and (p.port, p.side) not in before.equipment[p.equipment].facts]
    if fresh:
        words.append(f"New: {', '.join(facility.spelled(p) for p in fresh)}; see its paths.")
    gone = replaced(before, rows)
    if gone:
        named = " and ".join(labelled_jack(before, n.source) for n in gone[:2])
        more = f" and {len(gone) - 2} more" if len(gone) > 2 else ""
        plural = "s" if len(gone) > 1 else ""
        words.append(f"In place of the normal{plural} from {named}{more}.")
    return Plan(made, f"Place {box} at {_span(made, wish)}", " ".join(words))


def _refuse_without_room(facility: Facility, wish: BayWish) -> None:
    """RequestError where the bay has nowhere so many free positions side by side."""
    bay, count = facility.bays.get(wish.bay), len(wish.ports)
    if bay is not None and free_run(facility, bay.id, count) is None:
        what = f"bay {bay.id} has no {count} free positions side by side"
        hint = "Choose another bay or fewer ports, or put it on no bay yet"
        raise RequestError([problem("", what, hint)])


def _padded(wish: BayWish) -> Sequence[str]:
    return (*wish.others, *[""] * (len(wish.ports) - len(wish.others)))[: len(wish.ports)]


def _span(facility: Facility, wish: BayWish) -> str:
    last = wish.first + len(wish.ports) - 1
    label = facility.bays[wish.bay].printed if wish.bay in facility.bays else wish.bay
    return f"{label} {wish.first}" + (f"–{last}" if last > wish.first else "")


def missing_port(facility: Facility, text: str, side: Side) -> PortAddress | None:
    """The port that a text names where its equipment is known and the port is not."""
    spelling = read_spelling(text)
    box = facility.equipment.get(spelling.owner) if spelling else None
    if spelling is None or box is None or spelling.side not in (None, side):
        return None
    if any(port.id == spelling.part for port in box.ports):
        return None
    return PortAddress(box.id, spelling.part, side)


def with_missing_port(facility: Facility, text: str, side: Side) -> Facility:
    """The facility with the port that a text names, where its equipment lacks it."""
    port = missing_port(facility, text, side)
    if port is None:
        return facility
    return with_port(facility, port.equipment, Port(port.port, side))


def ports_of(box: Equipment, which: str) -> tuple[PortAddress, ...]:
    """Outputs, inputs or all ports of a box."""
    wanted = {"outputs": box.outputs, "inputs": box.inputs}.get(which, (*box.outputs, *box.inputs))
    return tuple(PortAddress(box.id, port.id, port.side) for port in wanted)


def unplaced(facility: Facility, ports: Sequence[PortAddress]) -> tuple[PortAddress, ...]:
    """The ports that are wired to nothing yet."""
    joined = {end for line in facility.lines.values() for end in (line.source, line.target)}
    return tuple(p for p in ports if p not in facility.carriers and p not in joined)


def following(facility: Facility, text: str, count: int, side: Side) -> list[str]:
    """The ports that follow one in its equipment, as the other ends of the next rows."""
    try:
        port = read_port(facility, text, side)
    except RequestError:
        return []
    box = facility.equipment[port.equipment]
    own = box.outputs if port.side == "out" else box.inputs
    names = [p.id for p in own]
    at = names.index(port.port)
    return [f"{box.id}.{name}" for name in names[at + 1 : at + 1 + count]]


def first_place(facility: Facility, count: int, wanted: Jack | None) -> tuple[str, int] | None:
    """Where so many ports find room: from a jack on, else on its bay, else on the first bay."""
    if wanted is not None and wanted.bay in facility.bays:
        first = free_run(facility, wanted.bay, count, wanted.position)
        first = first or free_run(facility, wanted.bay, count)
        if first is not None:
            return wanted.bay, first
    for bay in facility.bays.values():
        first = free_run(facility, bay.id, count) if bay.rows != 1 else None
        if first is not None:
            return bay.id, first
    return None
