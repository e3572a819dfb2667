"""Unsaved work as a file: one record a line, each with its checksum, added and never changed.

A line is the CRC-32 of its JSON in eight hexadecimal digits, a space, the JSON. The first record
holds the file as it was when the work began. Each state after it is told by what of the state
before stays, or whole; steps back and forward are told by the number of the state. A line that is
torn or altered costs that record and those that build on it, no more.
"""

from __future__ import annotations

import contextlib
import errno
import json
import os
import zlib
from collections.abc import Iterator
from dataclasses import asdict, dataclass, field
from typing import Any, Literal

from slinediag.saving import sync_folder, write_whole

FORMAT = 1
WHOLE_EVERY = 64
"""States of which one is told whole, so that a damaged record costs no more than these."""

Form = Literal["facility", "text"]


@dataclass(frozen=True, slots=True)
class Beginning:
    """What the work began with: the file's path and its text then, when, and in which process.

    ``form`` says what the states are: facilities in clean form, or the very text of the file.
    """

    file: str
    text: str
    since: str
    pid: int
    host: str
    form: Form = "facility"


@dataclass(frozen=True, slots=True)
class Stage:
    """A state of the work: the name of the change that made it, and its whole text."""

    change: str
    text: str


@dataclass(frozen=True, slots=True)
class Kept:
    """What a journal holds: its beginning, the states since, and at which of them one was.

    ``at`` counts from 1; 0 is the beginning. ``damaged`` says that some record was not whole.
    """

    begin: Beginning
    stages: tuple[Stage, ...] = ()
    at: int = 0
    damaged: bool = False

    @property
    def stage(self) -> Stage | None:
        """The state at which one was; None where that is the file as it was."""
        return self.stages[self.at - 1] if self.at else None


def line_of(record: dict[str, Any]) -> bytes:
    """A record as a line with its checksum."""
    body = json.dumps(record, ensure_ascii=False, separators=(",", ":")).encode("utf-8")
    return b"%08x %s\n" % (zlib.crc32(body), body)


def record_of(line: bytes) -> dict[str, Any] | None:
    """The record of a line; None where the line is not whole."""
    head, _, body = line.partition(b" ")
    try:
        if int(head, 16) != zlib.crc32(body):
            return None
        record = json.loads(body.decode("utf-8"))
    except ValueError:
        return None
    return record if isinstance(record, dict) else None


def mark(text: str) -> int:
    """What a text is known by in later records."""
    return zlib.crc32(text.encode("utf-8", "surrogatepass"))


def common_head(one: str, other: str, most: int) -> int:
    """How many characters two texts begin alike with, ``most`` at most."""
    low, high = 0, most
    while low < high:
        middle = (low + high + 1) // 2
        if one[low:middle] == other[low:middle]:
            low = middle
        else:
            high = middle - 1
    return low


def common_tail(one: str, other: str, most: int) -> int:
    """How many characters two texts end alike with, ``most`` at most."""
    low, high = 0, most
    while low < high:
        middle = (low + high + 1) // 2
        if one[len(one) - middle : len(one) - low] == other[len(other) - middle : len(other) - low]:
            low = middle
        else:
            high = middle - 1
    return low


def begin_line(begin: Beginning) -> bytes:
    """The first line of a journal."""
    return line_of({"slinediag unsaved work": FORMAT, **asdict(begin)})


def step_line(at: int, before: Stage | None, after: Stage) -> bytes:
    """The line of a new state, number ``at``; told whole where there is none ``before``."""
    if before is None:
        return line_of({"step": after.change, "at": at, "text": after.text})
    least = min(len(before.text), len(after.text))
    head = common_head(before.text, after.text, least)
    tail = common_tail(before.text, after.text, least - head)
    middle = after.text[head : len(after.text) - tail]
    kept = {"of": mark(before.text), "head": head, "tail": tail}
    return line_of({"step": after.change, "at": at, **kept, "text": middle})


def move_line(at: int, stage: Stage | None) -> bytes:
    """The line of a step back or forward, to state number ``at``."""
    return line_of({"to": at, "of": mark(stage.text) if stage else None})


@dataclass(slots=True)
class Ledger:
    """What has been told so far, and the line of whatever comes next."""

    stages: list[Stage] = field(default_factory=list)
    at: int = 0
    told: int = 0

    def step(self, change: str, text: str) -> bytes:
        """The line of a new state after the present one."""
        before = self.stages[self.at - 1] if self.at else None
        after = Stage(change, text)
        whole = before is None or self.told % WHOLE_EVERY == 0
        self.stages[self.at :] = [after]
        self.at += 1
        self.told += 1
        return step_line(self.at, None if whole else before, after)

    def move(self, at: int) -> bytes:
        """The line of a step to state number ``at``."""
        self.at = at
        return move_line(at, self.stages[at - 1] if at else None)

    def whole(self) -> Iterator[bytes]:
        """Lines that tell the present state by itself, for a journal begun anew."""
        if self.at:
            yield step_line(self.at, None, self.stages[self.at - 1])


def read(data: bytes) -> Kept | None:
    """What a journal holds, as far as its records are whole; None where its beginning is not."""
    *lines, rest = data.split(b"\n")
    first = record_of(lines[0]) if lines else None
    begin = beginning(first) if first is not None else None
    if begin is None:
        return None
    stages: list[Stage] = []
    at, damaged = 0, bool(rest)
    for line in lines[1:]:
        record = record_of(line)
        to = replayed(record, stages, at) if record is not None else None
        if to is None:
            damaged = True
        else:
            at = to
    return Kept(begin, tuple(stages), at, damaged)


def beginning(record: dict[str, Any]) -> Beginning | None:
    """The beginning that a first record tells; None where it tells none that is known."""
    if record.pop("slinediag unsaved work", None) != FORMAT:
        return None
    with contextlib.suppress(TypeError):
        return Beginning(**record)
    return None


def replayed(record: dict[str, Any], stages: list[Stage], at: int) -> int | None:
    """The number of the state after a record, ``stages`` brought on; None where it builds on
    one that is lost."""
    if "to" in record:
        return moved_to(record, stages)
    text = record.get("text")
    if not isinstance(text, str):
        return None
    if "of" in record:
        before = stages[at - 1].text if 0 < at <= len(stages) else ""
        if not at or mark(before) != record["of"]:
            return None
        text = before[: record["head"]] + text + before[len(before) - record["tail"] :]
        stages[at:] = []
    else:
        stages[max(0, record["at"] - 1) :] = []
    stages.append(Stage(str(record.get("step", "")), text))
    return len(stages)


def moved_to(record: dict[str, Any], stages: list[Stage]) -> int | None:
    """The number of the state that a step leads to, by its mark where numbers have shifted."""
    to, of = record["to"], record.get("of")
    if of is None:
        return 0
    order = sorted(range(1, len(stages) + 1), key=lambda number: abs(number - to))
    return next((number for number in order if mark(stages[number - 1].text) == of), None)


def _hold(descriptor: int) -> bool:
    """Hold a file until it is closed, also by the end of the process; False where another does.

    Systems without such a hold say nothing of others.
    """
    try:
        import fcntl
    except ImportError:
        return True
    try:
        fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    except OSError:
        return True
    return True


def is_held(path: str) -> bool:
    """Whether a living process keeps this journal."""
    try:
        descriptor = os.open(path, os.O_RDONLY)
    except OSError:
        return False
    try:
        return not _hold(descriptor)
    finally:
        os.close(descriptor)


class Journal:
    """A journal open for adding; the disk has what :meth:`add` has been given.

    OSError where the file cannot be written; it then holds what it held before.
    """

    def __init__(self, path: str, begin: Beginning) -> None:
        self.path = path
        flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)
        self._descriptor = os.open(path, flags, 0o600)
        self._size = 0
        _hold(self._descriptor)
        try:
            self.add(begin_line(begin))
        except BaseException:
            self.remove()
            raise
        sync_folder(os.path.dirname(path))

    def add(self, lines: bytes) -> None:
        """Add whole lines and have them on the disk."""
        try:
            os.lseek(self._descriptor, self._size, os.SEEK_SET)
            write_whole(self._descriptor, lines)
            os.fsync(self._descriptor)
            if not os.fstat(self._descriptor).st_nlink:
                raise FileNotFoundError(errno.ENOENT, "the folder or the journal is gone")
        except BaseException:
            with contextlib.suppress(OSError):
                os.ftruncate(self._descriptor, self._size)
            raise
        self._size += len(lines)

    def close(self) -> None:
        """Leave the journal as it is."""
        with contextlib.suppress(OSError):
            os.close(self._descriptor)
        self._descriptor = -1

    def remove(self) -> None:
        """Delete the journal: its work is saved, or not wanted."""
        self.close()
        with contextlib.suppress(OSError):
            os.unlink(self.path)
            sync_folder(os.path.dirname(self.path))
