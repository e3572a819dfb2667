"""The file on the disk is another than the one that was read: told, and settled by choice."""

from __future__ import annotations

import os
from collections.abc import Callable
from functools import partial

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from slinediag import history
from slinediag.editor.backroom import Backroom
from slinediag.editor.files.bar import Answer, Bar
from slinediag.editor.files.choices import Choices
from slinediag.editor.files.disk import OnDisk
from slinediag.editor.files.merging import Merged, merge
from slinediag.editor.files.reconciling import Both, reconcile
from slinediag.editor.workplace import Workplace
from slinediag.model.facility import Facility


class DiskBar(Bar):
    """Says how the file differs, and merges, takes it from the disk or keeps what is open."""

    told = Signal(str)
    """Something was done, in words."""

    def __init__(
        self,
        workplace: Workplace,
        save_as: Callable[[], object],
        mend: Callable[[str], object] | None = None,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__("File on the disk", parent)
        self.workplace = workplace
        self._save_as: Answer = ("Save &as …", save_as)
        self._mend = mend
        self.choices = Choices()
        self.choices.chosen.connect(self._offer_merge)
        self.extra.addWidget(self.choices)
        self.both: Both | None = None
        self._mine: Facility | None = None
        self._data = b""
        self._room = Backroom(self)
        self._room.answered.connect(self._take_both)
        self._room.finished.connect(self._end)
        workplace.document_changed.connect(self.settle)
        workplace.facility_changed.connect(self._follow)

    @property
    def file(self) -> str:
        """The name of the file as a sentence says it."""
        return os.path.basename(self.workplace.name)

    def settle(self) -> None:
        """It is answered, or the file is as it was."""
        self._room.stop()
        self.both = None
        self.choices.show_conflicts(())
        super().settle()

    def take(self, found: OnDisk) -> None:
        """The file is another now."""
        self.settle()
        if found.data is not None:
            self._data = found.data
            self._compare()
        elif found.wrong is not None:
            words = f"{self.file} cannot be read any more: {found.wrong.what}."
            self.ask(f"{words} What is open here is whole.", [], [self._save_as])
        else:
            folder = os.path.dirname(os.path.realpath(self.workplace.name))
            what = f"{self.file} is not there any more"
            if not os.path.isdir(folder):
                what = f"The folder of {self.file} is not there any more ({folder})"
            words = f"{what}; it was moved, deleted, or its drive is gone. "
            self.ask(f"{words}What is open here is whole.", [], [self._save_as])

    def _compare(self) -> None:
        workplace = self.workplace
        self._mine = workplace.facility
        filed, ours = workplace.document.facility, workplace.facility
        self._room.ask(reconcile, workplace.name, filed, ours, self._data, self.choices.sides)

    def _follow(self) -> None:
        """What is open was changed while the question stands."""
        if self.both is not None and self.both.document is not None and not self.isHidden():
            self._compare()

    def _end(self, _number: int, error: str) -> None:
        if error:
            words = f"{self.file} was changed on the disk and could not be compared: {error}."
            self.ask(words, [], [("&Keep what is open", self.keep), self._save_as])

    def _take_both(self, _number: int, both: Both) -> None:
        self.both = both
        if both.document is None:
            self._tell_mistakes(both)
        elif not both.theirs:
            self._take_wording(both)
        elif not both.ours:
            changes = counted(both.theirs)
            words = f"{self.file} was changed on the disk: {changes}. Nothing was changed here."
            theirs: Answer = ("Take it f&rom the disk", self.take_theirs)
            self.ask(words, both.theirs, [theirs, ("&Keep what is open", self.keep)])
        else:
            self._offer_merge()

    def _tell_mistakes(self, both: Both) -> None:
        many = f"{len(both.mistakes)} mistake{'s' if len(both.mistakes) != 1 else ''}"
        words = f"{self.file} was changed on the disk, and now has {many}. "
        answers: list[Answer] = [("&Keep what is open", self.keep), self._save_as]
        if self._mend is not None:
            answers.insert(0, ("&Mend it …", partial(self._mend, self.workplace.name)))
        lines = [mistake.text() for mistake in both.mistakes]
        self.ask(words + "What is open here is whole.", lines, answers)

    def _take_wording(self, both: Both) -> None:
        """Only comments, order or spelling are other: what is open says the same."""
        assert both.document is not None
        workplace = self.workplace
        now = (
            history.off_disk(workplace.history) if workplace.history.unsaved else workplace.history
        )
        workplace.take(both.document, now)
        self.told.emit(f"{self.file} was changed on the disk in comments or layout only.")

    def _offer_merge(self) -> None:
        both, merged = self.both, self._merged()
        if both is None or merged is None:
            return
        words = (
            f"{self.file} was changed on the disk: {counted(both.theirs)}. "
            f"You have {counted(both.ours)} here that are not saved."
        )
        lines = [f"on the disk: {line}" for line in both.theirs]
        lines += [f"here: {line}" for line in both.ours]
        if len(self.choices.boxes) != len(merged.conflicts):
            self.choices.show_conflicts(merged.conflicts)
        answers: list[Answer] = [("&Merge both", self.take_merged)]
        if merged.facility is None:
            words += " The two do not go together so."
            lines = [mistake.text() for mistake in merged.mistakes] + lines
            answers = []
        elif merged.conflicts:
            words += " Where both changed the same, choose what shall stand."
        theirs: Answer = ("Take it f&rom the disk", self.take_theirs)
        self.ask(words, lines, [*answers, theirs, ("&Keep what is open", self.keep)])

    def _merged(self) -> Merged | None:
        both = self.both
        if both is None or both.document is None:
            return None
        workplace = self.workplace
        if not self.choices.sides and both.merged is not None and self._mine is workplace.facility:
            return both.merged
        theirs = both.document.facility
        return merge(workplace.document.facility, workplace.facility, theirs, self.choices.sides)

    # ---- answers

    def take_merged(self) -> None:
        """Both as one, one step of the history, not saved yet."""
        both, merged = self.both, self._merged()
        if both is None or both.document is None or merged is None or merged.facility is None:
            return
        now = history.off_disk(self.workplace.history)
        now = history.changed(now, "Merge with the file on the disk", merged.facility)
        if merged.facility == both.document.facility:
            self.workplace.take(both.document, history.saved(now))
            self.told.emit("The file has all that was changed here already.")
            return
        self.workplace.take(both.document, now)
        self.told.emit("Both are merged. It is not saved yet; Undo parts them again.")

    def take_theirs(self) -> None:
        """The file as it is on the disk, one step of the history."""
        both = self.both
        if both is None or both.document is None:
            return
        now = history.off_disk(self.workplace.history)
        now = history.changed(now, "Take the file from the disk", both.document.facility)
        self.workplace.take(both.document, history.saved(now))
        self.told.emit("The file was taken from the disk; Undo brings back what was open.")

    def keep(self) -> None:
        """What is open stays, and takes the place of the file when it is saved."""
        self.workplace.keep_over(self._data)
        self.settle()
        self.told.emit(f"What is open stays; saving puts it in the place of {self.file}.")


def counted(lines: tuple[str, ...]) -> str:
    """How many changes there are, in words."""
    return f"{len(lines)} change{'s' if len(lines) != 1 else ''}"
