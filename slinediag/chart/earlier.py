"""An earlier drawing as it stood, so that the next one leaves things where people know them.

Lengths in micrometres.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from fractions import Fraction

from slinediag.chart.standing import Standing
from slinediag.geometry import Point

Say = Callable[[str], None]
"""Takes a sentence on what of an earlier drawing could not be kept."""


class NothingKept(str):
    """Such a sentence where what is drawn is arranged afresh in spite of an earlier drawing."""

    def __new__(cls, why: str) -> NothingKept:
        """The sentence for a reason."""
        return super().__new__(cls, f"Nothing was kept: {why}")


def unsaid(words: str) -> None:
    """Takes no notice."""
    del words


@dataclass(frozen=True, slots=True)
class Sheetful:
    """A sheet as it stood: its islands, and how far it moved them from the layout's origin."""

    standing: Standing = field(default_factory=Standing)
    shift: Point | None = None


@dataclass(frozen=True, slots=True)
class Earlier:
    """A drawing as it stood.

    ``part``: whether it is of a part of the chart. ``folded``: whether runs of parallel circuits
    are one line each. ``size``: width and height of its sheets. ``scale``: how many times as large
    as it was laid out it is drawn. ``sheets`` by number; a single one is number 1.
    ``first`` and ``units``, of a set alone: the number of its first drawing, and by number what
    stands on each sheet. ``overview``: the cards of its first sheet. ``shrinks``: whether a single
    sheet may be followed by a smaller one, since it had to show more. ``pictures``: by number, what
    its sheets look like, as digests.
    """

    part: bool
    folded: bool
    size: tuple[int, int]
    scale: Fraction
    sheets: Mapping[int, Sheetful]
    first: int = 0
    units: Mapping[int, tuple[str, ...]] = field(default_factory=dict)
    overview: Standing = field(default_factory=Standing)
    shrinks: bool = False
    pictures: Mapping[int, str] = field(default_factory=dict)

    @property
    def several(self) -> bool:
        """Whether it is a set of sheets."""
        return self.first > 0

    @property
    def names(self) -> frozenset[str]:
        """All that it shows, by the ids of nodes and units."""
        nodes = {name for sheet in self.sheets.values() for name in sheet.standing.nodes}
        return frozenset(nodes.union(*self.units.values()))

    def standing(self, number: int) -> Standing:
        """What stood on a sheet; nothing where that is not known."""
        return self.sheets.get(number, Sheetful()).standing

    def shift(self, number: int, size: tuple[int, int], scale: Fraction) -> Point | None:
        """How far a sheet moved its chart, if sheet and scale are still the same."""
        if (size, scale) != (self.size, self.scale) or number not in self.sheets:
            return None
        return self.sheets[number].shift
