"""The trial beside the chart: what is tried, what it does in words, and leaving a cord in."""

from __future__ import annotations

import datetime

from PySide6.QtCore import QDate, QStringListModel, Qt, QTimer
from PySide6.QtWidgets import (
    QCompleter,
    QDateEdit,
    QDialog,
    QDialogButtonBox,
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from slinediag.address import Jack
from slinediag.editor import looks
from slinediag.editor.damage import failed_things, silenced_by
from slinediag.editor.finding import complete_cord, jack_names, read_cord
from slinediag.editor.line_list import LineList
from slinediag.editor.sentences import told
from slinediag.editor.trials import FAILING, Item, item_words
from slinediag.editor.workplace import Workplace
from slinediag.model.facility import Facility
from slinediag.model.labels import labelled_jack
from slinediag.problems import problem
from slinediag.tracing.values import Answer

SHOWN = 4
"""Lines of the list of what is tried that are seen at once."""
CORD_FORM = "Write two jacks with a space between them, as PB1.T3 PB2.B7, or their labels"
AT_REST = "Nothing is tried. Drag from jack to jack on the chart, or type two jacks above."


class CordEntry(QLineEdit):
    """A field in which a cord is typed, by addresses or labels, completed as one types."""

    def __init__(self, workplace: Workplace, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.workplace = workplace
        self.setPlaceholderText("PB1.T3 PB2.B7")
        self.setAccessibleName("Trial cord from jack to jack")
        self.setToolTip(CORD_FORM)
        self._names: tuple[str, ...] | None = None
        self._lines = QStringListModel(self)
        completer = QCompleter(self._lines, self)
        completer.setCompletionMode(QCompleter.CompletionMode.UnfilteredPopupCompletion)
        completer.setCaseSensitivity(Qt.CaseSensitivity.CaseInsensitive)
        looks.frame_offers(completer)
        self.setCompleter(completer)
        self.textEdited.connect(self._complete)
        self.returnPressed.connect(self.put)
        workplace.facility_changed.connect(lambda _facility: self._forget())

    def put(self) -> None:
        """Put the typed cord in."""
        cord = read_cord(self.workplace.facility, self.text())
        if cord is None:
            where = self.text().strip() or "trial cord"
            self.workplace.refuse((problem(where, "this is no cord", CORD_FORM),))
        elif self.workplace.put_cord(*cord):
            self.clear()
            # What completion offers is put into the field behind the key that chose it.
            QTimer.singleShot(0, self, self.clear)
            self.workplace.show(cord[0])

    def _forget(self) -> None:
        """Names are gathered when somebody types, not at each edit."""
        self._names = None

    def _complete(self, text: str) -> None:
        facility = self.workplace.facility
        if self._names is None:
            self._names = jack_names(facility)
        lines = complete_cord(facility, self._names, text) if text.strip() else ()
        self._lines.setStringList(list(lines))


class TrialPanel(QWidget):
    """What is tried and what comes of it."""

    def __init__(self, workplace: Workplace, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.workplace = workplace
        self.entry = CordEntry(workplace)
        self.put_button = QPushButton("Put in")
        self.put_button.setAccessibleDescription("Put the typed cord into the trial")
        self.put_button.clicked.connect(self.entry.put)
        self.tried = LineList("What is tried")
        self.tried.setToolTip("Delete takes a line out of the trial")
        self.tried.gone_to.connect(self._go_to)
        self.tried.removed.connect(workplace.take_out)
        self.out_button = QPushButton("Take out")
        self.out_button.clicked.connect(self._take_out)
        self.leave_button = QPushButton("Leave it in …")
        self.leave_button.clicked.connect(self.leave_in)
        self.clear_button = QPushButton("Clear all")
        self.clear_button.setToolTip("Esc twice")
        self.clear_button.clicked.connect(workplace.clear_trial)
        self.words = LineList("What it does")
        self.words.gone_to.connect(lambda thing: workplace.select(thing, show=True))
        self.rest = QLabel(AT_REST)
        self.rest.setWordWrap(True)
        self.rest.setProperty("quiet", True)
        self._lay_out()
        self.tried.currentRowChanged.connect(lambda _row: self._enable())
        workplace.trial_changed.connect(self.show_trial)
        self.show_trial(workplace.answer)

    def _lay_out(self) -> None:
        typed = QHBoxLayout()
        typed.addWidget(self.entry, 1)
        typed.addWidget(self.put_button)
        self.buttons = QWidget()
        buttons = QHBoxLayout(self.buttons)
        buttons.setContentsMargins(0, 0, 0, 0)
        for button in (self.out_button, self.leave_button, self.clear_button):
            buttons.addWidget(button)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(12, 4, 12, 12)
        whole.setSpacing(looks.GAP)
        whole.addLayout(typed)
        whole.addWidget(self.rest)
        whole.addWidget(self.tried, 1)
        whole.addWidget(self.buttons)
        whole.addWidget(self.words, 3)
        self._filler = QWidget()
        whole.addWidget(self._filler, 3)

    def height_at_rest(self) -> int:
        """The height that is needed where nothing is tried, at the width as it is."""
        layout = self.layout()
        return layout.totalHeightForWidth(self.width()) if layout is not None else 0

    def show_trial(self, answer: Answer) -> None:
        """List the trial and its answer."""
        facility = self.workplace.facility
        self.tried.fill((item_words(facility, item), item) for item in self.workplace.items)
        if self.tried.count() and self.tried.currentRow() < 0:
            self.tried.setCurrentRow(self.tried.count() - 1)
        self.tried.shrink_to(SHOWN)
        empty = self.workplace.at_rest
        said = () if answer.trial.empty else told(answer)
        self.words.fill((*silenced_by(facility, self.workplace.failure, answer), *said))
        self.rest.setVisible(empty)
        self.tried.setVisible(not empty)
        self.words.setVisible(not empty)
        self.buttons.setVisible(not empty)
        self._filler.setVisible(empty)
        self._enable()

    def _enable(self) -> None:
        item = self.tried.carried
        on = isinstance(item, Item)
        self.out_button.setEnabled(on)
        self.leave_button.setEnabled(isinstance(item, Item) and item.kind == "cord")
        self.clear_button.setEnabled(not self.workplace.at_rest)

    def _take_out(self) -> None:
        item = self.tried.carried
        if isinstance(item, Item):
            self.workplace.take_out(item)

    def _go_to(self, item: Item) -> None:
        what = item.what
        if item.kind in FAILING:
            failed = failed_things(self.workplace.facility, item)
            if failed:
                self.workplace.select(failed[0], show=True)
        elif isinstance(what, str):
            self.workplace.show_box(what)
        else:
            self.workplace.select(what if isinstance(what, Jack) else what[0], show=True)

    def leave_in(self) -> None:
        """Ask for a note and a date, and make the current cord a standing cord."""
        item = self.tried.carried
        if not isinstance(item, Item) or item.kind != "cord":
            return
        dialog = LeaveIn(self.workplace.facility, item.what, self)  # type: ignore[arg-type]
        dialog.accepted.connect(
            lambda: self.workplace.leave_in(
                item.what,  # type: ignore[arg-type]
                dialog.note.text().strip(),
                dialog.since,
                dialog.by.text().strip() or None,
            )
        )
        dialog.open()


class LeaveIn(QDialog):
    """Asks what is to stand in the file of a cord that stays in."""

    def __init__(
        self, facility: Facility, cord: tuple[Jack, Jack], parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle("Leave it in")
        one, other = (labelled_jack(facility, jack) for jack in cord)
        head = QLabel(f"Cord {one} to {other} becomes a standing cord of {facility.name}.")
        head.setWordWrap(True)
        self.note = QLineEdit()
        self.note.setPlaceholderText("why it is in")
        self.note.setAccessibleName("Note")
        self.by = QLineEdit()
        self.by.setAccessibleName("By")
        self.date = QDateEdit(QDate.currentDate())
        self.date.setCalendarPopup(True)
        self.date.setDisplayFormat("yyyy-MM-dd")
        self.date.setAccessibleName("Since")
        form = QFormLayout()
        form.addRow("&Note", self.note)
        form.addRow("&By", self.by)
        form.addRow("&Since", self.date)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Cancel)
        self.accept_button = buttons.addButton(
            "Leave it in", QDialogButtonBox.ButtonRole.AcceptRole
        )
        buttons.accepted.connect(self.accept)
        buttons.rejected.connect(self.reject)
        whole = QVBoxLayout(self)
        whole.setSpacing(2 * looks.GAP)
        whole.addWidget(head)
        whole.addLayout(form)
        whole.addWidget(buttons)
        self.setMinimumWidth(420)

    @property
    def since(self) -> datetime.date:
        """The date from which it stands."""
        chosen = self.date.date()
        return datetime.date(chosen.year(), chosen.month(), chosen.day())
