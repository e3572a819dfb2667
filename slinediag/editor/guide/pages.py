"""The pages of the help, each a widget made when it is first looked at."""

# ruff: noqa: N802 (event handlers bear Qt's names)

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent
from PySide6.QtWidgets import QGridLayout, QLabel, QMenu, QVBoxLayout, QWidget

from slinediag.chart.flowing import Column, flow
from slinediag.chart.legend import legend
from slinediag.drawing import styles
from slinediag.drawing.marks import Drawing, Group, Mark, Text
from slinediag.drawing.query import ink_box
from slinediag.editor import looks
from slinediag.editor.guide.keys import sections
from slinediag.editor.guide.normals import STATES, pictures
from slinediag.geometry import Box, union
from slinediag.paint import qt as paint

READABLE = 3.9
"""Pixels to the millimetre at which the chart's own lettering is read on screen."""
SMALLER = 3.4
"""The same where four pictures stand beside each other."""
LEGEND_ROOM = 86_000
LEGEND_COLUMNS = 2
EDGE = 4_000
HOW = (
    "A jack has springs for tip and ring, and a break contact behind each. With no plug in, each "
    "spring rests on its contact; a plug lifts both. How a normal is wired to springs and contacts "
    "settles what a plug does: an open triangle at a jack says that a plug there breaks the "
    "normal, a filled dot that it taps it."
)
HOW_CORD = (
    "A cord in one jack acts like the plug alone until its other end is in. A dummy plug is a plug "
    "with no line on it: it breaks what a plug there breaks, and nothing else."
)
CARE = (
    "slinediag knows what the file says, not what is behind the panel.",
    "Before you patch an on-air or alarm circuit, say so and wait for a word.",
    "With phantom power on: switch it off, wait, then patch.",
    "Turn monitors and headphones down first.",
    "Protective earth stays on everything, always; work on mains and protective earth is for "
    "licensed people under local codes.",
)


class Shown(QWidget):
    """A drawing on paper, at a size that is read, with its words for those who hear them."""

    def __init__(
        self,
        drawing: Drawing,
        words: str,
        scale: float = READABLE,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.drawing = drawing
        self.scale = scale
        self.setAccessibleName(words)
        self.setFixedSize(self.sizeHint())

    def sizeHint(self) -> QSize:
        """As large as the drawing is at that size."""
        per = self.scale / 1000
        return QSize(round(self.drawing.width * per), round(self.drawing.height * per))

    def paintEvent(self, _event: QPaintEvent) -> None:
        """The drawing."""
        painter = QPainter(self)
        painter.fillRect(self.rect(), QColor(styles.PAPER))
        painter.scale(self.scale, self.scale)
        paint.paint(self.drawing, painter)
        painter.end()


def prose(words: str, *, quiet: bool = False, head: bool = False) -> QLabel:
    """A paragraph."""
    label = QLabel(words)
    label.setWordWrap(True)
    label.setProperty("quiet", quiet)
    label.setProperty("head", head)
    label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
    return label


def page(*parts: QWidget) -> QWidget:
    """Parts one below the other, with space about them."""
    made = QWidget()
    inside = QVBoxLayout(made)
    inside.setContentsMargins(20, 14, 20, 20)
    inside.setSpacing(2 * looks.GAP)
    for part in parts:
        inside.addWidget(part)
    inside.addStretch(1)
    return made


def normals_page() -> QWidget:
    """The five normals with and without plugs."""
    table = QWidget()
    grid = QGridLayout(table)
    grid.setContentsMargins(0, 0, 0, 0)
    grid.setHorizontalSpacing(14)
    grid.setVerticalSpacing(4)
    for column, state in enumerate(STATES):
        grid.addWidget(prose(state, head=True), 0, column)
    for row, (name, drawn) in enumerate(pictures()):
        top = 3 * row + 1
        grid.addWidget(prose(name, head=True), top, 0, 1, len(STATES))
        for column, picture in enumerate(drawn):
            heard = f"{name}, {STATES[column].lower()}: {picture.words}"
            shown = Shown(picture.drawing, heard, SMALLER)
            grid.addWidget(shown, top + 1, column, Qt.AlignmentFlag.AlignLeft)
            words = prose(picture.words, quiet=True)
            words.setFixedWidth(shown.width())
            grid.addWidget(words, top + 2, column, Qt.AlignmentFlag.AlignTop)
        grid.setRowMinimumHeight(top + 2, 46)
    return page(prose(HOW), table, prose(HOW_CORD))


def legend_page() -> QWidget:
    """The chart's own legend, at a size that is read."""
    drawing = legend_drawing()
    words = " ".join(_words(drawing.marks))
    shown = Shown(drawing, f"Legend. {words}")
    return page(prose("The chart and its sheets are drawn with these marks alone."), shown)


def legend_drawing() -> Drawing:
    """The legend in columns beside each other."""
    block = legend(LEGEND_ROOM)
    marks, height = None, block.height // LEGEND_COLUMNS
    while marks is None:
        columns = [
            Column(EDGE + n * (LEGEND_ROOM + 2 * EDGE), EDGE, EDGE + height)
            for n in range(LEGEND_COLUMNS)
        ]
        marks = flow((block,), columns)
        height += EDGE
    ink: Box = union(ink_box(mark) for mark in marks)
    return Drawing(ink.right + EDGE, ink.bottom + EDGE, marks, "Legend")


def _words(marks: tuple[Mark, ...]) -> list[str]:
    found: list[str] = []
    for mark in marks:
        if isinstance(mark, Text):
            found.append(mark.text)
        elif isinstance(mark, Group):
            found += _words(mark.marks)
    return found


def keys_page(menus: Mapping[str, QMenu]) -> QWidget:
    """The keys of all commands."""
    table = QWidget()
    grid = QGridLayout(table)
    grid.setContentsMargins(0, 0, 0, 0)
    grid.setHorizontalSpacing(28)
    grid.setVerticalSpacing(5)
    grid.setColumnStretch(1, 1)
    row = 0
    for section in sections(menus):
        head = prose(section.heading, head=True)
        head.setContentsMargins(0, 10 if row else 0, 0, 0)
        grid.addWidget(head, row, 0, 1, 2)
        row += 1
        for each in section.rows:
            grid.addWidget(prose(each.keys), row, 0)
            grid.addWidget(prose(each.words), row, 1)
            row += 1
    return page(table)


def care_page() -> QWidget:
    """What to take care of."""
    return page(*(prose(words) for words in CARE))
