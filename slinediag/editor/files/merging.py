"""Three versions of a facility into one: what was filed, what is ours, what is on the disk now.

They are compared key by key, as a file says them; of each key the version that changed it is
taken. Where both changed it, otherwise, that is a conflict, and ours or theirs is taken by choice.
Cords, plugs and normals are known by their jacks, not by their place in a list.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Literal

from slinediag.file.emit import file_lines, flow
from slinediag.file.outline import outline
from slinediag.file.plain import Plain, Points, Table, Text, Word
from slinediag.file.read import parse
from slinediag.model.facility import Facility
from slinediag.problems import FileErrors, Problem

Path = tuple[str | int, ...]
Rows = Mapping[str, Plain] | Mapping[int, Table]
Side = Literal["ours", "theirs"]
KEYED: Mapping[str, tuple[str, ...]] = {
    "cords": ("from", "to"),
    "plugs": ("jack",),
    "normals": ("to",),
    "accept": ("rule", "where"),
    "revisions": ("revision",),
}
"""Lists whose items are known by these keys; other lists are taken whole."""
NAMES = {"cords": "cord", "plugs": "dummy plug", "normals": "normal across", "mults": "mult"}
NOTHING = "nothing"


@dataclass(frozen=True, slots=True)
class Conflict:
    """A key that both changed, otherwise: where, and the three values in words."""

    path: Path
    where: str
    filed: str
    ours: str
    theirs: str


@dataclass(frozen=True, slots=True)
class Merged:
    """What comes of three versions; no facility where the whole has mistakes."""

    facility: Facility | None
    conflicts: tuple[Conflict, ...]
    mistakes: tuple[Problem, ...] = ()


def merge(
    filed: Facility,
    ours: Facility,
    theirs: Facility,
    choices: Mapping[Path, Side] | None = None,
) -> Merged:
    """The three versions as one; ours is taken in a conflict unless ``choices`` says otherwise."""
    work = Merging(choices or {})
    root = work.merged((), outline(filed), outline(ours), outline(theirs))
    assert isinstance(root, Table)
    text = "\n".join(file_lines(root)) + "\n"
    conflicts = tuple(work.conflicts)
    try:
        return Merged(parse(text.encode("utf-8"), "").facility, conflicts)
    except FileErrors as errors:
        mistakes = tuple(replace(mistake, line=0, column=0) for mistake in errors.errors)
        return Merged(None, conflicts, mistakes)


class Merging:
    """Goes through three versions side by side, and gathers conflicts."""

    def __init__(self, choices: Mapping[Path, Side]) -> None:
        self.choices = choices
        self.conflicts: list[Conflict] = []

    def merged(self, path: Path, filed: Plain, ours: Plain, theirs: Plain) -> Plain:
        """One of three values, or what comes of all of them."""
        if ours == theirs or theirs == filed:
            return ours
        if ours == filed:
            return theirs
        if isinstance(ours, Table) and isinstance(theirs, Table):
            return self._tables(path, filed if isinstance(filed, Table) else Table(), ours, theirs)
        if isinstance(ours, Points) and isinstance(theirs, Points):
            was = filed.rows if isinstance(filed, Points) else {}
            rows = self._rows(path, was, ours.rows, theirs.rows)
            return Points({int(n): row for n, row in rows.items() if isinstance(row, Table)})
        keys = KEYED.get(str(path[-1])) if path else None
        lists = [value or () for value in (filed, ours, theirs)]
        if keys and all(isinstance(value, tuple) for value in lists):
            tables = [keyed(value, keys) for value in lists if isinstance(value, tuple)]
            rows = self._rows(path, *tables)
            return tuple(row for row in rows.values() if row is not None) or None
        return self._chosen(path, filed, ours, theirs)

    def _tables(self, path: Path, filed: Table, ours: Table, theirs: Table) -> Table:
        rows = self._rows(path, filed.rows, ours.rows, theirs.rows)
        named = {str(key): row for key, row in rows.items()}
        order: tuple[str, ...] = ()
        if ours.order or theirs.order:
            first, then = (ours, theirs) if ours.order != filed.order else (theirs, ours)
            order = tuple(key for key in dict.fromkeys((*first.order, *then.order)) if key in named)
            named = {key: named[key] for key in order}
        return replace(ours, rows=named, order=order)

    def _rows(self, path: Path, filed: Rows, ours: Rows, theirs: Rows) -> dict[str | int, Plain]:
        """The rows by key, those of theirs first as they stand there, then what we added."""
        was, mine, yours = (dict[str | int, Plain](rows.items()) for rows in (filed, ours, theirs))
        made: dict[str | int, Plain] = {}
        for key in sections_first(path, dict.fromkeys([*yours, *mine])):
            row = self.merged((*path, key), was.get(key), mine.get(key), yours.get(key))
            if row is not None:
                made[key] = row
        return made

    def _chosen(self, path: Path, filed: Plain, ours: Plain, theirs: Plain) -> Plain:
        self.conflicts.append(Conflict(path, where(path), words(filed), words(ours), words(theirs)))
        return theirs if self.choices.get(path) == "theirs" else ours


def sections_first(path: Path, keys: Iterable[str | int]) -> list[str | int]:
    """Keys in an order that a file may have: the version of the format leads."""
    order = list(keys)
    return order if path else sorted(order, key=lambda key: key != "slinediag")


def keyed(items: tuple[Plain, ...], keys: tuple[str, ...]) -> dict[str, Plain]:
    """The items of a list by what they are known by; a number tells those of one name apart."""
    made: dict[str, Plain] = {}
    for item in items:
        rows = item.rows if isinstance(item, Table) else {}
        parts = [flow(rows[key]) for key in keys if key in rows]
        name = " to ".join(parts) if "from" in keys else " ".join(parts)
        number = 1
        while (known := name if number == 1 else f"{name} ({number})") in made:
            number += 1
        made[known] = item
    return made


def words(value: Plain) -> str:
    """A value as a person reads it."""
    if value is None:
        return NOTHING
    if isinstance(value, Text | Word):
        return value.text
    return flow(value)


def where(path: Path) -> str:
    """A place in a file as a person says it: ``PB1 7 top``, ``LIM label``, ``cord … note``."""
    section, *rest = map(str, path)
    if section in ("equipment", "bays"):
        rest = [part for part in rest if part != "points"]
    elif section == "facility":
        rest = [section, *rest]
    else:
        rest = [NAMES.get(section, section.removesuffix("s")), *rest]
    return " ".join(part.replace("_", " ") for part in rest)
