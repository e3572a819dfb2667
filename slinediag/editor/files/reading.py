"""Reads a facility file away from the event loop, so that the window stays alive meanwhile."""

from __future__ import annotations

import contextlib
import threading
from dataclasses import dataclass

from PySide6.QtCore import QObject, Signal

from slinediag.file.read import Document, parse
from slinediag.file.source import decode, read_bytes
from slinediag.problems import FileErrors, Problem
from slinediag.tracing.trial import ask
from slinediag.tracing.values import Trial


@dataclass(frozen=True, slots=True)
class Read:
    """What came of reading a file: a document, or what is wrong with it.

    ``data`` are the bytes of a file that has mistakes in a text that can be mended; else None.
    """

    path: str
    document: Document | None
    problems: tuple[Problem, ...] = ()
    data: bytes | None = None


def read(path: str) -> Read:
    """Read a file, and settle what its facility hears, which what shows it asks first."""
    try:
        data = read_bytes(path)
        text = decode(data, path)
    except FileErrors as errors:
        return Read(path, None, errors.errors)
    del text
    try:
        document = parse(data, path)
    except FileErrors as errors:
        return Read(path, None, errors.errors, data)
    ask(document.facility, Trial())
    return Read(path, document)


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
        # RuntimeError: the window, and this with it, is gone.
        with contextlib.suppress(RuntimeError):
            self._done.emit(number, found)

    def _take(self, number: int, found: Read) -> None:
        if number == self._number:
            self.came.emit(found)
