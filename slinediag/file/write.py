"""From a facility to the bytes of its file: the changed items' lines anew, all others as they were.

Whatever is written is read again first. Bytes that would not say what the facility says are never
handed out.
"""

from __future__ import annotations

from dataclasses import replace

from slinediag.file.edits import Awkward, Lines, applied
from slinediag.file.emit import file_lines
from slinediag.file.outline import outline
from slinediag.file.plain import Table
from slinediag.file.read import Document, parse
from slinediag.file.save import save
from slinediag.file.splice import Splicer
from slinediag.model.bay import EMPTY_POINT
from slinediag.model.facility import Facility
from slinediag.problems import FileErrors, Problem, WriteError, problem

__all__ = ["new_file", "render", "save"]

PART_BY_PART = 99
ITEM_BY_ITEM = 1
SECTION_BY_SECTION = 0
MOST_WALKS = 50

READS_OTHERWISE = problem(
    "",
    "the change cannot be written so that it reads back the same",
    "Nothing was written; please report this with the file",
)


def render(document: Document, facility: Facility) -> bytes:
    """The bytes of the document's file, changed to say what ``facility`` says.

    Only the lines of changed items change. WriteError, with what is wrong, where the facility
    cannot be filed: an address that leads nowhere, a text that cannot be printed.
    """
    old, new = outline(document.facility), outline(facility)
    if old == new and settled(document.facility) == settled(facility):
        return document.data
    problems: tuple[Problem, ...] = ()
    for deepest in (PART_BY_PART, ITEM_BY_ITEM, SECTION_BY_SECTION):
        try:
            data = document.source.encode(spliced(document, old, new, deepest))
        except (Awkward, UnicodeEncodeError):
            continue
        found = mismatch(data, document.name, facility)
        if found is None:
            return data
        problems = problems or found
    raise WriteError(problems or (READS_OTHERWISE,), document.name)


def spliced(document: Document, old: Table, new: Table, deepest: int) -> str:
    """The text of the file with its edits; Awkward where they cannot be made at this depth."""
    lines = Lines(document.source.text, document.source.line_end)
    released: frozenset[str] = frozenset()
    for _ in range(MOST_WALKS):
        splicer = Splicer(lines, released, deepest)
        splicer.root(document.root, old, new)
        if splicer.touched <= released:
            return applied(lines, splicer.edits)
        released |= splicer.touched
    raise Awkward


def new_file(facility: Facility) -> bytes:
    """The bytes of a whole new file in clean form; WriteError as with ``render``."""
    data = ("\n".join(file_lines(outline(facility))) + "\n").encode("utf-8")
    found = mismatch(data, facility.name, facility)
    if found is not None:
        raise WriteError(found, facility.name)
    return data


def mismatch(data: bytes, name: str, wanted: Facility) -> tuple[Problem, ...] | None:
    """What keeps the bytes from saying what the facility says; None where they do."""
    try:
        read = parse(data, name).facility
    except FileErrors as errors:
        return errors.errors
    return None if settled(read) == settled(wanted) else (READS_OTHERWISE,)


def settled(facility: Facility) -> Facility:
    """The facility without points that say nothing, which a file may hold or not."""
    bays = {
        name: replace(bay, points={n: p for n, p in bay.points.items() if p != EMPTY_POINT})
        for name, bay in facility.bays.items()
    }
    return replace(facility, bays=bays)
