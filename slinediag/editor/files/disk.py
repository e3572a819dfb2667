"""A file as it is on the disk, and whether it may be written there; plain functions without Qt."""

from __future__ import annotations

import os
from dataclasses import dataclass

from slinediag.editor.files.places import may_write
from slinediag.file.source import read_bytes
from slinediag.problems import FileErrors, Problem, problem

CHOOSE = "Choose above what becomes of the two"
SAVE_AS = "Use Save as to keep your work in another place"


@dataclass(frozen=True, slots=True)
class OnDisk:
    """What is found at a path: its bytes, or what is wrong there."""

    data: bytes | None
    wrong: Problem | None = None

    @property
    def gone(self) -> bool:
        """Whether there is nothing."""
        return self.data is None and self.wrong is None


def look(path: str) -> OnDisk:
    """What is at a path now."""
    try:
        return OnDisk(read_bytes(path))
    except FileErrors as errors:
        if not os.path.lexists(path):
            return OnDisk(None)
        return OnDisk(None, errors.errors[0])


def why_not_written(path: str, known: bytes | None) -> Problem | None:
    """Why a file must not be put at a path; None where it may.

    ``known`` is what is known to be there: None where nothing should be. Another content is
    refused, so that nothing is lost that somebody else has written.
    """
    folder = os.path.dirname(os.path.realpath(path))
    if not os.path.isdir(folder):
        return problem(path, f"the folder {folder} is not there any more", SAVE_AS)
    if not os.path.lexists(path):
        if known is not None:
            return problem(path, "the file is not there any more", SAVE_AS)
        return None if may_write(folder) else _read_only_folder(folder)
    if not may_write(path):
        return problem(path, "the file is read-only", SAVE_AS)
    if not may_write(folder):
        return _read_only_folder(folder)
    found = look(path)
    if found.wrong is not None:
        return problem(path, found.wrong.what, SAVE_AS)
    if found.data != known:
        return problem(path, "the file was changed on disk since it was opened", CHOOSE)
    return None


def same(one: str, other: str) -> bool:
    """Whether two paths lead to the same file."""
    return os.path.realpath(one) == os.path.realpath(other)


def _read_only_folder(folder: str) -> Problem:
    return problem(folder, "this folder is read-only", SAVE_AS)
