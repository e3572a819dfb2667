"""One channel between two layers: upright runs on the fewest tracks, crossing as little as may be.

A net that changes level in the channel has one upright run. Of two of them that overlap, the
order on the tracks decides how often their level runs cross the uprights, and whether a level
run of one would lie on a level run of the other: then the order is forced. Where what is forced
goes in a ring, one net is given a second upright run (a dogleg).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slinediag.layout.rooms import Rooms, no_rooms
from slinediag.layout.tracks import Task, pack

Matrix = NDArray[np.int64]

# More than any number of crossings: what must not be.
FORBIDDEN = 1 << 20


@dataclass(frozen=True, slots=True)
class Wire:
    """A net in a channel: the levels (micrometres) at which it comes from the left and right."""

    net: int
    lefts: tuple[int, ...]
    rights: tuple[int, ...]

    @property
    def low(self) -> int:
        """The topmost level."""
        return min((*self.lefts, *self.rights))

    @property
    def high(self) -> int:
        """The lowest level."""
        return max((*self.lefts, *self.rights))


@dataclass(frozen=True, slots=True)
class Upright:
    """An upright run on a track; tracks count from the left, 0 the first of the channel."""

    wire: Wire
    track: int


@dataclass(frozen=True, slots=True)
class Channel:
    """The uprights of each net that has any, left to right as a signal goes through them.

    ``tracks``: how many the channel must hold; other uprights stand left or right of it.
    """

    uprights: dict[int, tuple[Upright, ...]]
    tracks: int


def channel_of(
    wires: Sequence[Wire], clearance: int, rooms: Rooms = no_rooms, free: int = 0
) -> Channel:
    """Tracks for all wires; those on one level throughout need none.

    ``rooms``: how far an upright may stand off the channel; only what would make the channel
    wider does. ``free``: tracks that are there at any rate.
    """
    levels = sorted({level for wire in wires for level in (*wire.lefts, *wire.rights)})
    bent = sorted((wire for wire in wires if wire.low < wire.high), key=lambda w: (w.low, w.net))
    clusters = [_pieces(cluster, levels, clearance) for cluster in _clusters(bent, clearance)]
    inside = [pack(_task(pieces, cost, clearance, no_rooms)) for pieces, cost in clusters]
    spread = [
        tracks if tracks.width <= free else pack(_task(pieces, cost, clearance, rooms))
        for (pieces, cost), tracks in zip(clusters, inside, strict=True)
    ]
    width = max((tracks.width for tracks in spread), default=0)
    found: dict[int, list[Upright]] = {}
    for (pieces, _), one, other in zip(clusters, inside, spread, strict=True):
        chosen = one if one.width <= width else other
        for wire, track in zip(pieces, chosen.of, strict=True):
            found.setdefault(wire.net, []).append(Upright(wire, track))
    uprights = {
        net: tuple(sorted(runs, key=lambda upright: upright.track)) for net, runs in found.items()
    }
    return Channel(uprights, width)


def _clusters(bent: Sequence[Wire], clearance: int) -> list[list[Wire]]:
    """Wires, sorted by their top, in groups that do not come near each other."""
    groups: list[list[Wire]] = []
    reach = 0
    for wire in bent:
        if groups and wire.low < reach + clearance:
            groups[-1].append(wire)
            reach = max(reach, wire.high)
        else:
            groups.append([wire])
            reach = wire.high
    return groups


def _pieces(wires: list[Wire], levels: list[int], clearance: int) -> tuple[list[Wire], Matrix]:
    """Wires that come near each other, with doglegs where they must be, and their costs.

    ``levels`` gains those of the doglegs.
    """
    cost = _costs(wires, clearance)
    parted = set(_ring_cutters(wires, cost))
    if not parted:
        return wires, cost
    pieces: list[Wire] = []
    for number, wire in enumerate(wires):
        pieces += _dogleg(wire, levels, clearance) if number in parted else [wire]
    return pieces, _costs(pieces, clearance)


def _task(pieces: Sequence[Wire], cost: Matrix, clearance: int, rooms: Rooms) -> Task:
    """What is to be put on tracks, those in order whose order matters."""
    order = _sequence(cost)
    rank = np.empty(len(pieces), np.int64)
    rank[np.array(order, np.int64)] = np.arange(len(pieces))
    before = (cost != cost.T) & (rank[:, None] < rank[None, :])
    spans = [(wire.low, wire.high) for wire in pieces]
    return Task(spans, order, before, [rooms(*span) for span in spans], clearance)


def _ring_cutters(wires: Sequence[Wire], cost: Matrix) -> list[int]:
    """Wires without which nothing that is forced goes in a ring.

    A wire in two pieces is in no ring: the level between is its own, so nothing must stand left
    of the first piece for its sake, nor right of the second.
    """
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


def _costs(wires: Sequence[Wire], clearance: int) -> Matrix:
    """Entry [i, j]: crossings of i and j if i is on the left, FORBIDDEN more if they would meet."""
    count = len(wires)
    low = np.array([wire.low for wire in wires])
    high = np.array([wire.high for wire in wires])
    net = np.array([wire.net for wire in wires])
    left_of, left = _ends([wire.lefts for wire in wires])
    right_of, right = _ends([wire.rights for wire in wires])
    cost = np.zeros((count, count), np.int64)
    over_left = (low[:, None] < left[None, :]) & (left[None, :] < high[:, None])
    np.add.at(cost.T, left_of, over_left.T.astype(np.int64))
    over_right = (low[:, None] < right[None, :]) & (right[None, :] < high[:, None])
    np.add.at(cost, right_of, over_right.T.astype(np.int64))
    meet = np.abs(right[:, None] - left[None, :]) < max(1, clearance // 2)
    one, other = np.nonzero(meet)
    np.add.at(cost, (right_of[one], left_of[other]), FORBIDDEN)
    same = net[:, None] == net[None, :]
    cost[same] = 0
    # Pieces of one net stand in the list as a signal goes through them.
    cost[same & (np.arange(count)[:, None] > np.arange(count)[None, :])] = FORBIDDEN
    return cost


def _ends(levels: Sequence[tuple[int, ...]]) -> tuple[Matrix, Matrix]:
    """(wire, level) of each end."""
    owner = [k for k, ends in enumerate(levels) for _ in ends]
    return np.array(owner, np.int64), np.array([y for ends in levels for y in ends], np.int64)


def _sequence(cost: Matrix) -> list[int]:
    """Left to right so that little is paid and nothing that is forbidden.

    Takes what costs nothing on the left or on the right first, else what saves most (Eades, Lin,
    Smyth, "A fast and effective heuristic for the feedback arc set problem", 1993). What is
    forced must not go in a ring.
    """
    forced = cost.T >= FORBIDDEN
    wish = np.maximum(0, cost.T - cost) + forced * FORBIDDEN
    onward, inward, waits = wish.sum(axis=1), wish.sum(axis=0), forced.sum(axis=0)
    alive = np.ones(len(wish), bool)
    head: list[int] = []
    tail: list[int] = []
    for _ in range(len(wish)):
        first, last = np.flatnonzero(alive & (inward == 0)), np.flatnonzero(alive & (onward == 0))
        if len(first):
            taken = int(first[0])
            head.append(taken)
        elif len(last):
            taken = int(last[-1])
            tail.append(taken)
        else:
            open_ = alive & (waits == 0)
            taken = int(np.where(open_, onward - inward, -(1 << 60)).argmax())
            head.append(taken)
        alive[taken] = False
        inward -= wish[taken]
        onward -= wish[:, taken]
        waits -= forced[taken]
    return head + tail[::-1]


def _ring(cost: Matrix, stuck: Sequence[int]) -> list[int]:
    """Wires of which each must be left of the next, the last left of the first."""
    forced = cost[np.ix_(stuck, stuck)] >= FORBIDDEN
    way: list[int] = []
    k = next(k for k in range(len(stuck)) if forced[k].any())
    while k not in way:
        way.append(k)
        k = int(np.flatnonzero(forced[k])[0])
    return [stuck[k] for k in way[way.index(k) :]]


def _dogleg(wire: Wire, levels: list[int], clearance: int) -> list[Wire]:
    """The wire in two pieces, joined on a level of their own, which ``levels`` gains."""
    apart = 2 * max(1, clearance // 2)
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
    return [Wire(wire.net, wire.lefts, (level,)), Wire(wire.net, (level,), wire.rights)]
