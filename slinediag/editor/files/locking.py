"""One file, one window: a lock beside the file tells other windows that it is open."""

from __future__ import annotations

import contextlib
import os
from dataclasses import dataclass

from PySide6.QtCore import QLockFile

from slinediag.editor.files.places import hidden_beside, in_state_folder, may_write, this_host

OPEN = "open"
"""What the name of a lock ends with."""


@dataclass(frozen=True, slots=True)
class Holder:
    """Who has a file open: a process on a machine."""

    pid: int
    host: str

    @property
    def words(self) -> str:
        """The holder as a sentence names it."""
        if self.host in ("", this_host()):
            return f"another window on this machine (process {self.pid})"
        return f"a window on {self.host} (process {self.pid})"


class FileLock:
    """The lock of one file; a lock whose process has ended counts for nothing."""

    def __init__(self, file: str) -> None:
        folder = os.path.dirname(os.path.realpath(file))
        beside = may_write(folder)
        path = hidden_beside(file, OPEN) if beside else in_state_folder(file, OPEN)
        if not beside:
            # Where even that cannot be made there is no lock, and nobody to be told by it.
            with contextlib.suppress(OSError):
                os.makedirs(os.path.dirname(path), exist_ok=True)
        self._lock = QLockFile(path)
        # A window may be open for weeks; only the end of its process ends a lock.
        self._lock.setStaleLockTime(0)

    def take(self) -> Holder | None:
        """Take the lock; who has it, where somebody has.

        Where no lock can be made at all, nobody else can be told and nobody is in the way.
        """
        if self._lock.isLocked() or self._lock.tryLock(0):
            return None
        if self._lock.error() != QLockFile.LockError.LockFailedError:
            return None
        return self.holder

    def take_over(self) -> Holder | None:
        """Take the lock from a holder that is known to be gone; who has it where that fails."""
        self._lock.removeStaleLockFile()
        return self.take()

    @property
    def held(self) -> bool:
        """Whether it is this window's."""
        return self._lock.isLocked()

    @property
    def holder(self) -> Holder:
        """Who has it, as far as the lock tells."""
        pid, host, _ = self._lock.getLockInfo()
        return Holder(int(pid), str(host))

    def release(self) -> None:
        """Let others have the file."""
        self._lock.unlock()


def holder_of(file: str) -> Holder | None:
    """Who has a file open; None where nobody has."""
    lock = FileLock(file)
    holder = lock.take()
    lock.release()
    return holder
