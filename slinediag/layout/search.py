"""The search for places and layers of the blocks of one connected part."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from slinediag.layout.blocks import Blocks, strand_rows
from slinediag.layout.crews import Crews, crews_of
from slinediag.layout.effort import Effort, Round, effort_for
from slinediag.layout.settings import Settings
from slinediag.layout.shifting import Lattice, shift, without_empty
from slinediag.layout.sides import Lines
from slinediag.layout.sifting import Orders, anneal, sift
from slinediag.layout.spectrum import slow_waves
from slinediag.layout.terms import Terms, terms_of

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]

# Where ports are free, few blocks often need not cross: then what is left is searched once more.
FEW = 90

# Heats in crossings: hotter on spectral starts, or longer, did not pay.
HEATS = (8.0, 0.5)


@dataclass(frozen=True, slots=True)
class Found:
    """Per block its place in the linear order, 0 on top; per box its layer; the crossings.

    ``span``: layers crossed by all lines together.
    """

    places: tuple[int, ...]
    layers: tuple[int, ...]
    crossings: int
    span: int


@dataclass(frozen=True, slots=True)
class Fine:
    """A part's blocks with bundles in parts, and of each block the whole one it is of."""

    blocks: Blocks
    whole: tuple[int, ...]


class Field:
    """Blocks to be put in order, whether their ports are free, and their lines."""

    def __init__(self, blocks: Blocks, free: bool) -> None:
        self.blocks, self.free = blocks, free
        self.lines = Lines(blocks, free)

    def terms(self, layers: Sequence[int]) -> Terms:
        """What an order costs with the boxes in ``layers``."""
        return terms_of(self.blocks.count, strand_rows(self.blocks, layers), self.free)


def search(part: Blocks, fine: Fine, layers: Sequence[int], settings: Settings) -> list[Found]:
    """The orders of fine blocks and the layers of fewest crossings met in the effort's steps.

    The best first. The thorough search has the quick one's result among its own, which comes last:
    it is not always better.
    """
    free = settings.ports == "free"
    waves = _waves(part)
    field, fine_field = Field(part, free), Field(fine.blocks, free)
    found: list[Found] = []
    for kind in ("quick", "thorough") if settings.effort == "thorough" else ("quick",):
        if not found or found[0].crossings:
            effort = effort_for(kind, part.count)
            one = _tried(field, layers, effort, waves, part.count)
            if free and kind == "quick" and one.crossings and part.count < FEW:
                other = _tried(field, layers, effort, waves, part.count - 1)
                one = _best([one, other])[0]
            polish = effort_for(kind, fine.blocks.count).polish
            found.append(_polished(fine_field, _parted(fine, one), polish))
    return [_best(found)[0], found[0]]


def _parted(fine: Fine, found: Found) -> Found:
    """The same order with bundles in parts."""
    whole = np.array(found.places, np.int64)[list(fine.whole)]
    return replace(found, places=tuple(_ranks(np.lexsort((np.arange(len(whole)), whole)))))


def _polished(fine: Field, found: Found, rounds: Sequence[Round]) -> Found:
    """The best met when bundles move in parts."""
    if not found.crossings:
        return found
    best = _counted(fine, fine.terms(found.layers), [found.places], found.layers)
    return _bettered(fine, best, rounds, random.Random(fine.blocks.count))


def _tried(
    field: Field,
    layers: Sequence[int],
    effort: Effort,
    waves: Sequence[Floats],
    seed: int,
) -> Found:
    """The best that one run of starts, annealing and rounds meets."""
    chance = random.Random(seed)
    terms = field.terms(layers)
    crews = crews_of(terms)
    found = _starts(field, layers, terms, crews, effort, waves, chance)
    if not found[0].crossings:
        return found[0]
    if effort.sweeps:
        orders = Orders(terms, [one.places for one in found[: effort.kept]], crews)
        anneal(orders, chance, effort.sweeps, HEATS)
        found = _best([*found, *_found(field, orders, layers)])
    best = _bettered(field, found, effort.rounds, chance)
    if best.crossings and effort.unlike:
        unlike = unlike_first(found)[: effort.unlike[0].kept]
        other = _bettered(field, unlike, effort.unlike, random.Random(seed + 1))
        best = min(best, other, key=lambda one: one.crossings)
    return best


def _bettered(
    field: Field, found: list[Found], rounds: Sequence[Round], chance: random.Random
) -> Found:
    """The best of all that is found and met in the rounds."""
    found = _best(found)
    for step in rounds:
        for one in found[: step.kept]:
            for _ in range(step.times):
                one = _moved(field, one, step, chance)
                found.append(one)
        found = _best(found)
    return found[0]


def _found(field: Field, orders: Orders, layers: Sequence[int]) -> list[Found]:
    return _counted(field, orders.terms, orders.places.tolist(), layers)


def _counted(
    field: Field, terms: Terms, places: Sequence[Sequence[int]], layers: Sequence[int]
) -> list[Found]:
    span = sum(b.weight * (layers[b.head] - layers[b.tail]) for b in field.blocks.bundles)
    crossings = [terms.pairs.crossings(np.array(own, np.int64)) for own in places]
    return [
        Found(tuple(own), tuple(layers), number, span)
        for own, number in zip(places, crossings, strict=True)
    ]


def _best(found: list[Found]) -> list[Found]:
    """Fewest crossings first, then the shortest lines, then the earlier."""
    return sorted(found, key=lambda one: (one.crossings, one.span))


def unlike_first(found: Sequence[Found]) -> list[Found]:
    """The same, but those that cross as often and are as long as one before come behind all others.

    Such are mostly the same but for a few blocks, and lead to the same.
    """
    first: list[Found] = []
    again: list[Found] = []
    met: set[tuple[int, int]] = set()
    for one in found:
        (again if (one.crossings, one.span) in met else first).append(one)
        met.add((one.crossings, one.span))
    return [*first, *again]


def _ranks(order: Ints) -> list[int]:
    """Per block its place in an order."""
    ranks = np.empty_like(order)
    ranks[order] = np.arange(len(order))
    found: list[int] = ranks.tolist()
    return found


def _moved(field: Field, one: Found, step: Round, chance: random.Random) -> Found:
    """One round: boxes to better layers, then all blocks to better places."""
    spread = np.array(one.layers, np.int64) * step.stretch
    lattice = Lattice(field.lines, spread, _places_with_unused(field.blocks, one))
    shift(lattice, chance, step.passes)
    layers = _tight(field.blocks, without_empty(lattice.layers.tolist()))
    terms = field.terms(layers)
    ranks = _ranks(np.argsort(lattice.places, kind="stable"))
    orders = Orders(terms, [ranks] * step.copies, crews_of(terms))
    sift(orders, chance, 1)
    anneal(orders, chance, step.sweeps, (step.heat, HEATS[1]))
    return _best(_found(field, orders, layers))[0]


def _places_with_unused(part: Blocks, one: Found) -> NDArray[np.float64]:
    """Places as numbers; a bundle that is no lane yet stands between its boxes."""
    places = np.array(one.places, np.float64)
    for bundle in part.bundles:
        if one.layers[bundle.head] - one.layers[bundle.tail] == 1 and bundle.net < 0:
            places[bundle.lane] = (places[bundle.tail] + places[bundle.head]) / 2
    return places


def _tight(part: Blocks, layers: list[int]) -> list[int]:
    """The layers with as much added between as the lines' boxes in single file need."""
    into: list[list[tuple[int, int]]] = [[] for _ in range(part.boxes)]
    for bundle in part.bundles:
        if bundle.tail != bundle.head:
            into[bundle.head].append((bundle.tail, bundle.need))
    for box in sorted(range(part.boxes), key=lambda box: layers[box]):
        for tail, need in into[box]:
            layers[box] = max(layers[box], layers[tail] + need)
    return layers


def _starts(
    field: Field,
    layers: Sequence[int],
    terms: Terms,
    crews: Crews,
    effort: Effort,
    waves: Sequence[Floats],
    chance: random.Random,
) -> list[Found]:
    """Sifted orders along the slow waves, best first."""
    count = field.blocks.count
    ranks = []
    for number in range(effort.starts):
        if number == 0 and waves:
            wave = waves[0]
        else:
            wave = sum((w * chance.uniform(-1, 1) for w in waves), np.zeros(count))
        for sign in (1, -1):
            ranks.append(_ranks(np.lexsort((np.arange(count), np.round(sign * wave, 6)))))
    orders = Orders(terms, ranks, crews)
    sift(orders, chance, effort.first_sweeps)
    return _best(_found(field, orders, layers))


def _waves(part: Blocks) -> list[Floats]:
    """The slow waves over the blocks, which every search of them starts along."""
    weights: dict[tuple[int, int], float] = {}
    for bundle in part.bundles:
        for end in (bundle.tail, bundle.head):
            pair = (end, bundle.lane)
            weights[pair] = weights.get(pair, 0.0) + bundle.weight
    return slow_waves(part.count, [(a, b, weight) for (a, b), weight in weights.items()], 4)
