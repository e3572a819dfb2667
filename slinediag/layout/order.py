"""The order of boxes and lanes in every layer, with few crossings."""

from __future__ import annotations

import random
from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from slinediag.layout.blocks import Blocks, Strand, blocks_of
from slinediag.layout.effort import Effort, effort_for
from slinediag.layout.expand import Ordered, expand
from slinediag.layout.layers import Layered
from slinediag.layout.settings import Settings
from slinediag.layout.sifting import Row, anneal, sift
from slinediag.layout.spectrum import slow_waves
from slinediag.layout.terms import Terms, terms_of

Floats = NDArray[np.float64]


def order(layered: Layered, settings: Settings) -> Ordered:
    """Order by one linear order of blocks, found for each part of the graph on its own."""
    blocks = blocks_of(layered)
    places = linear_order(layered, blocks, settings)
    return expand(layered, blocks, places, settings)


def linear_order(layered: Layered, blocks: Blocks, settings: Settings) -> list[int]:
    """Per block its place; the parts of the graph stand one below the other, largest first."""
    part_of = _parts(blocks)
    members: dict[int, list[int]] = {}
    for block, part in enumerate(part_of):
        members.setdefault(part, []).append(block)
    rows: dict[int, list[list[Strand]]] = {part: [] for part in members}
    for row in blocks.rows:
        split: dict[int, list[Strand]] = {}
        for strand in row:
            split.setdefault(part_of[strand.left], []).append(strand)
        for part, strands in split.items():
            rows[part].append(strands)
    before = _previous(layered, blocks, settings)
    places = [0] * blocks.count
    done = 0
    for part in sorted(members, key=lambda part: (-len(members[part]), part)):
        known = {block: k for k, block in enumerate(members[part])}
        own = [[_renumbered(s, known) for s in row] for row in rows[part]]
        keys = {known[b]: before[b] for b in members[part] if b in before}
        found = _order_part(len(known), own, settings, keys)
        for place, block in enumerate(found):
            places[members[part][block]] = done + place
        done += len(known)
    return places


def _renumbered(strand: Strand, known: Mapping[int, int]) -> Strand:
    return Strand(
        known[strand.left],
        known[strand.right],
        strand.weight,
        strand.lefts,
        strand.rights,
        strand.net,
    )


def _parts(blocks: Blocks) -> list[int]:
    """Per block the first block of its part of the graph."""
    parent = list(range(blocks.count))

    def find(block: int) -> int:
        while parent[block] != block:
            parent[block] = parent[parent[block]]
            block = parent[block]
        return block

    for row in blocks.rows:
        for strand in row:
            a, b = find(strand.left), find(strand.right)
            parent[max(a, b)] = min(a, b)
    return [find(block) for block in range(blocks.count)]


def _previous(layered: Layered, blocks: Blocks, settings: Settings) -> dict[int, float]:
    """The mean earlier top of each block that has one."""
    tops: dict[int, list[float]] = {}
    for node, block in enumerate(blocks.of_node):
        top = settings.previous.get(layered.wiring.graph.nodes[node].id)
        if block >= 0 and top is not None:
            tops.setdefault(block, []).append(top)
    return {block: sum(found) / len(found) for block, found in tops.items()}


def _order_part(
    count: int, rows: list[list[Strand]], settings: Settings, before: Mapping[int, float]
) -> list[int]:
    """The blocks of one connected part from top to bottom."""
    if count == 1:
        return [0]
    terms = terms_of(count, rows, settings.ports == "free")
    chance = random.Random(count)
    everyone = range(count)
    if before:
        row = Row(terms, _by_keys(count, rows, before))
        sift(row, chance, 6, everyone)
        return [int(block) for block in row.order]
    effort = effort_for(settings.effort, count)
    best = _starts(terms, rows, effort, chance)[: effort.kept]
    results = list(best)
    for _, row in best:
        hot = Row(terms, row.order.copy())
        anneal(hot, chance, effort.sweeps, everyone, (8.0, 0.5))
        results.append((terms.pairs.crossings(hot.places), hot))
    return [int(block) for block in min(results, key=lambda pair: pair[0])[1].order]


def _starts(
    terms: Terms, rows: list[list[Strand]], effort: Effort, chance: random.Random
) -> list[tuple[int, Row]]:
    """Sifted orders along the slow waves, best first, each with its crossings."""
    count = terms.count
    weights: dict[tuple[int, int], float] = {}
    for row in rows:
        for strand in row:
            if strand.left != strand.right:
                pair = (min(strand.left, strand.right), max(strand.left, strand.right))
                weights[pair] = weights.get(pair, 0.0) + strand.weight
    links = [(a, b, weight) for (a, b), weight in weights.items()]
    waves = slow_waves(count, links, 4)
    found: list[tuple[int, Row]] = []
    for number in range(effort.starts):
        if number == 0 and waves:
            wave = waves[0]
        else:
            wave = sum((w * chance.uniform(-1, 1) for w in waves), np.zeros(count))
        for sign in (1, -1):
            order = np.lexsort((np.arange(count), np.round(sign * wave, 6)))
            made = Row(terms, order)
            sift(made, chance, effort.first_sweeps, range(count))
            found.append((terms.pairs.crossings(made.places), made))
    return sorted(found, key=lambda pair: pair[0])


def _by_keys(count: int, rows: list[list[Strand]], keys: Mapping[int, float]) -> NDArray[np.int64]:
    """Blocks sorted by key; those without one stand at the mean of their neighbours'."""
    near: list[list[int]] = [[] for _ in range(count)]
    for row in rows:
        for strand in row:
            near[strand.left].append(strand.right)
            near[strand.right].append(strand.left)
    known = dict(keys)
    for _ in range(count):
        missing = [b for b in range(count) if b not in known]
        if not missing:
            break
        fresh = {}
        for block in missing:
            around = [known[other] for other in near[block] if other in known]
            if around:
                fresh[block] = sum(around) / len(around)
        if not fresh:
            fresh = dict.fromkeys(missing, 0.0)
        known.update(fresh)
    return np.array(sorted(range(count), key=lambda b: (known[b], b)), np.int64)
