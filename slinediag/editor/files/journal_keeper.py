"""The thread that keeps a journal: takes each state as it is made, and has it on the disk at once.

Turning a large facility into text takes a tenth of a second; the window must not wait for it, nor
for the disk.
"""

from __future__ import annotations

import contextlib
import os
import threading
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal

from slinediag.editor.files.journal import Beginning, Journal, Ledger

RETRY = 2.0
"""Seconds until writing is tried again where the disk refused it."""
MOST_JOURNALS = 100
"""Journals of one file that may lie in a folder."""


@dataclass(frozen=True, slots=True)
class Kept:
    """How keeping goes: ``well`` beside the file, ``elsewhere``, or ``refused`` for a reason."""

    how: Literal["well", "elsewhere", "refused"]
    path: str = ""
    reason: str = ""


Text = Callable[[], str]
Wanted = tuple[str, Text] | int
"""A new state by its change and its text, or the number of a state that is gone back to."""


class Keeper:
    """Keeps one journal, made when the first state comes.

    ``paths`` are where it may lie, the best place first; a number is added where one is taken.
    ``tell`` is called from the thread each time that keeping goes otherwise than before.
    """

    def __init__(
        self,
        paths: Sequence[str],
        begin: Beginning,
        tell: Callable[[Kept], None],
        retry: float = RETRY,
    ) -> None:
        self._paths, self._begin, self._tell, self._retry = tuple(paths), begin, tell, retry
        self._wanted: list[Wanted] = []
        self._turn = threading.Condition()
        self._ends = False
        self._busy = False
        self._journal: Journal | None = None
        self._place = 0
        self._ledger = Ledger()
        self._said = Kept("well")
        self._thread: threading.Thread | None = None

    @property
    def path(self) -> str | None:
        """Where the journal lies; None where there is none yet."""
        journal = self._journal
        return journal.path if journal else None

    def step(self, change: str, text: Text) -> None:
        """Keep a new state after the present one; ``text`` is called in the thread."""
        self._want((change, text))

    def move(self, at: int) -> None:
        """Keep that one has gone back or forward to state number ``at``; 0 is the beginning."""
        self._want(at)

    def settle(self, seconds: float | None = None) -> bool:
        """Wait until all is on the disk; False where it is not within this time."""
        with self._turn:
            return self._turn.wait_for(lambda: not self._wanted and not self._busy, seconds)

    def end(self, *, remove: bool) -> None:
        """Stop keeping; ``remove`` deletes the journal, its work being saved or not wanted."""
        with self._turn:
            self._ends = True
            if remove:
                self._wanted = []
            self._turn.notify_all()
        if self._thread is not None:
            self._thread.join()
        if self._journal is not None:
            if remove:
                self._journal.remove()
            else:
                self._journal.close()
            self._journal = None

    # ---- in the thread

    def _want(self, wanted: Wanted) -> None:
        with self._turn:
            if self._ends:
                return
            self._wanted.append(wanted)
            self._turn.notify_all()
        if self._thread is None:
            self._thread = threading.Thread(target=self._run, name="unsaved work", daemon=True)
            self._thread.start()

    def _run(self) -> None:
        lines = b""
        while True:
            with self._turn:
                pause = self._retry if lines else None
                self._turn.wait_for(lambda: self._wanted or self._ends, pause)
                wanted, self._wanted = self._wanted, []
                self._busy = bool(lines or wanted)
                if self._ends and not self._busy:
                    return
            try:
                lines += b"".join(map(self._line, wanted))
                kept = self._written(lines)
            except Exception as error:
                # Whatever it is, a person must know that the work is not kept.
                kept = Kept("refused", reason=f"{type(error).__name__}: {error}")
            if kept != self._said:
                self._said = kept
                # RuntimeError: whoever is to be told is gone.
                with contextlib.suppress(RuntimeError):
                    self._tell(kept)
            with self._turn:
                if kept.how != "refused":
                    lines = b""
                self._busy = bool(lines)
                self._turn.notify_all()
                if self._ends and not self._wanted:
                    return

    def _line(self, wanted: Wanted) -> bytes:
        if isinstance(wanted, int):
            return self._ledger.move(wanted)
        change, text = wanted
        return self._ledger.step(change, text())

    def _written(self, lines: bytes) -> Kept:
        """Write lines where the journal lies, or the whole present state at the next place."""
        reason = ""
        if self._journal is not None:
            try:
                self._journal.add(lines)
                return self._well(self._place)
            except OSError as error:
                reason = error.strerror or str(error)
        for place in range(self._place if self._journal is None else 0, len(self._paths)):
            try:
                journal = begun(self._paths[place], self._begin)
            except OSError as error:
                reason = reason or error.strerror or str(error)
                continue
            try:
                journal.add(lines if self._journal is None else b"".join(self._ledger.whole()))
            except OSError as error:
                reason = reason or error.strerror or str(error)
                journal.remove()
                continue
            old, self._journal, self._place = self._journal, journal, place
            if old is not None:
                old.remove()
            return self._well(place)
        return Kept("refused", reason=reason)

    def _well(self, place: int) -> Kept:
        assert self._journal is not None
        return Kept("elsewhere", self._journal.path) if place else Kept("well")


def begun(path: str, begin: Beginning) -> Journal:
    """A new journal at a path, or at it with a number where another lies there; OSError."""
    os.makedirs(os.path.dirname(path) or ".", exist_ok=True)
    for number in range(1, MOST_JOURNALS):
        with_number = path if number == 1 else f"{path}-{number}"
        try:
            return Journal(with_number, begin)
        except FileExistsError:
            continue
    raise OSError(0, "too many journals lie there; open the file and settle them")
