"""The middle of the window: chart, bays, sheets or lists, and how one goes between them."""

from __future__ import annotations

from PySide6.QtCore import QObject, Qt
from PySide6.QtWidgets import QStackedWidget

from slinediag.address import Jack
from slinediag.editor.chart_canvas import ChartCanvas
from slinediag.editor.draughting import Draughting
from slinediag.editor.face_canvas import FaceCanvas
from slinediag.editor.files.where_one_was import Sight, WhereOneWas
from slinediag.editor.lists.lists_view import ListsView
from slinediag.editor.sheet_canvas import SheetCanvas
from slinediag.editor.sheets_canvas import SheetsCanvas
from slinediag.editor.things import Thing
from slinediag.editor.workplace import Workplace


class Middle(QStackedWidget):
    """Four views of one facility, one of which is seen: chart, bays, sheets, lists, in this order.

    Each drawing is shown as it comes; sheets are drawn only while they are looked at.
    """

    def __init__(self, workplace: Workplace, draughting: Draughting) -> None:
        super().__init__()
        self.workplace = workplace
        self.draughting = draughting
        self.chart = ChartCanvas(workplace)
        self.bays = FaceCanvas(workplace)
        self.sheets = SheetsCanvas(workplace)
        self.lists = ListsView(workplace)
        for view in (self.chart, self.bays, self.sheets, self.lists):
            self.addWidget(view)
        draughting.chart_drawn.connect(self.chart.show_chart)
        draughting.face_drawn.connect(self.bays.show_face)
        draughting.sheets_drawn.connect(self.sheets.show_sheets)
        workplace.shown.connect(self.show_thing)
        workplace.facility_changed.connect(self._keep_sheets)
        workplace.trial_changed.connect(self._keep_sheets)
        self.lists.wanted_on_chart.connect(self._show_on_chart)

    @property
    def shown_canvas(self) -> SheetCanvas:
        """The chart, the bays or the sheets, whichever is seen; the chart beneath the lists."""
        shown = self.currentWidget()
        return shown if isinstance(shown, SheetCanvas) else self.chart

    def where_one_was(self, parent: QObject) -> WhereOneWas:
        """What knows, file by file, which view was seen and where one looked."""
        drawn = self.draughting
        sights = {
            "chart": Sight(self.chart, self.see_chart, drawn.chart_drawn),
            "bays": Sight(self.bays, self.see_bays, drawn.face_drawn),
            "sheets": Sight(self.sheets, self.see_sheets, drawn.sheets_drawn),
            "lists": Sight(self.lists, self.see_lists),
        }
        return WhereOneWas(self.workplace, sights, self.currentWidget, parent)

    def see_chart(self) -> None:
        """Show the chart, with what is selected in view."""
        self._see(self.chart)

    def see_bays(self) -> None:
        """Show the bays, with what is selected in view."""
        self._see(self.bays)

    def see_sheets(self) -> None:
        """Show the sheets as printed, with what is selected in view."""
        self.draughting.draw_sheets()
        self._see(self.sheets)

    def see_lists(self) -> None:
        """Show the lists, at the row of what is selected."""
        self.setCurrentWidget(self.lists)
        self.lists.take_focus()

    def _see(self, canvas: SheetCanvas) -> None:
        if self.currentWidget() is canvas:
            return
        self.setCurrentWidget(canvas)
        canvas.setFocus(Qt.FocusReason.OtherFocusReason)
        if self.workplace.selection is not None:
            canvas.show_thing(self.workplace.selection)

    def _keep_sheets(self) -> None:
        """Sheets that are looked at are kept as the facility and the trial are."""
        if self.shown_canvas is self.sheets:
            self.draughting.draw_sheets()

    def show_thing(self, thing: Thing) -> None:
        """Bring a thing into view; on the bays where the chart does not draw it."""
        if self.currentWidget() is self.lists:
            if self.lists.follow(thing):
                return
            self.see_chart()
        if self.shown_canvas is self.chart and self.chart.chart is not None:
            if self.chart.place(thing) is None:
                self.see_bays()
        elif self.shown_canvas.place(thing) is None:
            self.see_chart()
        self.shown_canvas.show_thing(thing)

    def _show_on_chart(self, thing: Thing) -> None:
        self.workplace.select(thing)
        self.see_chart()
        self.show_thing(thing)

    def show_on_bays(self, jack: Jack) -> None:
        """Show the bays with a jack in view."""
        self.see_bays()
        self.bays.show_thing(jack)
