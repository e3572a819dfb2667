"""The order of boxes and lanes in every layer, with few crossings."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from slinediag.layout.blocks import Blocks, Numbering, blocks_of, parts_of
from slinediag.layout.expand import Ordered, expand
from slinediag.layout.layers import Layered, layered
from slinediag.layout.search import Found, search, settled
from slinediag.layout.settings import Settings


def order(given: Layered, settings: Settings) -> Ordered:
    """Order by one linear order of blocks; boxes may change layer where that saves crossings.

    The parts of the graph are ordered on their own. Each stands below those before it, in the
    layers where that makes the whole least high.
    """
    blocks, numbering = blocks_of(given)
    before = _previous(given, numbering, settings)
    places = [0] * blocks.count
    layers = [-1] * len(given.layers)
    skyline: list[float] = []
    done = 0
    for part, members in parts_of(blocks):
        start = [given.layers[numbering.nodes[block]] for block in members[: part.boxes]]
        known = {k: before[block] for k, block in enumerate(members) if block in before}
        found: Found
        if known:
            found = settled(part, start, known, settings)
            shift = 0
        else:
            found = search(part, start, settings)
            shift = _shift(_heights(part, members, found.layers, numbering, given), skyline)
        for block, place in zip(members, found.places, strict=True):
            places[block] = done + place
        for block, layer in zip(members[: part.boxes], found.layers, strict=True):
            layers[numbering.nodes[block]] = layer + shift
        done += part.count
    old = settings.previous.layer_of() if settings.previous else {}
    index = given.wiring.graph.index
    kept = {index[name]: layer for name, layer in old.items() if name in index}
    final = layered(given.wiring, given.chains, layers, kept)
    return expand(final, numbering, places, settings)


def _heights(
    part: Blocks,
    members: Sequence[int],
    layers: Sequence[int],
    numbering: Numbering,
    given: Layered,
) -> list[float]:
    """How high a part is in each of its layers, roughly: boxes, and a row of 8 mm a line."""
    nodes = given.wiring.graph.nodes
    heights = [0.0] * (max(layers) + 1)
    for block, layer in enumerate(layers):
        node = nodes[numbering.nodes[members[block]]]
        heights[layer] += node.height + node.above + node.below + 8.0
    for bundle in part.bundles:
        for layer in range(layers[bundle.tail] + 1, layers[bundle.head]):
            heights[layer] += 8.0 * bundle.weight
    return heights


def _shift(heights: Sequence[float], skyline: list[float]) -> int:
    """How many layers further right a part stands best; ``skyline`` gains its heights."""
    best: tuple[float, float, int] | None = None
    for shift in range(max(0, len(skyline) - len(heights)) + 1):
        under = skyline[shift : shift + len(heights)]
        base = max(under, default=0.0)
        foot = max(base + max(heights), max(skyline, default=0.0))
        key = (foot, base, shift)
        best = key if best is None else min(best, key)
    assert best is not None
    _, base, shift = best
    skyline.extend([0.0] * (shift + len(heights) - len(skyline)))
    for layer, height in enumerate(heights, shift):
        skyline[layer] = base + height
    return shift


def _previous(
    given: Layered, numbering: Numbering, settings: Settings
) -> Mapping[int, tuple[float, int]]:
    """Of each block that was in an earlier layout, its mean top and its layer."""
    earlier = settings.previous
    if earlier is None:
        return {}
    layer_of = earlier.layer_of()
    tops: dict[int, list[tuple[float, int]]] = {}
    for node, block in enumerate(numbering.of_node):
        name = given.wiring.graph.nodes[node].id
        if block >= 0 and name in layer_of:
            tops.setdefault(block, []).append((earlier.nodes[name][1], layer_of[name]))
    return {
        block: (sum(top for top, _ in found) / len(found), found[0][1])
        for block, found in tops.items()
    }
