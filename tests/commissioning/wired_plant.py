"""A plant as it is wired, contact by contact, with faults in it, measured with networkx.

Shares nothing with the package but the model's fields and the oracle's reading of them. Each joint
is good or poor; a reading is good, poor or open by whether good joints alone, or poor ones too,
lead from probe to probe.
"""

from __future__ import annotations

import itertools

import networkx as nx

from tests.oracle import LEGS, rear_joints, wired_normals

SPRINGS = {"T": LEGS[0][0], "R": LEGS[1][0], "S": "sleeve"}
RESTS = {"T": LEGS[0][1], "R": LEGS[1][1]}
FIGURES = {"good": "0.01", "poor": "30", "open": "OL"}
KINDS = ("full", "half", "reverse-half", "parallel", "none")


def ends_of(kind):
    """Whether a normal is soldered to a break contact at its source and at its target."""
    return kind in ("full", "reverse-half"), kind in ("full", "half")


class Plant:
    """All joints of a facility with units unplugged and every cord out."""

    def __init__(self, facility):
        self.graph = nx.Graph()
        self.far = {}
        for bay in facility.bays.values():
            for n in range(1, bay.width + 1):
                for row in "T" if bay.rows == 1 else "TB":
                    for leg in "TR":
                        at = (bay.id, row, n)
                        self.join((at, SPRINGS[leg]), (at, RESTS[leg]), "break")
        for one, other, swapped in rear_joints(facility):
            for leg, far in zip("TR", "RT" if swapped else "TR", strict=True):
                ends = [
                    (e, (SPRINGS if isinstance(e[2], int) else {"T": "+", "R": "-"})[at])
                    for e, at in ((one, leg), (other, far))
                ]
                self.join(*ends, "wire")
        for line in facility.lines.values():
            self.far[tuple(line.source)] = tuple(line.target), line.swapped
            self.far[tuple(line.target)] = tuple(line.source), line.swapped
        for bay in facility.bays.values():
            for n, point in bay.points.items():
                for row, wire in (("T", point.top), ("B", point.bottom)):
                    if (
                        wire is not None
                        and facility.equipment[wire.to.equipment].state != "removed"
                    ):
                        self.far[(bay.id, row, n)] = tuple(wire.to), wire.swapped
        for source, target, kind in wired_normals(facility):
            solder(self.graph, source, target, kind)

    def join(self, one, other, what):
        self.graph.add_edge(one, other, what=what, poor=False)

    def around(self, *jacks):
        """All that can be joined to these jacks, to be made faulty."""
        nodes = {
            node
            for jack in jacks
            if jack is not None
            for spring in (SPRINGS["T"], SPRINGS["R"])
            for node in nx.node_connected_component(self.graph, (jack, spring))
        }
        return self.graph.subgraph(nodes).copy()


def solder(graph, source, target, kind):
    """Strap a normal of a kind between two jacks."""
    breaks = ends_of(kind)
    for leg in "TR" if kind != "none" else "":
        one = source, (RESTS if breaks[0] else SPRINGS)[leg]
        other = target, (RESTS if breaks[1] else SPRINGS)[leg]
        graph.add_edge(one, other, what="normal", poor=False)


def far_pole(plant, jack, leg):
    """The contact at the far end of a jack's line that a leg is planned to meet; else its post."""
    if jack not in plant.far:
        return jack, SPRINGS[leg]
    far, swapped = plant.far[jack]
    at = {"T": "R", "R": "T"}[leg] if swapped else leg
    return far, (SPRINGS[at] if isinstance(far[2], int) else {"T": "+", "R": "-"}[at])


class Fault:
    """What is done to the joints around a point before it is measured."""

    def __init__(
        self, cause, *, edges=(), poor=False, stuck=(), shorts=(), turn=(), solders=None, shields=()
    ):
        self.cause = cause
        self.edges, self.poor, self.stuck = tuple(edges), poor, tuple(stuck)
        self.shorts, self.turn, self.solders = tuple(shorts), tuple(turn), solders
        self.shields = tuple(shields)

    @property
    def touches(self):
        """What it is a fault of, so that two faults of one thing are not tried together."""
        named = {frozenset(edge) for edge in (*self.edges, *self.stuck, *self.turn)}
        straps = self.cause[0].startswith("normal") or self.solders is not None
        return named | ({"normal"} if straps else set()) | set(self.shields)


def faults_at(plant, a, b, kind, across=False):
    """Every single fault of a point, with the cause that names it: kind, jack, legs, normal."""
    for jack in (a, b):
        if jack is not None and not across:
            yield from _plug_faults(jack)
            yield from _line_faults(plant, jack)
    if b is None:
        return
    breaks = ends_of(kind)
    for jack, broken in ((a, breaks[0]), (b, breaks[1])):
        if kind != "none" and broken:
            for legs in ("T", "R", "TR"):
                rests = [((jack, SPRINGS[leg]), (jack, RESTS[leg])) for leg in legs]
                yield Fault(("break contact oxidised", jack, legs, None), edges=rests, poor=True)
                yield Fault(("break contact not closing", jack, legs, None), edges=rests)
                yield Fault(("break contact not opening", jack, legs, None), stuck=rests)
    for other in KINDS:
        if other != kind:
            yield Fault(("another normal", None, None, other), solders=other)
    if kind != "none":
        straps = {
            leg: (
                (a, (RESTS if breaks[0] else SPRINGS)[leg]),
                (b, (RESTS if breaks[1] else SPRINGS)[leg]),
            )
            for leg in "TR"
        }
        for leg in "TR":
            yield Fault(("normal leg open", None, leg, None), edges=[straps[leg]])
        yield Fault(("normal legs swapped", None, None, None), turn=straps.values())


def _plug_faults(jack):
    for legs in ("T", "R", "TR"):
        springs = [((jack, "plug", leg), (jack, SPRINGS[leg])) for leg in legs]
        yield Fault(("spring oxidised", jack, legs, None), edges=springs, poor=True)
        yield Fault(("spring not meeting", jack, legs, None), edges=springs)


def _line_faults(plant, jack):
    for pair in ("TR", "TS", "RS"):
        ends = [(jack, SPRINGS[leg]) for leg in pair]
        yield Fault(("legs shorted", jack, pair, None), shorts=[ends])
    if jack not in plant.far:
        return
    wires = {leg: ((jack, SPRINGS[leg]), far_pole(plant, jack, leg)) for leg in "TR"}
    for leg in "TR":
        yield Fault(("leg open", jack, leg, None), edges=[wires[leg]])
    yield Fault(("legs swapped", jack, None, None), turn=wires.values())
    for end in "NF":
        yield Fault(("shield", jack, end, None), shields=[(jack, end)])


class Measured:
    """A point's surroundings with faults, read by the codes of the sheet."""

    def __init__(self, plant, around, a, b, faults, shields):
        self.plant, self.a, self.b = plant, a, b
        self.shields = dict(shields)
        self.states = {}
        turned = {frozenset(e) for f in faults for e in f.turn}
        for state in ("", "A", "AB", "B"):
            graph = around.copy()
            for fault in faults:
                if fault.solders is not None:
                    self._resolder(graph, fault.solders)
                if fault.turn:
                    (one, two), (three, four) = fault.turn
                    graph.remove_edges_from([(one, two), (three, four)])
                    graph.add_edges_from([(one, four), (three, two)], what="turned", poor=False)
            for jack in self._plugged(state):
                for leg, spring in SPRINGS.items():
                    graph.add_edge((jack, "plug", leg), (jack, spring), poor=False)
                for leg in "TR":
                    edge = (jack, SPRINGS[leg]), (jack, RESTS[leg])
                    if frozenset(edge) not in {frozenset(e) for f in faults for e in f.stuck}:
                        graph.remove_edge(*edge)
            for fault in faults:
                self._spoil(graph, fault, turned)
            good = nx.Graph()
            good.add_nodes_from(graph)
            good.add_edges_from((u, v) for u, v, poor in graph.edges(data="poor") if not poor)
            self.states[state] = _islands(good), _islands(graph)
        for fault in faults:
            for place in fault.shields:
                self.shields[place] = not self.shields[place]

    def _plugged(self, state):
        return [jack for jack, place in ((self.a, "A"), (self.b, "B")) if jack and place in state]

    def _resolder(self, graph, kind):
        straps = [
            ((self.a, one[leg]), (self.b, other[leg]))
            for one, other in itertools.product((RESTS, SPRINGS), repeat=2)
            for leg in "TR"
        ]
        graph.remove_edges_from(
            [e for e in straps if graph.edges.get(e, {}).get("what") == "normal"]
        )
        solder(graph, self.a, self.b, kind)

    @staticmethod
    def _spoil(graph, fault, turned):
        for edge in fault.edges:
            if frozenset(edge) in turned or not graph.has_edge(*edge):
                continue
            if fault.poor:
                graph.edges[edge]["poor"] = True
            else:
                graph.remove_edge(*edge)
        graph.add_edges_from(fault.shorts, poor=False)

    def read(self, code):
        """The figure of a code, as it would be written on the sheet."""
        head, _, tail = code.partition("-")
        if head[0] == "S":
            jack = self.a if head[1] == "A" else self.b
            return FIGURES["good" if self.shields[jack, tail] else "open"]
        if head[0] == "N":
            return self._between(head[1:], (self.a, SPRINGS[tail]), (self.b, SPRINGS[tail]))
        jack, state = (self.a, "A") if head[1] == "A" else (self.b, "B")
        if head[0] == "I":
            return self._between(state, *((jack, "plug", leg) for leg in tail))
        leg, pole = ("T", "R") if head[0] == "P" else (tail, tail)
        return self._between(state, (jack, "plug", leg), far_pole(self.plant, jack, pole))

    def _between(self, state, one, other):
        good, every = self.states[state]
        if one in good and good.get(one) == good.get(other):
            return FIGURES["good"]
        return FIGURES["poor" if one in every and every.get(one) == every.get(other) else "open"]


def _islands(graph):
    return {node: n for n, part in enumerate(nx.connected_components(graph)) for node in part}
