"""From a facility to the bytes of its file: the changed items' lines anew, all others as they were.

Whatever is written is read again first. Bytes that would not say what the facility says are never
handed out.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from slinediag.file.edits import Awkward, Lines, applied
from slinediag.file.emit import file_lines
from slinediag.file.outline import outline
from slinediag.file.plain import Plain, Points, Table, Text
from slinediag.file.read import Document, parse
from slinediag.file.scalars import FORBIDDEN
from slinediag.file.splice import Splicer
from slinediag.model.bay import EMPTY_POINT
from slinediag.model.facility import Facility
from slinediag.problems import FileErrors, Problem, WriteError, problem
from slinediag.saving import save

__all__ = ["new_document", "new_file", "render", "rewritten", "save"]

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
    """The bytes of the document's file, changed to say what ``facility`` says; as ``rewritten``."""
    return rewritten(document, facility).data


def rewritten(document: Document, facility: Facility) -> Document:
    """The document's file, changed to say what ``facility`` says, as it reads back.

    Only the lines of changed items change. WriteError, with what is wrong, where the facility
    cannot be filed: an address that leads nowhere, a text that cannot be printed.
    """
    old, new = outline(document.facility), outline(facility)
    check_texts(new, document.name)
    if old == new and settled(document.facility) == settled(facility):
        return document
    problems: tuple[Problem, ...] = ()
    for deepest in (PART_BY_PART, ITEM_BY_ITEM, SECTION_BY_SECTION):
        try:
            data = document.source.encode(spliced(document, old, new, deepest))
        except (Awkward, UnicodeEncodeError):
            continue
        found = read_back(data, document.name, facility)
        if isinstance(found, Document):
            return found
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
    """The bytes of a whole new file in clean form; WriteError as with ``rewritten``."""
    return new_document(facility, "").data


def new_document(facility: Facility, name: str) -> Document:
    """A whole new file in clean form, as it reads back; WriteError as with ``rewritten``."""
    sections = outline(facility)
    check_texts(sections, name)
    data = ("\n".join(file_lines(sections)) + "\n").encode("utf-8")
    found = read_back(data, name, facility)
    if not isinstance(found, Document):
        raise WriteError(found, name)
    return found


def check_texts(sections: Table, name: str) -> None:
    """Refuse texts that no drawing or paper can show; WriteError names each."""
    problems = [
        problem(where, f"the text holds the character U+{ord(character):04X}", "Delete it")
        for where, character in forbidden(sections, "")
    ]
    if problems:
        raise WriteError(problems, name)


def forbidden(value: Plain, where: str) -> Iterator[tuple[str, str]]:
    """Keys that lead to texts with a character that cannot be shown, and the character."""
    if isinstance(value, Text):
        found = FORBIDDEN.search(value.text)
        if found:
            yield where, found[0]
    elif isinstance(value, (Table, Points)):
        for key, row in value.rows.items():
            yield from forbidden(Text(str(key)), where)
            yield from forbidden(row, f"{where}.{key}" if where else str(key))
    elif isinstance(value, tuple):
        for item in value:
            yield from forbidden(item, where)


def read_back(data: bytes, name: str, wanted: Facility) -> Document | tuple[Problem, ...]:
    """The bytes as they are read, or what keeps them from saying what the facility says."""
    try:
        read = parse(data, name)
    except FileErrors as errors:
        return errors.errors
    return read if settled(read.facility) == settled(wanted) else (READS_OTHERWISE,)


def settled(facility: Facility) -> Facility:
    """The facility without points that say nothing, which a file may hold or not."""
    bays = {
        name: replace(bay, points={n: p for n, p in bay.points.items() if p != EMPTY_POINT})
        for name, bay in facility.bays.items()
    }
    return replace(facility, bays=bays)
