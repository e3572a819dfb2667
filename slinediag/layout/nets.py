"""Lines that share ports, joined into nets: each net is drawn as one trunk."""

from __future__ import annotations

from dataclasses import dataclass

from slinediag.layout.graph import Graph

End = tuple[int, int]
"""A box's number and the number of its port on the side that is meant."""


@dataclass(frozen=True, slots=True)
class Net:
    """A largest set of edges joined by shared ports.

    ``sources`` are ends at outputs, ``targets`` at inputs, each once, in order of appearance.
    """

    sources: tuple[End, ...]
    targets: tuple[End, ...]
    edges: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Wiring:
    """A graph by numbers: per edge its two ends and its net; per box the nets out and in.

    ``ends[e]`` is (source, target). ``leaving[n]`` and ``entering[n]`` hold (port, net) by port.
    """

    graph: Graph
    ends: tuple[tuple[End, End], ...]
    nets: tuple[Net, ...]
    net_of_edge: tuple[int, ...]
    leaving: tuple[tuple[tuple[int, int], ...], ...]
    entering: tuple[tuple[tuple[int, int], ...], ...]


def wire(graph: Graph) -> Wiring:
    """Number a sound graph's ends and join edges into nets; nets in order of their first edge."""
    outputs = [{p.id: k for k, p in enumerate(node.outputs)} for node in graph.nodes]
    inputs = [{p.id: k for k, p in enumerate(node.inputs)} for node in graph.nodes]
    ends: list[tuple[End, End]] = []
    for edge in graph.edges:
        source, target = graph.index[edge.source[0]], graph.index[edge.target[0]]
        ends.append(
            ((source, outputs[source][edge.source[1]]), (target, inputs[target][edge.target[1]]))
        )
    root = _roots(ends)
    members: dict[int, list[int]] = {}
    for edge_number, first in enumerate(root):
        members.setdefault(first, []).append(edge_number)
    nets = []
    net_of_edge = [0] * len(ends)
    leaving: list[dict[int, int]] = [{} for _ in graph.nodes]
    entering: list[dict[int, int]] = [{} for _ in graph.nodes]
    for number, edges in enumerate(members.values()):
        sources = tuple(dict.fromkeys(ends[e][0] for e in edges))
        targets = tuple(dict.fromkeys(ends[e][1] for e in edges))
        nets.append(Net(sources, targets, tuple(edges)))
        for e in edges:
            net_of_edge[e] = number
        for node, port in sources:
            leaving[node][port] = number
        for node, port in targets:
            entering[node][port] = number
    return Wiring(
        graph,
        tuple(ends),
        tuple(nets),
        tuple(net_of_edge),
        tuple(tuple(sorted(found.items())) for found in leaving),
        tuple(tuple(sorted(found.items())) for found in entering),
    )


def _roots(ends: list[tuple[End, End]]) -> list[int]:
    """Per edge, the first edge of its net (union-find with path halving)."""
    parent = list(range(len(ends)))

    def find(edge: int) -> int:
        while parent[edge] != edge:
            parent[edge] = parent[parent[edge]]
            edge = parent[edge]
        return edge

    for side in (0, 1):
        first: dict[End, int] = {}
        for edge, pair in enumerate(ends):
            a, b = find(edge), find(first.setdefault(pair[side], edge))
            parent[max(a, b)] = min(a, b)
    return [find(edge) for edge in range(len(ends))]
