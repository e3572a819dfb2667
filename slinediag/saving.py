"""Files written in one step: the old one stays whole until the new one is on the disk."""

from __future__ import annotations

import contextlib
import errno
import os
import stat
from collections.abc import Iterable, Iterator

from slinediag.problems import WriteError, problem

OLD_IS_WHOLE = "Nothing was written; the file is as it was"
FULL = (errno.ENOSPC, errno.EDQUOT)
TEMPORARY_NAMES = 1000
READ_AND_WRITE = 0o666


def save(path: str | os.PathLike[str], data: bytes) -> None:
    """Put ``data`` in the place of a file; WriteError, the old file whole, where that fails.

    The new file is written beside the old one under another name, synced to the disk, given the
    old one's permissions and put in its place. A symbolic link stays, its target is replaced.
    """
    save_all([(path, data)])


def save_all(files: Iterable[tuple[str | os.PathLike[str], bytes]]) -> None:
    """Save files that belong together; WriteError, all old ones whole, where one cannot be written.

    Each is written and synced beside the old one before the first is put in its place.
    """
    beside: list[tuple[str, str, str]] = []
    try:
        for number, (path, data) in enumerate(files):
            name = os.fsdecode(path)
            with telling_why(name):
                beside.append((*write_beside(name, data, number), name))
        for new, target, name in beside:
            with telling_why(name):
                os.replace(new, target)
    except BaseException:
        for new, _, _ in beside:
            with contextlib.suppress(OSError):
                os.unlink(new)
        raise
    for folder in dict.fromkeys(os.path.dirname(target) for _, target, _ in beside):
        sync_folder(folder)


def write_beside(name: str, data: bytes, number: int) -> tuple[str, str]:
    """The new file, written and synced beside the one it is to replace, and the path of that."""
    target, old = find_target(name)
    with temporary(os.path.dirname(target), number) as (descriptor, new):
        write_whole(descriptor, data)
        if old is not None:
            take_after(descriptor, old)
        os.fsync(descriptor)
    return new, target


@contextlib.contextmanager
def telling_why(name: str) -> Iterator[None]:
    """WriteError for what the system says against saving a file."""
    try:
        yield
    except (OSError, ValueError) as error:
        raise unsaved(error, name) from None


def refuse_unsavable(path: str | os.PathLike[str]) -> None:
    """WriteError where a file cannot be saved whatever is in it; to be asked before long work."""
    name = os.fsdecode(path)
    with telling_why(name):
        find_target(name)


def find_target(name: str) -> tuple[str, os.stat_result | None]:
    """The path behind links, and what is known of the file that is there, None where none is.

    WriteError where it is no file or has no folder; OSError, ValueError for a name that none has.
    """
    target = os.path.realpath(name)
    old = existing(target, name)
    if not os.path.isdir(os.path.dirname(target)):
        what = "cannot save: there is no such folder"
        raise WriteError([problem("", what, "Make the folder first, or choose another")], name)
    return target, old


def unsaved(error: OSError | ValueError, name: str) -> WriteError:
    """Why a file could not be saved, as the system says."""
    reason = getattr(error, "strerror", None) or str(error)
    full = isinstance(error, OSError) and error.errno in FULL
    remedy = "Free some space, or choose another place" if full else "Choose another place or name"
    hint = f"{OLD_IS_WHOLE}. {remedy}"
    return WriteError([problem("", f"cannot save: {reason}", hint)], name)


def existing(target: str, name: str) -> os.stat_result | None:
    """What is known of the file to be replaced; None where there is none yet."""
    try:
        found = os.stat(target)
    except FileNotFoundError:
        return None
    if not stat.S_ISREG(found.st_mode):
        kind = "folder" if stat.S_ISDIR(found.st_mode) else "pipe, socket or device"
        what = f"cannot save: this is a {kind}, not a file"
        raise WriteError([problem("", what, "Choose another name")], name)
    return found


def take_after(descriptor: int, old: os.stat_result) -> None:
    """Give a new file the permissions of the old one, and its owner where that is allowed."""
    if hasattr(os, "fchown"):
        with contextlib.suppress(OSError):
            os.fchown(descriptor, old.st_uid, old.st_gid)
    if hasattr(os, "fchmod"):
        os.fchmod(descriptor, stat.S_IMODE(old.st_mode))


@contextlib.contextmanager
def temporary(folder: str, number: int = 0) -> Iterator[tuple[int, str]]:
    """A new file in a folder, open for writing, with its path; removed where something fails."""
    descriptor, path = create(folder, number)
    try:
        try:
            yield descriptor, path
        finally:
            os.close(descriptor)
    except BaseException:
        with contextlib.suppress(OSError):
            os.unlink(path)
        raise


def create(folder: str, first: int) -> tuple[int, str]:
    """A new file of a name that was free, tried from a number on."""
    for number in range(first, first + TEMPORARY_NAMES):
        path = os.path.join(folder, f".slinediag-{os.getpid()}-{number}.tmp")
        with contextlib.suppress(FileExistsError):
            return os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, READ_AND_WRITE), path
    raise OSError("too many unfinished files .slinediag-*.tmp are in the folder; delete them")


def write_whole(descriptor: int, data: bytes) -> None:
    """Write all of the bytes, however many calls it takes."""
    rest = memoryview(data)
    while rest:
        rest = rest[os.write(descriptor, rest) :]


def sync_folder(folder: str) -> None:
    """Sync a folder, so that the new name outlives a power cut; not every system can."""
    with contextlib.suppress(OSError):
        descriptor = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(descriptor)
        finally:
            os.close(descriptor)
