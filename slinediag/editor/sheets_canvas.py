"""The printed sheets on screen: to be read, pointed at, and tried on."""

from __future__ import annotations

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import QWidget

from slinediag.address import PortAddress
from slinediag.drawing.marks import Mark
from slinediag.editor import canvas_ink as ink
from slinediag.editor.damage import failed_things
from slinediag.editor.lighting import lit_runs, way_to_light
from slinediag.editor.sheet_canvas import SheetCanvas
from slinediag.editor.sheet_set import SheetSet, things_of
from slinediag.editor.things import Box as BoxThing
from slinediag.editor.things import Thing
from slinediag.editor.trials import failed_items
from slinediag.editor.workplace import Workplace
from slinediag.geometry import Box, Point, Run
from slinediag.tracing.values import Answer


class SheetsCanvas(SheetCanvas):
    """The sheets as they are printed, as filed or under the trial.

    They are laid out anew for each trial, which takes a while; rings about what is plugged show at
    once.
    """

    def __init__(self, workplace: Workplace, parent: QWidget | None = None) -> None:
        super().__init__(workplace, "Sheets", parent)
        self.sheets: SheetSet | None = None
        self.lit_held: tuple[Run, ...] = ()
        self.lit_over: tuple[Run, ...] = ()

    def show_sheets(self, sheets: SheetSet) -> None:
        """Show other sheets."""
        self.sheets = sheets
        self.show_drawn(sheets)

    def find_thing(self, at: Point, reach: int) -> Thing | None:
        """What is drawn at a place."""
        facility = self.workplace.facility
        for ref in self.sheets.spread.at(at, reach // 3) if self.sheets else ():
            found = next(things_of(facility, ref), None)
            if found is not None:
                return found
        return None

    def place(self, thing: Thing) -> Box | None:
        """Where a thing is first drawn; a port where its box is."""
        meant = BoxThing(thing.equipment) if isinstance(thing, PortAddress) else thing
        return self.sheets.places.get(meant) if self.sheets else None

    def places(self) -> dict[Thing, Point]:
        """Boxes and jacks, where they are first drawn."""
        places = self.sheets.places if self.sheets else {}
        return {thing: box.centre for thing, box in places.items()}

    def tried(self, answer: Answer) -> tuple[Mark, ...]:
        """Nothing: the trial is drawn on the sheets themselves."""
        del answer
        return ()

    def light(self) -> None:
        """Light the ways of the selection and of what is pointed at, over all sheets."""
        self.lit_held = self._runs(self.workplace.selection)
        self.lit_over = self._runs(self.over)

    def _runs(self, thing: Thing | None) -> tuple[Run, ...]:
        if thing is None or self.sheets is None:
            return ()
        way = way_to_light(self.workplace.facility, thing)
        return lit_runs(self.sheets, way) if way is not None else ()

    def paint_over(self, painter: QPainter, room: QRectF) -> None:
        """A frame about what is selected, rings about what is plugged, crosses on what is dead."""
        del room
        if self.sheets is None:
            return
        ink.lit(self.view, self.lit_held, painter, ink.HELD)
        ink.lit(self.view, self.lit_over, painter, ink.POINTED)
        trial = self.workplace.trial
        plugged = {jack for cord in (*trial.cords, *trial.pulled_cords) for jack in cord}
        for jack in sorted({*plugged, *trial.plugs, *trial.pulled_plugs}):
            if jack in self.sheets.jacks:
                ink.dotted_jack(self.view, self.sheets.jacks[jack], painter)
        facility = self.workplace.facility
        for item in failed_items(self.workplace.failure):
            for dead in failed_things(facility, item):
                at = self.place(dead)
                if at is not None:
                    ink.crossed(self.view, at, painter)
        thing = self.workplace.selection
        place = self.place(thing) if thing is not None else None
        if place is not None:
            ink.ringed(self.view, place, painter)
