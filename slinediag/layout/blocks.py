"""Layers seen as blocks: what moves up and down as one, and the strands between blocks.

A block is a box, a bundle of all chains between the same two boxes, or the lanes of any other
net. Every block has one place in one linear order, which holds in every layer it passes.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

from slinediag.layout.layers import Layered
from slinediag.layout.nets import Net


@dataclass(frozen=True, slots=True)
class Strand:
    """Lines in one gap that start at one block and end at one block.

    ``lefts`` and ``rights`` are port numbers, sorted; empty where the block is no box.
    ``net`` is the net of a strand that shares a trunk with others, else -1.
    """

    left: int
    right: int
    weight: int
    lefts: tuple[int, ...]
    rights: tuple[int, ...]
    net: int = -1


@dataclass(frozen=True, slots=True)
class Blocks:
    """``count`` blocks; per box and per net the block it belongs to, -1 for none.

    ``rows`` of strands: lines cross only within a row. Each gap is a row. A run that leaves
    and returns on one side of a gap crosses what starts between: it stands in a row of its
    own kind, in which all that starts on that side stands as strands going straight.
    """

    count: int
    of_node: tuple[int, ...]
    of_net: tuple[int, ...]
    rows: tuple[tuple[Strand, ...], ...]


def blocks_of(layered: Layered) -> Blocks:
    """Number the blocks (boxes first, in the graph's order) and gather the rows of strands."""
    wiring = layered.wiring
    of_node = [-1] * len(wiring.graph.nodes)
    of_net = [-1] * len(wiring.nets)
    bundles: dict[tuple[int, int], list[int]] = defaultdict(list)
    for number, chain in enumerate(layered.chains):
        bundles[chain.source[0], chain.target[0]].append(number)
    inner = {node for chain in layered.chains for node in chain.nodes}
    count = 0
    for node, place in enumerate(layered.layers):
        if place >= 0 and node not in inner:
            of_node[node] = count
            count += 1
    gaps: list[list[Strand]] = [[] for _ in range(layered.depth + 1)]
    for (source, target), members in bundles.items():
        chains = [layered.chains[k] for k in members]
        first, last = layered.layers[source], layered.layers[target] - 1
        lefts = tuple(sorted(chain.source[1] for chain in chains))
        rights = tuple(sorted(chain.target[1] for chain in chains))
        weight = len(chains)
        if first == last:
            strand = Strand(of_node[source], of_node[target], weight, lefts, rights)
            gaps[first + 1].append(strand)
            continue
        for chain in chains:
            for node in chain.nodes:
                of_node[node] = count
            for net in chain.nets:
                of_net[net] = count
        gaps[first + 1].append(Strand(of_node[source], count, weight, lefts, ()))
        gaps[last + 1].append(Strand(count, of_node[target], weight, (), rights))
        for gap in range(first + 1, last):
            gaps[gap + 1].append(Strand(count, count, weight, (), ()))
        count += 1
    in_chain = {net for chain in layered.chains for net in chain.nets}
    turns: list[tuple[list[Strand], list[Strand]]] = [([], []) for _ in gaps]
    for number in range(len(wiring.nets)):
        if number in in_chain:
            continue
        first, last = layered.spans[number]
        if first < last:
            of_net[number] = count
            count += 1
        for gap in range(first, last + 1):
            for left, right, side in links(layered, number, gap):
                strand = _strand(left, right, number, of_node, of_net)
                if side == 0:
                    gaps[gap + 1].append(strand)
                else:
                    turns[gap + 1][0 if side < 0 else 1].append(strand)
    return Blocks(count, tuple(of_node), tuple(of_net), tuple(_rows(gaps, turns)))


LinkEnd = tuple[int, int] | None
"""A box and its port; None for the net's own lane."""


def links(layered: Layered, number: int, gap: int) -> Iterator[tuple[LinkEnd, LinkEnd, int]]:
    """The net's run in a gap as links from end to end: (end, end, side).

    Side 0: the first end is on the gap's left, the second on its right; -1 and 1: both are on
    the left, on the right.
    """
    lefts, rights = ends_in_gap(layered, number, gap)
    if lefts and rights:
        yield lefts[0], rights[0], 0
        for left in lefts[1:]:
            yield left, rights[0], 0
        for right in rights[1:]:
            yield lefts[0], right, 0
        return
    side, ends = (-1, lefts) if lefts else (1, rights)
    for end in ends[1:]:
        yield ends[0], end, side


def ends_in_gap(layered: Layered, number: int, gap: int) -> tuple[list[LinkEnd], list[LinkEnd]]:
    """What the net's run in a gap joins on the gap's left and right; the lane comes first."""
    net: Net = layered.wiring.nets[number]
    first, last = layered.spans[number]
    lefts: list[LinkEnd] = [None] if gap > first else []
    rights: list[LinkEnd] = [None] if gap < last else []
    lefts += [end for end in net.sources if layered.layers[end[0]] == gap]
    rights += [end for end in net.targets if layered.layers[end[0]] - 1 == gap]
    return lefts, rights


def _strand(
    left: LinkEnd, right: LinkEnd, net: int, of_node: list[int], of_net: list[int]
) -> Strand:
    return Strand(
        of_net[net] if left is None else of_node[left[0]],
        of_net[net] if right is None else of_node[right[0]],
        1,
        () if left is None else (left[1],),
        () if right is None else (right[1],),
        net,
    )


def _rows(
    gaps: list[list[Strand]], turns: list[tuple[list[Strand], list[Strand]]]
) -> Iterator[tuple[Strand, ...]]:
    for gap, (left, right) in zip(gaps, turns, strict=True):
        yield tuple(gap)
        if left:
            yield (*left, *(Strand(s.left, s.left, s.weight, s.lefts, s.lefts) for s in gap))
        if right:
            yield (*right, *(Strand(s.right, s.right, s.weight, s.rights, s.rights) for s in gap))
