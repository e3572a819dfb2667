"""A file that was changed on the disk while it is open: what differs, and what comes of both.

Reading and comparing take long for a large plant and are made to run in a back room.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from slinediag.editor.files.differing import differing
from slinediag.editor.files.merging import Merged, Path, Side, merge
from slinediag.file.read import Document, parse
from slinediag.model.facility import Facility
from slinediag.problems import FileErrors, Problem


@dataclass(frozen=True, slots=True)
class Both:
    """The file on the disk and the work that is open, and both as one.

    ``document`` is None where the file has ``mistakes``. ``theirs`` and ``ours`` tell what changed
    on the disk and what here, since the file was read.
    """

    data: bytes
    document: Document | None
    theirs: tuple[str, ...] = ()
    ours: tuple[str, ...] = ()
    merged: Merged | None = None
    mistakes: tuple[Problem, ...] = ()


def reconcile(
    name: str,
    filed: Facility,
    ours: Facility,
    data: bytes,
    choices: Mapping[Path, Side] | None = None,
) -> Both:
    """What the bytes on the disk and our work have changed since the file was read."""
    try:
        document = parse(data, name)
    except FileErrors as errors:
        return Both(data, None, mistakes=errors.errors)
    theirs = document.facility
    return Both(
        data,
        document,
        differing(filed, theirs),
        differing(filed, ours),
        merge(filed, ours, theirs, choices),
    )
