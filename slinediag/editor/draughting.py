"""Keeps the chart and the bays' fronts drawn: anew for each facility, with room for each trial."""

from __future__ import annotations

from PySide6.QtCore import QObject, Signal

from slinediag.chart.standing import Standing
from slinediag.editor.backroom import Backroom
from slinediag.editor.charting import Chart, chart_stages
from slinediag.editor.face import face_of
from slinediag.editor.overlay import jacks_off_chart
from slinediag.editor.sheet_set import sheets_of
from slinediag.editor.workplace import Workplace
from slinediag.model.facility import Facility
from slinediag.tracing.values import Answer, Trial

DRAWING = "Drawing the chart …"
HANGING = "Hanging the cords …"


class Draughting(QObject):
    """Has the workplace's facility drawn in back rooms, and hands on each drawing as it comes."""

    chart_drawn = Signal(object)
    """A Chart to be shown from now on."""
    face_drawn = Signal(object)
    """A Face to be shown from now on."""
    sheets_drawn = Signal(object)
    """A SheetSet to be shown from now on."""
    doing = Signal(str)
    """What is being drawn, in words; empty when all is done."""
    failed = Signal(str)
    """Why something could not be drawn."""

    def __init__(self, workplace: Workplace, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.workplace = workplace
        self.charts = Backroom(self, kept=True)
        self.faces = Backroom(self)
        self.sheets = Backroom(self)
        self._sheets_for: tuple[Facility, Trial] | None = None
        self._shown: Chart | None = None
        self._filed: Chart | None = None
        self._standing: Standing | None = None
        self._name = workplace.name
        self._facility = workplace.facility
        self.charts.answered.connect(self._take_chart)
        self.charts.finished.connect(self._end_chart)
        self.faces.answered.connect(lambda _number, face: self.face_drawn.emit(face))
        self.faces.finished.connect(self._end_faces)
        self.sheets.answered.connect(lambda _number, sheets: self.sheets_drawn.emit(sheets))
        self.sheets.finished.connect(self._end_sheets)
        workplace.document_changed.connect(self._take_document)
        workplace.facility_changed.connect(self.draw)
        workplace.trial_changed.connect(self._make_room)

    @property
    def busy(self) -> bool:
        """Whether a chart is being drawn."""
        return self.charts.busy

    def draw(self, facility: Facility) -> None:
        """Draw another facility; what the last chart of this document shows stays where it is."""
        self._filed = None
        self._facility = facility
        self.doing.emit(DRAWING)
        self._ask_for_chart(facility)
        self.faces.ask(face_of, facility)

    def draw_again(self) -> None:
        """Draw the facility as it is, arranged afresh; also where it was stopped before."""
        self._standing = None
        self.draw(self.workplace.facility)

    def _take_document(self) -> None:
        """Another document is arranged afresh; one that is only saved under another name is not."""
        name, self._name = self._name, self.workplace.name
        if name != self._name and self.workplace.facility is not self._facility:
            self._standing = None

    def _ask_for_chart(self, facility: Facility, answer: Answer | None = None) -> None:
        if self._standing is not None:
            self.charts.ask(chart_stages, facility, answer, self._standing)
        elif answer is not None:
            self.charts.ask(chart_stages, facility, answer)
        else:
            # In these very words it may have been begun before there was a window.
            self.charts.ask(chart_stages, facility)

    def stop(self) -> None:
        """Stop whatever is being drawn; what was drawn before stays."""
        for room in (self.charts, self.faces, self.sheets):
            room.stop()
        self._sheets_for = None
        self.doing.emit("")

    def draw_sheets(self) -> None:
        """Draw the sheets of the facility and trial as they are; only when they are looked at."""
        facility, trial = self.workplace.facility, self.workplace.trial
        if self._sheets_for is not None:
            known, tried = self._sheets_for
            if known is facility and tried == trial:
                return
        self._sheets_for = facility, trial
        self.doing.emit("Drawing the sheets …")
        self.sheets.ask(sheets_of, facility, trial)

    def _make_room(self, answer: Answer) -> None:
        """Draw spare positions too while a trial puts plugs in them."""
        if self._shown is None:
            return
        if jacks_off_chart(self._shown, answer):
            self.doing.emit(DRAWING)
            self._ask_for_chart(self.workplace.facility, answer)
        elif answer.trial.empty and self._filed is not None and self._shown is not self._filed:
            self.charts.stop()
            self.doing.emit("")
            self._show(self._filed)

    def _take_chart(self, _number: int, chart: Chart) -> None:
        if self.workplace.trial.empty:
            self._filed = chart
        self._show(chart)
        self.doing.emit(HANGING)

    def _show(self, chart: Chart) -> None:
        self._shown = chart
        self._standing = chart.standing
        self.chart_drawn.emit(chart)

    def _end_chart(self, _number: int, error: str) -> None:
        self.doing.emit("")
        if error:
            self.failed.emit(f"The chart could not be drawn: {error}")

    def _end_sheets(self, _number: int, error: str) -> None:
        self.doing.emit("")
        if error:
            self._sheets_for = None
            self.failed.emit(f"The sheets could not be drawn: {error}")

    def _end_faces(self, _number: int, error: str) -> None:
        if error:
            self.failed.emit(f"The bays could not be drawn: {error}")
