"""A plant as it is wired, contact by contact, with faults in it, measured with networkx.

Shares nothing with the package but the model's fields and the oracle's reading of them. Each joint
is good or poor; a reading is good, poor or open by whether good joints alone, or poor ones too,
lead from probe to probe.
"""

from __future__ import annotations

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
        self.plant, self.a, self.b, self.faults = plant, a, b, faults
        self.shields = dict(shields)
        for place in (place for fault in faults for place in fault.shields):
            self.shields[place] = not self.shields[place]
        self.joints = {frozenset((u, v)): what for u, v, what in around.edges(data="what")}
        for fault in faults:
            self._rewire(fault)
        self.stuck = {frozenset(edge) for fault in faults for edge in fault.stuck}
        self.turned = {frozenset(edge) for fault in faults for edge in fault.turn}
        self.states = {}

    def _rewire(self, fault):
        """Another normal in place of the one that is there; legs the wrong way about."""
        if fault.solders is not None:
            ends = {self.a, self.b}
            gone = [
                j
                for j, what in self.joints.items()
                if what == "normal" and {jack for jack, _ in j} == ends
            ]
            for joint in gone:
                del self.joints[joint]
            strapped = nx.Graph()
            solder(strapped, self.a, self.b, fault.solders)
            self.joints.update({frozenset(edge): "normal" for edge in strapped.edges})
        if fault.turn:
            (one, two), (three, four) = fault.turn
            del self.joints[frozenset((one, two))], self.joints[frozenset((three, four))]
            self.joints[frozenset((one, four))] = self.joints[frozenset((three, two))] = "turned"

    def _islands(self, state):
        """What is joined by good joints, and what by any, with plugs in these jacks."""
        joints = dict.fromkeys(self.joints, False)
        for jack in (j for j, place in ((self.a, "A"), (self.b, "B")) if j and place in state):
            for leg, spring in SPRINGS.items():
                joints[frozenset(((jack, "plug", leg), (jack, spring)))] = False
            for leg in "TR":
                rest = frozenset(((jack, SPRINGS[leg]), (jack, RESTS[leg])))
                if rest not in self.stuck:
                    del joints[rest]
        for fault in self.faults:
            for edge in map(frozenset, fault.edges):
                if edge in joints and edge not in self.turned:
                    if fault.poor:
                        joints[edge] = True
                    else:
                        del joints[edge]
            joints.update({frozenset(short): False for short in fault.shorts})
        good, every = nx.utils.UnionFind(), nx.utils.UnionFind()
        for joint, poor in joints.items():
            every.union(*joint)
            if not poor:
                good.union(*joint)
        return good, every

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
        if state not in self.states:
            self.states[state] = self._islands(state)
        good, every = self.states[state]
        if good[one] == good[other]:
            return FIGURES["good"]
        return FIGURES["poor" if every[one] == every[other] else "open"]
