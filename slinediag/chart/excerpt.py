"""A part of the chart: some bays, some rooms, or all that lies around a port.

A bay is drawn with what is wired to it, a room with the bays in it and the patch points that its
equipment is wired to; a port with its whole way, through equipment too. What leads on from there
ends in a reference.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import TypeVar

from slinediag.address import Address, Jack, PortAddress
from slinediag.chart.closeness import closeness_of
from slinediag.chart.subject import Position, Subject
from slinediag.model.equipment import Equipment
from slinediag.model.facility import Cord, Facility, Plug
from slinediag.model.find import find_thing
from slinediag.model.labels import jack_name, port_label
from slinediag.problems import Problem, RequestError, problem
from slinediag.tracing.outage.failure import find_bay, find_place
from slinediag.tracing.places import stands_at
from slinediag.tracing.values import Trial
from slinediag.tracing.way import Hop, way_of

Thing = Jack | PortAddress | Equipment
Found = TypeVar("Found")


@dataclass(frozen=True, slots=True)
class Excerpt:
    """A part of the chart: what it is called, the positions and ports in it.

    ``whole``: equipment with all its lines; of other equipment only the ports are drawn that are
    in the part. ``bays`` and ``boxes``: of which the lists tell what is not drawn.
    ``beyond``: inputs outside it that a trial changes, too. ``yields``: whether there is a smaller
    part that is drawn where this one has no room. ``asked``: inputs around which it is drawn;
    ``closeness``: how many feeds each position and port is from what it is drawn around.
    """

    name: str
    positions: frozenset[Position]
    ports: frozenset[PortAddress]
    whole: frozenset[str] = frozenset()
    bays: frozenset[str] = frozenset()
    boxes: frozenset[str] = frozenset()
    beyond: int = 0
    yields: bool = False
    asked: frozenset[PortAddress] = frozenset()
    closeness: Mapping[Position | PortAddress, int] = field(default_factory=dict, compare=False)

    def holds(self, address: Address) -> bool:
        """Whether a jack's position or a port is in it."""
        if isinstance(address, Jack):
            return Position(address.bay, address.position) in self.positions
        return address in self.ports


@dataclass(frozen=True, slots=True)
class Wanted:
    """Which part of the chart is wanted, by names: of bays, of rooms or racks, and of jacks, ports
    or equipment by address or unique label."""

    bays: tuple[str, ...] = ()
    rooms: tuple[str, ...] = ()
    around: tuple[str, ...] = ()


WHOLE = Wanted()
"""The whole chart: no part of it is named."""


def read_excerpt(facility: Facility, names: Wanted, trial: Trial | None = None) -> Excerpt | None:
    """The part that these names ask for, all of them together; None where none is given.

    What lies around a thing is found at rest and under the trial. RequestError with every name
    that is unknown or stands for more than one thing.
    """
    problems: list[Problem] = []

    def read(names: Iterable[str], find: Callable[[Facility, str], Found | Problem]) -> list[Found]:
        found = [(name, find(facility, name)) for name in names]
        problems.extend(
            _of_another_kind(facility, find, name) or one
            for name, one in found
            if isinstance(one, Problem)
        )
        return [one for _, one in found if not isinstance(one, Problem)]

    things: list[Thing] = read(names.around, find_thing)
    parts = [
        *(_of_bay(facility, bay) for bay in read(names.bays, find_bay)),
        *(_of_room(facility, room) for room in read(names.rooms, find_place)),
        *(_around(facility, thing, trial) for thing in things),
    ]
    if problems:
        raise RequestError(problems)
    return _together(parts) if parts else None


OPTIONS: Mapping[Callable[[Facility, str], object], tuple[str, str]] = {
    find_bay: ("a bay", "--bay"),
    find_place: ("a rack or room", "--room"),
    find_thing: ("a jack, port or equipment", "--around"),
}
"""What each finder finds, and the option of the command that asks for a part by it."""


def _of_another_kind(
    facility: Facility, wanted: Callable[[Facility, str], object], name: str
) -> Problem | None:
    """What to say where another option knows the name; None where none does."""
    for find, (kind, option) in OPTIONS.items():
        if find is not wanted and not isinstance(find(facility, name), Problem):
            what = f"this is {kind}, not {OPTIONS[wanted][0]}"
            return problem(name, what, f'Say {option} "{name}"')
    return None


def _together(parts: list[Excerpt]) -> Excerpt:
    return Excerpt(
        ", ".join(dict.fromkeys(part.name for part in parts)),
        frozenset().union(*(part.positions for part in parts)),
        frozenset().union(*(part.ports for part in parts)),
        frozenset().union(*(part.whole for part in parts)),
        frozenset().union(*(part.bays for part in parts)),
        frozenset().union(*(part.boxes for part in parts)),
        asked=frozenset().union(*(part.asked for part in parts)),
        closeness=_closest(parts),
    )


def _closest(parts: Iterable[Excerpt]) -> Mapping[Position | PortAddress, int]:
    found: dict[Position | PortAddress, int] = {}
    for place, far in (near for part in parts for near in part.closeness.items()):
        found[place] = min(far, found.get(place, far))
    return found


def _of_bay(facility: Facility, bay_id: str) -> Excerpt:
    """A bay with all that is wired to it."""
    bay = facility.bays[bay_id]
    ports = frozenset(port for port, jack in facility.carriers.items() if jack.bay == bay_id)
    return Excerpt(
        f"bay {bay.printed}",
        _positions(facility, (bay_id,)),
        ports,
        whole=frozenset(port.equipment for port in ports),
        bays=frozenset((bay_id,)),
    )


def _of_room(facility: Facility, room: str) -> Excerpt:
    """A room's equipment, the patch points that it is wired to, and the bays that stand there."""
    boxes = [box for box in facility.equipment.values() if stands_at(facility, box.place, room)]
    bays = [bay.id for bay in facility.bays.values() if stands_at(facility, bay.place, room)]
    ports = frozenset(PortAddress(box.id, p.id, p.side) for box in boxes for p in box.ports)
    wired = {facility.carriers[port] for port in ports if port in facility.carriers}
    return Excerpt(
        room,
        _positions(facility, bays) | {Position(jack.bay, jack.position) for jack in wired},
        ports,
        whole=frozenset(box.id for box in boxes),
        bays=frozenset(bays),
        boxes=frozenset(box.id for box in boxes),
    )


def _positions(facility: Facility, bays: Iterable[str]) -> frozenset[Position]:
    return frozenset(
        Position(bay, number) for bay in bays for number in range(1, facility.bays[bay].width + 1)
    )


def _around(facility: Facility, thing: Thing, trial: Trial | None) -> Excerpt:
    """All that feeds an input, all that an output feeds, both of a jack or of equipment."""
    hops = list(_hops(facility, thing))
    if trial is not None and not trial.empty:
        hops += _hops(patched(facility, trial), thing)
    own = _own_ports(thing)
    jacks = {jack for hop in hops for jack in hop.via}
    jacks |= {thing} if isinstance(thing, Jack) else set()
    jacks |= {facility.carriers[port] for port in own if port in facility.carriers}
    starts = [hop for hop in hops if {hop.source, hop.target} & own or thing in hop.via]
    return Excerpt(
        f"around {_called(facility, thing)}",
        frozenset(Position(jack.bay, jack.position) for jack in jacks),
        frozenset({port for hop in hops for port in (hop.source, hop.target)} | own),
        asked=frozenset(port for port in own if port.side == "in"),
        closeness=closeness_of(facility, hops, starts),
    )


def _hops(facility: Facility, thing: Thing) -> tuple[Hop, ...]:
    way = way_of(facility, thing)
    if isinstance(thing, PortAddress):
        return way.downstream if thing.side == "out" else way.upstream
    return (*way.upstream, *way.downstream)


def _own_ports(thing: Thing) -> set[PortAddress]:
    if isinstance(thing, Jack):
        return set()
    if isinstance(thing, PortAddress):
        return {thing}
    return {PortAddress(thing.id, port.id, port.side) for port in thing.ports}


def patched(facility: Facility, trial: Trial) -> Facility:
    """The facility with the trial's plugs out and in."""
    pulled = {frozenset(ends) for ends in trial.pulled_cords}
    kept = [c for c in facility.cords if frozenset((c.source, c.target)) not in pulled]
    plugs = [plug for plug in facility.plugs if plug.jack not in trial.pulled_plugs]
    return replace(
        facility,
        cords=(*kept, *(Cord(*ends) for ends in trial.cords)),
        plugs=(*plugs, *(Plug(jack) for jack in trial.plugs)),
    )


def _called(facility: Facility, thing: Thing) -> str:
    if isinstance(thing, Jack):
        return jack_name(facility, thing)
    return port_label(facility, thing) if isinstance(thing, PortAddress) else thing.printed


def narrowed(subject: Subject, excerpt: Excerpt | None) -> Subject:
    """What the lists of a part tell of, its own positions and equipment; without a part, all."""
    if excerpt is None:
        return subject
    boxes = {port.equipment for port in excerpt.ports}
    return replace(
        subject,
        drawn=tuple(p for p in subject.drawn if p in excerpt.positions),
        listed=tuple(p for p in subject.listed if p.bay in excerpt.bays),
        equipment=tuple(box for box in subject.equipment if box.id in boxes),
        unwired=tuple(box for box in subject.unwired if box.id in excerpt.boxes),
        removed=tuple(box for box in subject.removed if box.id in excerpt.boxes),
        bounds=excerpt.holds,
    )
