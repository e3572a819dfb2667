"""The room of a sheet of a set beside its legend: of every sign of the chart, or of those it bears.

On a small sheet the legend of a whole chart takes most of what there is, while a sheet bears a few
signs of it. Lengths in micrometres.
"""

from __future__ import annotations

from collections.abc import Collection

from slinediag.chart.brief_legend import PLACES, brief_legend
from slinediag.chart.page import drawing_room, legend_band
from slinediag.chart.request import Request
from slinediag.chart.signs import Sign
from slinediag.geometry import Box

SCARCE = 0.75
"""Where all signs leave less than this of the height that there is, sheets are measured each with
its own; larger ones keep one room, so that a sheet's signs do not decide what stands on it."""


class OwnRoom:
    """Rooms beside legends.

    ``least``: the room beside every sign, on every sheet. ``most``: what any sheet may have.
    ``scarce``: whether sheets are measured each with its own signs.
    """

    def __init__(self, request: Request, least: Box) -> None:
        self._request, self.least = request, least
        self._known: dict[frozenset[Sign], Box] = {}
        bare = self.beside(())
        self.scarce = least.height < SCARCE * bare.height
        self.most = bare if self.scarce else least

    def beside(self, signs: Collection[Sign]) -> Box:
        """The room beside the legend of these signs, without those that need no place; at least
        that beside every sign."""
        needed = frozenset(signs) - {*PLACES}
        if needed not in self._known:
            told = dict.fromkeys(needed, "")
            band = legend_band(self._request.sheet, lambda width: brief_legend(told, width))
            own = drawing_room(self._request.sheet, band) if band else self.least
            self._known[needed] = own if own.height > self.least.height else self.least
        return self._known[needed]
