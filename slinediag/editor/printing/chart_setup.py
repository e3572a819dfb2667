"""The choices of a chart: its sheet, from how far it is read, which part, folded, with a trial."""

from __future__ import annotations

from typing import Any

from PySide6.QtCore import QSettings, Signal
from PySide6.QtGui import QStandardItemModel
from PySide6.QtWidgets import QCheckBox, QComboBox, QFormLayout, QSpinBox, QWidget

from slinediag.chart.excerpt import WHOLE
from slinediag.chart.excerpt import Wanted as Part
from slinediag.choices import FURTHEST
from slinediag.damage import NO_FAILURE
from slinediag.editor import looks
from slinediag.editor.naming import thing_name
from slinediag.editor.printing.wanted import AT_REST, CHANGES, CHART, SHEETS, STRIPED, Wanted
from slinediag.editor.things import Box, Net, Thing
from slinediag.editor.workplace import Workplace
from slinediag.layout.settings import Effort
from slinediag.model.facility import Facility
from slinediag.tracing.places import places

LISTED = {
    "bypasses": "For boxes before a priority input",
    "all": "For every box, bay and cable",
    "none": "None",
}
FOLDS: dict[str, bool | None] = {
    "Where there is no room": None,
    "Always": True,
    "Never": False,
}
IN_PIECES = "A4, in pieces that join"
WITH_TRIAL = "With the trial that is on"
WITH_FAILURE = "With what has failed, and the trial that is on"


class ChartSetup(QWidget):
    """What can be chosen of a chart; ``changed`` tells of every other choice."""

    changed = Signal()

    def __init__(self, workplace: Workplace, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.workplace = workplace
        self.sheet = chooser("Sheet", SHEETS.items())
        self.read_at = QSpinBox()
        self.read_at.setAccessibleName("Read from, millimetres")
        self.read_at.setRange(0, FURTHEST)
        self.read_at.setSingleStep(250)
        self.read_at.setSuffix(" mm off")
        looks.indent(self.read_at)
        self.read_at.setSpecialValueText("1 m, if that fits")
        self.read_at.setToolTip(
            "Lettering grows to 16 minutes of arc at this distance; 250 mm leaves it at 2.5 mm"
        )
        self.part = chooser("Part", ())
        self.listed = chooser("Patches listed", LISTED.items())
        self.listed.setToolTip("What to patch when something fails, as a list on the chart")
        self.fold = chooser("Runs folded", ((words, words) for words in FOLDS))
        self.fold.setToolTip("A run of parallel circuits as one line with their count")
        self.thorough = QCheckBox("Take time over the lines")
        self.thorough.setToolTip("Fewer crossings: for a chart that is hung up")
        self.thorough.setChecked(True)
        self.tried = QCheckBox(WITH_TRIAL)
        self.before = QCheckBox("The chart as filed above it")
        self.form = QFormLayout(self)
        self.form.setContentsMargins(0, 0, 0, 0)
        self.form.addRow("&Sheet", self.sheet)
        self.form.addRow("&Read from", self.read_at)
        self.form.addRow("P&art", self.part)
        self.form.addRow("Pa&tches", self.listed)
        self.form.addRow("&Fold", self.fold)
        self.form.addRow(self.thorough)
        self.form.addRow(self.tried)
        self.form.addRow(self.before)
        self._restore()
        self._name_parts()
        for box in (self.sheet, self.part, self.listed, self.fold):
            box.currentIndexChanged.connect(self._take_choice)
        self.read_at.valueChanged.connect(self._take_choice)
        for check in (self.thorough, self.tried, self.before):
            check.toggled.connect(self._take_choice)
        workplace.trial_changed.connect(lambda _: self.offer(self._what))
        workplace.facility_changed.connect(lambda _: self._name_parts())
        workplace.selection_changed.connect(lambda _: self._name_parts())
        self.offer(CHART)

    def wanted(self, what: str) -> Wanted:
        """All that is chosen, as far as this paper has a use for it."""
        effort: Effort = "thorough" if self.thorough.isChecked() else "quick"
        sheet = str(self.sheet.currentData()) if what in (CHART, CHANGES, *STRIPED) else "auto"
        if what != CHART:
            return Wanted(what, sheet=sheet, effort=effort)
        tried = self.tried.isChecked() and self.tried.isEnabled()
        part: Part = self.part.currentData() or WHOLE
        whole = not tried and part == WHOLE
        return Wanted(
            what,
            sheet=sheet,
            read_at=float(self.read_at.value()),
            effort=effort,
            outages=self.listed.currentData() if whole else "none",
            part=part,
            fold=FOLDS[self.fold.currentData()],
            trial=self.workplace.trial if tried else AT_REST,
            before=tried and self.before.isChecked() and self.before.isEnabled(),
            failure=self.workplace.failure if tried else NO_FAILURE,
        )

    def offer(self, what: str) -> None:
        """Only what a paper has a use for."""
        self._what = what
        chart, striped = what == CHART, what in STRIPED
        self.setVisible(what in (CHART, CHANGES, *STRIPED))
        for row in (self.read_at, self.part, self.fold, self.listed, self.tried, self.before):
            self.form.setRowVisible(row, chart)
        self.form.setRowVisible(self.thorough, not striped)
        # Strips have a usual sheet, and none as large as needed.
        first, second = list(SHEETS)[:2]
        self.sheet.setItemText(0, IN_PIECES if striped else SHEETS[first])
        model = self.sheet.model()
        if isinstance(model, QStandardItemModel):
            model.item(list(SHEETS).index(second)).setEnabled(not striped)
        failed = self.workplace.failure != NO_FAILURE
        on = not self.workplace.at_rest
        self.tried.setText(WITH_FAILURE if failed else WITH_TRIAL)
        if on and not self.tried.isEnabled():
            self.tried.setChecked(True)
        self.tried.setEnabled(on)
        with_trial = on and self.tried.isChecked()
        # What is crossed out would be so on both charts.
        self.before.setEnabled(with_trial and not failed)
        self.listed.setEnabled(not with_trial and (self.part.currentData() or WHOLE) == WHOLE)

    def _name_parts(self) -> None:
        """The whole, what is around the selection, each bay, each room or rack."""
        chosen = self.part.currentData()
        self.part.blockSignals(True)
        self.part.clear()
        for words, part in parts(self.workplace):
            self.part.addItem(words, part)
        found = next((n for n in range(self.part.count()) if self.part.itemData(n) == chosen), 0)
        self.part.setCurrentIndex(found)
        self.part.blockSignals(False)
        if chosen is not None and self.part.currentData() != chosen:
            self._take_choice()

    def _take_choice(self) -> None:
        self.offer(self._what)
        settings = QSettings()
        settings.setValue("paper/sheet", self.sheet.currentData())
        settings.setValue("paper/read", self.read_at.value())
        settings.setValue("paper/thorough", self.thorough.isChecked())
        self.changed.emit()

    def _restore(self) -> None:
        settings = QSettings()
        found = self.sheet.findData(settings.value("paper/sheet", "auto"))
        self.sheet.setCurrentIndex(max(0, found))
        self.read_at.setValue(int(str(settings.value("paper/read", 0))))
        self.thorough.setChecked(settings.value("paper/thorough", True) in (True, "true"))


def parts(workplace: Workplace) -> list[tuple[str, Part]]:
    """The parts of the chart that can be drawn alone, by what they are called."""
    facility = workplace.facility
    found = [("The whole", WHOLE)]
    thing = workplace.selection
    name = around(facility, thing)
    if name is not None and thing is not None:
        found.append((f"Around {thing_name(facility, thing)}", Part(around=(name,))))
    found += [(f"Bay {bay.printed}", Part(bays=(bay.id,))) for bay in facility.bays.values()]
    return found + [(place, Part(rooms=(place,))) for place in places(facility)]


def around(facility: Facility, thing: Thing | None) -> str | None:
    """The selection by a name that the chart can be drawn around; None for a line or nothing."""
    if thing is None or isinstance(thing, Net):
        return None
    if isinstance(thing, Box):
        return thing.id if thing.id in facility.equipment else None
    return facility.spelled(thing)


def chooser(name: str, choices: Any) -> QComboBox:
    """One of several, by a name that is told; (what it stands for, its words) each."""
    made = QComboBox()
    made.setAccessibleName(name)
    made.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
    made.setMinimumContentsLength(12)
    for carried, words in choices:
        made.addItem(words, carried)
    return made
