"""The conflicts of a merge, each with a choice between the two values."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QComboBox, QGridLayout, QLabel, QScrollArea, QWidget

from slinediag.editor import looks
from slinediag.editor.files.merging import Conflict, Path, Side

SEEN = 150
"""Pixels of height that the choices take at most."""


class Choices(QScrollArea):
    """A row a conflict: where, what was filed, and the choice of ours or theirs."""

    chosen = Signal()
    """Another choice was made."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWidgetResizable(True)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setAccessibleName("Where both changed the same")
        self.viewport().setAutoFillBackground(False)
        self.boxes: dict[Path, QComboBox] = {}
        self.hide()

    def show_conflicts(self, conflicts: Sequence[Conflict]) -> None:
        """Offer these; choices that were made stay."""
        before = self.sides
        inside = QWidget()
        grid = QGridLayout(inside)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(2 * looks.GAP)
        grid.setColumnStretch(1, 1)
        self.boxes = {}
        for row, conflict in enumerate(conflicts):
            name = QLabel(f"{conflict.where} (was {conflict.filed})")
            box = QComboBox()
            box.addItem(f"here: {conflict.ours}", "ours")
            box.addItem(f"on the disk: {conflict.theirs}", "theirs")
            box.setCurrentIndex(int(before.get(conflict.path) == "theirs"))
            box.setAccessibleName(name.text())
            box.currentIndexChanged.connect(lambda _index: self.chosen.emit())
            name.setBuddy(box)
            grid.addWidget(name, row, 0)
            grid.addWidget(box, row, 1)
            self.boxes[conflict.path] = box
        self.setWidget(inside)
        inside.setAutoFillBackground(False)
        self.setMaximumHeight(min(SEEN, inside.sizeHint().height() + 4))
        self.setMinimumHeight(self.maximumHeight())
        self.setVisible(bool(conflicts))

    @property
    def sides(self) -> dict[Path, Side]:
        """The choice at each conflict."""
        return {path: box.currentData() for path, box in self.boxes.items()}
