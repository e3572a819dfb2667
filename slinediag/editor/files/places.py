"""Where journals and locks lie: hidden beside the file, else in the person's own state folder."""

from __future__ import annotations

import contextlib
import glob
import hashlib
import os
import socket
import stat

from PySide6.QtCore import QStandardPaths

UNSAVED = "unsaved"
"""What the name of a journal ends with."""


def state_folder() -> str:
    """The folder in which this person's programs keep what is to be found again."""
    kind = QStandardPaths.StandardLocation.GenericStateLocation
    return os.path.join(QStandardPaths.writableLocation(kind), "slinediag")


def hidden_beside(file: str, ending: str) -> str:
    """The hidden path beside a file that ends with a word; a link is followed to its file."""
    folder, name = os.path.split(os.path.realpath(file))
    return os.path.join(folder, f".{name}.{ending}")


def in_state_folder(file: str, ending: str) -> str:
    """The path for a file in the state folder: its name, and a number by its whole path."""
    real = os.path.realpath(file)
    number = hashlib.sha256(real.encode("utf-8", "surrogatepass")).hexdigest()[:12]
    return os.path.join(state_folder(), f"{os.path.basename(real)}.{number}.{ending}")


def journal_paths(file: str, *, beside: bool = True) -> tuple[str, ...]:
    """Where the journal of a file may lie, the best place first.

    A folder that may not be written is left alone even where this person could.
    """
    elsewhere = in_state_folder(file, UNSAVED)
    if beside and may_write(os.path.dirname(os.path.realpath(file))):
        return hidden_beside(file, UNSAVED), elsewhere
    return (elsewhere,)


def journals_of(file: str) -> list[str]:
    """The journals of a file that lie anywhere, the newest first."""
    found = []
    for path in (hidden_beside(file, UNSAVED), in_state_folder(file, UNSAVED)):
        found += [path, *glob.glob(f"{glob.escape(path)}-*")]
    times: dict[str, int] = {}
    for path in found:
        with contextlib.suppress(OSError):
            status = os.stat(path)
            if stat.S_ISREG(status.st_mode):
                times[path] = status.st_mtime_ns
    return sorted(times, key=lambda path: -times[path])


def may_write(path: str) -> bool:
    """Whether a file or folder may be written: by its own bits too, which a superuser passes."""
    try:
        mode = os.stat(path).st_mode
    except OSError:
        return False
    return bool(mode & 0o222) and os.access(path, os.W_OK)


def this_host() -> str:
    """The name of this machine."""
    return socket.gethostname()
