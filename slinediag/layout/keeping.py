"""The order of an earlier layout, kept: what was there stays, what is new stands beside it.

Boxes keep their layers as seen from each other: where a line now needs more layers than there
are, some are put in between, and all that follows moves on as one.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise

import numpy as np

from slinediag.layout.blocks import Blocks, Numbering, blocks_of, parts_of, strand_rows
from slinediag.layout.crews import each_alone
from slinediag.layout.easing import ease
from slinediag.layout.expand import Ordered, expand
from slinediag.layout.layers import Layered, layer, layered
from slinediag.layout.layout import Layout
from slinediag.layout.loops import cut_as_before
from slinediag.layout.polish_table import Table
from slinediag.layout.settings import Settings
from slinediag.layout.sifting import Orders
from slinediag.layout.simplex import Differences, least_differences
from slinediag.layout.terms import terms_of

# How often what is new is put where it crosses least; it settles sooner.
ROUNDS = 4


def keep_order(given: Layered, previous: Layout, settings: Settings) -> Ordered:
    """Order a graph much like the one that ``previous`` shows, changing little of it."""
    known_lines = {(source, target) for source, target, _ in previous.standing.lines}
    given = layer(given.wiring, cut_as_before(given.wiring, previous.layer_of(), known_lines))
    blocks, numbering = blocks_of(given, fine=True)
    old = previous.layer_of()
    index = given.wiring.graph.index
    before = {index[name]: place for name, place in old.items() if name in index}
    start = [given.layers[node] for node in numbering.nodes]
    known = {b: before[node] for b, node in enumerate(numbering.nodes) if node in before}
    opened = _opened(blocks, known, len(previous.layers))
    shifted = {block: opened[place] for block, place in known.items()}
    found = _nearest_layers(blocks, start, shifted)
    layers = [-1] * len(given.layers)
    for node, place in zip(numbering.nodes, found, strict=True):
        layers[node] = place
    kept = {node: opened[place] for node, place in before.items()}
    final = layered(given.wiring, given.chains, layers, kept)
    keys, fresh = _keys(given, numbering, previous, blocks.count)
    places = _settled(blocks, found, _ranks(_all_keys(blocks, keys)), fresh, settings)
    pairs = _pairs(final, numbering, previous)
    places = ease(blocks, found, places, fresh, pairs, settings.ports == "free")
    return expand(final, numbering, places, settings)


def calmer(kept: Ordered, polished: Ordered, previous: Layout) -> Ordered:
    """The polished order if it saves a crossing for each box that it gives other neighbours than
    it had before, else the one that was kept."""
    if polished.rows == kept.rows:
        return polished
    names = [node.id for node in kept.layered.wiring.graph.nodes]
    before = _beside(previous.layers)
    lost = [
        sum(
            before.get(name) != found
            for name, found in _beside(
                [[names[item] for item in row if item >= 0] for row in order.rows]
            ).items()
        )
        for order in (kept, polished)
    ]
    saved = Table(kept).crossings() - Table(polished).crossings()
    return polished if saved >= lost[1] - lost[0] else kept


def _beside(rows: Sequence[Sequence[str]]) -> dict[str, tuple[str | None, str | None]]:
    """What stands above and below each box in its layer."""
    return {
        name: (above, below)
        for row in rows
        for above, name, below in zip((None, *row), row, (*row[1:], None), strict=False)
    }


def _pairs(final: Layered, numbering: Numbering, previous: Layout) -> list[tuple[int, int]]:
    """Blocks of boxes that stood one above the other and still share a layer."""
    index = final.wiring.graph.index
    found = []
    for row in previous.layers:
        nodes = [index[name] for name in row if name in index]
        for upper, lower in pairwise(nodes):
            pair = numbering.of_node[upper], numbering.of_node[lower]
            together = final.layers[upper] == final.layers[lower]
            if together and min(pair) >= 0 and pair[0] != pair[1]:
                found.append(pair)
    return found


def _opened(blocks: Blocks, known: Mapping[int, int], depth: int) -> list[int]:
    """Per old layer its new number, with layers put in where a line lacks them."""
    new = list(range(depth))
    for bundle in sorted(blocks.bundles, key=lambda bundle: known.get(bundle.head, 0)):
        tail, head = known.get(bundle.tail), known.get(bundle.head)
        if tail is not None and head is not None and tail < head:
            lack = bundle.need - (new[head] - new[tail])
            if lack > 0:
                new[head:] = [layer + lack for layer in new[head:]]
    return new


def _nearest_layers(blocks: Blocks, layers: Sequence[int], before: Mapping[int, int]) -> list[int]:
    """Layers as near to those before as the lines allow; other boxes where lines are shortest."""
    tails, heads, lengths, weights = [], [], [], []
    for bundle in blocks.bundles:
        if bundle.tail != bundle.head:
            tails.append(bundle.tail)
            heads.append(bundle.head)
            lengths.append(bundle.need)
            weights.append(bundle.weight)
    ground = blocks.boxes
    start = [*layers, 0]
    for box in range(blocks.boxes):
        if box in before:
            # A point before the box and its old layer: whatever parts them costs dearly.
            point = len(start)
            tails += [point, point]
            heads += [box, ground]
            lengths += [0, -before[box]]
            weights += [100, 100]
            start.append(min(layers[box], before[box]))
    wanted = Differences(len(start), tails, heads, lengths, weights)
    found = least_differences(wanted, start)
    for part, members in parts_of(blocks):
        boxes = members[: part.boxes]
        if boxes and before.keys().isdisjoint(boxes):
            # A part that is new stands under the others, not in front of them.
            shift = found[ground] - min(found[box] for box in boxes)
            for box in boxes:
                found[box] += shift
    low = min(found[: blocks.boxes], default=0)
    return [layer - low for layer in found[: blocks.boxes]]


def _keys(
    given: Layered, numbering: Numbering, previous: Layout, count: int
) -> tuple[dict[int, float], list[int]]:
    """Where each block stood, and the blocks that are new or have new lines."""
    graph = given.wiring.graph
    stood: list[list[int]] = [[] for _ in range(count)]
    fresh: set[int] = set()
    for node, block in enumerate(numbering.of_node):
        place = previous.standing.nodes.get(graph.nodes[node].id)
        if block >= 0 and place is not None:
            stood[block].append(place)
    lines = {(source, target): place for source, target, place in previous.standing.lines}
    for edge, net in zip(graph.edges, given.wiring.net_of_edge, strict=True):
        block = numbering.of_net[net]
        place = lines.get((edge.source, edge.target))
        if place is None:
            fresh.add(block)
        else:
            stood[block].append(place)
    fresh |= {block for block in range(count) if not stood[block]}
    keys = {block: sum(found) / len(found) for block, found in enumerate(stood) if found}
    return keys, sorted(fresh)


def _all_keys(blocks: Blocks, known: Mapping[int, float]) -> list[float]:
    """Keys of all blocks: those without stand at the mean of their neighbours', else below all."""
    near: list[list[int]] = [[] for _ in range(blocks.count)]
    for bundle in blocks.bundles:
        for one, other in ((bundle.tail, bundle.lane), (bundle.lane, bundle.head)):
            near[one].append(other)
            near[other].append(one)
    keys = dict(known)
    while len(keys) < blocks.count:
        found = {}
        for block in range(blocks.count):
            around = [keys[other] for other in near[block] if other in keys]
            if block not in keys and around:
                found[block] = sum(around) / len(around)
        keys.update(found)
        if not found:
            below = max(keys.values(), default=0.0) + 1
            keys.update((b, below) for b in range(blocks.count) if b not in keys)
    return [keys[block] for block in range(blocks.count)]


def _ranks(keys: Sequence[float]) -> list[int]:
    """Per block its place when they are sorted by key."""
    ranks = [0] * len(keys)
    for rank, block in enumerate(sorted(range(len(keys)), key=lambda block: (keys[block], block))):
        ranks[block] = rank
    return ranks


def _settled(
    blocks: Blocks,
    layers: Sequence[int],
    places: list[int],
    fresh: Sequence[int],
    settings: Settings,
) -> list[int]:
    """The places with every fresh block where it crosses least, as near as may be."""
    if not blocks.count:
        return places
    terms = terms_of(blocks.count, strand_rows(blocks, layers), settings.ports == "free")
    orders = Orders(terms, [places], each_alone(terms))
    for _ in range(ROUNDS):
        saved = False
        for block in fresh:
            costs = orders.costs(block)[0]
            here = int(orders.places[0, block])
            if costs[here] > costs.min():
                best = np.flatnonzero(costs == costs.min())
                nearest = best[np.abs(best - here).argmin()]
                orders.move(block, np.array([nearest]))
                saved = True
        if not saved:
            break
    found: list[int] = orders.places[0].tolist()
    return found
