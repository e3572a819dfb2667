"""Hangs cords over the bays' fronts: aside from their jacks between two labels, then from panel to
panel, so that they cover no label of the strips they cross."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from slinediag.address import Jack
from slinediag.geometry import Box, Point

SHOULDER = 5_000
"""From a jack's centre to where its cord runs straight between two labels."""
SAG = 5_000
LANES = 5
LANE = 1_600
"""Cords that hang beside each other are this much deeper each, in so many steps."""
DEEPEST = 13_000
"""How far a cord hangs below a panel: no farther than the next panel's name."""

Piece = tuple[Point, Point, Point]
Way = tuple[Point, tuple[Piece, ...]]


@dataclass(frozen=True, slots=True)
class Ground:
    """Where cords hang: jacks, panels by bay, and the x of edges between labels by bay."""

    jacks: Mapping[Jack, Point]
    panels: Mapping[str, Box]
    edges: Mapping[str, tuple[int, ...]]


def hang_all(ground: Ground, cords: Iterable[tuple[Jack, Jack]]) -> tuple[Way, ...]:
    """The ways of cords, each by edges of its own and a little deeper than the one before."""
    taken: set[tuple[str, int]] = set()
    return tuple(_hung(ground, ends, taken, number) for number, ends in enumerate(cords))


def _hung(ground: Ground, ends: tuple[Jack, Jack], taken: set[tuple[str, int]], number: int) -> Way:
    """The way of a cord from one jack to the other, by edges that are not taken yet."""
    one, other = ends
    here, there = ground.panels[one.bay], ground.panels[other.bay]
    above = there.y > here.bottom and _one_over_other(here, there)
    below = here.y > there.bottom and _one_over_other(here, there)
    start, first = _out(ground, one, taken, ground.jacks[other].x, down=not below)
    end, last = _out(ground, other, taken, ground.jacks[one].x, down=not above)
    leaving, coming = first[-1][2], last[-1][2]
    if above or below:
        drop = (coming.y - leaving.y) // 2
        lane = (number % LANES - LANES // 2) * LANE
        sweep = (leaving.moved(0, drop + lane), coming.moved(0, lane - drop), coming)
    else:
        span = abs(leaving.x - coming.x)
        sag = min(DEEPEST, SAG + span // 60 + number % LANES * LANE)
        low = max(leaving.y, coming.y) + sag * 4 // 3
        sweep = (Point(leaving.x, low), Point(coming.x, low), coming)
    return start, (*first, sweep, *_back(end, last))


def _one_over_other(here: Box, there: Box) -> bool:
    return here.x < there.right and there.x < here.right


def _out(
    ground: Ground, jack: Jack, taken: set[tuple[str, int]], towards: int, *, down: bool
) -> tuple[Point, tuple[Piece, ...]]:
    """From a jack aside to the nearest edge between labels, and straight to its panel's edge."""
    at, panel = ground.jacks[jack], ground.panels[jack.bay]
    edges = [x for x in ground.edges[jack.bay] if (jack.bay, x) not in taken] or [at.x]
    x = min(edges, key=lambda edge: (abs(edge - at.x), abs(edge - towards)))
    taken.add((jack.bay, x))
    way = 1 if down else -1
    shoulder = Point(x, at.y + way * SHOULDER)
    leaving = Point(x, panel.bottom if down else panel.y)
    aside = (at.moved(0, way * SHOULDER // 2), Point(x, at.y + way * SHOULDER // 2), shoulder)
    return at, (aside, (shoulder, leaving, leaving))


def _back(start: Point, pieces: tuple[Piece, ...]) -> tuple[Piece, ...]:
    """Pieces from their end to their start."""
    ends = [start, *(piece[2] for piece in pieces)]
    turned = [(two, one, end) for (one, two, _), end in zip(pieces, ends, strict=False)]
    return tuple(reversed(turned))
