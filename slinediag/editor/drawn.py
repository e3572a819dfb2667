"""What a canvas needs of a drawing to show it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Protocol

from slinediag.address import Jack
from slinediag.drawing.marks import Drawing
from slinediag.editor.spread import Spread
from slinediag.geometry import Point


class Drawn(Protocol):
    """A drawing that can be shown: its marks by cells, and the places of jacks on it."""

    @property
    def drawing(self) -> Drawing:
        """The sheet."""

    @property
    def spread(self) -> Spread:
        """Its marks."""

    @property
    def jacks(self) -> Mapping[Jack, Point]:
        """Where its jacks are, micrometres on the sheet."""
