"""What comes out: where each box and each run of line lies, in mm, y down."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

Point = tuple[float, float]
Segment = tuple[Point, Point]


@dataclass(frozen=True, slots=True)
class EdgeRun:
    """One edge's way from port to port: corners in order, each piece horizontal or vertical.

    ``reversed`` says that the edge's target is not to the right of its source: mark it by an
    arrow.
    """

    points: tuple[Point, ...]
    reversed: bool


@dataclass(frozen=True, slots=True)
class Trunk:
    """All edges that share ports, drawn as one tree of lines.

    ``edges``: their numbers in the graph. ``segments`` do not overlap and meet at ends only
    where the tree bends or branches; each goes left to right or top to bottom.
    ``dots``: where it branches.
    """

    edges: tuple[int, ...]
    segments: tuple[Segment, ...]
    dots: tuple[Point, ...]


@dataclass(frozen=True, slots=True)
class Standing:
    """The one order that the layers follow, kept so that a later layout can follow it too.

    ``nodes``: the place of each box with lines, 0 on top. ``lines``: (source, target, place) of
    each edge, the ends as (box, port).
    """

    nodes: Mapping[str, int] = field(default_factory=dict)
    lines: tuple[tuple[tuple[str, str], tuple[str, str], int], ...] = ()


@dataclass(frozen=True, slots=True)
class Layout:
    """A finished layout.

    ``nodes``: the top left corner of each box. ``inputs`` and ``outputs``: per box the y of each
    port from the box's top. ``edges`` in the graph's order. ``layers``: boxes of each layer, top
    to bottom. ``crossings``: points where lines of two trunks cross. ``standing``: what
    Settings.previous needs beside the layers.
    """

    nodes: Mapping[str, Point]
    inputs: Mapping[str, Mapping[str, float]]
    outputs: Mapping[str, Mapping[str, float]]
    edges: tuple[EdgeRun, ...]
    trunks: tuple[Trunk, ...]
    layers: tuple[tuple[str, ...], ...]
    crossings: int
    width: float
    height: float
    standing: Standing = field(default_factory=Standing)

    def layer_of(self) -> dict[str, int]:
        """The layer of each box."""
        return {name: layer for layer, row in enumerate(self.layers) for name in row}
