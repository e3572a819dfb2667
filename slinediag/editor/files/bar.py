"""A quiet bar over the middle of the window: what is the matter, what differs, what one may do."""

# ruff: noqa: N802 (event handlers bear Qt's names)

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QAccessible, QAccessibleEvent
from PySide6.QtWidgets import (
    QFrame,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from slinediag.editor import looks
from slinediag.editor.line_list import LineList

Answer = tuple[str, Callable[[], object]]
LINES = 6
"""Lines of what differs that are seen at once."""


def style(ink: looks.Inks) -> str:
    """A bar stands out by its ground and an accent at its side, not by alarm."""
    return (
        f"QFrame#bar {{ background: {ink.field}; border: none;"
        f" border-left: 4px solid {ink.accent}; border-bottom: 1px solid {ink.rule}; }}"
    )


class Bar(QFrame):
    """Words, buttons, and lines that are shown on demand; stays until it is answered."""

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("bar")
        self.setAccessibleName(name)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.words = QLabel()
        self.words.setWordWrap(True)
        self.words.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.words.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.MinimumExpanding)
        self.lines = LineList(f"{name}: what differs")
        self.lines.setVisible(False)
        self.more = QPushButton("What differs")
        self.more.setCheckable(True)
        self.more.setAutoDefault(False)
        self.more.toggled.connect(self._unfold)
        self.buttons: dict[str, QPushButton] = {}
        self.extra = QVBoxLayout()
        self._row = QHBoxLayout()
        self._row.addWidget(self.more)
        self._row.addStretch(1)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(12, looks.GAP, 12, looks.GAP)
        whole.setSpacing(looks.GAP)
        whole.addWidget(self.words)
        whole.addWidget(self.lines)
        whole.addLayout(self.extra)
        whole.addLayout(self._row)
        self.setStyleSheet(style(looks.inks()))
        self.hide()

    def changeEvent(self, event: QEvent) -> None:
        """The colours follow the palette."""
        super().changeEvent(event)
        wanted = style(looks.inks())
        if event.type() == QEvent.Type.PaletteChange and self.styleSheet() != wanted:
            self.setStyleSheet(wanted)

    def ask(self, words: str, lines: Sequence[str], answers: Sequence[Answer]) -> None:
        """Say something and offer answers, the first of them in front."""
        self.words.setText(words)
        self.words.setAccessibleName(words)
        self.lines.fill((line, None) for line in lines)
        self.more.setVisible(bool(lines))
        if not lines:
            self.more.setChecked(False)
        self._offer(answers)
        self.show()
        self._unfold(self.more.isChecked())
        # A screen reader must hear of it without being in it.
        event = QAccessibleEvent(self, QAccessible.Event.Alert)
        QAccessible.updateAccessibility(event)

    def settle(self) -> None:
        """It is answered."""
        self.more.setChecked(False)
        self.hide()

    def _offer(self, answers: Sequence[Answer]) -> None:
        focus = any(button.hasFocus() for button in self.buttons.values())
        for button in self.buttons.values():
            self._row.removeWidget(button)
            button.deleteLater()
        self.buttons = {}
        for words, do in answers:
            button = QPushButton(words)
            button.setAutoDefault(False)
            button.clicked.connect(lambda _checked=False, do=do: do())
            self._row.addWidget(button)
            self.buttons[words.replace("&", "")] = button
        if focus and self.buttons:
            next(iter(self.buttons.values())).setFocus()

    def _unfold(self, on: bool) -> None:
        self.lines.setVisible(on and self.lines.count() > 0)
        self.lines.shrink_to(LINES)
