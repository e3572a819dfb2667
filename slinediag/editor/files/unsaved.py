"""A workplace's changes, kept in a journal from the first one until they are saved."""

from __future__ import annotations

import datetime
import os
from functools import partial

from PySide6.QtCore import QObject, Signal

from slinediag.editor.files.journal import Beginning, Form
from slinediag.editor.files.journal_keeper import Keeper
from slinediag.editor.files.places import journal_paths, this_host
from slinediag.editor.workplace import Workplace
from slinediag.file.emit import file_lines
from slinediag.file.outline import outline
from slinediag.history import State
from slinediag.model.facility import Facility


def clean_text(facility: Facility) -> str:
    """A facility as the text of a file in clean form, not read back."""
    return "\n".join(file_lines(outline(facility))) + "\n"


def begun_now(file: str, text: str, form: Form = "facility") -> Beginning:
    """The beginning of work on a file, now and in this process."""
    since = datetime.datetime.now().astimezone().isoformat(timespec="seconds")
    return Beginning(os.path.realpath(file), text, since, os.getpid(), this_host(), form)


class UnsavedWork(QObject):
    """Keeps what is not saved; the journal is gone once it is."""

    kept = Signal(object)
    """How keeping goes is another: a Kept."""

    def __init__(self, workplace: Workplace, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.workplace = workplace
        self.beside = True
        """Whether the journal may lie beside the file; not where another has the file."""
        self._keeper: Keeper | None = None
        self._known: list[State] = []
        self._at = 0
        workplace.history_changed.connect(self.keep)
        workplace.document_changed.connect(self._begin_anew)
        self.keep()

    @property
    def path(self) -> str | None:
        """Where the journal lies; None where there is none."""
        return self._keeper.path if self._keeper else None

    def settle(self, seconds: float | None = None) -> bool:
        """Wait until all that was done is on the disk; False where it is not in time."""
        return self._keeper is None or self._keeper.settle(seconds)

    def keep(self) -> None:
        """Keep the present state, if it is not kept yet; nothing where it is saved."""
        history = self.workplace.history
        if not history.unsaved:
            self._stop(remove=True)
            self._known, self._at = [history.present], 0
            return
        present = history.present
        if self._keeper is not None and present is self._known[self._at]:
            return
        if self._keeper is None:
            self._start()
        assert self._keeper is not None
        for number, state in enumerate(self._known):
            if state is present:
                self._at = number
                self._keeper.move(number)
                return
        self._at += 1
        self._known[self._at :] = [present]
        self._keeper.step(present.change, partial(clean_text, present.facility))

    def end(self, *, remove: bool) -> None:
        """Stop keeping; ``remove`` where the changes are not wanted."""
        self._stop(remove=remove)
        self.workplace.history_changed.disconnect(self.keep)

    def _begin_anew(self) -> None:
        """Another document: what was kept of the last one is settled by whoever left it."""
        self._stop(remove=True)
        self.keep()

    def _start(self) -> None:
        document = self.workplace.document
        text = document.data.decode("utf-8")
        paths = journal_paths(document.name, beside=self.beside)
        self._keeper = Keeper(paths, begun_now(document.name, text), self.kept.emit)
        saved = self.workplace.history.saved
        self._known = [saved if saved is not None else State(document.facility)]
        self._at = 0

    def _stop(self, *, remove: bool) -> None:
        if self._keeper is not None:
            self._keeper.end(remove=remove)
            self._keeper = None
