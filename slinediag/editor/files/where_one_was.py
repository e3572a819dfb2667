"""Where one was in each file: what was in the middle, where one looked, what was selected."""

from __future__ import annotations

import json
import os
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from PySide6.QtCore import QObject, QSettings, SignalInstance
from PySide6.QtWidgets import QWidget

from slinediag.address import Jack, PortAddress
from slinediag.editor.sheet_canvas import SheetCanvas
from slinediag.editor.things import Box, Thing
from slinediag.editor.view import View, fitted
from slinediag.editor.workplace import Workplace
from slinediag.geometry import Point
from slinediag.model.equipment import Equipment
from slinediag.model.find import find_thing

KEY = "where one was"
MOST = 60
"""Files of which it is kept."""


@dataclass(frozen=True, slots=True)
class Standing:
    """What is in the middle, the view of each drawing, and the address of what is selected."""

    shown: str = ""
    views: Mapping[str, View] = field(default_factory=dict)
    selected: str = ""


def standings() -> dict[str, Any]:
    """All that is kept, by path; empty where it cannot be read."""
    try:
        kept = json.loads(str(QSettings().value(KEY) or "{}"))
    except ValueError:
        return {}
    return kept if isinstance(kept, dict) else {}


def keep(path: str, standing: Standing) -> None:
    """Keep where one is in a file; those that were open longest ago are let go of."""
    kept = standings()
    real = os.path.realpath(path)
    kept.pop(real, None)
    views = {name: (v.scale, v.left, v.top) for name, v in standing.views.items()}
    kept[real] = {"shown": standing.shown, "views": views, "selected": standing.selected}
    last = dict(list(kept.items())[-MOST:])
    QSettings().setValue(KEY, json.dumps(last))


def kept_of(path: str) -> Standing:
    """Where one was in a file; nowhere in particular where that is not known."""
    found = standings().get(os.path.realpath(path), {})
    try:
        views = {
            str(name): View(*(float(number) for number in numbers))
            for name, numbers in found.get("views", {}).items()
        }
        return Standing(str(found.get("shown", "")), views, str(found.get("selected", "")))
    except (AttributeError, TypeError, ValueError):
        return Standing()


@dataclass(frozen=True, slots=True)
class Sight:
    """What can be in the middle, the command that puts it there, and its signal when drawn anew."""

    widget: QWidget
    see: Callable[[], object]
    drawn: SignalInstance | None = None


class WhereOneWas(QObject):
    """Puts one back to where one was in the file, as each drawing of it comes."""

    def __init__(
        self,
        workplace: Workplace,
        sights: Mapping[str, Sight],
        shown: Callable[[], object],
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self.workplace, self._sights, self._shown = workplace, dict(sights), shown
        self._waiting: dict[str, View | None] = {}
        self._path = ""
        self._selected = ""
        for name, sight in self._sights.items():
            if sight.drawn is not None:
                sight.drawn.connect(lambda _drawn, name=name: self._take(name))
        workplace.selection_changed.connect(self._note)

    def arrive(self) -> None:
        """Another file is open: back to where one was in it."""
        self._path = self.workplace.name
        standing = kept_of(self._path)
        self._waiting = {name: standing.views.get(name) for name in self._sights}
        self._select(standing.selected)
        sight = self._sights.get(standing.shown)
        if sight is not None:
            sight.see()

    def follow(self) -> None:
        """The file has another name now; one stays where one is."""
        self._path = self.workplace.name

    def keep(self) -> None:
        """Keep where one is, before it is left."""
        if not self._path:
            return
        before = kept_of(self._path).views
        views = {
            name: looked_at(sight.widget) if name not in self._waiting else before.get(name)
            for name, sight in self._sights.items()
            if isinstance(sight.widget, SheetCanvas)
        }
        shown = self._shown()
        name = next((n for n, sight in self._sights.items() if sight.widget is shown), "")
        seen = {name: view for name, view in views.items() if view is not None}
        keep(self._path, Standing(name, seen, self._selected))

    def _take(self, name: str) -> None:
        """The first drawing of this file has come."""
        if name not in self._waiting:
            return
        view = self._waiting.pop(name)
        canvas = self._sights[name].widget
        if not isinstance(canvas, SheetCanvas):
            return
        if view is not None and sees_something(view, canvas):
            canvas.look(view)
        else:
            canvas.fit()

    def _note(self, thing: Thing | None) -> None:
        self._selected = address_of(thing)

    def _select(self, address: str) -> None:
        if not address:
            return
        found = find_thing(self.workplace.facility, address)
        if isinstance(found, Jack | PortAddress):
            self.workplace.select(found)
        elif isinstance(found, Equipment):
            self.workplace.select(Box(found.id))


def looked_at(canvas: SheetCanvas) -> View | None:
    """Where one looks; None for the whole sheet, which another window may show larger."""
    whole = fitted(canvas.sheet, canvas.width(), canvas.height())
    return canvas.view if canvas.view != whole else None


def address_of(thing: Thing | None) -> str:
    """What a thing is found by again; empty where it is nothing or a line."""
    if isinstance(thing, Box):
        return thing.id
    return str(thing) if isinstance(thing, Jack | PortAddress) else ""


def sees_something(view: View, canvas: SheetCanvas) -> bool:
    """Whether a view shows some of the sheet, which may be another by now."""
    sheet = canvas.sheet
    left, top = view.to_screen(Point(sheet.x, sheet.y))
    right, bottom = left + sheet.width / 1000 * view.scale, top + sheet.height / 1000 * view.scale
    return right > 0 and bottom > 0 and left < canvas.width() and top < canvas.height()
