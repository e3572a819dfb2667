"""One list on screen: its filter, its table, its commands, and the words below."""

# ruff: noqa: N802 (event handlers bear Qt's names)

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QEvent, QObject, Qt, QTimer, Signal
from PySide6.QtGui import QAccessible, QAccessibleEvent, QKeyEvent
from PySide6.QtWidgets import QComboBox, QHBoxLayout, QLabel, QLineEdit, QPushButton, QVBoxLayout
from PySide6.QtWidgets import QWidget as Widget

from slinediag.editor import looks
from slinediag.editor.lists.commands import counted
from slinediag.editor.lists.judge import Judge
from slinediag.editor.lists.listing import Listing
from slinediag.editor.lists.table import ListTable
from slinediag.editor.lists.table_model import TableModel
from slinediag.editor.workplace import Workplace
from slinediag.problems import Problem

TOLD_FOR = 8_000
"""Milliseconds that the words of a command stay."""


class ListPage(Widget):
    """A list to look at and to edit in."""

    wanted_on_chart = Signal(object)
    """Something is wanted on the chart. Carries a Thing."""

    def __init__(
        self, workplace: Workplace, listing: Listing, judge: Judge, parent: Widget | None = None
    ) -> None:
        super().__init__(parent)
        self.workplace = workplace
        self.listing = listing
        self.model = TableModel(workplace, listing, judge, self)
        self.table = ListTable(self.model)
        self.filter = QLineEdit()
        self.filter.setPlaceholderText(f"Filter {listing.title.casefold()}")
        self.filter.setAccessibleName(f"Filter {listing.title.casefold()}")
        self.filter.setToolTip("Ctrl+Shift+F")
        self.filter.setClearButtonEnabled(True)
        self.filter.setMaximumWidth(240)
        self.filter.installEventFilter(self)
        self.part = QComboBox(self)
        self.part.setVisible(bool(listing.parts))
        self.part.setAccessibleName(f"{listing.parts} shown")
        self.count = QLabel()
        self.count.setProperty("quiet", True)
        self.words = QLabel()
        self.words.setWordWrap(True)
        self.words.setAccessibleName("What is wrong, or what a cell is for")
        self.words.setMinimumHeight(2 * self.fontMetrics().lineSpacing() + 2)
        self.words.setAlignment(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft)
        self.next = QPushButton("Next to correct")
        self.next.setToolTip("Ctrl+J")
        self.next.clicked.connect(self.table.to_next_draft)
        self._told = QTimer(self, singleShot=True, interval=TOLD_FOR)
        self._told.timeout.connect(self._explain)
        self._typed_later = QTimer(self, singleShot=True, interval=120)
        self._typed_later.timeout.connect(self._narrow)
        self._was_saved = not workplace.history.unsaved
        self._lay_out()
        self._listen()
        self._name_parts()
        self._count()
        self._explain()

    def _lay_out(self) -> None:
        self.above = QHBoxLayout()
        self.above.setSpacing(looks.GAP)
        if self.listing.parts:
            self.above.addWidget(self.part)
        self.above.addWidget(self.filter)
        self.above.addWidget(self.count)
        self.above.addStretch(1)
        if self.listing.own_rows:
            self.add_command(f"Add {self.listing.a_one}", "Alt+Ins", self.table.commands.add_row)
            self.add_command("Remove", "Alt+Del", self.table.commands.remove_rows)
        below = QHBoxLayout()
        below.addWidget(self.words, 1)
        below.addWidget(self.next, 0, Qt.AlignmentFlag.AlignTop)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(looks.GAP, looks.GAP, looks.GAP, looks.GAP)
        whole.setSpacing(looks.GAP)
        whole.addLayout(self.above)
        whole.addWidget(self.table, 1)
        whole.addLayout(below)

    def add_command(self, words: str, tip: str, do: Callable[[], object]) -> QPushButton:
        """A button above the table."""
        button = QPushButton(words)
        button.setToolTip(tip)
        button.clicked.connect(lambda: do())
        self.above.addWidget(button)
        return button

    def _listen(self) -> None:
        self.filter.textChanged.connect(lambda _text: self._typed_later.start())
        self.filter.returnPressed.connect(self._to_table)
        self.part.currentIndexChanged.connect(lambda _row: self._narrow())
        self.table.delegate.judged.connect(self._tell_judged)
        self.table.moved.connect(self._explain)
        self.table.told.connect(self.tell)
        self.table.filter_wanted.connect(self._to_filter)
        self.table.chosen.connect(self.workplace.select)
        self.table.wanted_on_chart.connect(self.wanted_on_chart)
        self.workplace.selection_changed.connect(self._follow)
        self.workplace.facility_changed.connect(lambda _facility: self._after_change())
        for changed in (self.model.modelReset, self.model.rowsInserted, self.model.rowsRemoved):
            changed.connect(self._count)
        self.workplace.history_changed.connect(self._tell_unsaved)
        self.model.drafts_changed.connect(self._explain)
        self.model.drafts_changed.connect(self._count)

    # ---- filter

    def _name_parts(self) -> None:
        """What the list may be narrowed to, kept as it is chosen."""
        if not self.listing.parts:
            return
        keys = self.listing.keys(self.model.facility)
        parts = ["", *dict.fromkeys(self.listing.part(key) for key in keys)]
        if parts == [self.part.itemData(row) for row in range(self.part.count())]:
            return
        chosen = self.part.currentData()
        self.part.blockSignals(True)
        self.part.clear()
        for part in parts:
            self.part.addItem(part or self.listing.all_parts, part)
        self.part.setCurrentIndex(max(0, self.part.findData(chosen)))
        self.part.blockSignals(False)
        if chosen and self.part.currentData() != chosen:
            self._narrow()

    def _narrow(self) -> None:
        self._typed_later.stop()
        self.model.narrow(self.filter.text(), self.part.currentData() or "")

    def show_part(self, part: str) -> None:
        """Narrow the list to one part."""
        self.part.setCurrentIndex(max(0, self.part.findData(part)))

    def _to_filter(self) -> None:
        self.filter.setFocus()
        self.filter.selectAll()

    def _to_table(self) -> None:
        self._narrow()
        self.table.setFocus()
        if not self.table.currentIndex().isValid():
            self.table.go_to(None)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Esc in the filter takes it off; the arrow down goes to the table."""
        if isinstance(event, QKeyEvent) and event.type() == QEvent.Type.KeyPress:
            if event.key() == Qt.Key.Key_Escape:
                self.filter.clear()
                self._to_table()
                return True
            if event.key() == Qt.Key.Key_Down:
                self._to_table()
                return True
        return super().eventFilter(watched, event)

    # ---- words

    def _count(self) -> None:
        rows = self.model.filed_rows
        every = len(self.listing.keys(self.model.facility))
        of = f"{rows:,} of {every:,}" if rows != every else f"{every:,}"
        self.count.setText(f"{of} {self.listing.title.casefold()}")

    def tell(self, words: str) -> None:
        """Say what a command did."""
        self._say(words, wrong=False)
        self._told.start()

    def _tell_judged(self, problem: Problem | None) -> None:
        if problem is not None:
            self._say(problem.text(), wrong=True)
        else:
            self._explain()

    def _explain(self) -> None:
        """What is wrong in the current cell, else what it is for."""
        self._told.stop()
        drafts = self.model.waiting
        wrong = sum(not draft.waits for draft in drafts.values())
        self.next.setVisible(bool(drafts))
        self.next.setText(f"{counted(wrong, 'cell')} to correct" if wrong else "Row not yet whole")
        index = self.table.currentIndex()
        draft = self.model.draft(index) or self.model.row_draft(index)
        if draft is not None:
            self._say(draft.problem.text(), wrong=not draft.waits)
        elif index.isValid():
            column = self.model.column_of(index)
            self._say(f"{column.title}: {self.model.help(index)}.", wrong=False)
        else:
            self._say("", wrong=False)

    def _tell_unsaved(self) -> None:
        """Say once that what waits is not in the file that has just been saved."""
        saved = not self.workplace.history.unsaved
        waiting = len(self.model.waiting)
        if saved and not self._was_saved and waiting:
            self.tell(f"Saved without {counted(waiting, 'cell')} that cannot be as typed.")
        self._was_saved = saved

    def _say(self, words: str, *, wrong: bool) -> None:
        self.words.setProperty("danger", wrong)
        self.words.setProperty("quiet", not wrong)
        self.words.style().unpolish(self.words)
        self.words.style().polish(self.words)
        self.words.setText(words)
        self.words.setAccessibleDescription(words)
        if wrong:
            alert = QAccessibleEvent(self.words, QAccessible.Event.Alert)
            QAccessible.updateAccessibility(alert)

    # ---- following

    def _follow(self, thing: object) -> None:
        if self.isVisible():
            self.table.follow(thing)  # type: ignore[arg-type]

    def _after_change(self) -> None:
        self._name_parts()
        if self.isVisible() and self.table.delegate.field is None:
            self._count()

    def take_focus(self) -> None:
        """Let the keys go to the table, at what is selected."""
        self.table.follow(self.workplace.selection)
        if not self.table.currentIndex().isValid():
            self.table.go_to(None)
        self.table.setFocus(Qt.FocusReason.OtherFocusReason)
