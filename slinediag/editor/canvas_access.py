"""What stands on a drawing, told to those who hear the screen: each thing that can be selected.

A canvas is one widget; to screen readers it has a child for each jack, port, box and line, with
its name, its place on screen and whether it is selected. The names and roles follow WCAG 2
SC 4.1.2.
"""

# ruff: noqa: N802 (Qt's names)

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Protocol

from PySide6.QtCore import QObject, QPoint, QRect
from PySide6.QtGui import QAccessible, QAccessibleEvent, QAccessibleInterface, QWindow
from PySide6.QtWidgets import QAccessibleWidget, QWidget
from shiboken6 import isValid

from slinediag.editor.things import Box, Net, Thing

ROLES = {Box: QAccessible.Role.Grouping, Net: QAccessible.Role.Graphic}
"""Jacks and ports are items that are pressed: buttons."""


class Telling(Protocol):
    """The things of a canvas, as far as they are told."""

    def things(self) -> tuple[Thing, ...]:
        """Everything that can be selected, in the order in which it is told."""

    def name_of(self, thing: Thing) -> str:
        """What a thing is called."""

    def seen_at(self, thing: Thing) -> QRect:
        """Where it is seen, pixels of the canvas; empty where it is not."""

    def selected(self) -> Thing | None:
        """What is selected."""


class ThingAccess(QAccessibleInterface):
    """One thing on a canvas."""

    def __init__(self, canvas: QWidget, thing: Thing) -> None:
        super().__init__()
        self.canvas = canvas
        self.thing = thing

    @property
    def telling(self) -> Telling:
        """The canvas as it tells of its things."""
        told: Telling = self.canvas.told  # type: ignore[attr-defined]
        return told

    def isValid(self) -> bool:
        """Whether the canvas is still there."""
        return isValid(self.canvas)

    def object(self) -> QObject | None:  # type: ignore[override]
        """No object of its own."""
        return None

    def window(self) -> QWindow | None:  # type: ignore[override]
        """The window it is seen in."""
        return self.canvas.window().windowHandle()

    def parent(self) -> QAccessibleInterface:
        """The canvas."""
        return QAccessible.queryAccessibleInterface(self.canvas)

    def child(self, _index: int) -> QAccessibleInterface | None:  # type: ignore[override]
        """It has no parts."""
        return None

    def childAt(self, _x: int, _y: int) -> QAccessibleInterface | None:  # type: ignore[override]
        """It has no parts."""
        return None

    def focusChild(self) -> QAccessibleInterface | None:  # type: ignore[override]
        """It has no parts."""
        return None

    def childCount(self) -> int:
        """It has no parts."""
        return 0

    def indexOfChild(self, _child: QAccessibleInterface) -> int:
        """It has no parts."""
        return -1

    def relations(self, _match: Any = None) -> list[Any]:
        """None are told."""
        return []

    def text(self, which: QAccessible.Text) -> str:
        """Its name."""
        return self.telling.name_of(self.thing) if which == QAccessible.Text.Name else ""

    def setText(self, _which: QAccessible.Text, _text: str) -> None:
        """Names come from the facility."""

    def rect(self) -> QRect:
        """Where it is seen on the screen."""
        seen = self.telling.seen_at(self.thing)
        corner = self.canvas.mapToGlobal(QPoint(0, 0))
        return seen.translated(corner) if not seen.isEmpty() else QRect()

    def role(self) -> QAccessible.Role:
        """What kind of thing it is."""
        return ROLES.get(type(self.thing), QAccessible.Role.Button)

    def state(self) -> QAccessible.State:
        """Whether it is selected, and in sight."""
        made = QAccessible.State()
        selected = self.telling.selected() == self.thing
        made.selectable = made.focusable = True
        made.selected = selected
        made.focused = selected and self.canvas.hasFocus()
        made.offscreen = self.telling.seen_at(self.thing).isEmpty()
        return made


class CanvasAccess(QAccessibleWidget):
    """A canvas with its things as children."""

    def __init__(self, canvas: QWidget) -> None:
        super().__init__(canvas, QAccessible.Role.Canvas, canvas.accessibleName())
        self.canvas = canvas
        self._made: dict[Thing, ThingAccess] = {}

    @property
    def telling(self) -> Telling:
        """The canvas as it tells of its things."""
        told: Telling = self.canvas.told  # type: ignore[attr-defined]
        return told

    def childCount(self) -> int:
        """As many as there are things."""
        return len(self.telling.things())

    def child(self, index: int) -> QAccessibleInterface | None:  # type: ignore[override]
        """The thing of this number."""
        things = self.telling.things()
        return self._access(things[index]) if 0 <= index < len(things) else None

    def indexOfChild(self, child: QAccessibleInterface) -> int:
        """The number of a thing; -1 where it is not on the canvas."""
        thing = child.thing if isinstance(child, ThingAccess) else None
        things = self.telling.things()
        return things.index(thing) if thing in things else -1

    def focusChild(self) -> QAccessibleInterface | None:  # type: ignore[override]
        """What is selected."""
        thing = self.telling.selected()
        return self._access(thing) if thing in self.telling.things() else None

    def childAt(self, x: int, y: int) -> QAccessibleInterface | None:  # type: ignore[override]
        """The first thing that is seen at a place of the screen."""
        at = self.canvas.mapFromGlobal(QPoint(x, y))
        found = (t for t in self.telling.things() if self.telling.seen_at(t).contains(at))
        thing = next(found, None)
        return self._access(thing) if thing is not None else None

    def _access(self, thing: Thing | None) -> ThingAccess:
        assert thing is not None
        if thing not in self._made:
            self._made[thing] = ThingAccess(self.canvas, thing)
            QAccessible.registerAccessibleInterface(self._made[thing])
        return self._made[thing]


_made: list[CanvasAccess] = []
"""What Qt holds without saying so to Python."""


def tell_of_canvases(kinds: type[QWidget]) -> None:
    """Have canvases of this kind told with their things from now on."""

    def access(_name: str, widget: QObject) -> QAccessibleInterface | None:
        if not isinstance(widget, kinds):
            return None
        made = CanvasAccess(widget)
        _made[:] = [*(kept for kept in _made if isValid(kept)), made]
        return made

    QAccessible.installFactory(access)


def tell_selection(canvas: QWidget, things: Sequence[Thing], thing: Thing | None) -> None:
    """Tell that another thing on a canvas has the focus."""
    if thing is None or thing not in things or not QAccessible.isActive():
        return
    event = QAccessibleEvent(canvas, QAccessible.Event.Focus)
    event.setChild(list(things).index(thing))
    QAccessible.updateAccessibility(event)
