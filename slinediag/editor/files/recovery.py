"""Unsaved work that is found at opening: what it is, what differs, and what comes of taking it.

Reading and comparing take long for a large plant and are made to run in a back room.
"""

from __future__ import annotations

import contextlib
import datetime
import os
from dataclasses import dataclass
from functools import partial

from slinediag import history
from slinediag.editor.files import journal
from slinediag.editor.files.differing import differing
from slinediag.editor.files.journal import Kept
from slinediag.editor.files.places import journals_of
from slinediag.file.read import Document, parse
from slinediag.file.write import settled
from slinediag.history import History
from slinediag.model.facility import Facility
from slinediag.problems import FileErrors, Problem

MOST_TEXT = 2_000_000
"""Characters of earlier states that are read, for steps back behind what is taken back."""


@dataclass(frozen=True, slots=True)
class Found:
    """A journal that nobody keeps any more, and what it holds."""

    path: str
    kept: Kept

    @property
    def since(self) -> str:
        """When the work began, as a person says it."""
        try:
            when = datetime.datetime.fromisoformat(self.kept.begin.since)
        except ValueError:
            return "an unknown time"
        return when.strftime("%Y-%m-%d %H:%M")


@dataclass(frozen=True, slots=True)
class Offer:
    """What taking work back would bring: the changes in words, and the work as a facility.

    No ``lines`` say that the file has all of it already.

    ``work`` is None where the text has ``mistakes``. ``filed`` is the facility that the work began
    with, where it can still be read; ``moved_on`` says that the file is another since then.
    """

    found: Found
    lines: tuple[str, ...]
    work: Facility | None
    filed: Facility | None
    moved_on: bool
    past: History | None = None
    mistakes: tuple[Problem, ...] = ()

    @property
    def idle(self) -> bool:
        """Whether there is nothing in it that the file does not have already."""
        return self.work is not None and not self.lines and not self.found.kept.damaged


def find(file: str) -> tuple[list[Found], list[str]]:
    """The journals of a file that nobody keeps, newest first; and paths that cannot be read."""
    found, unread = [], []
    for path in journals_of(file):
        if journal.is_held(path):
            continue
        kept = None
        with contextlib.suppress(OSError), open(path, "rb") as opened:
            kept = journal.read(opened.read())
        if kept is None:
            unread.append(path)
        elif kept.begin.file == os.path.realpath(file) or os.path.dirname(path) == os.path.dirname(
            os.path.realpath(file)
        ):
            found.append(Found(path, kept))
    return found, unread


def text_of(found: Found) -> str:
    """The text of the work as it was last."""
    stage = found.kept.stage
    return stage.text if stage is not None else found.kept.begin.text


def weigh(found: Found, document: Document) -> Offer:
    """What a journal offers beside the file as it is now."""
    moved_on = found.kept.begin.text != document.data.decode("utf-8")
    filed = facility_of(found.kept.begin.text)
    try:
        work = parse(text_of(found).encode("utf-8"), document.name).facility
    except FileErrors as errors:
        return Offer(found, (), None, filed, moved_on, None, errors.errors)
    # A process may end after a save and before it could delete its journal.
    if settled(work) == settled(document.facility):
        return Offer(found, (), work, filed, moved_on)
    before = filed if filed is not None and moved_on else document.facility
    lines = differing(before, work)
    past = None if moved_on else past_of(found.kept, document.facility, work)
    return Offer(found, lines, work, filed, moved_on, past)


def facility_of(text: str) -> Facility | None:
    """The facility of a text; None where it has mistakes."""
    try:
        return parse(text.encode("utf-8"), "").facility
    except FileErrors:
        return None


def past_of(kept: Kept, filed: Facility, work: Facility) -> History:
    """The work as a history, its steps as far back as is read in a fair time."""
    steps = list(kept.stages[: kept.at])
    room = MOST_TEXT
    first = len(steps) - 1
    while first > 0 and len(steps[first - 1].text) <= room:
        first -= 1
        room -= len(steps[first].text)
    past = history.opened(filed)
    for stage in steps[max(first, 0) : -1]:
        earlier = facility_of(stage.text)
        if earlier is not None:
            past = history.changed(past, stage.change, earlier)
    name = steps[-1].change if steps else "Work taken back"
    return history.changed(past, name, work)


def put_aside(found: Found, text: str) -> str:
    """Write the work as a file of its own beside the one it is of; its path. OSError."""
    stem, ending = os.path.splitext(found.kept.begin.file)
    day = found.since.replace(":", "").replace(" ", "-")
    return written_new(partial("{}-unsaved-{}{}{}".format, stem, day), ending, text)


def written_new(name: partial[str], ending: str, text: str) -> str:
    """Write a text to the first of the names that is free; OSError where none can be written."""
    for number in range(1, 1000):
        path = name("" if number == 1 else f"-{number}", ending)
        try:
            descriptor = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o666)
        except FileExistsError:
            continue
        try:
            with os.fdopen(descriptor, "wb") as file:
                file.write(text.encode("utf-8"))
                file.flush()
                os.fsync(file.fileno())
        except BaseException:
            with contextlib.suppress(OSError):
                os.unlink(path)
            raise
        return path
    raise OSError(0, "no free name")
