"""How often the lines of a drawing must cross, by the order in which they stand in its layers.

Read off the drawing alone: which boxes are in which layer, on which level ports and lines lie
there. Between two layers each net is a tree whose ends lie on the edge of a disc; where the ends
of two go k times in turn about it, they cross k - 1 times at least.
"""

from __future__ import annotations

import itertools
from collections import defaultdict
from collections.abc import Iterator

from slinediag.layout.graph import Graph
from slinediag.layout.layout import Layout, Trunk

Ends = list[int]
"""Where about the disc a net's ends lie."""


def crossings_needed(graph: Graph, layout: Layout) -> int:
    """The crossings of any drawing with this order, net by net and gap by gap."""
    return sum(
        max(0, len(groups(one, other)) - 1)
        for ends in ends_of_gaps(graph, layout)
        for one, other in itertools.combinations(ends, 2)
    )


def contradictions(graph: Graph, layout: Layout) -> int:
    """How often a net cannot cross two others as seldom as it must cross each.

    Each must pass between two groups of the net's ends. Where the ends are in groups
    otherwise for the one than for the other, no tree has room for both.
    """
    total = 0
    for ends in ends_of_gaps(graph, layout):
        for number, net in enumerate(ends):
            others = [groups(net, other) for k, other in enumerate(ends) if k != number]
            parted = [found for found in others if len(found) > 1]
            for one, other in itertools.combinations(parted, 2):
                total += any(
                    a & b and a - b and b - a and set(net) - a - b
                    for a, b in itertools.product(one, other)
                )
    return total


def groups(net: Ends, other: Ends) -> list[set[int]]:
    """The ends of a net, in a group what no end of the other parts."""
    found: dict[int, set[int]] = {}
    for end in net:
        found.setdefault(sum(o < end for o in other) % len(other), set()).add(end)
    return list(found.values())


def ends_of_gaps(graph: Graph, layout: Layout) -> Iterator[list[Ends]]:
    """For each gap its nets' ends, numbered about the disc: down the left side, up the right."""
    layer = layout.layer_of()
    gaps: dict[int, tuple[list[tuple[float, int]], ...]] = defaultdict(lambda: ([], []))
    for net, trunk in enumerate(layout.trunks):
        spans = set()
        for box, port in {graph.edges[edge].source for edge in trunk.edges}:
            spans.add(layer[box])
            gaps[layer[box]][0].append((layout.nodes[box][1] + layout.outputs[box][port], net))
        for box, port in {graph.edges[edge].target for edge in trunk.edges}:
            spans.add(layer[box] - 1)
            gaps[layer[box] - 1][1].append((layout.nodes[box][1] + layout.inputs[box][port], net))
        for passed in range(min(spans) + 1, max(spans) + 1):
            level = _level_in_layer(graph, layout, trunk, passed)
            gaps[passed - 1][1].append((level, net))
            gaps[passed][0].append((level, net))
    for gap in sorted(gaps):
        left, right = (sorted(side) for side in gaps[gap])
        around = [net for _, net in [*left, *right[::-1]]]
        yield [[k for k, net in enumerate(around) if net == own] for own in sorted(set(around))]


def _level_in_layer(graph: Graph, layout: Layout, trunk: Trunk, layer: int) -> float:
    """The level on which a trunk passes a layer, in the middle of its widest box's column.

    Only nets' own runs in columns are there, provided that no box is without width.
    """
    width, widest = max(
        (graph.nodes[graph.index[name]].width, name) for name in layout.layers[layer]
    )
    x = layout.nodes[widest][0] + width / 2
    (level,) = (a[1] for a, b in trunk.segments if a[1] == b[1] and a[0] < x < b[0])
    return level


def drawn_crossings(layout: Layout) -> int:
    """Points at which lines of two nets cross, by cutting every segment with every other."""
    segments = [(n, *a, *b) for n, trunk in enumerate(layout.trunks) for a, b in trunk.segments]
    level = [segment for segment in segments if segment[2] == segment[4]]
    upright = [segment for segment in segments if segment[1] == segment[3]]
    return sum(
        n != m and ax < x < bx and top < y < foot
        for n, ax, y, bx, _ in level
        for m, x, top, _, foot in upright
    )
