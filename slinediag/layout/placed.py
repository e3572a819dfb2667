"""Where items stand in their layers, and how close to each other they may."""

from __future__ import annotations

from dataclasses import dataclass

from slinediag.layout.expand import Ordered
from slinediag.layout.graph import micrometres
from slinediag.layout.settings import Settings


@dataclass(frozen=True, slots=True)
class Placed:
    """``levels[layer][k]``: y in micrometres of the k-th item: a box's top, a lane's line."""

    ordered: Ordered
    levels: tuple[tuple[int, ...], ...]


class Shapes:
    """How close two items may stand, in micrometres."""

    def __init__(self, ordered: Ordered, settings: Settings) -> None:
        nodes = ordered.layered.wiring.graph.nodes
        self.pitch = micrometres(settings.pitch)
        self.gap = micrometres(settings.gap)
        self.row_gap = micrometres(settings.row_gap)
        self.clearance = micrometres(settings.clearance)
        self.above = [micrometres(node.above) for node in nodes]
        self.below = [micrometres(node.height) + micrometres(node.below) for node in nodes]
        self.one_row = [node.height <= settings.pitch for node in nodes]
        ports = [(*ins, *outs) for ins, outs in zip(ordered.inputs, ordered.outputs, strict=True)]
        self.first_port = [min(ys, default=0) for ys in ports]
        self.last_port = [max(ys, default=0) for ys in ports]

    def distance(self, upper: int, lower: int) -> int:
        """Least distance of two items' levels, on the grid of rows."""
        if upper >= 0 and lower >= 0:
            close = self.one_row[upper] and self.one_row[lower]
            least = self.row_gap if close else self.gap
        elif upper < 0 and lower < 0:
            least = max(self.clearance, self.pitch)
        else:
            least = self.clearance
        least += self.below[upper] if upper >= 0 else 0
        least += self.above[lower] if lower >= 0 else 0
        if upper >= 0 and lower >= 0:
            ports_apart = self.last_port[upper] - self.first_port[lower] + self.clearance
            least = max(least, ports_apart)
        if self.pitch == 0:
            return least
        phase = self.first_port[upper] if upper >= 0 else 0
        phase -= self.first_port[lower] if lower >= 0 else 0
        return least + (phase - least) % self.pitch
