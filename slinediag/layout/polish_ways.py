"""The best way for what runs in single file: fewer crossings in layers that stay.

The search moves blocks that keep one place in all layers; here each layer is on its own. A file
of lanes and boxes in following layers is taken out and led through all layers anew where it
crosses least, which is a shortest way from layer to layer. What is counted is what is drawn: nets
as trees, so that a trunk is crossed once however many of its ends lie beyond.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from slinediag.layout.polish_table import Spot, Table

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

# Each sweep that goes on saves a crossing; after so many what is saved is not worth its time.
SWEEPS = 12
# How many crossings more than before are given a chance to be smoothed out.
SLACK = 2
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
    rows = [list(row) for row in table.rows]
    beside = table.beside(spot)
    files = [file for file in table.files() if spot not in file and not beside.isdisjoint(file)]
    for slot in range(len(rows[layer])):
        if slot == rows[layer].index(spot[1]):
            continue
        if table.spent > MOST_SPENT:
            break
        table.take_out([spot])
        table.put_in([spot], [slot])
        _follow(table, files, (slot + 0.5) / len(rows[layer]))
        for _ in range(2):
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
        table.take_out(file)
        table.put_in(file, [round(height * len(table.rows[layer])) for layer, _ in file])


def lead(table: Table, file: Sequence[Spot]) -> int:
    """Take the spots of a file out and put them where they cross least; crossings saved."""
    before = [table.place(spot) for spot in file]
    table.take_out(file)
    layers = [layer for layer, _ in file]
    slots = [np.arange(len(table.rows[layer]) + 1) for layer in layers]
    none = np.zeros(1, np.int64)
    least = table.costs(layers[0] - 1, (None, none), (file[0], slots[0]))[0]
    now = least[before[0]]
    least = least + _far(slots[0], before[0])
    ways = []
    for k in range(1, len(file)):
        costs = table.costs(layers[k - 1], (file[k - 1], slots[k - 1]), (file[k], slots[k]))
        now += costs[before[k - 1], before[k]]
        reached = least[:, None] + costs + _far(slots[k], before[k])
        ways.append(reached.argmin(axis=0))
        least = reached.min(axis=0)
    ends = table.costs(layers[-1], (file[-1], slots[-1]), (None, none))[:, 0]
    now += ends[before[-1]]
    reached = least + ends
    saved = round(float(now - reached.min()))
    if saved <= 0:
        table.put_in(file, before)
        return 0
    found = [int(reached.argmin())]
    for way in reversed(ways):
        found.append(int(way[found[-1]]))
    table.put_in(file, found[::-1])
    return saved


def _far(slots: Ints, before: int) -> Floats:
    """A price far below a crossing's, so that nothing moves further than it must."""
    found: Floats = NEAR * np.abs(slots - before)
    return found
