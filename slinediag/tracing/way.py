"""The whole way of one thing at rest: from the origins it hears to the ends that hear it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from slinediag.address import Address, Jack, PortAddress, port_order
from slinediag.model.bay import Wire
from slinediag.model.equipment import Equipment
from slinediag.model.facility import Cord, Facility, Line, Mult, Normal, Plug
from slinediag.model.labels import jack_label
from slinediag.tracing.tracer import Tracer, tracer_of


@dataclass(frozen=True, slots=True)
class Hop:
    """One feed: an output, the jacks it passes in order, and the input it reaches."""

    source: PortAddress
    via: tuple[Jack, ...]
    target: PortAddress


@dataclass(frozen=True, slots=True)
class JackFacts:
    """What the file documents at one jack, and which of its normals stand closed at rest."""

    jack: Jack
    label: str | None
    wire: Wire | None
    line: Line | None
    mult: Mult | None
    normals: tuple[tuple[Normal, bool], ...]
    cord: Cord | None
    plug: Plug | None


@dataclass(frozen=True, slots=True)
class Way:
    """A jack, port or piece of equipment with all that leads to it and from it at rest.

    ``upstream`` runs from the origins to the thing, ``downstream`` from the thing to the ends;
    hops are in the order of the signal, as far as loops allow.
    """

    facility: Facility
    thing: Jack | PortAddress | Equipment
    jacks: tuple[JackFacts, ...]
    origins: tuple[PortAddress, ...]
    upstream: tuple[Hop, ...]
    downstream: tuple[Hop, ...]
    ends: tuple[PortAddress, ...]

    def to_dict(self) -> dict[str, Any]:
        """The way as plain values, ready for JSON."""
        spelled = self.facility.spelled
        thing = self.thing
        return {
            "facility": self.facility.name,
            "thing": thing.id if isinstance(thing, Equipment) else spelled(thing),
            "kind": _kind(thing),
            "jacks": [_jack_dict(self.facility, facts) for facts in self.jacks],
            "hears": [spelled(port) for port in self.origins],
            "upstream": [_hop_dict(self.facility, hop) for hop in self.upstream],
            "downstream": [_hop_dict(self.facility, hop) for hop in self.downstream],
            "ends": [spelled(port) for port in self.ends],
        }


def way_of(facility: Facility, thing: Jack | PortAddress | Equipment) -> Way:
    """The way of a jack, a port or a piece of equipment, with standing cords and plugs in."""
    tracer = tracer_of(facility)
    with tracer.lock:
        return _Walk(tracer).way(thing)


def inputs_beyond(facility: Facility, output: PortAddress) -> set[PortAddress]:
    """All inputs that an output's audio comes to: the targets of its way downstream, no more."""
    tracer = tracer_of(facility)
    hearing, circuit = tracer.hearing, tracer.circuit
    first = circuit.output_number[output]
    found: set[int] = set()
    seen, queue = {first}, [first]
    for source in queue:
        for entry in hearing.fed_by(source) - found:
            found.add(entry)
            onward = [leaving for leaving in hearing.outputs_beyond(entry) if leaving not in seen]
            seen.update(onward)
            queue += onward
    return {circuit.inputs[number] for number in found}


class _Walk:
    """Walks feeds and paths in both directions from one thing."""

    def __init__(self, tracer: Tracer) -> None:
        self.tracer = tracer
        self.facility = tracer.facility
        mults = self.facility.mults.values()
        self._mult_of = {jack: mult.id for mult in mults for jack in mult.jacks}
        self.feeds = {port: tracer.feeds(port) for port in tracer.circuit.inputs}
        self.fed: dict[PortAddress, list[PortAddress]] = {p: [] for p in tracer.circuit.outputs}
        for target, sources in self.feeds.items():
            for source in sources:
                self.fed[source].append(target)

    def way(self, thing: Jack | PortAddress | Equipment) -> Way:
        """The way of the thing."""
        outputs, inputs = self._start(thing)
        upstream = self._up(outputs, inputs, thing)
        downstream = self._down(outputs, inputs, thing)
        return Way(
            self.facility,
            thing,
            tuple(self._jack_facts(jack) for jack in self._jacks_of(thing)),
            self._origins(outputs, inputs),
            tuple(self._hop(*pair) for pair in upstream),
            tuple(self._hop(*pair) for pair in downstream),
            self._ends(downstream),
        )

    def _start(
        self, thing: Jack | PortAddress | Equipment
    ) -> tuple[list[PortAddress], list[PortAddress]]:
        """The outputs and inputs that a thing stands for."""
        if isinstance(thing, Equipment):
            outputs = [PortAddress(thing.id, p.id, "out") for p in thing.outputs]
            return outputs, [PortAddress(thing.id, p.id, "in") for p in thing.inputs]
        if isinstance(thing, PortAddress):
            return ([thing], []) if thing.side == "out" else ([], [thing])
        circuit = self.tracer.circuit
        outputs = list(self.tracer.named(circuit.sources_at(thing)))
        return outputs, [circuit.inputs[n] for n in sorted(circuit.inputs_with(thing))]

    def _ways_to(self, output: PortAddress) -> list[PortAddress]:
        box = self.facility.equipment[output.equipment]
        return [PortAddress(box.id, port, "in") for port in box.ways_to.get(output.port, ())]

    def _ways_from(self, entry: PortAddress) -> list[PortAddress]:
        box = self.facility.equipment[entry.equipment]
        return [PortAddress(box.id, port, "out") for port in box.ways_from.get(entry.port, ())]

    def _up(
        self,
        outputs: list[PortAddress],
        inputs: list[PortAddress],
        thing: Jack | PortAddress | Equipment,
    ) -> list[tuple[PortAddress, PortAddress]]:
        """Feeds that lead to the thing, those nearest the origins first."""
        targets = list(inputs)
        if not isinstance(thing, Equipment):
            targets += [i for o in outputs for i in self._ways_to(o)]
        depth: dict[PortAddress, int] = dict.fromkeys(targets, 0)
        order = list(depth)
        for target in order:
            for source in self.feeds[target]:
                for before in self._ways_to(source):
                    if before not in depth:
                        depth[before] = depth[target] + 1
                        order.append(before)
        pairs = [(source, target) for target in order for source in self.feeds[target]]
        pairs = self._passing(thing, outputs, inputs, pairs)
        return sorted(pairs, key=lambda p: (-depth[p[1]], port_order(p[0]), port_order(p[1])))

    def _passing(
        self,
        thing: Jack | PortAddress | Equipment,
        outputs: list[PortAddress],
        inputs: list[PortAddress],
        pairs: list[tuple[PortAddress, PortAddress]],
    ) -> list[tuple[PortAddress, PortAddress]]:
        """The pairs without those that share the line of a jack and do not pass it.

        Where none of them passes it, the jack is a dead end, and all tell what stands on it.
        """
        if not isinstance(thing, Jack):
            return pairs
        shared = {(o, i) for o in outputs for i in inputs}
        passing = {p for p in shared if thing in self._via(*p)}
        return [p for p in pairs if p not in shared or p in (passing or shared)]

    def _down(
        self,
        outputs: list[PortAddress],
        inputs: list[PortAddress],
        thing: Jack | PortAddress | Equipment,
    ) -> list[tuple[PortAddress, PortAddress]]:
        """Feeds that lead on from the thing, those nearest it first."""
        starts = list(outputs)
        if not isinstance(thing, Equipment):
            starts += [o for i in inputs for o in self._ways_from(i)]
        found: dict[PortAddress, None] = dict.fromkeys(starts)
        order = list(found)
        for source in order:
            for target in self.fed[source]:
                for onward in self._ways_from(target):
                    if onward not in found:
                        found[onward] = None
                        order.append(onward)
        pairs = [(source, target) for source in order for target in self.fed[source]]
        if isinstance(thing, Jack):
            shared = {(o, i) for o in outputs for i in inputs}
            return [pair for pair in pairs if pair not in shared]
        return pairs

    def _hop(self, source: PortAddress, target: PortAddress) -> Hop:
        return Hop(source, self._via(source, target), target)

    def _via(self, source: PortAddress, target: PortAddress) -> tuple[Jack, ...]:
        """The jacks on the way; of those of one mult only where it comes in and goes on.

        The circuit ties a mult jack to jack, the bay ties them all alike.
        """
        jacks = self.tracer.circuit.jacks_between(source, target)
        mults = [self._mult_of.get(jack) for jack in jacks]
        return tuple(
            jack
            for n, jack in enumerate(jacks)
            if mults[n] is None
            or not (mults[n - 1 : n] == mults[n : n + 1] == mults[n + 1 : n + 2])
        )

    def _origins(
        self, outputs: list[PortAddress], inputs: list[PortAddress]
    ) -> tuple[PortAddress, ...]:
        circuit, hearing = self.tracer.circuit, self.tracer.hearing
        mask = 0
        for entry in [*inputs, *(i for o in outputs for i in self._ways_to(o))]:
            mask |= hearing.hears[circuit.input_number[entry]]
        for output in outputs:
            if self.facility.equipment[output.equipment].removed:
                continue  # it is not there any more, and sends nothing
            mask |= hearing.origins & (1 << circuit.output_number[output])
        return self.tracer.named(mask)

    def _ends(
        self, downstream: Iterable[tuple[PortAddress, PortAddress]]
    ) -> tuple[PortAddress, ...]:
        ends = {target for _, target in downstream if not self._ways_from(target)}
        return tuple(sorted(ends, key=port_order))

    def _jacks_of(self, thing: Jack | PortAddress | Equipment) -> list[Jack]:
        if isinstance(thing, Jack):
            return [thing]
        outputs, inputs = self._start(thing)
        ports = [*outputs, *inputs]
        return [self.facility.carriers[p] for p in ports if p in self.facility.carriers]

    def _jack_facts(self, jack: Jack) -> JackFacts:
        facility, circuit = self.facility, self.tracer.circuit
        return JackFacts(
            jack,
            jack_label(facility, jack),
            facility.wires.get(jack),
            next((x for x in facility.lines.values() if jack in (x.source, x.target)), None),
            next((m for m in facility.mults.values() if jack in m.jacks), None),
            tuple((normal, circuit.closed(normal)) for normal in circuit.normals_at(jack)),
            next((c for c in facility.cords if jack in (c.source, c.target)), None),
            next((p for p in facility.plugs if jack == p.jack), None),
        )


def _kind(thing: Address | Equipment) -> str:
    if isinstance(thing, Equipment):
        return "equipment"
    return "jack" if isinstance(thing, Jack) else "port"


def _hop_dict(facility: Facility, hop: Hop) -> dict[str, Any]:
    return {
        "from": facility.spelled(hop.source),
        "via": [str(jack) for jack in hop.via],
        "to": facility.spelled(hop.target),
    }


def _jack_dict(facility: Facility, facts: JackFacts) -> dict[str, Any]:
    wire, line = facts.wire, facts.line
    point = facility.point(facts.jack)
    return {
        "jack": str(facts.jack),
        "label": facts.label,
        "wire": {
            "to": facility.spelled(wire.to),
            "cable": wire.cable,
            "shield": wire.shield,
            "swapped": wire.swapped,
        }
        if wire
        else None,
        "line": {
            "id": line.id,
            "from": facility.spelled(line.source),
            "to": facility.spelled(line.target),
            "cable": line.cable,
        }
        if line
        else None,
        "mult": {"id": facts.mult.id, "jacks": [str(j) for j in facts.mult.jacks]}
        if facts.mult
        else None,
        "normals": [
            {"normal": str(normal), "kind": normal.kind, "closed": closed}
            for normal, closed in facts.normals
        ],
        "cord": str(facts.cord) if facts.cord else None,
        "plug": facts.plug is not None,
        "group": point.group,
        "state": point.state,
        "note": point.note,
    }
