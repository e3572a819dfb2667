"""One field that finds anything by what it is called."""

from __future__ import annotations

from PySide6.QtCore import QModelIndex, Qt, SignalInstance
from PySide6.QtGui import QStandardItem, QStandardItemModel
from PySide6.QtWidgets import QCompleter, QLineEdit, QWidget

from slinediag.editor import looks
from slinediag.editor.finding import Catalogue, Hit, catalogue
from slinediag.editor.workplace import Workplace
from slinediag.problems import problem

CARRIES = Qt.ItemDataRole.UserRole
TYPED = Qt.ItemDataRole.UserRole + 1
"""What stands in the field once a result is chosen: a name that is found again."""


class FindField(QLineEdit):
    """Finds labels, addresses, cables and places; the result is selected and brought to view."""

    def __init__(self, workplace: Workplace, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.workplace = workplace
        self.setPlaceholderText("Find a label, jack, cable or place")
        self.setAccessibleName("Find")
        self.setClearButtonEnabled(True)
        self.setFixedWidth(340)
        self._catalogue: Catalogue | None = None
        self._model = QStandardItemModel(self)
        completer = QCompleter(self._model, self)
        completer.setCompletionMode(QCompleter.CompletionMode.UnfilteredPopupCompletion)
        completer.setCompletionRole(TYPED)
        completer.setMaxVisibleItems(14)
        chosen: SignalInstance = completer.activated[QModelIndex]  # type: ignore[index]
        chosen.connect(self._go_to_row)
        looks.frame_offers(completer)
        self.setCompleter(completer)
        self.textEdited.connect(self._look)
        self.returnPressed.connect(self.go)
        workplace.facility_changed.connect(lambda _: self._forget())

    @property
    def hits(self) -> tuple[Hit, ...]:
        """What the text may mean, the best first."""
        if self._catalogue is None:
            self._catalogue = catalogue(self.workplace.facility)
        return self._catalogue.find(self.text())

    def go(self) -> None:
        """Go to the best result."""
        found = self.hits
        if found:
            self.workplace.select(found[0].thing, show=True)
        elif self.text().strip():
            hint = "Try part of a label, an address such as PB1.T3, a cable or a place"
            self.workplace.refuse((problem(self.text().strip(), "nothing bears this name", hint),))

    def _forget(self) -> None:
        self._catalogue = None

    def _look(self) -> None:
        self._model.clear()
        for hit in self.hits:
            item = QStandardItem(str(hit))
            item.setData(hit, CARRIES)
            item.setData(hit.words, TYPED)
            self._model.appendRow(item)

    def _go_to_row(self, index: QModelIndex) -> None:
        hit = index.data(CARRIES)
        if isinstance(hit, Hit):
            self.setText(hit.words)
            self.workplace.select(hit.thing, show=True)
