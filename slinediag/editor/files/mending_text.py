"""The text of a file that is mended: how it is kept, saved and got back; no widgets."""

from __future__ import annotations

import contextlib
import os

from PySide6.QtCore import QObject, QTimer, Signal

from slinediag.editor.files import disk
from slinediag.editor.files.journal_keeper import Keeper, Kept
from slinediag.editor.files.locking import FileLock
from slinediag.editor.files.places import journal_paths
from slinediag.editor.files.recovery import Found, find, put_aside, text_of
from slinediag.editor.files.unsaved import begun_now
from slinediag.file.nodes import LINE_END
from slinediag.file.read import parse
from slinediag.file.source import Source, decode
from slinediag.problems import FileErrors, Problem, WriteError, problem
from slinediag.saving import save

KEPT_WITHIN = 400
"""Milliseconds after a key until the text is handed on to be kept."""


def mistakes_of(text: str, name: str) -> tuple[Problem, ...]:
    """The mistakes of a text as a facility file."""
    try:
        parse(text.encode("utf-8", "surrogatepass"), name)
    except FileErrors as errors:
        return errors.errors
    return ()


class MendedText(QObject):
    """The file behind a text: its bytes on the disk, its lock, and the journal of the text."""

    told = Signal(str)
    """Something is to be known, in words."""
    _kept = Signal(object)

    def __init__(self, name: str, data: bytes, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.name = name
        self.on_disk: bytes | None = data
        self._source: Source = decode(data, name)
        self._keeper: Keeper | None = None
        self._text: str | None = None
        self._found: Found | None = None
        self._soon = QTimer(self, singleShot=True, interval=KEPT_WITHIN)
        self._soon.timeout.connect(self.keep)
        self._kept.connect(self._tell_keeping)
        self._lock = FileLock(name)
        self.barred = self._bar()

    @property
    def shown(self) -> str:
        """The text with lines parted by a line feed."""
        return LINE_END.sub("\n", self._source.text)

    def _bar(self) -> Problem | None:
        holder = self._lock.take()
        if holder is None:
            return None
        what = f"the file is open in {holder.words}"
        return problem(self.name, what, "Close it there, or use Save as")

    # ---- keeping

    def change(self, text: str) -> None:
        """The text is another; it is kept within a second."""
        self._text = text
        if not self._soon.isActive():
            self._soon.start()

    def keep(self) -> None:
        """Keep the text as it is now."""
        text, self._text = self._text, None
        if text is None or (self._keeper is None and text == self.shown):
            return
        if self._keeper is None:
            begin = begun_now(self.name, (self.on_disk or b"").decode("utf-8"), "text")
            paths = journal_paths(self.name, beside=self.barred is None)
            self._keeper = Keeper(paths, begin, self._kept.emit)
        self._keeper.step("Text", lambda: text)

    def settle(self, seconds: float | None = None) -> bool:
        """Wait until the text is kept; False where it is not in time."""
        self._soon.stop()
        self.keep()
        return self._keeper is None or self._keeper.settle(seconds)

    def _tell_keeping(self, kept: Kept) -> None:
        if kept.how == "refused":
            self.told.emit(f"Unsaved work cannot be kept: {kept.reason}. Save, or free some space.")
        else:
            self.told.emit("Unsaved work is kept.")

    def _stop(self) -> None:
        self._soon.stop()
        self._text = None
        if self._keeper is not None:
            self._keeper.end(remove=True)
            self._keeper = None

    def leave(self) -> None:
        """Let go of the file; what is not saved by now is not wanted."""
        self._stop()
        self._lock.release()

    # ---- unsaved work found

    def look_for_unsaved(self) -> Found | None:
        """Work on the file that nobody keeps any more, the newest; None where there is none."""
        if self.barred is not None:
            return None
        found, _ = find(self.name)
        self._found = next((f for f in found if text_of(f) != self.shown), None)
        return self._found

    def take_back(self) -> str | None:
        """The text of the work that was found."""
        return (
            LINE_END.sub("\n", text_of(self._found)).removeprefix("\ufeff") if self._found else None
        )

    def let_go(self) -> None:
        """Delete the journal of work that was taken back, once it is kept anew."""
        if self._found is not None and self.settle(5.0):
            with contextlib.suppress(OSError):
                os.unlink(self._found.path)
        self._found = None

    def put_aside(self) -> bool:
        """Write the work that was found as a file of its own; False, and told, where that fails."""
        if self._found is None:
            return False
        try:
            path = put_aside(self._found, text_of(self._found))
        except OSError as error:
            self.told.emit(f"It could not be put aside: {error.strerror or error}. It is kept.")
            return False
        with contextlib.suppress(OSError):
            os.unlink(self._found.path)
        self.told.emit(f"The unsaved work was put aside as {os.path.basename(path)}.")
        return True

    # ---- the disk

    def take_from_disk(self) -> str | None:
        """The text as it is on the disk now; None where it cannot be read, told why."""
        found = disk.look(self.name)
        try:
            if found.data is not None:
                self._source, self.on_disk = decode(found.data, self.name), found.data
                return self.shown
        except FileErrors as errors:
            self.told.emit(errors.errors[0].text())
        return None

    def save(self, path: str, text: str, *, named: bool = False) -> None:
        """Put the text in the place of the file; WriteError, the old file whole, if it may not."""
        own = disk.same(path, self.name)
        if own and self.barred is not None:
            raise WriteError([self.barred], path)
        found = disk.look(path)
        known = found.data if not own or (named and found.gone) else self.on_disk
        why = disk.why_not_written(path, known)
        if why is not None:
            raise WriteError([why])
        data = self._source.encode(text.replace("\n", self._source.line_end))
        save(path, data)
        self._stop()
        if not own:
            self._lock.release()
            self.name, self._lock = path, FileLock(path)
            self.barred = self._bar()
        self.on_disk, self._source = data, decode(data, path)
