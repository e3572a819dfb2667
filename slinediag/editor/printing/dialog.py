"""Print and write: what goes out is chosen at the left and seen to scale at the right."""

# ruff: noqa: N802 (event handlers bear Qt's names)

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from PySide6.QtCore import QSettings, Qt, QTimer
from PySide6.QtGui import QCloseEvent, QKeySequence, QShortcut
from PySide6.QtPrintSupport import QPrintDialog, QPrinter
from PySide6.QtWidgets import (
    QDialog,
    QHBoxLayout,
    QLabel,
    QProgressBar,
    QPushButton,
    QSlider,
    QVBoxLayout,
    QWidget,
)

from slinediag.editor import looks
from slinediag.editor.backroom import Backroom
from slinediag.editor.printing.making import Doing, Page, Refused, Written, make_pages, write_out
from slinediag.editor.printing.press import Press, refusal
from slinediag.editor.printing.preview import Preview
from slinediag.editor.printing.setup import Setup
from slinediag.editor.printing.target import Target
from slinediag.editor.workplace import Workplace

SETTLE = 250
"""Milliseconds without another choice before pages are made."""
MAKING = "Making the pages …"
NO_PAGES = "A workbook is tables, not pages: there is nothing to see beforehand or to print."
SIDE = 310


class PrintAndWrite(QDialog):
    """Chooses a paper, shows its pages, and prints or writes them."""

    def __init__(self, workplace: Workplace, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.workplace = workplace
        self.setWindowTitle("Print and write")
        self.setup = Setup(workplace)
        self.target = Target()
        self.preview = Preview()
        self.press = Press(self)
        self.making = Backroom(self)
        self.writing = Backroom(self)
        self._pause = QTimer(self, singleShot=True, interval=SETTLE)
        self._pause.timeout.connect(self.make)
        self._make_bar()
        self._make_foot()
        self._lay_out()
        self._listen()
        self._suggest()
        self._show_turn()

    # ---- making

    def _make_bar(self) -> None:
        self.back_button = QPushButton("◀")
        self.back_button.setAccessibleName("Page before")
        self.on_button = QPushButton("▶")
        self.on_button.setAccessibleName("Next page")
        self.number = QLabel()
        self.number.setAccessibleName("Page")
        self.whole_button = QPushButton("&Whole page")
        self.real_button = QPushButton("Real si&ze")
        for button in (self.whole_button, self.real_button):
            button.setCheckable(True)
        self.rule = QSlider(Qt.Orientation.Horizontal)
        self.rule.setRange(600, 1600)
        self.rule.setFixedWidth(120)
        self.rule.setAccessibleName("Length of the rule on this screen")
        self.rule.setToolTip("Move until the rule on screen is 100 mm long by a ruler held to it")
        self.rule.setValue(int(str(QSettings().value("paper/rule", 1000))))

    def _make_foot(self) -> None:
        self.words = QLabel()
        self.words.setWordWrap(True)
        self.words.setAccessibleName("What came of it")
        self.progress = QProgressBar()
        self.progress.setTextVisible(False)
        self.progress.setFixedSize(140, 8)
        self.progress.setAccessibleName("How far the work is")
        self.stop_button = QPushButton("S&top")
        self.print_button = QPushButton("&Print …")
        self.write_button = QPushButton("Wr&ite")
        self.close_button = QPushButton("&Close")
        self.write_button.setDefault(True)
        for button in (self.stop_button, self.print_button, self.close_button):
            button.setAutoDefault(False)

    def _lay_out(self) -> None:
        side = QVBoxLayout()
        side.setSpacing(looks.GAP)
        side.addWidget(self.setup, 1)
        side.addWidget(self.target)
        left = QWidget()
        left.setLayout(side)
        side.setContentsMargins(0, 0, 0, 0)
        left.setFixedWidth(SIDE)
        bar = QHBoxLayout()
        bar.addWidget(self.back_button)
        bar.addWidget(self.number)
        bar.addWidget(self.on_button)
        bar.addStretch(1)
        bar.addWidget(self.rule)
        bar.addWidget(self.whole_button)
        bar.addWidget(self.real_button)
        seen = QVBoxLayout()
        seen.addLayout(bar)
        seen.addWidget(self.preview, 1)
        body = QHBoxLayout()
        body.setSpacing(2 * looks.GAP)
        body.addWidget(left)
        body.addLayout(seen, 1)
        foot = QHBoxLayout()
        foot.addWidget(self.words, 1)
        foot.addWidget(self.progress)
        foot.addWidget(self.stop_button)
        foot.addWidget(self.print_button)
        foot.addWidget(self.write_button)
        foot.addWidget(self.close_button)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(16, 14, 16, 12)
        whole.setSpacing(12)
        whole.addLayout(body, 1)
        whole.addLayout(foot)
        self.resize(1120, 680)

    def _listen(self) -> None:
        self.setup.changed.connect(self._take_choice)
        self.setup.refused.connect(lambda words: self._say(words, bad=True))
        self.workplace.facility_changed.connect(lambda _: self._remake())
        self.workplace.trial_changed.connect(lambda _: self._remake())
        self.preview.turned.connect(self._show_turn)
        self.back_button.clicked.connect(lambda: self.preview.turn_to(self.preview.index - 1))
        self.on_button.clicked.connect(lambda: self.preview.turn_to(self.preview.index + 1))
        self.whole_button.clicked.connect(self.preview.see_whole)
        self.real_button.clicked.connect(self.preview.see_real)
        self.rule.valueChanged.connect(self._correct)
        self._correct(self.rule.value())
        self.target.replaces.connect(self._name_write)
        self.stop_button.clicked.connect(self.stop)
        self.print_button.clicked.connect(self.ask_and_print)
        self.write_button.clicked.connect(self.write)
        self.close_button.clicked.connect(self.close)
        self.making.answered.connect(self._take_pages)
        self.making.finished.connect(self._end_making)
        self.writing.answered.connect(self._take_written)
        self.writing.finished.connect(self._end_writing)
        self.press.printed.connect(self._tell_printed)
        self.press.ended.connect(self._end_printing)
        QShortcut(QKeySequence.StandardKey.Print, self, self.ask_and_print)

    # ---- what is chosen

    def open_on(self, what: str | None = None) -> None:
        """Show the window, on this paper where one is named."""
        if what is not None:
            self.setup.choose(what)
        self._suggest()
        self.show()
        self.raise_()
        # Lines are as high as the style sheet wants only once it is shown.
        self.setup.papers.doItemsLayout()
        self.setup.papers.setFocus(Qt.FocusReason.OtherFocusReason)
        self._remake()

    def _take_choice(self) -> None:
        self._suggest()
        self._remake()

    def _suggest(self) -> None:
        self.target.suggest(self.workplace.name, self.setup.wanted)

    def _name_write(self, replaces: bool) -> None:
        self.write_button.setText("Replace" if replaces else "Wr&ite")

    # ---- pages

    def _remake(self) -> None:
        """Make pages anew, once the choices have settled."""
        if not self.isVisible():
            return
        self.making.stop()
        self.preview.clear()
        wanted = self.setup.wanted
        self._say(MAKING if wanted.has_pages else NO_PAGES)
        if wanted.has_pages:
            self._pause.start()
        else:
            self._pause.stop()
        self._enable()

    def make(self) -> None:
        """Make the pages of what is chosen."""
        self.progress.setRange(0, 0)
        self.making.ask(make_pages, self.workplace.facility, self.setup.wanted)
        self._enable()

    def _take_pages(self, _number: int, made: tuple[Page, ...] | Refused | Doing) -> None:
        if isinstance(made, Doing):
            self._show_share(made)
        elif isinstance(made, Refused):
            self._say(made.words, bad=True)
        else:
            self.preview.add(made)

    def _end_making(self, _number: int, error: str) -> None:
        if error:
            self._say(f"The pages could not be made: {error}", bad=True)
        elif self.words.text().startswith(MAKING[:-2]):
            self._say("")
        self._enable()

    def _show_share(self, doing: Doing) -> None:
        self.progress.setRange(0, 1000)
        self.progress.setValue(round(1000 * doing.share))
        self._say(f"{MAKING[:-2]}: {doing.words} …")

    # ---- writing

    def write(self) -> None:
        """Write what is chosen to where it is to go."""
        wanted = replace(self.setup.wanted, dpi=self.target.dpi)
        text = self.target.text
        if not text:
            self._say("Say where to: a name for the file or folder.", bad=True)
            self.target.ask_again()
            return
        self.progress.setRange(0, 0)
        self._say("Writing …")
        own = self.workplace.name
        args = (self.workplace.facility, wanted, Path(text), own, Path(own).stem)
        self.writing.ask(write_out, *args)
        self._enable()

    def _take_written(self, _number: int, made: Written | Refused | Doing) -> None:
        if isinstance(made, Doing):
            self.progress.setRange(0, 1000)
            self.progress.setValue(round(1000 * made.share))
        elif isinstance(made, Refused):
            self._say(made.words, bad=True)
        else:
            self._say(written_words(made.paths))
            self.target.look()

    def _end_writing(self, _number: int, error: str) -> None:
        if error:
            self._say(f"It could not be written: {error}", bad=True)
        self._enable()

    # ---- printing

    def ask_and_print(self) -> None:
        """Ask which printer and pages, and print them true to scale."""
        if not self.print_button.isEnabled():
            return
        printer = QPrinter(QPrinter.PrinterMode.HighResolution)
        dialog = QPrintDialog(printer, self)
        dialog.setOption(QPrintDialog.PrintDialogOption.PrintPageRange)
        dialog.setMinMax(1, len(self.preview.pages))
        dialog.accepted.connect(lambda: self.print_on(printer))
        QDialog.open(dialog)

    def print_on(self, printer: QPrinter) -> None:
        """Print the pages that a printer is asked for, if it has paper of their size."""
        first = printer.fromPage() or 1
        last = printer.toPage() or len(self.preview.pages)
        pages = [page.drawing for page in self.preview.pages[first - 1 : last]]
        if not pages:
            return
        wrong = refusal(printer, pages)
        if wrong is not None:
            self._say(wrong.text(), bad=True)
            return
        self.progress.setRange(0, len(pages))
        self._say("Printing …")
        self.press.begin(printer, pages)
        self._enable()

    def _tell_printed(self, done: int) -> None:
        self.progress.setValue(done)

    def _end_printing(self, why: str) -> None:
        count = self.progress.value()
        if why:
            self._say(f"Not all pages were printed: {why}.", bad=True)
        else:
            self._say(f"{count} page{'s' if count > 1 else ''} to the printer, true to scale.")
        self._enable()

    # ---- telling

    def stop(self) -> None:
        """Stop whatever is under way; nothing is left half written."""
        for room in (self.making, self.writing):
            room.stop()
        self.press.stop()
        self._pause.stop()
        self._say("Stopped.")
        self._enable()

    def _say(self, words: str, *, bad: bool = False) -> None:
        self.words.setText(words)
        self.words.setAccessibleDescription(words)
        if self.words.property("danger") != bad:
            self.words.setProperty("danger", bad)
            self.words.style().polish(self.words)

    def _enable(self) -> None:
        making = self.making.busy or self._pause.isActive()
        busy = making or self.writing.busy or self.press.busy
        self.progress.setVisible(busy)
        self.stop_button.setVisible(busy)
        self.print_button.setEnabled(bool(self.preview.pages) and not busy)
        self.write_button.setEnabled(not self.writing.busy and not self.press.busy)

    def _show_turn(self) -> None:
        """The page's number, and how it is looked at."""
        preview, count = self.preview, len(self.preview.pages)
        self.number.setText(f"{preview.index + 1} of {count}" if count else "–")
        self.back_button.setEnabled(preview.index > 0)
        self.on_button.setEnabled(preview.index + 1 < count)
        self.real_button.setChecked(preview.real)
        self.whole_button.setChecked(preview.seen_whole)
        for button in (self.whole_button, self.real_button):
            button.setEnabled(count > 0)
        self.rule.setVisible(preview.real)

    def _correct(self, thousandths: int) -> None:
        self.preview.correct(thousandths / 1000)
        QSettings().setValue("paper/rule", thousandths)

    def closeEvent(self, event: QCloseEvent) -> None:
        """Pages that nobody will see are made no further; what is being written is."""
        self._pause.stop()
        self.making.stop()
        event.accept()

    def reject(self) -> None:
        """Esc stops what is under way first, and closes when nothing is."""
        if self.making.busy or self.writing.busy or self.press.busy:
            self.stop()
        else:
            super().reject()


def written_words(paths: Sequence[Path]) -> str:
    """What was written, in one sentence."""
    if len(paths) == 1:
        return f"Written: {paths[0]}"
    names = ", ".join(path.name for path in paths[:3])
    more = f" and {len(paths) - 3} more" if len(paths) > 3 else ""
    return f"Written into {paths[0].parent}: {names}{more}."
