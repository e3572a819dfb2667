"""Nets that must have two uprights, since level runs would else lie on each other.

What must stand left of what else may go in a ring; a net in two pieces is in none: the level
between is its own, so nothing must stand left of the first piece for its sake, nor right of the
second.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

import numpy as np

from slinediag.layout.wires import FORBIDDEN, Matrix, Wire


def without_rings(
    wires: Sequence[Wire], cost: Matrix, levels: list[int], clearance: int
) -> list[tuple[Wire, ...]]:
    """Each net on one upright, or on two where it must be; ``levels`` gains those between."""
    cutters = set(_ring_cutters(wires, cost))
    return [
        dogleg(wire, levels, clearance) if number in cutters else (wire,)
        for number, wire in enumerate(wires)
    ]


def free_levels(levels: Sequence[int], clearance: int) -> Iterator[int]:
    """Levels in the middle between those of a channel, where there is room for a run."""
    apart = _apart(clearance)
    for above, below in pairwise(levels):
        if below - above >= apart:
            yield (above + below) // 2


def dogleg(wire: Wire, levels: list[int], clearance: int) -> tuple[Wire, Wire]:
    """The wire in two pieces, joined on a level of their own, which ``levels`` gains."""
    apart = _apart(clearance)
    aim = wire.rights[0] if wire.rights else wire.high
    best: tuple[bool, bool, int, int] | None = None
    between = zip([levels[0] - 4 * apart, *levels], [*levels, levels[-1] + 4 * apart], strict=True)
    for above, below in between:
        middle = (above + below) // 2
        inside = wire.low < middle < wire.high
        key = (below - above < apart, not inside, abs(middle - aim), middle)
        best = key if best is None else min(best, key)
    assert best is not None
    level = best[3]
    levels.append(level)
    levels.sort()
    return Wire(wire.net, wire.lefts, (level,)), Wire(wire.net, (level,), wire.rights)


def _apart(clearance: int) -> int:
    return 2 * max(1, clearance // 2)


def _ring_cutters(wires: Sequence[Wire], cost: Matrix) -> list[int]:
    """Wires without which nothing that is forced goes in a ring."""
    forced = cost.T >= FORBIDDEN
    waits = forced.sum(axis=0)
    alive = np.ones(len(wires), bool)
    cutters: list[int] = []
    while alive.any():
        free = alive & (waits == 0)
        if not free.any():
            ring = _ring(cost, np.flatnonzero(alive).tolist())
            cutter = max(ring, key=lambda k: (bool(wires[k].lefts and wires[k].rights), k))
            cutters.append(cutter)
            free[cutter] = True
        alive &= ~free
        waits -= forced[free].sum(axis=0)
    return cutters


def _ring(cost: Matrix, stuck: Sequence[int]) -> list[int]:
    """Wires of which each must be left of the next, the last left of the first."""
    forced = cost[np.ix_(stuck, stuck)] >= FORBIDDEN
    way: list[int] = []
    k = next(k for k in range(len(stuck)) if forced[k].any())
    while k not in way:
        way.append(k)
        k = int(np.flatnonzero(forced[k])[0])
    return [stuck[k] for k in way[way.index(k) :]]
