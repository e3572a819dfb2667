"""Each box's layer: left to right with least total length of line."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from slinediag.layout.chains import Chain, chains_of
from slinediag.layout.cycles import backward_edges
from slinediag.layout.nets import Wiring
from slinediag.layout.simplex import Differences, least_differences
from slinediag.layout.spans import LinkEnd, ends_in_gap, span


@dataclass(frozen=True, slots=True)
class Layered:
    """Boxes in layers 0 to ``depth`` - 1; -1 for a box without lines, which has no layer yet.

    Gap g lies right of layer g, gap -1 left of layer 0. ``spans[k]`` are the first and the last
    gap that net k has a run in; in every layer between it passes once, as a lane.
    An edge runs back where its target's layer is not after its source's.
    """

    wiring: Wiring
    chains: tuple[Chain, ...]
    layers: tuple[int, ...]
    spans: tuple[tuple[int, int], ...]
    depth: int

    def ends_in_gap(self, net: int, gap: int) -> tuple[list[LinkEnd], list[LinkEnd]]:
        """What a net's run in a gap joins on the gap's left and right; the lane comes first."""
        wires = self.wiring.nets[net]
        return ends_in_gap(wires.sources, wires.targets, self.layers, gap, self.spans[net])


def layer(wiring: Wiring, back: frozenset[int] | None = None) -> Layered:
    """Layers of least total length, chains counted as their lines.

    ``back``: the edges that run back, where it is known which do.
    """
    back = backward_edges(wiring) if back is None else back
    chains = chains_of(wiring, back)
    return layered(wiring, chains, _box_layers(wiring, chains, back))


def layered(
    wiring: Wiring,
    chains: tuple[Chain, ...],
    boxes: Sequence[int],
    before: Mapping[int, int] | None = None,
) -> Layered:
    """Complete ``boxes``, the layers of boxes outside chains, -1 for others.

    Boxes in chains stand in the layers they had ``before``, else where other boxes stand, near
    the chain's source, if there is room; layers that hold nothing are left out.
    """
    layers = list(boxes)
    used = {layer for layer in layers if layer >= 0}

    def room(chain: Chain) -> int:
        return layers[chain.target[0]] - layers[chain.source[0]] - 1

    for chain in sorted(chains, key=lambda chain: room(chain) - len(chain.nodes)):
        between = range(layers[chain.source[0]] + 1, layers[chain.target[0]])
        wanted = {before[node] for node in chain.nodes if before and node in before}
        best = sorted(between, key=lambda layer: (layer not in wanted, layer not in used, layer))
        for node, layer in zip(chain.nodes, sorted(best[: len(chain.nodes)]), strict=True):
            layers[node] = layer
            used.add(layer)
    number = {layer: k for k, layer in enumerate(sorted(used))}
    layers = [number.get(layer, -1) for layer in layers]
    spans = tuple(span(net.sources, net.targets, layers) for net in wiring.nets)
    depth = len(used)
    if not depth and wiring.graph.nodes:
        depth = _columns(wiring)
    return Layered(wiring, chains, tuple(layers), spans, depth)


def _columns(wiring: Wiring) -> int:
    """How many layers make boxes without any line about as wide as high together."""
    nodes = wiring.graph.nodes
    width = sum(node.width for node in nodes)
    height = sum(node.height for node in nodes)
    ideal = math.sqrt(len(nodes) * (height + 1) / (width + 1))
    return min(len(nodes), max(1, round(ideal)))


def _box_layers(wiring: Wiring, chains: tuple[Chain, ...], back: frozenset[int]) -> list[int]:
    """Layers of the boxes that stand in no chain; -1 for all others."""
    inner = {node for chain in chains for node in chain.nodes}
    in_chain = {net for chain in chains for net in chain.nets}
    boxes = [
        node
        for node in range(len(wiring.graph.nodes))
        if node not in inner and (wiring.leaving[node] or wiring.entering[node])
    ]
    number = {node: k for k, node in enumerate(boxes)}
    conditions: Counter[tuple[int, int, int]] = Counter()
    for chain in chains:
        tail, head = number[chain.source[0]], number[chain.target[0]]
        conditions[tail, head, len(chain.nodes) + 1] += 1
    for edge, ((source, _), (target, _)) in enumerate(wiring.ends):
        if wiring.net_of_edge[edge] in in_chain or source == target:
            continue
        tail, head = number[source], number[target]
        conditions[(head, tail, 0) if edge in back else (tail, head, 1)] += 1
    least = least_differences(
        Differences(
            len(boxes),
            [tail for tail, _, _ in conditions],
            [head for _, head, _ in conditions],
            [length for _, _, length in conditions],
            list(conditions.values()),
        )
    )
    layers = [-1] * len(wiring.graph.nodes)
    for part in _parts(len(boxes), list(conditions)):
        first = min(least[k] for k in part)
        for k in part:
            layers[boxes[k]] = least[k] - first
    return layers


def _parts(count: int, conditions: list[tuple[int, int, int]]) -> list[list[int]]:
    """The connected parts, each in rising order."""
    near: list[list[int]] = [[] for _ in range(count)]
    for tail, head, _ in conditions:
        near[tail].append(head)
        near[head].append(tail)
    seen = [False] * count
    parts = []
    for first in range(count):
        if seen[first]:
            continue
        seen[first] = True
        part = [first]
        for v in part:
            for other in near[v]:
                if not seen[other]:
                    seen[other] = True
                    part.append(other)
        parts.append(sorted(part))
    return parts
