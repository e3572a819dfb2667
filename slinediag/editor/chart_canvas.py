"""The chart on screen: lights the whole way of what is pointed at, and names boxes from afar."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import QWidget

from slinediag.address import Address, Jack
from slinediag.damage import damage_of
from slinediag.drawing.marks import Mark
from slinediag.editor import canvas_ink as ink
from slinediag.editor.charting import Chart
from slinediag.editor.far_names import FarNames
from slinediag.editor.holding import drift
from slinediag.editor.lighting import lit_runs, place_of, way_to_light
from slinediag.editor.overlay import Overlay, laid_over
from slinediag.editor.pointing import thing_at
from slinediag.editor.sheet_canvas import SheetCanvas
from slinediag.editor.things import Box as BoxThing
from slinediag.editor.things import Net, Thing, touches
from slinediag.editor.tried_cords import TriedCords
from slinediag.editor.workplace import Workplace
from slinediag.geometry import Box, Point, Run, around, union
from slinediag.tracing.values import Answer


class ChartCanvas(SheetCanvas):
    """The very drawing that is printed, with what is selected and tried on it."""

    def __init__(self, workplace: Workplace, parent: QWidget | None = None) -> None:
        super().__init__(workplace, "Chart", parent)
        self.chart: Chart | None = None
        self.cords = TriedCords(self)
        self.cords.found.connect(self._hang)
        self._laid: Overlay | None = None
        self._names = FarNames()
        self._lit: dict[Thing, tuple[Run, ...]] = {}
        self._lit_for = (0, 0)
        self.lit_held: tuple[Run, ...] = ()
        self.lit_over: tuple[Run, ...] = ()

    def show_chart(self, chart: Chart | None) -> None:
        """Show another chart; what one looks at stays in its place on the screen."""
        before, self.chart = self.chart, chart
        if chart is not None:
            self._names.take(chart, self.workplace.facility)
        if before is not None and chart is not None and not self._untouched:
            corner = self.on_sheet(QPointF(0, 0))
            far = self.on_sheet(QPointF(self.width(), self.height()))
            moved = drift(before, chart, self.workplace.selection, around((corner, far)))
            if moved != (0, 0):
                pixels = self.view.scale / 1000
                self.look(self.view.moved(-moved.x * pixels, -moved.y * pixels))
        self.show_drawn(chart)

    def find_thing(self, at: Point, reach: int) -> Thing | None:
        """A jack or port that is near, else what is drawn there."""
        facility = self.workplace.facility
        return thing_at(self.chart, facility, at, reach) if self.chart else None

    def place(self, thing: Thing) -> Box | None:
        """Where a thing is on the chart."""
        return place_of(self.chart, thing) if self.chart else None

    def places(self) -> dict[Thing, Point]:
        """Boxes, ports, jacks and lines."""
        chart = self.chart
        if chart is None:
            return {}
        found: dict[Thing, Point] = {
            BoxThing(box): union(parts).centre for box, parts in chart.boxes.items()
        }
        lines = (Net(net.ends) for net in chart.nets.values())
        found.update(chart.ports.items())
        found.update(chart.jacks.items())
        return found | {net: at.centre for net in lines if (at := self.place(net)) is not None}

    def selected_room(self) -> Box | None:
        """The selection and the lines at it, to their other ends."""
        thing, chart = self.workplace.selection, self.chart
        place = super().selected_room()
        if thing is None or chart is None or place is None:
            return None
        at = [end for end in chart.net_of if touches(thing, end)]
        lines = [chart.nets[name] for end in at if (name := chart.net_of[end]) in chart.nets]
        corners = [corner for line in lines for run in line.runs for corner in run]
        return union((place, around(corners))) if corners else place

    def tried(self, answer: Answer) -> tuple[Mark, ...]:
        """The chart's own marks for what the trial changes."""
        if self.chart is None:
            return ()
        facility, failure = self.workplace.facility, self.workplace.failure
        drawn: tuple[Address, ...] = (*self.chart.jacks, *self.chart.ports)
        damage = damage_of(facility, failure, answer, drawn)
        self._laid = laid_over(self.chart, answer, damage)
        self.cords.want(self.chart, self._laid.cords, self._laid.signs())
        return self._laid.marks(self.cords.ways)

    def _hang(self) -> None:
        """The trial's cords hang with care from now on."""
        if self._laid is not None and self._laid.chart is self.chart:
            self._tried = self._laid.marks(self.cords.ways)
            self.update()

    def light(self) -> None:
        """Light the ways of the selection and of what is pointed at."""
        self.lit_held = self._runs(self.workplace.selection)
        self.lit_over = self._runs(self.over)

    def _runs(self, thing: Thing | None) -> tuple[Run, ...]:
        if thing is None or self.chart is None:
            return ()
        facility = self.workplace.facility
        if self._lit_for != (id(self.chart), id(facility)):
            self._lit_for = (id(self.chart), id(facility))
            self._lit.clear()
        if thing not in self._lit:
            way = way_to_light(facility, thing)
            self._lit[thing] = lit_runs(self.chart, way) if way is not None else ()
        return self._lit[thing]

    def paint_over(self, painter: QPainter, room: QRectF) -> None:
        """What is lit, names seen from afar, and the selection."""
        if self.chart is None:
            return
        ink.lit(self.view, self.lit_held, painter, ink.HELD)
        ink.lit(self.view, self.lit_over, painter, ink.POINTED)
        self._names.paint(self.view, painter, room)
        thing = self.workplace.selection
        if isinstance(thing, Jack) and thing in self.chart.jacks:
            ink.dotted_jack(self.view, self.chart.jacks[thing], painter)
        elif thing is not None and not isinstance(thing, Net | Jack):
            place = self.place(thing)
            if place is not None:
                ink.ringed(self.view, place, painter)
