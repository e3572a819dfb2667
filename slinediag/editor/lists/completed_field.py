"""A field that is completed by what its text may mean, by name or by what the name is."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtGui import QStandardItem, QStandardItemModel
from PySide6.QtWidgets import QAbstractItemView, QCompleter, QLineEdit, QWidget

from slinediag.editor import looks
from slinediag.editor.finding import folded
from slinediag.editor.lists import names
from slinediag.editor.lists.listing import Name

INSERTED = Qt.ItemDataRole.UserRole
WIDEST = 460
"""Pixels: how wide the offered names may be."""


class CompletedField(QLineEdit):
    """A line of text that offers names while one types."""

    def __init__(
        self, known: Sequence[Name], parent: QWidget | None = None, *, several: bool = False
    ) -> None:
        super().__init__(parent)
        self.known = known
        self.several = several
        """Whether names are parted by commas, the last of them being typed."""
        self._offered = QStandardItemModel(self)
        completer = QCompleter(self._offered, self)
        completer.setCompletionMode(QCompleter.CompletionMode.UnfilteredPopupCompletion)
        completer.setCompletionRole(INSERTED)
        completer.setMaxVisibleItems(names.MOST)
        looks.frame_offers(completer)
        self.setCompleter(completer)
        self.textEdited.connect(lambda _text: self._offer())

    @property
    def offered(self) -> list[str]:
        """What is offered in completion, as it is shown."""
        return [self._offered.item(row).text() for row in range(self._offered.rowCount())]

    @property
    def popup(self) -> QAbstractItemView:
        """The list of what is offered."""
        popup = self.completer().popup()
        assert popup is not None
        return popup

    def may_become(self, text: str) -> bool:
        """Whether a text is the beginning of something that is offered."""
        begun = folded(self._last(text))
        own = [folded(name.text) for name in self.known]
        if not begun or begun in own:
            return False
        about = (folded(name.about) for name in self.known)
        return any(name.startswith(begun) for name in (*own, *about))

    def mark(self, wrong: bool) -> None:
        """Show by the edge whether the text is wrong."""
        if bool(self.property("wrong")) != wrong:
            self.setProperty("wrong", wrong)
            self.style().unpolish(self)
            self.style().polish(self)

    def offer_all(self) -> None:
        """Show what the field may hold."""
        self._fill(names.fitting(self.known, ""))
        self.completer().complete()

    def _last(self, text: str) -> str:
        """The name that is being typed."""
        return text.rpartition(",")[2] if self.several else text

    def _offer(self) -> None:
        text = self._last(self.text())
        self._fill(names.fitting(self.known, text) if text.strip() else ())

    def _fill(self, found: Sequence[Name]) -> None:
        self._offered.clear()
        typed = self.text()
        before = typed[: len(typed) - len(self._last(typed))].rstrip()
        for name in found:
            item = QStandardItem(f"{name.text}   {name.about}".rstrip())
            item.setData(f"{before} {name.text}".lstrip(), INSERTED)
            self._offered.appendRow(item)
        if not found:
            self.popup.hide()
        width = self.popup.sizeHintForColumn(0) + 30
        self.popup.setMinimumWidth(min(max(self.width(), width), WIDEST))


def edge_style(where: str, usual: str) -> str:
    """A style sheet whose edge turns red where the text is wrong."""
    return f'{usual} {where}[wrong="true"] {{ border: 2px solid {looks.inks().danger}; }}'
