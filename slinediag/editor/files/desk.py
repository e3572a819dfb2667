"""The files of a window: bars over its middle, what is kept of its work, who else has its file."""

from __future__ import annotations

import os
from collections.abc import Callable
from dataclasses import replace

from PySide6.QtCore import QObject, Qt, QTimer, Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from slinediag import history
from slinediag.editor.files import recent
from slinediag.editor.files.bar import Answer, Bar
from slinediag.editor.files.disk_bar import DiskBar
from slinediag.editor.files.disk_watch import DiskWatch
from slinediag.editor.files.journal_keeper import Kept
from slinediag.editor.files.locking import FileLock, Holder
from slinediag.editor.files.new_guide import NewGuide
from slinediag.editor.files.places import may_write, state_folder
from slinediag.editor.files.reader import Reader
from slinediag.editor.files.reading import Read
from slinediag.editor.files.recent import RecentMenu
from slinediag.editor.files.recovery_bar import RecoveryBar
from slinediag.editor.files.unsaved import UnsavedWork
from slinediag.editor.files.where_one_was import WhereOneWas
from slinediag.editor.workplace import Workplace
from slinediag.model.facility import Facility
from slinediag.problems import problem

SLOW = 300
"""Milliseconds after which it is told that a file is being opened."""


class Desk(QObject):
    """Watches over the file of a workplace from the time it is opened until it is left."""

    told = Signal(str)
    """Something was done or is to be known, in words."""
    open_wanted = Signal(str)
    """A file is to be opened, once this one may be left: its path."""
    mend_wanted = Signal(str, object, object)
    """A file has mistakes in a text that can be mended: its path, its bytes, the Problems."""

    def __init__(
        self,
        workplace: Workplace,
        save: Callable[[], object],
        save_as: Callable[[], object],
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self.workplace = workplace
        self._save: Answer = ("&Save", save)
        self._save_as: Answer = ("Save &as …", save_as)
        self.work = UnsavedWork(workplace, self)
        self.keeping = Bar("Keeping of unsaved work")
        self.access = Bar("Use of the file")
        self.recovery = RecoveryBar(workplace, self.work)
        self.disk = DiskBar(workplace, save_as, self.open)
        self.bars = QWidget()
        column = QVBoxLayout(self.bars)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        for bar in (self.keeping, self.access, self.disk, self.recovery):
            column.addWidget(bar)
        self.opening = Bar("Opening")
        column.addWidget(self.opening)
        self.watch = DiskWatch(workplace, self)
        self._reader = Reader(self)
        self._reader.came.connect(self._take_read)
        self._slow = QTimer(self, singleShot=True, interval=SLOW)
        self._slow.timeout.connect(self._tell_opening)
        self._wanted = ""
        self.recent = RecentMenu(parent if isinstance(parent, QWidget) else None)
        self.recent.chosen.connect(self.open_wanted)
        self.recent.refused.connect(workplace.refuse)
        self.standing: WhereOneWas | None = None
        self._lock: FileLock | None = None
        self._listen()

    def above(self, middle: QWidget) -> QWidget:
        """The bars with what they are about below them."""
        whole = QWidget()
        column = QVBoxLayout(whole)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self.bars)
        column.addWidget(middle, 1)
        return whole

    def _listen(self) -> None:
        self.watch.changed.connect(self.disk.take)
        self.watch.back.connect(self.disk.settle)
        self.workplace.not_written.connect(lambda _found: self.watch.again())
        self.work.kept.connect(self._tell_keeping)
        self.recovery.told.connect(self.told)
        self.disk.told.connect(self.told)
        self._name = ""
        self._facility = self.workplace.facility
        self.workplace.document_changed.connect(self._move)
        self.workplace.facility_changed.connect(self._note_facility)

    def _move(self) -> None:
        """Another file takes the place of this one, or this one another name."""
        if self.workplace.name == self._name:
            return
        renamed = self.workplace.facility is self._facility
        if self.standing is not None:
            self.standing.keep()
        self.arrive()
        if self.standing is not None and renamed:
            self.standing.follow()
        else:
            self.put_back()

    def _note_facility(self, facility: Facility) -> None:
        self._facility = facility

    def to_bar(self) -> None:
        """To the first button of the topmost bar that asks something."""
        for bar in self.bars.findChildren(Bar):
            if not bar.isHidden() and bar.buttons:
                next(iter(bar.buttons.values())).setFocus(Qt.FocusReason.ShortcutFocusReason)
                return

    def arrive(self) -> None:
        """Take the file: its lock, and what was left of unsaved work on it."""
        self._release()
        self._name = self.workplace.name
        self.access.settle()
        self.workplace.barred = None
        self.work.beside = True
        if not os.path.exists(self._name):
            return
        recent.note(self._name)
        self._lock = FileLock(self._name)
        holder = self._lock.take()
        if holder is not None:
            self._tell_holder(holder)
            return
        self._tell_read_only()
        self.recovery.look()

    def put_back_by(self, standing: WhereOneWas) -> None:
        """Have one put back to where one was in each file."""
        self.standing = standing
        self.put_back()

    def put_back(self) -> None:
        """Back to where one was in this file."""
        if self.standing is not None:
            self.standing.arrive()

    def new(self) -> NewGuide:
        """Ask for a new facility, page by page; its file is then opened."""
        parent = self.parent()
        guide = NewGuide(parent if isinstance(parent, QWidget) else None)
        guide.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        guide.made.connect(self.open_wanted)
        guide.open()
        return guide

    def leave(self) -> None:
        """The window closes; what is not saved by now is not wanted."""
        if self.standing is not None:
            self.standing.keep()
        self._stop_opening()
        self.work.end(remove=True)
        self.watch.end()
        self._release()

    def _release(self) -> None:
        if self._lock is not None:
            self._lock.release()
            self._lock = None

    # ---- opening another

    def open(self, path: str) -> None:
        """Open a file in the place of this one; one with mistakes is asked to be mended."""
        self._wanted = path
        self._slow.start()
        self._reader.read(path)

    def _tell_opening(self) -> None:
        words = f"Opening {os.path.basename(self._wanted)} …"
        self.opening.ask(words, [], [("&Stop", self._stop_opening)])

    def _stop_opening(self) -> None:
        self._reader.stop()
        self._slow.stop()
        self.opening.settle()

    def _take_read(self, read: Read) -> None:
        self._stop_opening()
        if read.document is not None:
            self.workplace.take(read.document, history.opened(read.document.facility))
        elif read.data is not None:
            self.mend_wanted.emit(read.path, read.data, read.problems)
        else:
            name = os.path.basename(read.path)
            self.workplace.refuse(tuple(replace(p, where=p.where or name) for p in read.problems))

    # ---- who else has it

    def _tell_holder(self, holder: Holder) -> None:
        self.work.beside = False
        file = os.path.basename(self._name)
        what = f"the file is open in {holder.words}"
        hint = "Use Save as, or close it there and take it over"
        self.workplace.barred = problem(self._name, what, hint)
        words = (
            f"{file} is open in {holder.words}. You can look and try here; "
            "what you change can only be saved under another name."
        )
        answers: list[Answer] = [
            ("&Look again", self.arrive),
            ("It is &closed there: take it over", self._take_over),
            self._save_as,
        ]
        self.access.ask(words, [], answers)

    def _take_over(self) -> None:
        if self._lock is None:
            return
        if self._lock.take_over() is None:
            self.arrive()
            self.told.emit("The file is yours now.")
        else:
            self._tell_holder(self._lock.holder)

    def _tell_read_only(self) -> None:
        folder = os.path.dirname(os.path.realpath(self._name))
        file = os.path.basename(self._name)
        if not may_write(self._name):
            what = f"{file} is read-only"
        elif not may_write(folder):
            what = f"The folder of {file} is read-only; unsaved work is kept in {state_folder()}"
        else:
            return
        words = f"{what}. You can look and try here; use Save as to keep what you change."
        self.access.ask(words, [], [self._save_as, ("&All right", self.access.settle)])

    # ---- how keeping goes

    def _tell_keeping(self, kept: Kept) -> None:
        if kept.how == "refused":
            words = (
                f"Unsaved work cannot be kept: {kept.reason}. Save, or free some space; it is "
                "tried again all the while. The file on the disk is whole."
            )
            self.keeping.ask(words, [], [self._save, self._save_as])
            return
        if not self.keeping.isHidden():
            self.keeping.settle()
            self.told.emit("Unsaved work is kept again.")
        if kept.how == "elsewhere":
            folder = os.path.dirname(kept.path)
            self.told.emit(f"Unsaved work is kept in {folder}, since this folder refuses it.")
