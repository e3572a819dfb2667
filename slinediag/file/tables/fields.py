"""Which column holds what: headings as people write them, and the words for ``--map``.

A field is a word: ``position``, ``bay``, ``row``, ``normal``, ``state``, ``group``, ``note``,
``bay place``, ``place``, ``cable``, ``label``, ``box``, ``port``, ``side``; the last six also for
one row of jacks, as ``label T`` and ``label B``; ``label T L`` is that of the left one of a pair.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import NamedTuple

from slinediag.file.tables.meanings import SIDES
from slinediag.problems import Problem, RequestError, problem

PHRASES: Mapping[str, str] = {
    phrase: field
    for field, phrases in {
        "position": ("position", "positions", "pos", "no", "nr", "number", "num", "#", "jack",
                     "jack no", "jack number", "jack #", "point", "patch point", "pos no",
                     "circuit", "ckt", "hole", "pt", "point no", "patch no", "patch"),
        "bay": ("bay", "patch bay", "patchbay", "panel", "jackfield", "bay name", "bay id",
                "patch panel", "pb", "bay no", "jack field", "panel name"),
        "row": ("row", "t/b", "top/bottom", "jack row", "top or bottom", "a/b", "upper/lower"),
        "normal": ("normal", "normals", "norm", "normalled", "normaled", "normalling", "normaling",
                   "normal type", "nrm", "normd", "normalization", "normalisation",
                   "normal kind", "hn/fn", "fn/hn", "h/f", "f/h", "type of normal"),
        "state": ("state", "status", "use", "in use", "used", "condition"),
        "group": ("group", "section", "block", "area", "category"),
        "note": ("note", "notes", "rem", "remark", "remarks", "comment", "comments", "info", "misc",
                 "nb", "description of wiring"),
        "bay place": ("bay place", "bay location", "bay rack", "panel place", "panel location"),
        "side": ("l/r", "lr", "l / r", "side", "leg", "left/right", "ch", "channel", "stereo"),
    }.items()
    for phrase in phrases
}  # fmt: skip

ROW_WORDS: Mapping[str, str] = {
    **dict.fromkeys(("top", "upper", "source", "sources", "src", "from", "out", "output", "outputs",
                     "outs", "send", "sends", "origin"), "T"),
    **dict.fromkeys(("bottom", "lower", "bot", "destination", "destinations", "dest", "dst", "to",
                     "in", "input", "inputs", "ins", "receive", "return", "returns", "load"), "B"),
}  # fmt: skip
KIND_WORDS: Mapping[str, str] = {
    **dict.fromkeys(("label", "labels", "designation", "name", "signal", "text", "legend",
                     "description", "function", "strip", "labelled", "title"), "label"),
    **dict.fromkeys(("equipment", "device", "unit", "box", "machine", "gear", "equip",
                     "eqpt", "eqp"), "box"),
    **dict.fromkeys(("port", "connector", "terminal", "socket", "terminals", "plug",
                     "sig", "conn"), "port"),
    **dict.fromkeys(("side", "l/r", "lr", "channel", "ch", "leg"), "side"),
    **dict.fromkeys(("cable", "wire", "cables", "multicore", "snake", "line"), "cable"),
    **dict.fromkeys(("place", "location", "rack", "room", "loc", "where"), "place"),
}  # fmt: skip
FILLERS = frozenset({"jack", "row", "of", "the", "no", "number", "#", "nr", "id", "comes", "goes"})
"""Words of a heading that add nothing to what it says."""

EXAMPLES = "bay, position, row, top, bottom, top equipment, bottom port, L/R, normal, group, note"


class Mapped(NamedTuple):
    """One ``--map``: a heading, or the letters of a column, and the field it is to be."""

    heading: str
    field: str


def words_of(heading: str) -> list[str]:
    """The words of a heading: small letters, without stops, brackets and hyphens."""
    small = re.sub("['’?!*]", "", heading.casefold())
    small = re.sub(r"[().:;,_\-–\[\]]", " ", small)
    return re.sub(r"(?<=\S)#", " #", small).split()


def field_of(heading: str) -> str | None:
    """The field that a heading names; None where it is not known."""
    words = words_of(heading)
    phrase = " ".join(words)
    bare = " ".join(word for word in words if word not in FILLERS)
    for known in (phrase, bare):
        if known in PHRASES:
            return PHRASES[known]
    rows = {ROW_WORDS[word] for word in words if word in ROW_WORDS}
    sides = {SIDES[word] for word in words if word in SIDES}
    told = {*ROW_WORDS, *FILLERS, *(SIDES if rows and len(sides) == 1 else ())}
    rest = [word for word in words if word not in told]
    kinds = {KIND_WORDS.get(word, "") for word in rest}
    if not words or len(rows) > 1 or len(kinds) > 1 or "" in kinds or not (rows or kinds):
        return None
    kind = kinds.pop() if kinds else "label"
    if rows and len(sides) == 1:
        return f"label {rows.pop()} {sides.pop()}" if kind == "label" else None
    return f"{kind} {rows.pop()}" if rows else kind


def read_maps(texts: Iterable[str]) -> tuple[Mapped, ...]:
    """The ``HEADING=FIELD`` of every ``--map``; RequestError for what names no field."""
    mapped: list[Mapped] = []
    problems: list[Problem] = []
    for text in texts:
        heading, sign, name = text.rpartition("=")
        field = field_of(name)
        if not sign or not heading.strip():
            hint = "Write the heading and what it holds, as --map 'Quelle=top'"
            problems.append(problem(text, "this is no HEADING=FIELD", hint))
        elif field is None:
            problems.append(problem(text, f"no column holds {name.strip()!r}", f"Say {EXAMPLES}"))
        else:
            mapped.append(Mapped(" ".join(words_of(heading)), field))
            other = next((m for m in mapped if m.heading == mapped[-1].heading), mapped[-1])
            if other.field != field:
                what = f"this heading is said to hold {field_words(other.field)} already"
                problems.append(problem(text, what, "Say one of them"))
    if problems:
        raise RequestError(problems)
    return tuple(mapped)


def field_words(meaning: str) -> str:
    """A field in the words of the report: ``label T`` is the top label."""
    if meaning.startswith("label ") and meaning[-2:] in (" L", " R"):
        return f"{field_words(meaning[:-2])}, {'left' if meaning[-1] == 'L' else 'right'}"
    kind, _, row = meaning.rpartition(" ")
    if row not in ("T", "B"):
        return "equipment" if meaning == "box" else meaning
    word = "equipment" if kind == "box" else kind
    return f"{'top' if row == 'T' else 'bottom'} {word}"
