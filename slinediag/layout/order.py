"""The order of boxes and lanes in every layer, with few crossings."""

from __future__ import annotations

from collections.abc import Mapping

from slinediag.layout.blocks import Numbering, blocks_of, parts_of
from slinediag.layout.expand import Ordered, expand
from slinediag.layout.layers import Layered, layered
from slinediag.layout.search import Found, search, settled
from slinediag.layout.settings import Settings


def order(given: Layered, settings: Settings) -> Ordered:
    """Order by one linear order of blocks; boxes may change layer where that saves crossings.

    The parts of the graph are ordered on their own and stand one below the other.
    """
    blocks, numbering = blocks_of(given)
    before = _previous(given, numbering, settings)
    places = [0] * blocks.count
    layers = [-1] * len(given.layers)
    done = 0
    for part, members in parts_of(blocks):
        start = [given.layers[numbering.nodes[block]] for block in members[: part.boxes]]
        keys = {k: before[block] for k, block in enumerate(members) if block in before}
        found: Found = (
            settled(part, start, keys, settings) if keys else search(part, start, settings)
        )
        for block, place in zip(members, found.places, strict=True):
            places[block] = done + place
        for block, layer in zip(members[: part.boxes], found.layers, strict=True):
            layers[numbering.nodes[block]] = layer
        done += part.count
    final = layered(given.wiring, given.chains, layers)
    return expand(final, numbering, places, settings)


def _previous(given: Layered, numbering: Numbering, settings: Settings) -> Mapping[int, float]:
    """The mean earlier top of each block that has one."""
    if not settings.previous:
        return {}
    tops: dict[int, list[float]] = {}
    for node, block in enumerate(numbering.of_node):
        top = settings.previous.get(given.wiring.graph.nodes[node].id)
        if block >= 0 and top is not None:
            tops.setdefault(block, []).append(top)
    return {block: sum(found) / len(found) for block, found in tops.items()}
