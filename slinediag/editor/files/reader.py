"""Reads a facility file away from the event loop, so that the window stays alive meanwhile."""

from __future__ import annotations

import contextlib
import threading

from PySide6.QtCore import QObject, Signal

from slinediag.editor.files.reading import Read, read
from slinediag.tracing.trial import ask
from slinediag.tracing.values import Trial


class Reader(QObject):
    """One file at a time; a newer one takes the place of one that is being read."""

    came = Signal(object)
    """A Read."""
    _done = Signal(int, object)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._number = 0
        self._done.connect(self._take)

    def read(self, path: str) -> None:
        """Begin to read a file."""
        self._number += 1
        threading.Thread(target=self._run, args=(self._number, path), daemon=True).start()

    def stop(self) -> None:
        """Let what is being read never come."""
        self._number += 1

    def _run(self, number: int, path: str) -> None:
        found = read(path)
        if found.document is not None:
            # Kept per facility; what shows it asks for it first.
            ask(found.document.facility, Trial())
        # RuntimeError: the window, and this with it, is gone.
        with contextlib.suppress(RuntimeError):
            self._done.emit(number, found)

    def _take(self, number: int, found: Read) -> None:
        if number == self._number:
            self.came.emit(found)
