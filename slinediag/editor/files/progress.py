"""What is being drawn, that it goes on, and a button that stops it."""

from __future__ import annotations

from PySide6.QtCore import QTimer, Signal
from PySide6.QtWidgets import QHBoxLayout, QProgressBar, QPushButton, QWidget

from slinediag.editor import looks
from slinediag.editor.draughting import Draughting

AFTER = 1_000
"""Milliseconds of drawing after which it is worth a bar and a button."""
STOPPED = "The drawing was stopped; what is shown may be older. Draw again with Ctrl+R."


class Progress(QWidget):
    """Seen while drawing takes long; the window works meanwhile."""

    told = Signal(str)
    """It was stopped, in words."""

    def __init__(self, draughting: Draughting, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._draughting = draughting
        self.going = QProgressBar()
        self.going.setRange(0, 0)
        self.going.setTextVisible(False)
        self.going.setFixedSize(90, 8)
        self.going.setAccessibleName("Drawing")
        self.stop_button = QPushButton("Stop drawing")
        self.stop_button.setAutoDefault(False)
        self.stop_button.setStyleSheet("padding: 1px 10px; margin: 0")
        self.stop_button.clicked.connect(self.stop)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(looks.GAP)
        row.addWidget(self.going)
        row.addWidget(self.stop_button)
        self.hide()
        self._long = QTimer(self, singleShot=True, interval=AFTER)
        self._long.timeout.connect(self.show)
        draughting.doing.connect(self._follow)

    def stop(self) -> None:
        """Stop what is being drawn."""
        self._draughting.stop()
        self.told.emit(STOPPED)

    def _follow(self, doing: str) -> None:
        if not doing:
            self._long.stop()
            self.hide()
        elif self.isHidden() and not self._long.isActive():
            self._long.start()
