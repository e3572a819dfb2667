"""A new facility, page by page: name, bays, equipment, first normals, the file; all optional."""

# ruff: noqa: N802 (event handlers bear Qt's names)

from __future__ import annotations

import os

from PySide6.QtCore import QSettings, QStandardPaths, Qt, Signal
from PySide6.QtGui import QKeyEvent, QShowEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QComboBox,
    QDialog,
    QFileDialog,
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QListWidget,
    QPushButton,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from slinediag.editor import looks
from slinediag.editor.files import disk
from slinediag.editor.files.draft import (
    KINDS,
    NORMALS,
    STYLES,
    Draft,
    DraftBay,
    DraftBox,
    DraftPoint,
    file_name,
    file_of,
    in_order,
    mistakes,
    of_kind,
    port_names,
    width,
)
from slinediag.editor.files.draft_table import Column, DraftTable
from slinediag.editor.line_list import LineList
from slinediag.problems import SlinediagError, told_lines
from slinediag.saving import save

PAGES = ("Facility", "Bays", "Equipment", "First normals", "File")
FILES = "Facility files (*.yaml *.yml)"
LAST_FOLDER = "last folder"
BAY_COLUMNS = (
    Column("Id", "Short, as PB1; addresses begin with it", 7),
    Column("Name", "What the bay is called", 20),
    Column("Style", "bantam where nothing is chosen", 12, lambda: tuple(STYLES)),
    Column("Positions", "A row; 48 for bantam, else 24, where nothing is typed", 8),
    Column("Normal", "Of its positions; half where nothing is chosen", 12, lambda: tuple(NORMALS)),
    Column("Place", "Rack or room, as Rack 1", 14),
)
BOX_COLUMNS = (
    Column("Id", "Short, as PLY1; addresses begin with it", 8),
    Column("Name", "What it is called", 20),
    Column("Inputs", "As L R, or 1-8 for eight of them", 12),
    Column("Outputs", "As L R, or 1-6 for six of them", 12),
    Column(
        "Paths",
        "straight: each output from the input beside it; all: every output from every input; "
        "nothing: audio starts here or ends here",
        9,
        lambda: ("straight", "all"),
    ),
    Column("Place", "Rack or room, as Rack 1, U12", 14),
)


class NewGuide(QDialog):
    """Five pages in one window; ends in a file, which is then opened."""

    made = Signal(str)
    """The file is written: its path."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("New facility")
        self.steps = QListWidget()
        self.steps.setAccessibleName("Pages")
        self.steps.addItems(list(PAGES))
        self.steps.setFixedWidth(150)
        self.pages = QStackedWidget()
        for page in (
            self._facility_page(),
            self._bays_page(),
            self._boxes_page(),
            self._points_page(),
            self._file_page(),
        ):
            self.pages.addWidget(page)
        self.back = _button("&Back", self._go_back)
        self.next = _button("&Next", self._go_on)
        self.make = _button("&Make the file and open it", self.write)
        self.cancel = _button("Cancel", self.reject)
        self.next.setDefault(True)
        self.notice = QLabel()
        self.notice.setProperty("danger", True)
        self.notice.setWordWrap(True)
        self.notice.setAccessibleName("Notice")
        self._lay_out()
        self.steps.currentRowChanged.connect(self._turn_to)
        for table in (self.bays, self.boxes, self.points):
            table.edited.connect(self._judge)
        self.bays.fill([("PB1", "Bay 1", "", "", "", "")])
        self._go_to(0)
        self.resize(960, 560)

    # ---- pages

    def _facility_page(self) -> QWidget:
        self.name = QLineEdit()
        self.name.setPlaceholderText("New facility")
        self.name.setAccessibleName("Name of the facility")
        self.owner = QLineEdit()
        self.owner.setAccessibleName("Owner")
        form = QFormLayout()
        form.addRow("N&ame", self.name)
        form.addRow("&Owner", self.owner)
        self.name.textChanged.connect(lambda _text: self._propose_file())
        words = (
            "One file holds one facility: its equipment, its bays and what is wired to them. "
            "All of this can be left blank and added later, here or in the file itself."
        )
        return _page(words, form, 1)

    def _bays_page(self) -> QWidget:
        self.bays = DraftTable("Bays", BAY_COLUMNS)
        row = QHBoxLayout()
        row.addWidget(_button("&Add a bay", self.add_bay))
        row.addWidget(_button("&Take it out", self.bays.take_out))
        row.addStretch(1)
        return _page("The panels of jacks, one a row.", self.bays, row)

    def _boxes_page(self) -> QWidget:
        self.kind = QComboBox()
        self.kind.addItems(list(KINDS))
        self.kind.setAccessibleName("Kind of equipment")
        self.boxes = DraftTable("Equipment", BOX_COLUMNS)
        row = QHBoxLayout()
        row.addWidget(self.kind)
        row.addWidget(_button("&Add it", self.add_box))
        row.addWidget(_button("&Take it out", self.boxes.take_out))
        row.addStretch(1)
        words = (
            "What sends and receives audio. Choose a kind, add it, and type over what is otherwise."
        )
        return _page(words, row, self.boxes)

    def _points_page(self) -> QWidget:
        columns = (
            Column("Bay", "The bay's id", 8, lambda: [b.id for b in self.draft.bays if b.id]),
            Column("Position", "Its number, from 1", 8),
            Column("Top jack", "An output", 18, lambda: self._free("out"), only=False),
            Column("Bottom jack", "An input", 18, lambda: self._free("in"), only=False),
            Column("Normal", "As the bay's where nothing is chosen", 14, lambda: tuple(NORMALS)),
        )
        self.points = DraftTable("First normals", columns)
        row = QHBoxLayout()
        row.addWidget(_button("&Lay out in order", self.lay_out_in_order))
        row.addWidget(_button("&Add a position", self.add_point))
        row.addWidget(_button("&Take it out", self.points.take_out))
        row.addStretch(1)
        words = (
            "Which output comes up on a top jack, and which input lies below it. The normal joins "
            "the two while no plug is in."
        )
        return _page(words, row, self.points)

    def _file_page(self) -> QWidget:
        self.path = QLineEdit()
        self.path.setAccessibleName("Path of the file")
        self.path.textEdited.connect(lambda _text: self._judge())
        self._named = False
        self.path.textEdited.connect(self._name_by_hand)
        choose = _button("&Choose …", self._choose)
        row = QHBoxLayout()
        row.addWidget(self.path, 1)
        row.addWidget(choose)
        self.summary = QLabel()
        self.summary.setWordWrap(True)
        self.wrong = LineList("What is to be mended first")
        # Later: the key that chose the line must find the list still in front.
        queued = Qt.ConnectionType.QueuedConnection
        self.wrong.gone_to.connect(self.steps.setCurrentRow, queued)
        self._propose_file()
        return _page(
            "Where the file shall lie. Nothing is written before.", row, self.summary, self.wrong
        )

    def _lay_out(self) -> None:
        buttons = QHBoxLayout()
        buttons.addWidget(self.notice, 1)
        for button in (self.cancel, self.back, self.next, self.make):
            buttons.addWidget(button)
        right = QVBoxLayout()
        right.addWidget(self.pages, 1)
        right.addLayout(buttons)
        whole = QHBoxLayout(self)
        whole.setContentsMargins(16, 14, 16, 12)
        whole.setSpacing(2 * looks.GAP)
        whole.addWidget(self.steps)
        whole.addLayout(right, 1)

    # ---- going

    def showEvent(self, event: QShowEvent) -> None:
        """Lines are as high as the style sheet wants only once they are shown."""
        super().showEvent(event)
        self.steps.doItemsLayout()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Return goes on from a field, and not from a table or list in which it means something."""
        ends = event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter)
        if ends and isinstance(self.focusWidget(), QAbstractItemView):
            event.accept()
            return
        super().keyPressEvent(event)

    def _turn_to(self, page: int) -> None:
        self.pages.setCurrentIndex(page)
        self.back.setEnabled(page > 0)
        self.next.setEnabled(page < len(PAGES) - 1)
        last = page == len(PAGES) - 1
        self.make.setDefault(last)
        self.next.setDefault(not last)
        self.notice.clear()
        self._judge()

    def _go_on(self) -> None:
        self._go_to(self.steps.currentRow() + 1)

    def _go_back(self) -> None:
        self._go_to(self.steps.currentRow() - 1)

    def _go_to(self, page: int) -> None:
        self.steps.setCurrentRow(page)
        first = (self.name, self.bays, self.kind, self.points, self.make)[page]
        first.setFocus(Qt.FocusReason.OtherFocusReason)

    # ---- the draft

    @property
    def draft(self) -> Draft:
        """All that was jotted down so far."""
        return Draft(
            self.name.text(),
            self.owner.text(),
            tuple(DraftBay(*row) for row in self.bays.rows()),
            tuple(DraftBox(*row) for row in self.boxes.rows()),
            tuple(DraftPoint(*row) for row in self.points.rows()),
        )

    def add_bay(self) -> None:
        """One bay more, with an id that is free."""
        taken = {bay.id for bay in self.draft.bays}
        number = next(n for n in range(1, 10_000) if f"PB{n}" not in taken)
        self.bays.add((f"PB{number}", f"Bay {number}", "", "", "", ""), edit=1)

    def add_box(self) -> None:
        """One piece of equipment more, of the kind that is chosen."""
        draft = self.draft
        taken = [bay.id for bay in draft.bays] + [box.id for box in draft.boxes]
        box = of_kind(self.kind.currentText(), taken)
        self.boxes.add((box.id, box.name, box.inputs, box.outputs, box.paths, box.place), edit=1)

    def add_point(self) -> None:
        """The next position of the last bay."""
        rows = self.points.rows()
        bays = [bay for bay in self.draft.bays if bay.id]
        bay, number = (rows[-1][0], rows[-1][1]) if rows else (bays[0].id if bays else "", "0")
        widths = {known.id: width(known) for known in bays}
        after = int(number) + 1 if number.isdecimal() else 1
        if after > widths.get(bay, 96):
            later = [known.id for known in bays]
            at = later.index(bay) + 1 if bay in later else 0
            bay, after = (later[at], 1) if at < len(later) else (bay, after)
        self.points.add((bay, str(after), "", "", ""), edit=2)

    def lay_out_in_order(self) -> None:
        """All outputs on top jacks and all inputs below, in order."""
        draft = self.draft
        points = in_order(draft.bays, draft.boxes)
        self.points.fill([(p.bay, p.position, p.top, p.bottom, p.normal) for p in points])
        self.points.setFocus()
        self.points.setCurrentCell(0, 2)
        if not points:
            self.notice.setText("There are no bays or no equipment yet; add them first.")

    def _free(self, side: str) -> list[str]:
        draft = self.draft
        used = {point.top if side == "out" else point.bottom for point in draft.points}
        names = port_names(draft.boxes, "out" if side == "out" else "in")
        return [name for name in names if name not in used]

    def _judge(self) -> None:
        """Say what is wrong; the last page lists all of it."""
        draft = self.draft
        found = mistakes(draft)
        self.wrong.fill((p.text(), self._page_of(p.where)) for p in found)
        self.wrong.setVisible(bool(found))
        bays = sum(not bay.blank for bay in draft.bays)
        boxes = [box for box in draft.boxes if not box.blank]
        points = sum(not point.blank for point in draft.points)
        self.summary.setText(
            f"{draft.name.strip() or 'New facility'}: {_counted(bays, 'bay')}, "
            f"{_counted(len(boxes), 'piece')} of equipment, {_counted(points, 'position')} in use."
        )
        self.make.setEnabled(not found)
        self.notice.setText(found[0].text() if found else "")

    def _page_of(self, where: str) -> int:
        draft = self.draft
        if any(where in (box.id, box.name) for box in draft.boxes):
            return 2
        return 1 if any(where in (bay.id, bay.name) for bay in draft.bays) else 3

    # ---- the file

    def _name_by_hand(self, _text: str) -> None:
        self._named = True

    def _propose_file(self) -> None:
        if not hasattr(self, "path") or self._named:
            return
        documents = QStandardPaths.StandardLocation.DocumentsLocation
        folder = str(QSettings().value(LAST_FOLDER) or "")
        if not os.path.isdir(folder):
            folder = QStandardPaths.writableLocation(documents)
        if not os.path.isdir(folder):
            folder = os.path.expanduser("~")
        self.path.setText(os.path.join(folder, file_name(self.name.text())))

    def _choose(self) -> None:
        path, _ = QFileDialog.getSaveFileName(self, "New facility", self.path.text(), FILES)
        if path:
            self._named = True
            self.path.setText(path)

    def write(self) -> None:
        """Write the file and say so; what is there already is not overwritten."""
        path = os.path.abspath(os.path.expanduser(self.path.text().strip()))
        if os.path.lexists(path):
            self.notice.setText(f"{path} is there already. Choose another name.")
            return
        why = disk.why_not_written(path, None)
        if why is not None:
            self.notice.setText(f"{why.where}: {why.what}. Choose another place.")
            return
        try:
            save(path, file_of(self.draft, path))
        except SlinediagError as error:
            self.notice.setText("  ".join(told_lines(error.problems)))
            return
        QSettings().setValue(LAST_FOLDER, os.path.dirname(path))
        self.made.emit(path)
        self.accept()


def _button(words: str, do: object) -> QPushButton:
    button = QPushButton(words)
    button.setAutoDefault(False)
    button.clicked.connect(do)
    return button


def _page(words: str, *parts: QWidget | QFormLayout | QHBoxLayout | int) -> QWidget:
    """A page: what it is about in a sentence, then its parts; a number is space that stretches."""
    page = QWidget()
    column = QVBoxLayout(page)
    column.setContentsMargins(0, 0, 0, 0)
    column.setSpacing(2 * looks.GAP)
    head = QLabel(words)
    head.setWordWrap(True)
    column.addWidget(head)
    for part in parts:
        if isinstance(part, QWidget):
            column.addWidget(part, int(isinstance(part, DraftTable | LineList)))
        elif isinstance(part, int):
            column.addStretch(part)
        else:
            column.addLayout(part)
    return page


def _counted(number: int, word: str) -> str:
    return f"{number} {word}{'s' if number != 1 else ''}"
