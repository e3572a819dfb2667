"""The introduction: one page at the first run, ended by a key, back only where asked for."""

# ruff: noqa: N802 (event handlers bear Qt's names)

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtCore import QEvent, QObject, QRectF, QSettings, Qt
from PySide6.QtGui import QColor, QKeyEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import (
    QApplication,
    QGridLayout,
    QLabel,
    QMenu,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from slinediag.editor import looks
from slinediag.editor.guide.keys import keys_of
from slinediag.editor.guide.pages import prose

SEEN = "introduced"
"""The setting that says that it has been shown."""
WIDTH = 620
TITLE = "What is joined to what"
CARE = (
    "slinediag knows the file, not what is behind the panel: before you patch on air, say so and "
    "wait for a word."
)
ENDING = (Qt.Key.Key_Escape, Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space)


def steps(menus: Mapping[str, QMenu]) -> tuple[tuple[str, str], ...]:
    """What to begin with: a word, and a sentence or two with the window's own keys."""

    def key(words: str) -> str:
        return keys_of(menus, words)

    return (
        (
            "See",
            "Signal flows left to right. Point at a line: its whole way lights, from where it "
            f"starts to where it ends. Turn the wheel to come nearer, drag the paper to move it; "
            f"{key('Whole sheet')} shows all of it.",
        ),
        (
            "Find",
            f"{key('Find')}, then any label, jack, cable or place. A click on a jack, line or box "
            "says what is known of it.",
        ),
        (
            "Try",
            "Drag from jack to jack: a cord, tried before anyone plugs it in. The right-hand side "
            "says what it breaks, taps and silences. The file stays as it is; Esc twice clears.",
        ),
        (
            "Mend",
            f"{key('Outage')}, then what has failed: what falls silent, and the patches that bring "
            "it back, plug by plug.",
        ),
        (
            "Print",
            f"{key('Print and write')}: the chart, strips, schedules and cards, seen to scale "
            "first.",
        ),
    )


class Introduction(QWidget):
    """A page that lies over a window until a key or its button ends it."""

    def __init__(self, menus: Mapping[str, QMenu], over: QWidget) -> None:
        super().__init__(over)
        self.setAccessibleName("Introduction")
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self._over = over
        self._page = QWidget(self)
        self._lay_out(menus)
        over.installEventFilter(self)
        QApplication.instance().focusChanged.connect(self._leave)  # type: ignore[union-attr]
        self.hide()

    def _lay_out(self, menus: Mapping[str, QMenu]) -> None:
        title = QLabel(TITLE)
        title.setFont(looks.font(17, bold=True))
        grid = QGridLayout()
        grid.setHorizontalSpacing(20)
        grid.setVerticalSpacing(12)
        grid.setColumnStretch(1, 1)
        self.sentences: list[str] = []
        for row, (word, words) in enumerate(steps(menus)):
            grid.addWidget(prose(word, head=True), row, 0, Qt.AlignmentFlag.AlignTop)
            grid.addWidget(prose(words), row, 1)
            self.sentences.append(f"{word}: {words}")
        self.setAccessibleDescription(" ".join(self.sentences))
        self.end_button = QPushButton("&Begin")
        self.end_button.setDefault(True)
        self.end_button.clicked.connect(self.end)
        more = prose(f"{keys_of(menus, 'Help')} helps with keys, marks and normals.", quiet=True)
        inside = QVBoxLayout(self._page)
        inside.setContentsMargins(34, 28, 34, 26)
        inside.setSpacing(16)
        inside.addWidget(title)
        inside.addLayout(grid)
        inside.addWidget(prose(CARE))
        inside.addWidget(more)
        inside.addWidget(self.end_button, 0, Qt.AlignmentFlag.AlignLeft)

    def begin(self) -> None:
        """Lie over the window from now on."""
        QSettings().setValue(SEEN, True)
        self._place()
        self.show()
        self.raise_()
        self.end_button.setFocus(Qt.FocusReason.OtherFocusReason)

    def _leave(self, _before: QWidget | None, now: QWidget | None) -> None:
        """A command that leads elsewhere in the window ends it too."""
        elsewhere = now is not None and self._over.isAncestorOf(now) and not self.isAncestorOf(now)
        if self.isVisible() and elsewhere and now is not self:
            self.hide()

    def end(self) -> None:
        """Go away."""
        self.hide()
        window = self.window()
        window.activateWindow()
        first = window.focusWidget()
        if first is None or not first.isVisible():
            window.setFocus(Qt.FocusReason.OtherFocusReason)

    def _place(self) -> None:
        over = self._over
        self.setGeometry(over.rect())
        width = min(WIDTH, over.width() - 40)
        height = max(self._page.heightForWidth(width), 200)
        top = max(12, (over.height() - height) // 2)
        self._page.setGeometry((over.width() - width) // 2, top, width, height)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Stay in the middle of the window."""
        if event.type() == QEvent.Type.Resize and self.isVisible():
            self._place()
        return super().eventFilter(watched, event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Esc, Return and the space bar end it."""
        if event.key() in ENDING:
            self.end()
        else:
            super().keyPressEvent(event)

    def paintEvent(self, _event: QPaintEvent) -> None:
        """The window shines through, the page does not."""
        ink = looks.inks()
        painter = QPainter(self)
        veil = QColor(ink.table)
        veil.setAlpha(190)
        painter.fillRect(self.rect(), veil)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(QColor(ink.edge), 1))
        painter.setBrush(QColor(ink.ground))
        painter.drawRoundedRect(QRectF(self._page.geometry()).adjusted(0.5, 0.5, -0.5, -0.5), 6, 6)
        painter.end()


def wanted() -> bool:
    """Whether nobody has seen it yet."""
    return QSettings().value(SEEN) is None
