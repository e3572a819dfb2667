"""What the window says in its foot: for a while, and in red what went wrong."""

from __future__ import annotations

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QLabel, QWidget

from slinediag.problems import Problem, told_lines

TOLD_FOR = 15_000
"""Milliseconds that it stays in sight."""


class Notice(QLabel):
    """One line of words that clears itself."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("danger", True)
        self.setAccessibleName("Notice")
        self._told = QTimer(self, singleShot=True, interval=TOLD_FOR)
        self._told.timeout.connect(self.clear)

    def refuse(self, problems: tuple[Problem, ...]) -> None:
        """Say why something cannot be."""
        self.warn("  ".join(told_lines(problems)))

    def warn(self, words: str) -> None:
        """Say what went wrong."""
        self._say(words, bad=True)

    def tell(self, words: str) -> None:
        """Say what went well, in a quieter colour."""
        self._say(words, bad=False)

    def _say(self, words: str, *, bad: bool) -> None:
        if self.property("danger") != bad:
            self.setProperty("danger", bad)
            self.style().polish(self)
        self.setText(words)
        self.setToolTip(words)
        self.setAccessibleDescription(words)
        self._told.start()
