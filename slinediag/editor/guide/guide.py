"""The help: pages on keys, marks and normals, in a window of its own."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QDialog,
    QHBoxLayout,
    QListWidget,
    QMenu,
    QPushButton,
    QScrollArea,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from slinediag.editor.guide.pages import care_page, keys_page, legend_page, normals_page

KEYS, LEGEND, NORMALS, CARE = "Keys", "Legend", "How normals work", "Take care"


class Guide(QDialog):
    """Pages, chosen from a list; Esc closes."""

    def __init__(self, menus: Mapping[str, QMenu], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Help")
        self._make: dict[str, Callable[[], QWidget]] = {
            NORMALS: normals_page,
            LEGEND: legend_page,
            KEYS: lambda: keys_page(menus),
            CARE: care_page,
        }
        self.contents = QListWidget()
        self.contents.setAccessibleName("Pages of the help")
        self.contents.addItems(list(self._make))
        self.contents.setFixedWidth(180)
        self.stack = QStackedWidget()
        self.pages: dict[str, QScrollArea] = {}
        self.close_button = QPushButton("&Close")
        self.close_button.clicked.connect(self.close)
        right = QVBoxLayout()
        right.addWidget(self.stack, 1)
        right.addWidget(self.close_button, 0, Qt.AlignmentFlag.AlignRight)
        whole = QHBoxLayout(self)
        whole.setContentsMargins(16, 14, 16, 12)
        whole.addWidget(self.contents)
        whole.addLayout(right, 1)
        self.contents.currentTextChanged.connect(self._turn_to)
        self.resize(1040, 660)

    def open_on(self, name: str = NORMALS) -> None:
        """Show this page."""
        self.contents.setCurrentRow(list(self._make).index(name))
        self.show()
        self.raise_()
        # Lines are as high as the style sheet wants only once it is shown.
        self.contents.doItemsLayout()
        self.contents.setFocus(Qt.FocusReason.OtherFocusReason)

    def _turn_to(self, name: str) -> None:
        if name == KEYS and name in self.pages:
            # Commands change their words: what is undone is named with it.
            self.stack.removeWidget(self.pages.pop(name))
        if name not in self.pages:
            area = QScrollArea()
            area.setAccessibleName(name)
            area.setWidgetResizable(True)
            area.setWidget(self._make[name]())
            area.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
            self.pages[name] = area
            self.stack.addWidget(area)
        self.stack.setCurrentWidget(self.pages[name])
