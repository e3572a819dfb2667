"""The choices of what goes out: which paper, and what only charts or changes have."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QFileDialog,
    QLabel,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from slinediag.editor import looks
from slinediag.editor.printing.chart_setup import ChartSetup
from slinediag.editor.printing.wanted import CHANGES, CHART, PURPOSES, TITLES, Wanted
from slinediag.editor.workplace import Workplace
from slinediag.file.read import load
from slinediag.model.facility import Facility
from slinediag.problems import SlinediagError, told_lines

CARRIES = Qt.ItemDataRole.UserRole
LINE = 26
"""Pixels of a line of the list, as the style sheet has it."""
FILES = "Facility files (*.yaml *.yml)"


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
        self.chart = ChartSetup(workplace)
        self._make_changes()
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.setSpacing(looks.GAP)
        for part in (self.papers, self.purpose, self.chart, self.compared):
            whole.addWidget(part)
        whole.setStretch(0, 8)
        whole.addStretch(1)
        self.papers.currentRowChanged.connect(self._take_choice)
        self.chart.changed.connect(self.changed)
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
        self.papers.setMinimumHeight(110)
        self.papers.setMaximumHeight(LINE * len(TITLES) + 2 * looks.GAP)
        self.purpose = QLabel()
        self.purpose.setWordWrap(True)
        self.purpose.setProperty("quiet", True)

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

    # ---- what is chosen

    @property
    def what(self) -> str:
        """The paper that is chosen."""
        item = self.papers.currentItem()
        return str(item.data(CARRIES)) if item is not None else CHART

    @property
    def wanted(self) -> Wanted:
        """All that is chosen."""
        wanted = self.chart.wanted(self.what)
        if self.what == CHANGES:
            return replace(wanted, older=self.older or self.workplace.document.facility)
        return wanted

    def choose(self, what: str) -> None:
        """Choose a paper by its name."""
        self.papers.setCurrentRow(list(TITLES).index(what))

    def compare_with(self, path: str) -> None:
        """Tell changes against another file; told why where it cannot be read."""
        try:
            self.older = load(path).facility
        except SlinediagError as refused:
            self.refused.emit("  ".join(told_lines(refused.problems, refused.file)))
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
        self.changed.emit()

    def _offer(self) -> None:
        """Only what the chosen paper has a use for."""
        self.purpose.setText(PURPOSES[self.what])
        self.chart.offer(self.what)
        self.compared.setVisible(self.what == CHANGES)
        if self.older is None:
            self._name_older()
