"""From one linear order of blocks to the order of boxes and lanes in every layer."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from slinediag.layout.blocks import Numbering
from slinediag.layout.graph import micrometres
from slinediag.layout.layers import Layered
from slinediag.layout.nets import End
from slinediag.layout.settings import Settings


@dataclass(frozen=True, slots=True)
class Ordered:
    """Layers with their order from top to bottom.

    ``rows[layer]`` holds items: n for box n, ``lane(k)`` for the lane of net k. ``inputs[n]`` and
    ``outputs[n]``: the y of each port of box n, in micrometres from its top. ``box_places`` and
    ``net_places``: where each stands in the order that all layers follow, -1 for none.
    """

    layered: Layered
    rows: tuple[tuple[int, ...], ...]
    inputs: tuple[tuple[int, ...], ...]
    outputs: tuple[tuple[int, ...], ...]
    box_places: tuple[int, ...]
    net_places: tuple[int, ...]


def lane(net: int) -> int:
    """The item that stands for the net's lane in a layer; ``lane(lane(k))`` is k."""
    return -1 - net


def items_by_layer(layered: Layered) -> list[list[int]]:
    """What each layer holds, unordered: its boxes, and a lane of each net that passes it."""
    items: list[list[int]] = [[] for _ in range(layered.depth)]
    for node, place in enumerate(layered.layers):
        if place >= 0:
            items[place].append(node)
    for net, (first, last) in enumerate(layered.spans):
        for place in range(first + 1, last + 1):
            items[place].append(lane(net))
    return items


def expand(
    layered: Layered, blocks: Numbering, places: Sequence[int], settings: Settings
) -> Ordered:
    """Rows sorted by the places of blocks; the lines of a bundle stay as they leave its source."""
    nodes = layered.wiring.graph.nodes
    inner = _ranks_in_bundles(layered)
    found: list[list[tuple[int, int, int]]] = [[] for _ in range(layered.depth)]
    for node, block in enumerate(blocks.of_node):
        if block >= 0:
            rank = inner.get(node, 0)
            found[layered.layers[node]].append((places[block], rank, node))
    for net, block in enumerate(blocks.of_net):
        first, last = layered.spans[net]
        for place in range(first + 1, last + 1):
            item = lane(net)
            if block >= 0:
                found[place].append((places[block], inner.get(item, 0), item))
    rows = tuple(tuple(item for _, _, item in sorted(row)) for row in found)
    inputs = [tuple(micrometres(port.y) for port in node.inputs) for node in nodes]
    outputs = [tuple(micrometres(port.y) for port in node.outputs) for node in nodes]
    if settings.ports == "free":
        _deal_ports(layered, blocks, places, inputs, outputs)
    box_places, net_places = (
        tuple(places[block] if block >= 0 else -1 for block in of)
        for of in (blocks.of_node, blocks.of_net)
    )
    return Ordered(layered, rows, tuple(inputs), tuple(outputs), box_places, net_places)


def _ranks_in_bundles(layered: Layered) -> dict[int, int]:
    """Per box or lane of a chain its rank among the chains between the same two boxes."""
    chains = sorted(layered.chains, key=lambda chain: (chain.source, chain.target))
    ranks = {}
    for rank, chain in enumerate(chains):
        for node in chain.nodes:
            ranks[node] = rank
        for net in chain.nets:
            ranks[lane(net)] = rank
    return ranks


def _deal_ports(
    layered: Layered,
    blocks: Numbering,
    places: Sequence[int],
    inputs: list[tuple[int, ...]],
    outputs: list[tuple[int, ...]],
) -> None:
    """Deal the ys of each side's used ports out anew, in the order in which their lines leave."""
    inner = _ranks_in_bundles(layered)
    bundled = {net: chain for chain in layered.chains for net in chain.nets}
    for node, block in enumerate(blocks.of_node):
        if block < 0:
            continue
        for ys, used, outward in (
            (outputs, layered.wiring.leaving[node], True),
            (inputs, layered.wiring.entering[node], False),
        ):
            keys = []
            for port, net in used:
                where = _towards(layered, blocks, places, net, node, outward)
                rank = inner[lane(net)] if net in bundled else -1
                keys.append((where, rank, port))
            free = sorted(ys[node][port] for port, _ in used)
            dealt = list(ys[node])
            for (_, _, port), y in zip(sorted(keys), free, strict=True):
                dealt[port] = y
            ys[node] = tuple(dealt)


def _towards(
    layered: Layered,
    blocks: Numbering,
    places: Sequence[int],
    net: int,
    node: int,
    outward: bool,
) -> tuple[int, float]:
    """Sort key of a line at its box: what turns back upwards, what goes on, what turns down."""
    first, last = layered.spans[net]
    own = places[blocks.of_node[node]]
    gap = layered.layers[node] - (0 if outward else 1)
    goes_on = gap < last if outward else gap > first
    wires = layered.wiring.nets[net]
    far: tuple[End, ...] = wires.targets if outward else wires.sources
    reached = [
        places[blocks.of_node[other]]
        for other, _ in far
        if layered.layers[other] == (gap + 1 if outward else gap)
    ]
    if goes_on:
        reached.append(places[blocks.of_net[net]])
    if reached:
        return 1, sum(reached) / len(reached)
    turn = places[blocks.of_net[net]] if blocks.of_net[net] >= 0 else own
    return (0 if turn < own else 2), -turn
