"""The choices of what goes out: which paper, and for a chart its sheet and how it is read."""

from __future__ import annotations

from PySide6.QtCore import QSettings, Qt, Signal
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QFileDialog,
    QFormLayout,
    QLabel,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QSpinBox,
    QVBoxLayout,
    QWidget,
)

from slinediag.editor import looks
from slinediag.editor.printing.wanted import (
    AT_REST,
    CHANGES,
    CHART,
    PURPOSES,
    SHEETS,
    TITLES,
    Wanted,
)
from slinediag.editor.workplace import Workplace
from slinediag.file.read import load
from slinediag.model.facility import Facility
from slinediag.problems import SlinediagError
from slinediag.tracing.outage.failure import Failure

CARRIES = Qt.ItemDataRole.UserRole
FURTHEST = 4000
"""Millimetres: labels are enlarged up to 8 times 2.5 mm, read at 16 minutes of arc from 4.3 m."""
FAILED_ONLY_SEEN = "Failed bays and cables are on screen only"
FILES = "Facility files (*.yaml *.yml)"
LISTED = {
    "none": "None",
    "bypasses": "For boxes before a priority input",
    "all": "For every box, bay and cable",
}


class Setup(QWidget):
    """Which paper is wanted and how; ``changed`` tells of every other choice."""

    changed = Signal()
    refused = Signal(str)
    """Why an older file cannot be compared with."""

    def __init__(self, workplace: Workplace, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.workplace = workplace
        self.older: Facility | None = None
        self._make_papers()
        self._make_chart_choices()
        self._make_changes()
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.setSpacing(looks.GAP)
        for part in (self.papers, self.purpose, self.chart, self.compared):
            whole.addWidget(part)
        whole.addStretch(1)
        workplace.trial_changed.connect(lambda _: self._offer())
        self._restore()
        self._listen()
        self._offer()

    # ---- making

    def _make_papers(self) -> None:
        self.papers = QListWidget()
        self.papers.setAccessibleName("What goes out")
        for name, title in TITLES.items():
            item = QListWidgetItem(title)
            item.setData(CARRIES, name)
            self.papers.addItem(item)
        self.papers.setCurrentRow(0)
        self.papers.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        rows = sum(self.papers.sizeHintForRow(n) for n in range(self.papers.count()))
        self.papers.setFixedHeight(rows + 2 * self.papers.frameWidth() + 12)
        self.purpose = QLabel()
        self.purpose.setWordWrap(True)
        self.purpose.setProperty("quiet", True)

    def _make_chart_choices(self) -> None:
        self.sheet = QComboBox()
        self.sheet.setAccessibleName("Sheet")
        for name, words in SHEETS.items():
            self.sheet.addItem(words, name)
        self.read_at = QSpinBox()
        self.read_at.setAccessibleName("Read from, millimetres")
        self.read_at.setRange(0, FURTHEST)
        self.read_at.setSingleStep(250)
        self.read_at.setSuffix(" mm off")
        self.read_at.setSpecialValueText("close by")
        self.read_at.setToolTip("Lettering grows to 16 minutes of arc at this distance")
        self.listed = QComboBox()
        self.listed.setAccessibleName("Patches listed")
        for name, words in LISTED.items():
            self.listed.addItem(words, name)
        self.listed.setCurrentIndex(1)
        self.listed.setToolTip("What to patch when something fails, as a list on the chart")
        self.thorough = QCheckBox("Take time over the lines")
        self.thorough.setToolTip("Fewer crossings: for a chart that is hung up")
        self.thorough.setChecked(True)
        self.tried = QCheckBox("With the trial that is on")
        self.chart = QWidget()
        form = QFormLayout(self.chart)
        form.setContentsMargins(0, 0, 0, 0)
        form.addRow("&Sheet", self.sheet)
        form.addRow("&Read from", self.read_at)
        form.addRow("Pa&tches", self.listed)
        form.addRow(self.thorough)
        form.addRow(self.tried)
        self.form = form

    def _make_changes(self) -> None:
        self.compared = QWidget()
        self.against = QLabel()
        self.against.setWordWrap(True)
        self.older_button = QPushButton("&Older file …")
        self.older_button.clicked.connect(self._ask_older)
        inside = QVBoxLayout(self.compared)
        inside.setContentsMargins(0, 0, 0, 0)
        inside.addWidget(self.against)
        inside.addWidget(self.older_button, 0, Qt.AlignmentFlag.AlignLeft)

    def _listen(self) -> None:
        self.papers.currentRowChanged.connect(self._take_choice)
        self.sheet.currentIndexChanged.connect(self._take_choice)
        self.listed.currentIndexChanged.connect(self._take_choice)
        self.read_at.valueChanged.connect(self._take_choice)
        self.thorough.toggled.connect(self._take_choice)
        self.tried.toggled.connect(self._take_choice)

    # ---- what is chosen

    @property
    def what(self) -> str:
        """The paper that is chosen."""
        item = self.papers.currentItem()
        return str(item.data(CARRIES)) if item is not None else CHART

    @property
    def wanted(self) -> Wanted:
        """All that is chosen."""
        on_chart = self.what == CHART
        tried = on_chart and self.tried.isChecked() and self.tried.isEnabled()
        return Wanted(
            self.what,
            sheet=str(self.sheet.currentData()),
            read_at=float(self.read_at.value()) if on_chart else 0.0,
            effort="thorough" if self.thorough.isChecked() else "quick",
            outages=self.listed.currentData() if on_chart and not tried else "none",
            trial=self.workplace.trial if tried else AT_REST,
            older=(self.older or self.workplace.document.facility)
            if self.what == CHANGES
            else None,
        )

    def choose(self, what: str) -> None:
        """Choose a paper by its name."""
        self.papers.setCurrentRow(list(TITLES).index(what))

    def compare_with(self, path: str) -> None:
        """Tell changes against another file; told why where it cannot be read."""
        try:
            self.older = load(path).facility
        except SlinediagError as refused:
            self.refused.emit("  ".join(p.text(refused.file) for p in refused.problems))
            return
        self._name_older(path)
        self.changed.emit()

    def _ask_older(self) -> None:
        path, _ = QFileDialog.getOpenFileName(self, "Older file", self.workplace.name, FILES)
        if path:
            self.compare_with(path)

    def _name_older(self, path: str = "") -> None:
        self.against.setText(f"Against {path}." if path else "Against the file as it was saved.")

    def _take_choice(self) -> None:
        self._offer()
        self._keep()
        self.changed.emit()

    def _offer(self) -> None:
        """Only what the chosen paper has a use for."""
        self.purpose.setText(PURPOSES[self.what])
        self.chart.setVisible(self.what in (CHART, CHANGES))
        for row in (self.read_at, self.listed, self.tried):
            self.form.setRowVisible(row, self.what == CHART)
        failed = self.workplace.failure != Failure()
        on = not self.workplace.trial.empty and not failed
        self.tried.setText(FAILED_ONLY_SEEN if failed else "With the trial that is on")
        if on and not self.tried.isEnabled():
            self.tried.setChecked(True)
        self.tried.setEnabled(on)
        self.listed.setEnabled(not (on and self.tried.isChecked()))
        self.compared.setVisible(self.what == CHANGES)
        if self.older is None:
            self._name_older()

    # ---- what is kept between runs

    def _keep(self) -> None:
        settings = QSettings()
        settings.setValue("paper/sheet", self.sheet.currentData())
        settings.setValue("paper/read", self.read_at.value())
        settings.setValue("paper/thorough", self.thorough.isChecked())

    def _restore(self) -> None:
        settings = QSettings()
        found = self.sheet.findData(settings.value("paper/sheet", "auto"))
        self.sheet.setCurrentIndex(max(0, found))
        self.read_at.setValue(int(str(settings.value("paper/read", 0))))
        self.thorough.setChecked(settings.value("paper/thorough", True) in (True, "true"))
