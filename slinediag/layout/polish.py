"""Fewer crossings than the search leaves, in graphs small enough to look at each of them."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Sequence
from dataclasses import replace
from heapq import heapify, heappop, heappush
from itertools import pairwise

from slinediag.layout.expand import Ordered, lane
from slinediag.layout.polish_layers import crossed_boxes, move_boxes
from slinediag.layout.polish_table import Known, Table
from slinediag.layout.polish_ways import MOST_SPENT, smooth, swing
from slinediag.layout.settings import Settings

# Pairs of nets that share a gap: with more, this would take longer than the search. To lead lines
# anew in the layers that stand takes less.
MOST_PAIRS = 20_000
LED_PAIRS = 300_000
QUICK_PAIRS = 2_500
# How often two trees may be compared in a quick layout.
QUICKLY_SPENT = 8_000
# How many boxes are tried in all places of their layers.
SWINGS = 40


def polish(ordered: Ordered, settings: Settings) -> Ordered:
    """The order with as many crossings or fewer; in other layers too if that is worth the time.

    A quick layout, or one that keeps an earlier one, only has its lines led anew in its layers.
    Not with ports free, since the ports are dealt out by the order that was found.
    """
    if settings.ports == "free":
        return ordered
    table = Table(ordered)
    thorough = settings.effort == "thorough"
    most = LED_PAIRS if not settings.previous else MOST_PAIRS
    if table.pairs > (most if thorough else QUICK_PAIRS) or not table.crossings():
        return ordered
    smooth(table, MOST_SPENT if thorough else QUICKLY_SPENT)
    found = table.ordered()
    if thorough and not settings.previous and table.pairs <= MOST_PAIRS:
        found = _swung(move_boxes(found, table.known), SWINGS, table.known)
    return ordered if found.rows == ordered.rows else _with_places(found)


def fewer(one: Ordered, other: Ordered) -> Ordered:
    """The order whose lines cross less; the first of equals, and of graphs too large to tell."""
    tables = Table(one), Table(other)
    if tables[0].pairs > MOST_PAIRS:
        return one
    return min((one, other), key=lambda order: tables[order is other].crossings())


def _swung(ordered: Ordered, tries: int, known: Known) -> Ordered:
    """The order with boxes put elsewhere in their layers, each with all its lines."""
    table = Table(ordered, known)
    crossings, again = table.crossings(), True
    while again and crossings:
        again = False
        for box in crossed_boxes(ordered.layered, table):
            if tries == 0:
                break
            tries -= 1
            if swing(table, (ordered.layered.layers[box], box), crossings):
                smooth(table)
                crossings, again = table.crossings(), True
                break
    return table.ordered()


def _with_places(ordered: Ordered) -> Ordered:
    """One order for all layers again, as near to their own as one can be."""
    layered = ordered.layered
    chain_of: dict[int, Hashable] = {}
    for number, chain in enumerate(layered.chains):
        chain_of.update((item, ("chain", number)) for item in chain.nodes)
        chain_of.update((lane(net), ("chain", number)) for net in chain.nets)
    before: dict[Hashable, int] = {}
    for item, place in _items(ordered):
        before.setdefault(chain_of.get(item, item), place)
    rows = [[chain_of.get(item, item) for item in row] for row in ordered.rows]
    places = _merged(rows, before)
    boxes, nets = list(ordered.box_places), list(ordered.net_places)
    for item, _ in _items(ordered):
        place = places[chain_of.get(item, item)]
        if item >= 0:
            boxes[item] = place
        else:
            nets[lane(item)] = place
    return replace(ordered, box_places=tuple(boxes), net_places=tuple(nets))


def _items(ordered: Ordered) -> Iterable[tuple[int, int]]:
    """All boxes and lanes that have a place, with it."""
    yield from ((box, place) for box, place in enumerate(ordered.box_places) if place >= 0)
    yield from ((lane(net), place) for net, place in enumerate(ordered.net_places) if place >= 0)


def _merged(rows: Sequence[Sequence[Hashable]], before: dict[Hashable, int]) -> dict[Hashable, int]:
    """Places of all, 0 on top, that follow each row where rows do not contradict each other.

    What nothing holds back comes first; where all is held back, what fewest do; then the earlier.
    """
    below: dict[Hashable, list[Hashable]] = {item: [] for item in before}
    held = dict.fromkeys(before, 0)
    for row in rows:
        for upper, lower in pairwise(row):
            if upper != lower:
                below[upper].append(lower)
                held[lower] += 1
    rank = {item: (place, str(item)) for item, place in before.items()}
    waiting = [(held[item], rank[item], item) for item in before]
    heapify(waiting)
    places: dict[Hashable, int] = {}
    while waiting:
        back, _, item = heappop(waiting)
        # What was held back by more before waits with that number, too, and is passed over.
        if item in places or back != held[item]:
            continue
        places[item] = len(places)
        for lower in below[item]:
            held[lower] -= 1
            heappush(waiting, (held[lower], rank[lower], lower))
    return places
