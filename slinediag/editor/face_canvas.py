"""The bays from the front on screen: cords from jack to jack, positions dragged elsewhere."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import QWidget

from slinediag.address import Jack, PortAddress
from slinediag.circuit.contacts import broken_by_source, broken_by_target
from slinediag.drawing.marks import Mark
from slinediag.editor import canvas_ink as ink
from slinediag.editor.face import Face, tried_on
from slinediag.editor.pointing import nearest
from slinediag.editor.rearranging import rearrange, rearrangement
from slinediag.editor.sheet_canvas import SheetCanvas
from slinediag.editor.things import Box as BoxThing
from slinediag.editor.things import Net, Thing
from slinediag.editor.view import fitted_width
from slinediag.editor.workplace import Workplace
from slinediag.geometry import Box, Point, union
from slinediag.model.edits import Position
from slinediag.model.facility import Facility
from slinediag.model.labels import labelled_jack
from slinediag.tracing.values import Answer
from slinediag.tracing.words import normal_name

LABELS_FROM = 4.0
"""Pixels to the millimetre from which strips can be read; from farther a slip says what they do."""


class FaceCanvas(SheetCanvas):
    """The bays' fronts, with what is selected and tried on them."""

    def __init__(self, workplace: Workplace, parent: QWidget | None = None) -> None:
        super().__init__(workplace, "Bays from the front", parent)
        self.face: Face | None = None
        self._held: Position | None = None

    def show_face(self, face: Face | None) -> None:
        """Show other fronts."""
        first = self.face is None
        self.face = face
        self.show_drawn(face)
        if first and face is not None and face.panels:
            panel = next(iter(face.panels.values()))
            self.look(fitted_width(panel.grown(12_000), self.width(), self.height()))

    def find_thing(self, at: Point, reach: int) -> Thing | None:
        """A jack, by its hole or by its place on the strip."""
        if self.face is None:
            return None
        near = nearest(self.face.jacks, at, min(reach, 4_000))
        if near is not None:
            return near
        position = self.position_at(at)
        if position is None:
            return None
        here = {j: p for j, p in self.face.jacks.items() if (j.bay, j.position) == position}
        return nearest(here, at, 10**7)

    def position_at(self, at: Point) -> Position | None:
        """The position on whose strip a place is."""
        if self.face is None:
            return None
        for bay, panel in self.face.panels.items():
            if panel.holds(at):
                cells = ((p, boxes) for p, boxes in self.face.cells.items() if p.bay == bay)
                found = (p for p, boxes in cells if any(box.holds(at) for box in boxes))
                return next(found, None)
        return None

    def place(self, thing: Thing) -> Box | None:
        """Where a thing's jacks are on the fronts."""
        face = self.face
        jacks = jacks_of(self.workplace.facility, thing)
        if face is None or not jacks:
            return None
        return union(Box(*face.jacks[j], 0, 0).grown(12_000) for j in jacks if j in face.jacks)

    def places(self) -> dict[Thing, Point]:
        """The jacks."""
        found: dict[Thing, Point] = {}
        if self.face is not None:
            found.update(self.face.jacks.items())
        return found

    def tried(self, answer: Answer) -> tuple[Mark, ...]:
        """Plugs, cords and parted normals of the trial."""
        return tried_on(self.face, answer) if self.face else ()

    def paint_over(self, painter: QPainter, room: QRectF) -> None:
        """Rings about the selection's jacks, and the position in hand."""
        if self.face is None:
            return
        for thing in (self.workplace.selection, self.over):
            for jack in jacks_of(self.workplace.facility, thing) if thing is not None else ():
                if jack in self.face.jacks:
                    ink.dotted_jack(self.view, self.face.jacks[jack], painter)
        dead = self.workplace.failure.dead_bays(self.workplace.facility)
        for bay in sorted(dead):
            if bay in self.face.panels:
                ink.crossed(self.view, self.face.panels[bay], painter)
        ink.bay_names(self.view, self.face.panels, self.workplace.facility, painter)
        if isinstance(self.over, Jack) and self.view.scale < LABELS_FROM and not self.moving:
            ink.words_beside(self.last, self._words_at(self.over), painter, room, harmful=False)
        if self._held is not None and self.moving:
            for box in self.face.cells[self._held]:
                ink.ringed(self.view, box, painter)
            to = self.position_at(self.on_sheet(self.last))
            words = rearrangement(self.workplace.facility, self._held, to)
            for box in self.face.cells[to] if to is not None else ():
                ink.ringed(self.view, box, painter)
            ink.words_beside(self.last, [words], painter, room, harmful=False)

    def _words_at(self, jack: Jack) -> list[str]:
        """What the strip says at a jack, and what a plug there does to its normals."""
        facility = self.workplace.facility
        acts = [
            f"a plug here {'breaks' if breaks else 'taps'} the {normal_name(facility, normal)}"
            for normal in facility.normals
            for end, breaks in (
                (normal.source, broken_by_source(normal.kind)),
                (normal.target, broken_by_target(normal.kind)),
            )
            if end == jack
        ]
        return [labelled_jack(facility, jack), *acts]

    # ---- positions in hand

    def take_hold(self, at: QPointF) -> bool:
        """Take hold of the position whose strip is at a pixel."""
        self._held = self.position_at(self.on_sheet(at))
        return self._held is not None

    def let_go(self, at: QPointF) -> None:
        """Drop the position in hand at a pixel: moved where it is free there, else exchanged."""
        held, self._held = self._held, None
        to = self.position_at(self.on_sheet(at))
        if held is not None and to is not None and to != held:
            rearrange(self.workplace, held, to)

    def give_up(self) -> None:
        """Let go of the position in hand where it was."""
        self._held = None


def jacks_of(facility: Facility, thing: Thing) -> tuple[Jack, ...]:
    """The jacks at which a thing is to be seen on the bays."""
    if isinstance(thing, Jack):
        return (thing,)
    if isinstance(thing, PortAddress):
        carrier = facility.carriers.get(thing)
        return (carrier,) if carrier is not None else ()
    if isinstance(thing, Net):
        return tuple(end for end in thing.ends if isinstance(end, Jack))
    assert isinstance(thing, BoxThing)
    return tuple(j for port, j in facility.carriers.items() if port.equipment == thing.id)
