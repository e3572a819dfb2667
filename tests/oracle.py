"""What is connected to what, worked out the slow way: networkx on single contacts, built anew.

Nothing here uses slinediag.circuit or slinediag.tracing. Contacts are tuples such as
``("PB1", "T", 3, "TN")``; a trial is a plain state: which jacks hold a plug, which cords join.
Only the model's plain fields are read.
"""

from __future__ import annotations

from dataclasses import dataclass

import networkx as nx

LEGS = (("T", "TN", "+"), ("R", "RN", "-"))


@dataclass(frozen=True)
class State:
    """Plugs and cords as they stand, and dead equipment."""

    plugged: frozenset
    cords: tuple
    dead: frozenset = frozenset()


def at_rest(facility):
    """The state as filed."""
    cords = tuple((cord.source, cord.target) for cord in facility.cords)
    plugs = {jack for cord in cords for jack in cord} | {plug.jack for plug in facility.plugs}
    return State(frozenset(plugs), cords)


def with_trial(facility, trial):
    """The state once the trial is done."""
    rest = at_rest(facility)
    gone = [set(cord) for cord in trial.pulled_cords]
    cords = [c for c in rest.cords if set(c) not in gone] + list(trial.cords)
    plugs = {p.jack for p in facility.plugs} - set(trial.pulled_plugs) | set(trial.plugs)
    plugs |= {jack for cord in cords for jack in cord}
    return State(frozenset(plugs), tuple(cords), frozenset(trial.failed))


def contact_graph(facility, state, cords=None):
    """Every contact, and an edge for whatever joins two of them."""
    graph = nx.Graph()
    for bay in facility.bays.values():
        for row in ("T", "B")[: bay.rows or 2]:
            for n in range(1, bay.width + 1):
                for spring, rest, _ in LEGS:
                    graph.add_node((bay.id, row, n, spring))
                    if (bay.id, row, n) not in state.plugged:
                        graph.add_edge((bay.id, row, n, spring), (bay.id, row, n, rest))
    for box in facility.equipment.values():
        for side, ports in (("out", box.outputs), ("in", box.inputs)):
            for port in ports:
                graph.add_nodes_from((box.id, port.id, side, sign) for sign in "+-")
    gone = {box.id for box in facility.equipment.values() if box.state == "removed"}
    for one, other, swapped in rear_joints(facility):
        if one[0] in gone or other[0] in gone:
            continue
        for (spring, _, sign), far in zip(LEGS, LEGS[::-1] if swapped else LEGS, strict=True):
            here = (*one, spring if len(one) == 3 and isinstance(one[2], int) else sign)
            there = (*other, far[0] if isinstance(other[2], int) else far[2])
            graph.add_edge(here, there)
    for source, target, kind in wired_normals(facility):
        for spring, rest, _ in LEGS:
            graph.add_edge(
                (*source, rest if kind in ("full", "reverse-half") else spring),
                (*target, rest if kind in ("full", "half") else spring),
            )
    for one, other in state.cords if cords is None else cords:
        for spring, _, _ in LEGS:
            graph.add_edge((*one, spring), (*other, spring))
    return graph


def rear_joints(facility):
    """Wires, lines and mults as (address, address, swapped)."""
    for bay in facility.bays.values():
        for n, point in bay.points.items():
            for row, wire in (("T", point.top), ("B", point.bottom)):
                if wire is not None:
                    yield (bay.id, row, n), tuple(wire.to), wire.swapped
    for line in facility.lines.values():
        yield tuple(line.source), tuple(line.target), line.swapped
    for mult in facility.mults.values():
        for jack in mult.jacks[1:]:
            yield tuple(mult.jacks[0]), tuple(jack), False


def wired_normals(facility):
    """Normals as (source, target, kind); those wired across positions take the place of own ones."""
    taken = {(cross.target[0], cross.target[2]) for cross in facility.cross_normals}
    for bay in facility.bays.values():
        for n in range(1, bay.width + 1):
            filed = bay.points[n].normal if n in bay.points else None
            kind = filed or bay.normal or "half"
            if bay.rows != 1 and kind != "none" and (bay.id, n) not in taken:
                yield (bay.id, "T", n), (bay.id, "B", n), kind
    for cross in facility.cross_normals:
        yield tuple(cross.source), tuple(cross.target), cross.kind or "half"


def feeds(facility, graph):
    """Input → set of outputs a leg of which reaches its +."""
    found = {}
    outputs = [(b.id, p.id, "out") for b in facility.equipment.values() for p in b.outputs]
    for box in facility.equipment.values():
        for port in box.inputs:
            reached = nx.node_connected_component(graph, (box.id, port.id, "in", "+"))
            found[box.id, port.id, "in"] = {
                o for o in outputs if (*o, "+") in reached or (*o, "-") in reached
            }
    return found


def audio_graph(facility, fed, dead):
    """Ports as nodes; an edge where audio goes on: feeds, paths, and bypasses of the dead."""
    graph = nx.DiGraph()
    for target, sources in fed.items():
        graph.add_node(target)
        graph.add_edges_from((source, target) for source in sources)
    for box in facility.equipment.values():
        ways = box.bypass_ways if box.id in dead else box.ways
        graph.add_edges_from(((box.id, i, "in"), (box.id, o, "out")) for i, o in ways)
    return graph


def hears(facility, fed, dead=frozenset()):
    """Input → set of origins from which audio reaches it."""
    graph = audio_graph(facility, fed, dead)
    origins = {
        (box.id, port.id, "out")
        for box in facility.equipment.values()
        for port in box.outputs
        if port.keys.origin or port.id not in {o for _, o in box.ways}
    }
    return {
        target: {o for o in nx.ancestors(graph, target) if o in origins and o[0] not in dead}
        for target in fed
    }


def changes(facility, trial):
    """Input → (change, feeds before, feeds after, hears before, hears after), all inputs."""
    state = with_trial(facility, trial)
    fed = feeds(facility, contact_graph(facility, at_rest(facility)))
    fed_after = feeds(facility, contact_graph(facility, state))
    heard, heard_after = hears(facility, fed), hears(facility, fed_after, state.dead)
    return {
        i: (
            change(fed[i], fed_after[i], heard[i], heard_after[i]),
            fed[i],
            fed_after[i],
            heard[i],
            heard_after[i],
        )
        for i in fed
    }


def change(fed, fed_after, heard, heard_after):
    """The first change that holds."""
    if len(fed_after) >= 2 and fed != fed_after:
        return "doubled"
    if heard and not heard_after:
        return "lost"
    if not heard and heard_after:
        return "gained"
    if heard != heard_after:
        return "altered"
    return "rerouted" if fed != fed_after else "unchanged"


def cord_outcome(facility, trial, cord):
    """(idle, feedback) of one cord of a trial."""
    state = with_trial(facility, trial)
    others = [c for c in state.cords if c != cord]
    fed = feeds(facility, contact_graph(facility, state))
    without = feeds(facility, contact_graph(facility, state, others))
    graph = audio_graph(facility, fed, state.dead)
    lost = [(o, i) for i in fed for o in fed[i] - without[i]]
    return fed == without, any(nx.has_path(graph, i, o) for o, i in lost)


def closed(source, target, kind, plugged):
    """Whether a normal is closed with plugs in these jacks: the table of the documents."""
    opens = {
        "full": {source, target},
        "half": {target},
        "reverse-half": {source},
        "parallel": set(),
    }
    return not opens[kind] & plugged


def acts(facility, trial):
    """For each plug that goes in, in its order: its jack, and what it does to each normal there."""
    gone = {jack for cord in trial.pulled_cords for jack in cord} | set(trial.pulled_plugs)
    plugged = {tuple(jack) for jack in at_rest(facility).plugged - gone}
    found = []
    for jack in (*(jack for cord in trial.cords for jack in cord), *trial.plugs):
        here = [normal for normal in wired_normals(facility) if tuple(jack) in normal[:2]]
        before = [closed(*normal, plugged) for normal in here]
        plugged.add(tuple(jack))
        after = [closed(*normal, plugged) for normal in here]
        effects = {
            normal: "open already" if not was else "taps" if now else "breaks"
            for normal, was, now in zip(here, before, after, strict=True)
        }
        found.append((tuple(jack), effects))
    return found


def harmless(facility, trial):
    """Whether no input is doubled, lost or altered, and no cord feeds back; phantom left aside."""
    harmful = {"doubled", "lost", "altered"}
    return not any(row[0] in harmful for row in changes(facility, trial).values()) and not any(
        cord_outcome(facility, trial, cord)[1] for cord in trial.cords
    )
