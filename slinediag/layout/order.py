"""The order of boxes and lanes in every layer, with few crossings."""

from __future__ import annotations

from collections.abc import Sequence

from slinediag.layout.blocks import Blocks, Numbering, blocks_of, parts_of
from slinediag.layout.expand import Ordered, expand
from slinediag.layout.keeping import keep_order
from slinediag.layout.layers import Layered, layered
from slinediag.layout.search import Fine, Found, search
from slinediag.layout.settings import Settings


def order(given: Layered, settings: Settings) -> Ordered:
    """Order by one linear order of blocks; boxes may change layer where that saves crossings.

    The parts of the graph are ordered on their own. Each stands below those before it, in the
    layers where that makes the whole least high.
    """
    return orders(given, settings)[0]


def orders(given: Layered, settings: Settings) -> tuple[Ordered, ...]:
    """The order, and where the search was thorough the quick one too, which it meets on the way."""
    if settings.previous:
        return (keep_order(given, settings.previous, settings),)
    blocks, numbering = blocks_of(given)
    fine, fine_numbering = blocks_of(given, fine=True)
    whole = _wholes(numbering, fine_numbering, fine.count)
    # Boxes have the same numbers in both.
    fine_parts = {members[0]: (part, members) for part, members in parts_of(fine)}
    searched = []
    for part, members in parts_of(blocks):
        start = [given.layers[numbering.nodes[block]] for block in members[: part.boxes]]
        fine_part, fine_members = fine_parts[members[0]]
        own = {block: k for k, block in enumerate(members)}
        parts = Fine(fine_part, tuple(own[whole[block]] for block in fine_members))
        searched.append((parts, fine_members, search(part, parts, start, settings)))
    count = 2 if settings.effort == "thorough" else 1
    return tuple(
        _stacked(
            given,
            [(fine.blocks, members, found[number]) for fine, members, found in searched],
            fine_numbering,
            settings,
        )
        for number in range(count)
    )


def _stacked(
    given: Layered,
    parts: Sequence[tuple[Blocks, Sequence[int], Found]],
    numbering: Numbering,
    settings: Settings,
) -> Ordered:
    """The parts, each with its fine blocks' numbers and order, one below the other."""
    places = [0] * sum(part.count for part, _, _ in parts)
    layers = [-1] * len(given.layers)
    skyline: list[float] = []
    done = 0
    for part, members, found in parts:
        heights = _heights(part, members, found.layers, numbering, given)
        shift = _shift(heights, skyline)
        for block, place in zip(members, found.places, strict=True):
            places[block] = done + place
        for block, layer in zip(members[: part.boxes], found.layers, strict=True):
            layers[numbering.nodes[block]] = layer + shift
        done += part.count
    final = layered(given.wiring, given.chains, layers)
    return expand(final, numbering, places, settings)


def _wholes(numbering: Numbering, fine: Numbering, count: int) -> list[int]:
    """Per fine block the block that it is a part of."""
    whole = [0] * count
    for of, fine_of in ((numbering.of_node, fine.of_node), (numbering.of_net, fine.of_net)):
        for block, part in zip(of, fine_of, strict=True):
            if part >= 0:
                whole[part] = block
    return whole


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
