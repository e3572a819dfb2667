"""The way of one thing in plain lines: what it is, what comes in, where it goes."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from slinediag.address import Jack, PortAddress
from slinediag.model.equipment import Equipment
from slinediag.model.facility import Facility
from slinediag.model.labels import jack_name, port_label
from slinediag.tracing.way import Hop, JackFacts, Way
from slinediag.tracing.words import at_jack, listed, normal_name, port_name, port_names

EVERY = 1000
"""More names than any list here holds."""
LONG = 80
"""Characters of a section that is not said twice."""


def way_lines(way: Way) -> list[str]:
    """The way as lines of text, most asked first."""
    return [*_own_lines(way), *(line for section in _sections(way) for line in section)]


def ways_lines(ways: Iterable[Way]) -> list[str]:
    """Several ways one after the other; a long section that is as one before it says just that."""
    lines: list[str] = []
    told: dict[tuple[str, ...], str] = {}
    for way in ways:
        thing = way.thing
        name = thing.id if isinstance(thing, Equipment) else way.facility.spelled(thing)
        lines += ["", *_own_lines(way)]
        for section in _sections(way):
            first = told.setdefault(section, name)
            if first != name and sum(map(len, section)) > LONG:
                head = section[0].partition(":")[0]
                section = (f"{head}: the same as for {first}",)
            lines += section
    return lines


def _own_lines(way: Way) -> Iterator[str]:
    yield _title(way)
    for facts in way.jacks:
        yield from (f"  {line}" for line in _jack_lines(way.facility, facts))


def _sections(way: Way) -> Iterator[tuple[str, ...]]:
    """The parts of a way behind what the thing itself is, each with its head first."""
    for head, hops in (("Comes from", way.upstream), ("Goes to", way.downstream)):
        if hops:
            yield tuple(_hop_section(way, head, hops))
    for line in _summary(way):
        yield (line,)


def _title(way: Way) -> str:
    facility, thing = way.facility, way.thing
    if isinstance(thing, Jack):
        return f"Jack {jack_name(facility, thing)} ({thing})"
    if isinstance(thing, PortAddress):
        side = "Output" if thing.side == "out" else "Input"
        return f"{side} {port_label(facility, thing)} ({facility.spelled(thing)})"
    return _equipment_title(thing)


def _equipment_title(box: Equipment) -> str:
    place = f", {box.place}" if box.place else ""
    state = f" [{box.state}]" if box.state in ("spare", "removed") else ""
    return f"{box.printed}: {box.name}{place}{state} ({box.id})"


def _jack_lines(facility: Facility, facts: JackFacts) -> Iterator[str]:
    point = facility.point(facts.jack)
    yield f"{jack_name(facility, facts.jack)}: {facts.label or 'no label'}" + (
        f", {point.state}" if point.state in ("spare", "reserved") else ""
    )
    if facts.wire:
        wire = facts.wire
        cable = f", cable {wire.cable}" if wire.cable else ""
        swapped = ", + and - swapped" if wire.swapped else ""
        yield f"  wired to {port_name(facility, wire.to)}{cable}{swapped}"
    if facts.line:
        ends = {facts.line.source, facts.line.target} - {facts.jack}
        other = next(iter(ends))
        name = jack_name(facility, other) if isinstance(other, Jack) else str(other)
        yield f"  tie line {facts.line.id} to {name}"
    if facts.mult:
        others = [jack_name(facility, j) for j in facts.mult.jacks if j != facts.jack]
        yield f"  mult {facts.mult.id} with {listed(others)}"
    for normal, closed in facts.normals:
        state = "closed" if closed else "open: a plug breaks it"
        other = normal.target if normal.source == facts.jack else normal.source
        yield f"  {normal_name(facility, normal)} to {at_jack(facility, other)}, {state}"
    if facts.cord:
        far = facts.cord.target if facts.cord.source == facts.jack else facts.cord.source
        note = f": {facts.cord.note}" if facts.cord.note else ""
        yield f"  standing cord to {jack_name(facility, far)}{note}"
    if facts.plug:
        yield f"  dummy plug{f': {facts.plug.note}' if facts.plug.note else ''}"
    if point.note:
        yield f"  note: {point.note}"


def _hop_section(way: Way, head: str, hops: tuple[Hop, ...]) -> Iterator[str]:
    yield f"{head}:"
    for hop in hops:
        yield f"  {_hop_line(way.facility, hop)}"


def _hop_line(facility: Facility, hop: Hop) -> str:
    via = " – ".join(jack_name(facility, jack) for jack in hop.via)
    source, target = port_name(facility, hop.source), port_name(facility, hop.target)
    return f"{source} → {via} → {target}" if via else f"{source} → {target} (direct)"


def _summary(way: Way) -> Iterator[str]:
    facility = way.facility
    if _removed(way):
        wired = ", its wires are still filed" if _still_wired(way) else ""
        yield f"Removed and kept for the record: it sends and hears nothing{wired}"
        return
    heard = listed(port_names(facility, way.origins), EVERY)
    yield f"Origins: {heard or 'none; nothing is heard here'}"
    ends = listed(port_names(facility, way.ends), EVERY)
    if ends:
        yield f"Ends: {ends}"


def _removed(way: Way) -> bool:
    """Whether equipment that is not there any more is asked for, or a port of it."""
    thing = way.thing
    if isinstance(thing, Jack):
        return False
    box = thing if isinstance(thing, Equipment) else way.facility.equipment[thing.equipment]
    return box.removed


def _still_wired(way: Way) -> bool:
    """Whether a wire or line of the port or equipment asked for is in the file."""
    facility, thing = way.facility, way.thing
    ends: set[Jack | PortAddress] = {wire.to for wire in facility.wires.values()}
    ends |= {end for line in facility.lines.values() for end in (line.source, line.target)}
    ports = {end for end in ends if isinstance(end, PortAddress)}
    return thing in ports or (
        isinstance(thing, Equipment) and any(port.equipment == thing.id for port in ports)
    )
