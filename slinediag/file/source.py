"""The bytes of a facility file and the text in them: size, encoding, characters."""

from __future__ import annotations

import os
import re
import stat
from dataclasses import dataclass

from slinediag.file.nodes import LINE_END, Places
from slinediag.problems import FileErrors, Problem, problem

LARGEST = 4 * 1024 * 1024
"""Bytes that a facility file may have."""

BOM = b"\xef\xbb\xbf"
OTHER_ENCODINGS = (
    (b"\xff\xfe\x00\x00", "UTF-32"),
    (b"\x00\x00\xfe\xff", "UTF-32"),
    (b"\xff\xfe", "UTF-16"),
    (b"\xfe\xff", "UTF-16"),
)
SAVE_AS_UTF8 = "Save the file as UTF-8"
WORKBOOKS = (b"PK\x03\x04", b"\xd0\xcf\x11\xe0")
"""How workbooks begin: an archive (XLSX) or a compound file (older ones)."""
UNPRINTABLE = re.compile(
    "[^\t\n\r\x20-\x7e\x85\xa0-\ud7ff\ue000-\ufefe\uff00-\ufffd\U00010000-\U0010ffff]"
)
"""Characters that YAML 1.1 (section 5.1) does not allow unescaped, and a byte order mark inside."""


@dataclass(frozen=True, slots=True)
class Source:
    """The text of a file without its byte order mark, whether it had one, and its line end."""

    text: str
    bom: bool

    @property
    def line_end(self) -> str:
        """The line end that the file uses, by its first line."""
        found = LINE_END.search(self.text)
        return found[0] if found else "\n"

    def encode(self, text: str) -> bytes:
        """A text as the bytes of this file, with its byte order mark."""
        return (BOM if self.bom else b"") + text.encode("utf-8")


def read_bytes(path: str) -> bytes:
    """The bytes of a facility file; FileErrors where there is no such file of a fair size.

    A pipe or device is refused without being opened, so that nothing waits for it.
    """
    try:
        check_kind(os.stat(path), path)
        with os.fdopen(os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0)), "rb") as file:
            check_kind(os.fstat(file.fileno()), path)
            data = file.read(LARGEST + 1)
    except FileNotFoundError:
        raise refusal(path, "there is no such file", "Check the name and the folder") from None
    except PermissionError:
        raise refusal(path, "the file may not be read", "Ask for the right to read it") from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise refusal(path, f"the file cannot be read: {reason}", "Check the name") from None
    check_size(len(data), path)
    return data


def check_kind(found: os.stat_result, path: str) -> None:
    """Refuse what is not a regular file of a fair size; FileErrors."""
    if stat.S_ISDIR(found.st_mode):
        raise refusal(path, "this is a folder, not a file", "Name the facility file in it")
    if not stat.S_ISREG(found.st_mode):
        raise refusal(
            path, "this is a pipe, socket or device, not a file", "Save it to a file first"
        )
    check_size(found.st_size, path)


def check_size(size: int, name: str) -> None:
    """Refuse more bytes than a facility file may have; FileErrors."""
    if size > LARGEST:
        raise refusal(
            name,
            f"the file is larger than {LARGEST // 1024 // 1024} MiB",
            "Check that it is a facility file; divide the facility if it is",
        )


def refusal(name: str, what: str, hint: str) -> FileErrors:
    """The error of a file that cannot be used as a whole."""
    return FileErrors([problem("", what, hint)], name or '""')


def decode(data: bytes, name: str) -> Source:
    """The text of the bytes; FileErrors where they are not UTF-8 text that YAML allows."""
    check_size(len(data), name)
    if data.startswith(WORKBOOKS):
        hint = "Make a facility file of it with slinediag import"
        raise refusal(name, "this is a workbook, not a facility file", hint)
    for mark, encoding in OTHER_ENCODINGS:
        if data.startswith(mark):
            raise refusal(name, f"the file is written in {encoding}", SAVE_AS_UTF8)
    bom = data.startswith(BOM)
    body = data[len(BOM) :] if bom else data
    try:
        text = body.decode("utf-8")
    except UnicodeDecodeError as error:
        before = body[: error.start].decode("utf-8")
        what = f"the byte {body[error.start]:02X} (hexadecimal) is not UTF-8 text"
        raise FileErrors([placed(before, what, SAVE_AS_UTF8)], name) from None
    found = UNPRINTABLE.search(text)
    if found:
        raise FileErrors([unprintable(text, found.start(), data)], name)
    return Source(text, bom)


def unprintable(text: str, index: int, data: bytes) -> Problem:
    """The problem of a character that no YAML file may hold."""
    if text[index] == "\0" and data[:2].count(0) == 1:
        return placed(text[:index], "the file seems to be written in UTF-16", SAVE_AS_UTF8)
    what = f"the control character U+{ord(text[index]):04X} may not stand in a file"
    return placed(text[:index], what, "Delete it")


def placed(before: str, what: str, hint: str) -> Problem:
    """A problem at the place behind ``before``."""
    places = Places(before)
    return Problem(places.line(len(before)), places.column(len(before)), "", what, hint)
