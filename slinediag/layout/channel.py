"""One channel between two layers: upright runs on the fewest tracks, crossing as little as may be.

A net that changes level in the channel has one upright run. Of two of them that overlap, the
order on the tracks decides how often their level runs cross the uprights, and whether a level
run of one would lie on a level run of the other: then the order is forced. A net has a second
upright run where what is forced goes in a ring, and where that saves a crossing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from slinediag.layout.branching import Drawn, branched
from slinediag.layout.doglegs import without_rings
from slinediag.layout.rooms import Rooms, no_rooms
from slinediag.layout.tracks import Task, pack
from slinediag.layout.wires import Wire, costs_of


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
    straight = [wire.low for wire in wires if wire.low == wire.high]
    clusters = [
        _drawn(cluster, straight, levels, clearance) for cluster in _clusters(bent, clearance)
    ]
    inside = [pack(_task(drawn, clearance, no_rooms)) for drawn in clusters]
    spread = [
        tracks if tracks.width <= free else pack(_task(drawn, clearance, rooms))
        for drawn, tracks in zip(clusters, inside, strict=True)
    ]
    width = max((tracks.width for tracks in spread), default=0)
    found: dict[int, list[Upright]] = {}
    for drawn, one, other in zip(clusters, inside, spread, strict=True):
        chosen = one if one.width <= width else other
        for wire, track in zip(drawn.pieces, chosen.of, strict=True):
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


def _drawn(wires: list[Wire], straight: Sequence[int], levels: list[int], clearance: int) -> Drawn:
    """Wires that come near each other, with doglegs where they must be or save a crossing.

    ``levels`` gains those of the doglegs.
    """
    cost = costs_of(wires, clearance)
    shapes = without_rings(wires, cost, levels, clearance)
    low, high = wires[0].low, max(wire.high for wire in wires)
    passed = [level for level in straight if low < level < high]
    known = cost if all(len(shape) == 1 for shape in shapes) else None
    return branched(wires, Drawn(shapes, passed, clearance, known), levels)


def _task(drawn: Drawn, clearance: int, rooms: Rooms) -> Task:
    """What is to be put on tracks, those in order whose order matters."""
    rank = np.empty(len(drawn.pieces), np.int64)
    rank[np.array(drawn.order, np.int64)] = np.arange(len(drawn.pieces))
    before = (drawn.cost != drawn.cost.T) & (rank[:, None] < rank[None, :])
    spans = [(wire.low, wire.high) for wire in drawn.pieces]
    return Task(spans, drawn.order, before, [rooms(*span) for span in spans], clearance)
