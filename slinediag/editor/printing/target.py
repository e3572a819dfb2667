"""Where what is written goes: a file of a format, or a folder; suggested, or as somebody says."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QComboBox,
    QFileDialog,
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPushButton,
    QSpinBox,
    QVBoxLayout,
    QWidget,
)

from slinediag.choices import COARSEST, FINEST
from slinediag.editor import looks
from slinediag.editor.printing.wanted import CHART, ENDINGS, Wanted, usual_path

STEP = 10
"""Dots to the inch between two settings."""
FORMATS = {
    ".pdf": "PDF",
    ".svg": "SVG",
    ".png": "PNG picture",
    ".gv": "Graphviz source",
    ".xlsx": "XLSX workbook",
}


class Target(QWidget):
    """Format and path; ``replaces`` tells whether a file that is there would be replaced."""

    replaces = Signal(bool)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._wanted = Wanted()
        self._own = False
        self.format = QComboBox()
        self.format.setAccessibleName("Kind of file")
        self.path = QLineEdit()
        self.path.setAccessibleName("Write to")
        self.browse_button = QPushButton("…")
        self.browse_button.setAccessibleName("Choose where to write")
        self.fineness = QSpinBox()
        self.fineness.setAccessibleName("Dots to the inch")
        self.fineness.setRange(COARSEST - STEP, FINEST)
        self.fineness.setSingleStep(STEP)
        self.fineness.setValue(COARSEST - STEP)
        self.fineness.setSpecialValueText("as the sheet wants")
        self.fineness.setSuffix(" dots to the inch")
        looks.indent(self.fineness)
        self.note = QLabel()
        self.note.setWordWrap(True)
        self.note.setProperty("quiet", True)
        to = QHBoxLayout()
        to.addWidget(self.path, 1)
        to.addWidget(self.browse_button)
        caption = QLabel("&To")
        caption.setBuddy(self.path)
        self.form = QFormLayout()
        self.form.addRow("Write &as", self.format)
        self.form.addRow("Fi&neness", self.fineness)
        self.form.addRow(caption, to)
        # Apart from the form, which reckons too low with hidden rows above words that wrap.
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.addLayout(self.form)
        whole.addWidget(self.note)
        self.path.textEdited.connect(self._take_own)
        self.path.textChanged.connect(lambda _: self.look())
        self.format.currentIndexChanged.connect(self._take_format)
        self.browse_button.clicked.connect(self._browse)

    @property
    def text(self) -> str:
        """The path as it is written there."""
        return self.path.text().strip()

    @property
    def dpi(self) -> int | None:
        """Pixels to the inch of a picture; None where nobody says."""
        said = self.fineness.value() if self.format.currentData() == ".png" else 0
        return said if said >= COARSEST else None

    def suggest(self, name: str, wanted: Wanted) -> None:
        """The formats of a paper, and a path beside the facility file unless somebody has said."""
        self._wanted = wanted
        endings = ENDINGS.get(wanted.what, ())
        if [self.format.itemData(n) for n in range(self.format.count())] != list(endings):
            self.format.blockSignals(True)
            self.format.clear()
            for ending in endings:
                self.format.addItem(FORMATS[ending], ending)
            self.format.blockSignals(False)
            self._own = False
        self.form.setRowVisible(self.format, len(endings) > 1)
        self._offer_fineness()
        if not self._own:
            ending = self.format.currentData() or ""
            self.path.setText(str(usual_path(name, wanted, ending)))
        self.look()

    def ask_again(self) -> None:
        """Put the keyboard where the path is written."""
        self.path.setFocus(Qt.FocusReason.OtherFocusReason)

    def look(self) -> None:
        """Say where it goes, and whether what is there already would be replaced."""
        path = Path(self.path.text())
        there = not self._wanted.into_folder and path.is_file()
        words = f"{path.name} is there already and will be replaced." if there else ""
        if self._wanted.into_folder:
            words = "Into this folder, under the facility's name."
        self.note.setText(words)
        self.replaces.emit(there)

    def _take_own(self, text: str) -> None:
        """A path that somebody writes stays, and its ending says which format it is."""
        self._own = True
        found = self.format.findData(Path(text).suffix.lower())
        if found >= 0:
            self.format.blockSignals(True)
            self.format.setCurrentIndex(found)
            self.format.blockSignals(False)
            self._offer_fineness()

    def _offer_fineness(self) -> None:
        """Only a picture of the chart has dots that can be chosen."""
        picture = self.format.currentData() == ".png" and self._wanted.what == CHART
        self.form.setRowVisible(self.fineness, picture)

    def _take_format(self) -> None:
        self._offer_fineness()
        ending = self.format.currentData()
        if ending and self.path.text():
            self.path.setText(str(Path(self.path.text()).with_suffix(ending)))

    def _browse(self) -> None:
        if self._wanted.into_folder:
            found = QFileDialog.getExistingDirectory(self, "Write into", self.path.text())
        else:
            found, _ = QFileDialog.getSaveFileName(
                self,
                "Write to",
                self.path.text(),
                options=QFileDialog.Option.DontConfirmOverwrite,
            )
        if found:
            self.path.setText(found)
            self._take_own(found)
