"""A graph seen as blocks: what moves up and down as one, and the strands between blocks.

A block is a box, a bundle of all chains between the same two boxes, or the lanes of any other
net. Every block has one place in one linear order, which holds in every layer it passes.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from slinediag.layout.chains import Chain
from slinediag.layout.layers import Layered
from slinediag.layout.nets import End
from slinediag.layout.spans import LinkEnd, ends_in_gap, links, span


@dataclass(frozen=True, slots=True)
class Bundle:
    """Lines from box to box, by the blocks' numbers; ``lane`` is the block they pass as.

    ``starts`` and ``ends``: sorted port numbers. ``need``: least difference of the boxes'
    layers. ``net`` is the net of a line that shares a trunk with others or runs back, else -1;
    a line that runs back goes from ``head`` to ``tail``.
    """

    tail: int
    head: int
    lane: int
    weight: int
    starts: tuple[int, ...]
    ends: tuple[int, ...]
    need: int
    net: int = -1
    back: bool = False


@dataclass(frozen=True, slots=True)
class Fan:
    """A net that is no chain: one that shares ports or runs back. Ends are (block, port)."""

    net: int
    lane: int
    sources: tuple[End, ...]
    targets: tuple[End, ...]


@dataclass(frozen=True, slots=True)
class Blocks:
    """``count`` blocks, the first ``boxes`` of them boxes, in the graph's order.

    ``bundles`` hold the edges of ``fans`` too, each on its own.
    """

    count: int
    boxes: int
    bundles: tuple[Bundle, ...]
    fans: tuple[Fan, ...]


@dataclass(frozen=True, slots=True)
class Numbering:
    """``nodes[b]`` is the box of block b; ``of_node`` and ``of_net`` the block of each box and
    net, -1 for a box without lines."""

    nodes: tuple[int, ...]
    of_node: tuple[int, ...]
    of_net: tuple[int, ...]


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
class Rows:
    """Strands in rows: lines cross only within a row.

    Each gap is one of ``gaps``. A run that leaves and returns on one side of a gap crosses what
    starts between: it stands as an arc in one of ``turns``, in which all else that starts on
    that side stands as strands from a block to itself.
    """

    gaps: tuple[tuple[Strand, ...], ...]
    turns: tuple[tuple[Strand, ...], ...]


def blocks_of(layered: Layered, fine: bool = False) -> tuple[Blocks, Numbering]:
    """Number the blocks: boxes outside chains, bundles, other nets.

    ``fine``: a bundle is parted where its ports do not follow each other at both ends, so that
    other lines may come between.
    """
    wiring = layered.wiring
    inner = {node for chain in layered.chains for node in chain.nodes}
    nodes = [n for n, place in enumerate(layered.layers) if place >= 0 and n not in inner]
    of_node = [-1] * len(wiring.graph.nodes)
    of_net = [-1] * len(wiring.nets)
    for block, node in enumerate(nodes):
        of_node[node] = block
    joined: dict[tuple[int, int], list[Chain]] = defaultdict(list)
    for chain in layered.chains:
        joined[chain.source[0], chain.target[0]].append(chain)
    bundles = []
    count = len(nodes)
    for (source, target), all_chains in joined.items():
        for chains in _strings(all_chains) if fine else [all_chains]:
            for chain in chains:
                for node in chain.nodes:
                    of_node[node] = count
                for net in chain.nets:
                    of_net[net] = count
            bundles.append(_bundle(of_node[source], of_node[target], count, chains))
            count += 1
    fans = []
    for number, wires in enumerate(wiring.nets):
        if of_net[number] < 0:
            of_net[number] = count
            for edge in wires.edges:
                bundles.append(_single(layered, edge, number, of_node, count))
            sources = tuple((of_node[node], port) for node, port in wires.sources)
            targets = tuple((of_node[node], port) for node, port in wires.targets)
            fans.append(Fan(number, count, sources, targets))
            count += 1
    blocks = Blocks(count, len(nodes), tuple(bundles), tuple(fans))
    return blocks, Numbering(tuple(nodes), tuple(of_node), tuple(of_net))


def _strings(chains: Sequence[Chain]) -> list[list[Chain]]:
    """The chains between two boxes, parted where ports are left out at either end."""
    found: list[list[Chain]] = []
    for chain in sorted(chains, key=lambda chain: (chain.source[1], chain.target[1])):
        last = found[-1][-1] if found else None
        if last and chain.source[1] == last.source[1] + 1 and chain.target[1] == last.target[1] + 1:
            found[-1].append(chain)
        else:
            found.append([chain])
    return found


def _bundle(tail: int, head: int, lane: int, chains: Sequence[Chain]) -> Bundle:
    starts = tuple(sorted(chain.source[1] for chain in chains))
    ends = tuple(sorted(chain.target[1] for chain in chains))
    need = max(len(chain.nodes) for chain in chains) + 1
    return Bundle(tail, head, lane, len(chains), starts, ends, need)


def _single(layered: Layered, edge: int, net: int, of_node: Sequence[int], lane: int) -> Bundle:
    """One edge of a net that is no chain."""
    (source, out), (target, into) = layered.wiring.ends[edge]
    tail, head = of_node[source], of_node[target]
    if layered.layers[target] <= layered.layers[source]:
        return Bundle(head, tail, lane, 1, (into,), (out,), 0, net, True)
    return Bundle(tail, head, lane, 1, (out,), (into,), 1, net)


def parts_of(blocks: Blocks) -> list[tuple[Blocks, tuple[int, ...]]]:
    """The connected parts, each numbered on its own, with its blocks' numbers in the whole.

    Largest first, then in order of their first block.
    """
    parent = list(range(blocks.count))

    def find(block: int) -> int:
        while parent[block] != block:
            parent[block] = parent[parent[block]]
            block = parent[block]
        return block

    for bundle in blocks.bundles:
        for other in (bundle.head, bundle.lane):
            a, b = find(bundle.tail), find(other)
            parent[max(a, b)] = min(a, b)
    members: dict[int, list[int]] = defaultdict(list)
    for block in range(blocks.count):
        members[find(block)].append(block)
    bundles: dict[int, list[Bundle]] = defaultdict(list)
    for bundle in blocks.bundles:
        bundles[find(bundle.tail)].append(bundle)
    fans: dict[int, list[Fan]] = defaultdict(list)
    for fan in blocks.fans:
        fans[find(fan.lane)].append(fan)
    return [
        (_part(blocks.boxes, members[root], bundles[root], fans[root]), tuple(members[root]))
        for root in sorted(members, key=lambda root: (-len(members[root]), root))
    ]


def _part(boxes: int, members: list[int], bundles: list[Bundle], fans: list[Fan]) -> Blocks:
    own = {block: number for number, block in enumerate(members)}
    return Blocks(
        len(members),
        sum(block < boxes for block in members),
        tuple(replace(b, tail=own[b.tail], head=own[b.head], lane=own[b.lane]) for b in bundles),
        tuple(
            Fan(
                fan.net,
                own[fan.lane],
                tuple((own[block], port) for block, port in fan.sources),
                tuple((own[block], port) for block, port in fan.targets),
            )
            for fan in fans
        ),
    )


def strand_rows(blocks: Blocks, layers: Sequence[int]) -> Rows:
    """The strands of all gaps, with the boxes in ``layers``."""
    gaps: list[list[Strand]] = [[] for _ in range(max(layers) + 2)]
    turns: list[tuple[list[Strand], list[Strand]]] = [([], []) for _ in gaps]
    for bundle in blocks.bundles:
        if bundle.net < 0:
            first, last = layers[bundle.tail], layers[bundle.head] - 1
            for gap in range(first, last + 1):
                gaps[gap + 1].append(_bundle_strand(bundle, gap == first, gap == last))
    for fan in blocks.fans:
        first, last = span(fan.sources, fan.targets, layers)
        for gap in range(first, last + 1):
            lefts, rights = ends_in_gap(fan.sources, fan.targets, layers, gap, (first, last))
            for left, right, side in links(lefts, rights):
                strand = _link_strand(left, right, fan)
                if side == 0:
                    gaps[gap + 1].append(strand)
                else:
                    turns[gap + 1][0 if side < 0 else 1].append(strand)
    return Rows(tuple(tuple(gap) for gap in gaps if len(gap) > 1), tuple(_turn_rows(gaps, turns)))


def _bundle_strand(bundle: Bundle, first: bool, last: bool) -> Strand:
    return Strand(
        bundle.tail if first else bundle.lane,
        bundle.head if last else bundle.lane,
        bundle.weight,
        bundle.starts if first else (),
        bundle.ends if last else (),
    )


def _link_strand(left: LinkEnd, right: LinkEnd, fan: Fan) -> Strand:
    return Strand(
        left[0] if left else fan.lane,
        right[0] if right else fan.lane,
        1,
        (left[1],) if left else (),
        (right[1],) if right else (),
        fan.net,
    )


def _turn_rows(
    gaps: list[list[Strand]], turns: list[tuple[list[Strand], list[Strand]]]
) -> Iterator[tuple[Strand, ...]]:
    for gap, (left, right) in zip(gaps, turns, strict=True):
        if left:
            yield (*left, *(Strand(s.left, s.left, s.weight, s.lefts, s.lefts) for s in gap))
        if right:
            yield (*right, *(Strand(s.right, s.right, s.weight, s.rights, s.rights) for s in gap))
