"""Loops cut where an earlier layout cut them, so that what stands does not turn about."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from slinediag.layout.cycles import backward_edges
from slinediag.layout.graph import Pin
from slinediag.layout.nets import Wiring

# With more edges than these that may have to run back, little of what was stands anyway.
MOST_DOUBTFUL = 400


def cut_as_before(
    wiring: Wiring, layers: Mapping[str, int], lines: Collection[tuple[Pin, Pin]]
) -> frozenset[int]:
    """The edges that run back, as few of them new as may be; without them there is no loop.

    ``layers``: those of boxes before; ``lines``: those that there were. What led to the right
    leads there still; all else does where that closes no loop, new lines first.
    """
    cut = backward_edges(wiring)
    if not cut:
        return cut
    edges, names = wiring.graph.edges, [node.id for node in wiring.graph.nodes]
    old = [layers.get(name) for name in names]
    onward: list[list[int]] = [[] for _ in names]
    doubtful = []
    for number, ((source, _), (target, _)) in enumerate(wiring.ends):
        left, right = old[source], old[target]
        if left is not None and right is not None and left < right:
            onward[source].append(target)
        else:
            doubtful.append(number)
    if len(doubtful) > MOST_DOUBTFUL:
        return cut
    back = set()
    doubtful.sort(key=lambda number: (edges[number].source, edges[number].target) in lines)
    for number in doubtful:
        (source, _), (target, _) = wiring.ends[number]
        if _leads(onward, target, source):
            back.add(number)
        else:
            onward[source].append(target)
    return frozenset(back)


def _leads(onward: list[list[int]], start: int, goal: int) -> bool:
    """Whether one box leads to another, or is it."""
    met, left = {start}, [start]
    while left:
        box = left.pop()
        if box == goal:
            return True
        for other in onward[box]:
            if other not in met:
                met.add(other)
                left.append(other)
    return False
