"""What comes of reading a file: a document, or what is wrong and whether it can be mended."""

from __future__ import annotations

from dataclasses import dataclass

from slinediag.file.read import Document, parse
from slinediag.file.source import decode, read_bytes
from slinediag.problems import FileErrors, Problem


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
    """Read a file."""
    try:
        data = read_bytes(path)
        decode(data, path)
    except FileErrors as errors:
        return Read(path, None, errors.errors)
    try:
        return Read(path, parse(data, path))
    except FileErrors as errors:
        return Read(path, None, errors.errors, data)
