"""A file with mistakes: its list of mistakes beside its text, to be mended there."""

# ruff: noqa: N802 (event handlers bear Qt's names)

from __future__ import annotations

import os
from collections.abc import Sequence

from PySide6.QtCore import QSettings, Qt, QTimer, Signal
from PySide6.QtGui import QAction, QCloseEvent, QKeySequence
from PySide6.QtWidgets import (
    QFileDialog,
    QLabel,
    QMainWindow,
    QMenu,
    QMessageBox,
    QSplitter,
    QToolBar,
    QVBoxLayout,
    QWidget,
)

from slinediag.editor import looks
from slinediag.editor.backroom import Backroom
from slinediag.editor.files import disk
from slinediag.editor.files.bar import Answer, Bar
from slinediag.editor.files.mending_text import MendedText, mistakes_of
from slinediag.editor.files.numbered_text import NumberedText
from slinediag.editor.line_list import LineList
from slinediag.problems import Problem, SlinediagError, told_lines

FILES = "Facility files (*.yaml *.yml)"
PAUSE = 400
"""Milliseconds after the last key until the text is read again."""
SIDE = 420
"""Pixels: how wide the list is at first."""


class MendingWindow(QMainWindow):
    """The text of one file with its mistakes; once there are none, it can be opened."""

    mended = Signal(str)
    """The file is saved and without mistakes, and is to be opened: its path."""

    def __init__(self, path: str, data: bytes, problems: Sequence[Problem]) -> None:
        super().__init__()
        self.work = MendedText(path, data, self)
        self.text = NumberedText("Text of the file")
        self.text.setPlainText(self.work.shown)
        self.text.document().setModified(False)
        self.mistakes = LineList("Mistakes")
        self.head = QLabel()
        self.head.setWordWrap(True)
        self.head.setProperty("head", True)
        self.bar = Bar("File on the disk")
        self.notice = QLabel()
        self.notice.setAccessibleName("Notice")
        self.problems: tuple[Problem, ...] = ()
        self.menus: dict[str, QMenu] = {}
        self._room = Backroom(self, kept=True)
        self._pause = QTimer(self, singleShot=True, interval=PAUSE)
        self._make_commands()
        self._lay_out()
        self._listen()
        self._show_mistakes(0, tuple(problems))
        self.resize(1280, 720)
        window = QSettings().value("mending window")
        if window is not None:
            self.restoreGeometry(window)
        self._name_window()
        self._arrive()

    # ---- making

    def _make_commands(self) -> None:
        keys = QKeySequence.StandardKey
        self.save_action = self._command("File", "&Save", self.save, keys.Save, "save")
        self._command("File", "Save &as …", self.ask_and_save, keys.SaveAs)
        self.open_action = self._command(
            "File", "&Open as a facility", self.open_mended, "Ctrl+Return", "chart"
        )
        self._command("File", "&Close", self.close, keys.Close)
        self.undo_action = self._command("Edit", "&Undo", self.text.undo, keys.Undo, "undo")
        self.redo_action = self._command("Edit", "&Redo", self.text.redo, keys.Redo, "redo")
        self._command("Edit", "&Next mistake", lambda: self._step(1), "F8")
        self._command("Edit", "&Last mistake", lambda: self._step(-1), "Shift+F8")
        for action, on in ((self.undo_action, False), (self.redo_action, False)):
            action.setEnabled(on)

    def _command(
        self,
        menu: str,
        words: str,
        do: object,
        keys: str | QKeySequence.StandardKey,
        icon: str | None = None,
    ) -> QAction:
        if menu not in self.menus:
            self.menus[menu] = self.menuBar().addMenu(f"&{menu}")
        action = QAction(words, self)
        action.setShortcut(QKeySequence(keys))
        if icon is not None:
            action.setIcon(looks.icon(icon))
        action.triggered.connect(do)
        self.menus[menu].addAction(action)
        return action

    def _lay_out(self) -> None:
        tools = QToolBar("Commands")
        tools.setMovable(False)
        tools.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextBesideIcon)
        for action in (self.save_action, self.undo_action, self.redo_action):
            tools.addAction(action)
        tools.addSeparator()
        tools.addAction(self.open_action)
        self.addToolBar(tools)
        side = QWidget()
        column = QVBoxLayout(side)
        column.setContentsMargins(12, 12, 12, 12)
        column.setSpacing(looks.GAP)
        column.addWidget(self.head)
        column.addWidget(self.mistakes, 1)
        split = QSplitter()
        split.addWidget(side)
        split.addWidget(self.text)
        split.setStretchFactor(1, 1)
        split.setSizes([SIDE, 1280 - SIDE])
        split.setChildrenCollapsible(False)
        whole = QWidget()
        rows = QVBoxLayout(whole)
        rows.setContentsMargins(0, 0, 0, 0)
        rows.setSpacing(0)
        rows.addWidget(self.bar)
        rows.addWidget(split, 1)
        self.setCentralWidget(whole)
        self.statusBar().addWidget(self.notice, 1)

    def _listen(self) -> None:
        self.text.textChanged.connect(self._take_text)
        self.text.document().modificationChanged.connect(lambda _on: self._name_window())
        self.text.undoAvailable.connect(self.undo_action.setEnabled)
        self.text.redoAvailable.connect(self.redo_action.setEnabled)
        self.mistakes.gone_to.connect(self._go_to)
        self.mistakes.currentRowChanged.connect(lambda _row: self._see_current())
        self._pause.timeout.connect(self._read_again)
        self._room.answered.connect(self._show_mistakes)
        self.work.told.connect(self.tell_words)

    def tell_words(self, words: str) -> None:
        """Say something at the foot of the window."""
        self.notice.setText(words)
        self.notice.setToolTip(words)

    # ---- mistakes

    def _take_text(self) -> None:
        self._pause.start()
        self.work.change(self.text.text)

    def _read_again(self) -> None:
        self._room.ask(mistakes_of, self.text.text, self.work.name)

    def _show_mistakes(self, _number: int, problems: tuple[Problem, ...]) -> None:
        self.problems = problems
        lines = [(f"Line {p.line}: {told(p)}" if p.line else told(p), p) for p in problems]
        self.mistakes.fill(lines)
        self.text.mark({p.line: told(p) for p in reversed(problems) if p.line})
        self.open_action.setEnabled(not problems)
        file = os.path.basename(self.work.name)
        if problems:
            many = f"{len(problems)} mistake{'s' if len(problems) != 1 else ''}"
            self.head.setText(
                f"{file} has {many} and cannot be opened as a facility yet. "
                "Mend the text; it is read again as you type."
            )
        else:
            self.head.setText(
                f"{file} has no mistakes left. Open it as a facility with Ctrl+Return; "
                "it is saved first."
            )
        self.head.setAccessibleName(self.head.text())

    def _go_to(self, mistake: Problem) -> None:
        self.text.go_to(mistake.line or 1, mistake.column or 1)
        self.text.setFocus(Qt.FocusReason.OtherFocusReason)

    def _see_current(self) -> None:
        """Going through the list shows each place without leaving the list."""
        mistake = self.mistakes.carried
        if self.mistakes.hasFocus() and isinstance(mistake, Problem) and mistake.line:
            self.text.go_to(mistake.line, mistake.column)

    def _step(self, step: int) -> None:
        """To the next mistake after the cursor's line, or the last one before it."""
        here = self.text.textCursor().blockNumber() + 1
        rows = [n for n, p in enumerate(self.problems) if (p.line - here) * step > 0]
        if not rows and self.problems:
            rows = list(range(len(self.problems)))
        if rows:
            row = min(rows) if step > 0 else max(rows)
            self.mistakes.setCurrentRow(row)
            self._go_to(self.problems[row])

    # ---- the file

    def _arrive(self) -> None:
        found = self.work.look_for_unsaved()
        if found is None:
            return
        words = (
            f"Unsaved work on the text of {os.path.basename(self.work.name)} was found, "
            f"begun {found.since}."
        )
        answers: list[Answer] = [
            ("Bring it &back", self._take_back),
            ("Put it &aside as a file", self._put_aside),
            ("&Later", self.bar.settle),
        ]
        self.bar.ask(words, [], answers)

    def _take_back(self) -> None:
        text = self.work.take_back()
        if text is not None:
            self.text.replace_all(text)
            self.work.let_go()
        self.bar.settle()

    def _put_aside(self) -> None:
        if self.work.put_aside():
            self.bar.settle()

    def save(self) -> bool:
        """Save the text as it is, mistakes and all; False where that fails."""
        return self._save(self.work.name)

    def ask_and_save(self) -> bool:
        """Ask for a name and save the text under it."""
        path, _ = QFileDialog.getSaveFileName(self, "Save as", self.work.name, FILES)
        return bool(path) and self._save(path, named=True)

    def _save(self, path: str, *, named: bool = False) -> bool:
        try:
            self.work.save(path, self.text.text, named=named)
        except SlinediagError as error:
            self.tell_words("  ".join(told_lines(error.problems)))
            self._tell_disk()
            return False
        self.bar.settle()
        self.text.document().setModified(False)
        self.tell_words(f"Saved {os.path.basename(self.work.name)}.")
        self._name_window()
        return True

    def _tell_disk(self) -> None:
        """Offer a choice where the file on the disk is another."""
        found = disk.look(self.work.name)
        if found.data is None or found.data == self.work.on_disk:
            return
        words = f"{os.path.basename(self.work.name)} was changed on the disk since it was opened."
        answers: list[Answer] = [
            ("&Keep this text", self._keep),
            ("Take the text f&rom the disk", self._take_theirs),
            ("Save &as …", self.ask_and_save),
        ]
        self.bar.ask(words, [], answers)

    def _keep(self) -> None:
        self.work.on_disk = disk.look(self.work.name).data
        self.bar.settle()
        self.tell_words("This text stays; saving puts it in the place of the file.")

    def _take_theirs(self) -> None:
        text = self.work.take_from_disk()
        if text is not None:
            self.text.replace_all(text)
            self.text.document().setModified(False)
            self.bar.settle()

    def open_mended(self) -> None:
        """Save the text and open it as a facility, where it has no mistakes."""
        if mistakes_of(self.text.text, self.work.name):
            self._read_again()
            return
        if self.text.document().isModified() and not self.save():
            return
        self.work.leave()
        self.mended.emit(self.work.name)
        self.close()

    def may_leave(self) -> bool:
        """Whether the text may be left: it is saved, or its changes are not wanted."""
        if not self.text.document().isModified():
            return True
        buttons = QMessageBox.StandardButton
        answer = QMessageBox.warning(
            self,
            "Unsaved changes",
            f"The text of {os.path.basename(self.work.name)} has changes that are not saved.",
            buttons.Save | buttons.Discard | buttons.Cancel,
            buttons.Save,
        )
        return self.save() if answer == buttons.Save else answer == buttons.Discard

    def closeEvent(self, event: QCloseEvent) -> None:
        """Ask about unsaved changes, and keep how the window stands."""
        if not self.may_leave():
            event.ignore()
            return
        QSettings().setValue("mending window", self.saveGeometry())
        self._room.stop()
        self.work.leave()
        super().closeEvent(event)

    def _name_window(self) -> None:
        self.setWindowTitle(f"{os.path.basename(self.work.name)}[*] – text – slinediag")
        self.setWindowModified(self.text.document().isModified())


def told(mistake: Problem) -> str:
    """A mistake without its place in the file."""
    sentence = ": ".join(part for part in (mistake.where, mistake.what) if part)
    return f"{sentence}. {mistake.hint}" if mistake.hint else sentence
