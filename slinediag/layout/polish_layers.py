"""Fewer crossings in layers that are found: boxes moved one at a time, their lines led anew.

A box may come into any layer that its lines allow, and between two of them. Only boxes whose own
lines cross are tried, those with most crossings first.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Container, Iterator, Sequence
from dataclasses import dataclass, replace

from slinediag.layout.expand import Ordered, items_by_layer, lane
from slinediag.layout.layers import Layered, layered
from slinediag.layout.polish_table import Known, Spot, Table
from slinediag.layout.polish_ways import lead, smooth

# How many moves are tried before it is left at that, and how many layers far a box may move.
TRIES = 100
REACH = 5
# Pairs of nets that share a gap: with more, trying takes longer than the search.
MOST_PAIRS = 3_000
# Rounds in which the lines of a box that has moved settle.
ROUNDS = 3


def move_boxes(ordered: Ordered, known: Known | None = None) -> Ordered:
    """The order in other layers, with as many crossings or fewer."""
    table = Table(ordered, known)
    crossings = table.crossings()
    tries = TRIES
    while crossings and table.pairs <= MOST_PAIRS:
        found = None
        heights = _heights(ordered)
        for move in _moves(ordered, table):
            if tries == 0:
                return ordered
            tries -= 1
            found = _moved(ordered, move, heights, crossings, table.known)
            if found:
                break
        if not found:
            break
        ordered, table = found, Table(found, table.known)
        crossings = table.crossings()
    return ordered


@dataclass(frozen=True, slots=True)
class Move:
    """A box and where it comes: layers count twice, odd numbers lie between two of them."""

    box: int
    to: int


def _moves(ordered: Ordered, table: Table) -> Iterator[Move]:
    """The moves of boxes whose lines cross: near layers first, of boxes that cross most first."""
    given = ordered.layered
    windows = _windows(given)
    crossed = crossed_boxes(given, table)
    crossed += _beyond(given, crossed, windows)
    for far in range(1, 2 * REACH + 1):
        for box in crossed:
            low, high = windows[box]
            for to in (2 * given.layers[box] - far, 2 * given.layers[box] + far):
                if low <= to <= high:
                    yield Move(box, to)


def crossed_boxes(given: Layered, table: Table) -> list[int]:
    """Boxes outside chains at the ends of what crosses, most crossings first."""
    ends: dict[int, set[int]] = defaultdict(set)
    for number, net in enumerate(given.wiring.nets):
        ends[number] = {box for box, _ in (*net.sources, *net.targets)}
    for chain in given.chains:
        for number in chain.nets:
            ends[number] = {chain.source[0], chain.target[0]}
    count: Counter[int] = Counter()
    for gap in range(-1, given.depth):
        for one, other, times in table.crossed(gap):
            for box in ends[one] | ends[other]:
                count[box] += times
    return sorted(count, key=lambda box: (-count[box], box))


def _beyond(given: Layered, crossed: Sequence[int], boxes: Container[int]) -> list[int]:
    """Boxes that a line leads to from crossed ones in single file, where they are not crossed."""
    wiring = given.wiring
    found: dict[int, None] = {}
    for box in crossed:
        if len(wiring.entering[box]) == len(wiring.leaving[box]) == 1:
            for _, number in (*wiring.leaving[box], *wiring.entering[box]):
                net = wiring.nets[number]
                found.update((other, None) for other, _ in (*net.targets, *net.sources))
    return [box for box in found if box in boxes and box not in crossed]


def _windows(given: Layered) -> dict[int, tuple[int, int]]:
    """Per box outside chains the doubled layers that it may take while all others stay.

    What runs back goes on doing so: then its ends may change sides of each other in no way.
    """
    low: dict[int, int] = defaultdict(lambda: -1)
    high: dict[int, int] = defaultdict(lambda: 2 * given.depth - 1)

    def after(one: int, other: int, need: int) -> None:
        """``other`` at least ``need`` behind ``one``."""
        low[other] = max(low[other], 2 * given.layers[one] + need)
        high[one] = min(high[one], 2 * given.layers[other] - need)

    in_chain = {number for chain in given.chains for number in chain.nets}
    for chain in given.chains:
        after(chain.source[0], chain.target[0], len(chain.nodes) + 1)
    for edge, ((source, _), (target, _)) in enumerate(given.wiring.ends):
        if source == target or given.wiring.net_of_edge[edge] in in_chain:
            continue
        if given.layers[target] > given.layers[source]:
            after(source, target, 1)
        else:
            after(target, source, 0)
    inner = {node for chain in given.chains for node in chain.nodes}
    boxes = [n for n, place in enumerate(given.layers) if place >= 0 and n not in inner]
    return {box: (low[box], high[box]) for box in boxes}


def _moved(
    ordered: Ordered, move: Move, heights: dict[int, float], most: int, known: Known
) -> Ordered | None:
    """The order with a box moved, if it has fewer than ``most`` crossings."""
    given = ordered.layered
    inner = {node for chain in given.chains for node in chain.nodes}
    boxes = [-1 if n in inner else 2 * place for n, place in enumerate(given.layers)]
    boxes = [place if place >= 0 else -1 for place in boxes]
    boxes[move.box] = move.to
    if move.to < 0:
        boxes = [place + 2 if place >= 0 else -1 for place in boxes]
        boxes[move.box] = 1
    shift = 2 if move.to < 0 else 0
    before = {node: 2 * given.layers[node] + shift for node in inner}
    changed = layered(given.wiring, given.chains, boxes, before)
    rows, fresh = _rows(ordered, changed, move.box, heights)
    table = Table(replace(ordered, layered=changed, rows=rows), known)
    _settle(table, fresh)
    if table.crossings() > most:
        return None
    smooth(table)
    return table.ordered() if table.crossings() < most else None


def _rows(
    ordered: Ordered, changed: Layered, box: int, heights: dict[int, float]
) -> tuple[tuple[tuple[int, ...], ...], set[Spot]]:
    """The rows of changed layers as they were, and what is new in them, about where it stood."""
    items = items_by_layer(changed)
    old_row = _old_rows(ordered, changed, box)
    rows, fresh = [], set()
    for place, found in enumerate(items):
        here = set(found)
        row = [item for item in old_row.get(place, ()) if item in here]
        for item in sorted(here - set(row)):
            fresh.add((place, item))
            row.insert(round(heights.get(item, 0.5) * len(row)), item)
        rows.append(tuple(row))
    return tuple(rows), fresh


def _old_rows(ordered: Ordered, changed: Layered, box: int) -> dict[int, tuple[int, ...]]:
    """By new layer, the row of the old layer that it was."""
    given = ordered.layered
    moving = {node for c in given.chains if box in (c.source[0], c.target[0]) for node in c.nodes}
    return {
        changed.layers[node]: ordered.rows[place]
        for node, place in enumerate(given.layers)
        if place >= 0 and node != box and node not in moving
    }


def _heights(ordered: Ordered) -> dict[int, float]:
    """How far down each item stands in its layers, 0 to 1; lanes to come as their boxes."""
    found: dict[int, list[float]] = defaultdict(list)
    for row in ordered.rows:
        for place, item in enumerate(row):
            found[item].append((place + 0.5) / len(row))
    heights = {item: sum(own) / len(own) for item, own in found.items()}
    for number, net in enumerate(ordered.layered.wiring.nets):
        ends = [box for box, _ in (*net.sources, *net.targets)]
        heights.setdefault(lane(number), sum(heights[box] for box in ends) / len(ends))
    return heights


def _settle(table: Table, fresh: set[Spot]) -> None:
    """Lead the files of what is new until nothing is saved."""
    files: Sequence[list[Spot]] = [f for f in table.files() if not fresh.isdisjoint(f)]
    for _ in range(ROUNDS):
        if not sum(lead(table, file) for file in files):
            break
