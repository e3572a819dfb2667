"""What stands on a drawing, reached without a mouse and told to those who hear the screen."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Protocol

from PySide6.QtCore import QPointF, QRect, QRectF
from PySide6.QtWidgets import QWidget

from slinediag.editor.canvas_access import tell_selection
from slinediag.editor.naming import thing_name
from slinediag.editor.stepping import next_towards
from slinediag.editor.things import Net, Thing
from slinediag.editor.workplace import Workplace
from slinediag.geometry import Box, Point


class Placing(Protocol):
    """A canvas as far as it places things."""

    workplace: Workplace

    @property
    def shown(self) -> object:
        """The drawing that is shown."""

    def places(self) -> Mapping[Thing, Point]:
        """Everything on it that can be selected, with the middle of where it is drawn."""

    def place(self, thing: Thing) -> Box | None:
        """Where a thing is on the sheet; None where it is not drawn."""

    def screen_point(self, at: Point) -> QPointF:
        """The pixel at which a place on the sheet is seen."""

    def on_sheet(self, at: QPointF) -> Point:
        """The place on the sheet that is seen at a pixel."""


class OnCanvas:
    """The things of a canvas that can be selected: in order, by name, and from one to the next."""

    def __init__(self, canvas: Placing, widget: QWidget) -> None:
        self.canvas = canvas
        self.widget = widget
        self._for: object = None
        self._places: Mapping[Thing, Point] = {}
        self._things: tuple[Thing, ...] = ()

    def things(self) -> tuple[Thing, ...]:
        """Everything on it that can be selected, in the order in which it is told."""
        if self._for is not self.canvas.shown:
            self._for = self.canvas.shown
            self._places = self.canvas.places()
            self._things = tuple(self._places)
        return self._things

    def name_of(self, thing: Thing) -> str:
        """What a thing is called."""
        return thing_name(self.canvas.workplace.facility, thing)

    def seen_at(self, thing: Thing) -> QRect:
        """Where it is seen, pixels of the canvas; empty where it is not."""
        place = self.canvas.place(thing)
        if place is None:
            return QRect()
        corners = (Point(place.x, place.y), Point(place.right, place.bottom))
        first, last = (self.canvas.screen_point(corner) for corner in corners)
        return QRectF(first, last).toAlignedRect().intersected(self.widget.rect())

    def selected(self) -> Thing | None:
        """What is selected."""
        return self.canvas.workplace.selection

    def step(self, dx: int, dy: int) -> None:
        """Select what is next to the selection in a direction; at first what is in the middle.

        Lines are passed over: each ends at something that is not.
        """
        things, here = self.things(), self.selected()
        stops: dict[Thing, Point] = {
            t: at for t, at in self._places.items() if not isinstance(t, Net)
        }
        start = self._places.get(here) if here is not None else None
        if start is not None:
            found: Thing | None = next_towards(stops, start, dx, dy, but=here)
        else:
            middle = QPointF(self.widget.width() / 2, self.widget.height() / 2)
            at = self.canvas.on_sheet(middle)
            found = min(stops, key=lambda t: _far(stops[t], at), default=None)
        if found is not None:
            self.canvas.workplace.select(found, show=True)
            tell_selection(self.widget, things, found)


def _far(one: Point, other: Point) -> int:
    return abs(one.x - other.x) + abs(one.y - other.y)
