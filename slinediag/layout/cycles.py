"""Which edges run back: the fewest that a walk from the sources finds."""

from __future__ import annotations

from slinediag.layout.nets import Wiring


def backward_edges(wiring: Wiring) -> frozenset[int]:
    """The edges that close a cycle in a depth-first walk; without them the graph has none.

    The walk starts at boxes nothing enters, then at the boxes with most lines, so that a loop
    is cut where it comes back to the large box it left.
    """
    count = len(wiring.graph.nodes)
    onward: list[list[tuple[int, int]]] = [[] for _ in range(count)]
    entered, lines = [0] * count, [0] * count
    for edge, ((source, _), (target, _)) in enumerate(wiring.ends):
        onward[source].append((edge, target))
        entered[target] += 1
        lines[source] += 1
        lines[target] += 1
    roots = sorted(range(count), key=lambda node: (entered[node] > 0, -lines[node], node))
    back: set[int] = set()
    state = [0] * count  # 0 not met, 1 on the way, 2 done
    for root in roots:
        if state[root]:
            continue
        state[root] = 1
        way = [(root, iter(onward[root]))]
        while way:
            node, edges = way[-1]
            for edge, target in edges:
                if state[target] == 1:
                    back.add(edge)
                elif state[target] == 0:
                    state[target] = 1
                    way.append((target, iter(onward[target])))
                    break
            else:
                state[node] = 2
                way.pop()
    return frozenset(back)
