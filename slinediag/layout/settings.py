"""How a graph is to be arranged."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from slinediag.layout.layout import Layout

Ports = Literal["fixed", "free"]
Effort = Literal["quick", "thorough"]


@dataclass(frozen=True, slots=True)
class Settings:
    """Freedom, effort and distances (mm).

    ``ports``: ``free`` lets the ys of a side be dealt out anew among its ports.
    ``pitch``: the grid of rows; where the ports' ys agree with it, boxes and lines stand on it,
    so that runs pass straight through. ``gap``: least free height between two boxes of a layer;
    ``row_gap``: the same between boxes no taller than one row, which may stand close.
    ``clearance``: least distance between a line and another line, or a box it passes.
    ``spacing``: between the upright runs of a channel; ``channel``: least width of a channel.
    ``margin``: free border of the whole.
    ``stretch``: how much longer all lines together may grow so that one more runs straight, in
    rows for each line of the graph: more is straighter and higher.
    ``previous``: what ``arrange`` gave for an earlier state of much the same graph, boxes and
    ports by the same ids. Boxes keep their layers and their order, what is new or has new lines
    stands where it crosses least, and ``effort`` does not matter: keep the layout of the last
    drawing and hand it in for the next one while a person edits; leave it out to search afresh.
    """

    ports: Ports = "fixed"
    effort: Effort = "quick"
    pitch: float = 8.0
    gap: float = 4.0
    row_gap: float = 0.0
    clearance: float = 2.0
    spacing: float = 3.0
    channel: float = 12.0
    margin: float = 0.0
    stretch: float = 0.02
    previous: Layout | None = None
