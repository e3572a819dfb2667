"""The best way for what runs in single file: fewer crossings in layers that stay.

The search moves blocks that keep one place in all layers; here each layer is on its own. A file
of lanes and boxes in following layers is taken out and led through all layers anew where it
crosses least, which is a shortest way from layer to layer. What is counted is what is drawn: nets
as trees, so that a trunk is crossed once however many of its ends lie beyond.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from slinediag.layout.polish_table import Spot, Table

Floats = NDArray[np.float64]

# Each sweep that goes on saves a crossing; after so many what is saved is not worth its time.
SWEEPS = 12
# How many crossings more than before are given a chance to be smoothed out.
SLACK = 2
# Lines of a box that may swing: one with more has found its place before, which takes long to see.
MOST_SWUNG = 12
# How often two trees are compared before boxes are left where they are.
MOST_SPENT = 300_000
# A crossing is worth any way that a file may move.
NEAR = 1e-6


def smooth(table: Table, most: int = MOST_SPENT) -> int:
    """Lead every file and every other box anew until nothing is saved; crossings saved.

    ``most``: how often two trees may be compared before what is left stays.
    """
    saved = 0
    for _ in range(SWEEPS):
        once = 0
        for file in table.files():
            if table.spent > most:
                break
            once += lead(table, file)
        saved += once
        if not once:
            break
    return saved


def swing(table: Table, spot: Spot, most: int) -> bool:
    """Put a box where it and all its lines, led anew, make fewer crossings than ``most``."""
    layer, _ = spot
    rows = list(table.rows)
    beside = table.beside(spot)
    files = [file for file in table.files() if spot not in file and not beside.isdisjoint(file)]
    if len(files) > MOST_SWUNG:
        return False
    for slot in range(len(rows[layer])):
        if slot == rows[layer].index(spot[1]):
            continue
        if table.spent > MOST_SPENT:
            break
        table.put([spot], [slot])
        _follow(table, files, (slot + 0.5) / len(rows[layer]))
        for file in files:
            lead(table, file)
        if table.crossings() <= most + SLACK:
            smooth(table)
            if table.crossings() < most:
                return True
        table.restore(rows)
    return False


def _follow(table: Table, files: Sequence[Sequence[Spot]], height: float) -> None:
    """Put files as far down in their layers as a height from 0 to 1: ends of one net together."""
    for file in files:
        table.put(file, [round(height * (len(table.rows[layer]) - 1)) for layer, _ in file])


def lead(table: Table, file: Sequence[Spot]) -> int:
    """Put the spots of a file where they cross least, as the rest stands; crossings saved."""
    first, last = file[0][0], file[-1][0]
    views = table.views(first - 1, last)
    key = *(view.number for view in views), *(item for _, item in file)
    if key in table.known.settled:
        return 0
    items = [item for _, item in file]
    before = [view.place(1, item) for view, item in zip(views, items, strict=False)]
    far = [
        _far(len(table.rows[layer]), place) for (layer, _), place in zip(file, before, strict=True)
    ]
    least = table.end_costs(first - 1, 1, items[0])
    now = least[before[0]]
    least = least + far[0]
    ways = []
    for k in range(1, len(file)):
        costs = views[k].line_costs(items[k - 1], items[k])
        now += costs[before[k - 1], before[k]]
        reached = least[:, None] + costs
        way = reached.argmin(axis=0)
        ways.append(way)
        least = reached[way, np.arange(len(way))] + far[k]
    ends = table.end_costs(last, 0, items[-1])
    now += ends[before[-1]]
    reached = least + ends
    best = int(reached.argmin())
    saved = round(float(now - reached[best]))
    if saved <= 0:
        table.known.settled.add(key)
        return 0
    found = [best]
    for way in reversed(ways):
        found.append(int(way[found[-1]]))
    # Boundaries below a spot are one less when it is taken out.
    slots = [b - (b > place) for b, place in zip(reversed(found), before, strict=True)]
    table.put(file, slots)
    return saved


@lru_cache(4096)
def _far(size: int, place: int) -> Floats:
    """A price of each boundary far below a crossing's: nothing moves further than it must."""
    bounds = np.arange(size + 1)
    found: Floats = NEAR * np.abs(bounds - (bounds > place) - place)
    return found
