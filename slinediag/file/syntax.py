"""What a YAML syntax error means, in a person's words."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

import yaml

from slinediag.file.indent import odd_one, spaces_of, taken_for_text
from slinediag.file.nodes import LINE_END, Places
from slinediag.problems import Problem

Meaning = tuple[str, str, str]
"""Pattern of the parser's message, what is wrong, what to do."""

STRAY = (
    "something stands behind a value on its line",
    "Put the whole value in quotes, or delete it",
)
NOT_INDENTED = "this line is not indented like its neighbours"
STRAY_COLON = "a colon and space stand where no key can begin"
DASH = "an item with a dash does not fit its neighbours"
NO_COLON = "a line without a colon stands among keys"
GOES_ON = "; if it goes on with the text of line {}, put the whole text in quotes"
KEY = re.compile(r"[ ]*[^\s:{\[\"'#,][^:{\[\"'#]*\Z")
"""What stands before the colon where a line begins with a plain key."""
TIGHT = re.compile(r"[ -]*([A-Za-z][\w-]*):([^\s:/].*)")
"""A key whose colon has no space behind it, and its value."""

MEANINGS: tuple[Meaning, ...] = (
    (r"incompatible", "this line asks for another version of YAML", "Delete the line"),
    (r"maximum|depth", "nested too deep", "Look for brackets that are never closed"),
    (
        r"quoted scalar.*(end of stream|document separator)",
        "a quoted text is never closed",
        "Put the closing quote at its end",
    ),
    (
        r"unknown escape|expected escape sequence|hexadecimal|invalid Unicode character",
        "a backslash in a double-quoted text begins no known escape",
        "Write \\\\ for a backslash, or use single quotes",
    ),
    (
        r"flow sequence",
        "a list in brackets is not well formed",
        "Part its items by commas and close it with ]",
    ),
    (
        r"flow node",
        "brackets or braces are not closed, or nothing stands between two commas",
        "Close them with ] or }, and write ~ for none",
    ),
    (
        r"flow mapping",
        "a mapping in braces is not well formed",
        "Part its keys by commas, a space behind each colon, and close it with }",
    ),
    (
        r"mapping values are not allowed",
        STRAY_COLON,
        "Put the text in quotes, or begin the key on a line of its own",
    ),
    (
        r"could not find expected ':'|simple key",
        NO_COLON,
        "Write key: value, indent the line with the text it continues, or put it in quotes",
    ),
    (
        r"sequence entries are not allowed|expected '-' indicator|block collection",
        DASH,
        "Indent all items of a list alike, each with a dash",
    ),
    (
        r"expected key|block mapping|block end",
        NOT_INDENTED,
        "Indent all keys of one mapping alike, with spaces",
    ),
    (
        r"alias|anchor",
        "an anchor (&) or alias (*) has no proper name",
        "Put text that begins with & or * in quotes",
    ),
    (r"directive", "a line that begins with % has no place here", "Put the text in quotes"),
    (r"document start", "something stands where only the one mapping can", "Check its indentation"),
    (r"tag", "a tag (!) has no place here", "Put text that begins with ! in quotes"),
    (
        r"block scalar|indentation indicator",
        "a text block (| or >) is not well formed",
        "Put nothing else on its first line and indent its text",
    ),
    (
        r"cannot start any token",
        "a text cannot begin with this character",
        "Put the text in quotes",
    ),
)


def explain(
    error: yaml.MarkedYAMLError, text: str, places: Places, loader: Callable[[str], Any]
) -> Problem:
    """The problem that a parser's error means, at the place where the mistake begins.

    Where the parser met it further down and it is not known to begin above, the hint names the line
    that opened what is wrong. ``loader`` reads a text for its keys.
    """
    index = error_index(error, len(text))
    line, column = places.line(index), places.column(index)
    before = text[line_start(text, index) : index]
    if text[index : index + 1] == "\t" or ("\t" in before and not before.strip()):
        hint = "Indent with spaces only"
        return Problem(line, column, "", "a tab stands where only spaces may", hint)
    what, hint = meaning(f"{error.context or ''} {error.problem or ''}")
    if what == NOT_INDENTED and before.strip():
        what, hint = STRAY
    found = None
    misplaced = what in (NOT_INDENTED, DASH) and not before.strip()
    if misplaced or (what == STRAY_COLON and KEY.match(before)):
        bare = taken_for_text(text, index, places, loader)
        if bare:
            return without_colon(LINE_END.split(text)[bare - 1], bare)
        found = odd_one(text, index, places, loader, "" if misplaced else GOES_ON)
    elif what == NO_COLON or never_closed(error, text, index):
        found = begun_above(error, text, places, what, hint)
    return found or Problem(line, column, "", what, hint + opened(error, line, places))


def begun_above(
    error: yaml.MarkedYAMLError, text: str, places: Places, what: str, hint: str
) -> Problem | None:
    """The problem at the line above where it begins; None where the parser names no such line."""
    mark, stop = error.context_mark, error.problem_mark
    if mark is None or stop is None:
        return None
    at_end = not text[error_index(error, len(text)) :].strip()
    if mark.line >= stop.line and not at_end:
        return None
    index = min(int(mark.index), len(text))
    line, column = places.line(index), places.column(index)
    if what == NO_COLON:
        return without_colon(LINE_END.split(text)[line - 1], line)
    where = "the end of the file" if at_end else f"line {stop.line + 1}"
    if text[index] in "[{":
        closing = "]" if text[index] == "[" else "}"
        what = f"the {text[index]} opened here is not closed before {where}"
        hint = f"Close it with {closing} behind its last item"
    return Problem(line, column, "", what, hint)


def without_colon(written: str, line: int) -> Problem:
    """The problem of a line among keys that has no colon, or one with no space behind it."""
    column = len(written) - len(written.lstrip(" -")) + 1
    tight = TIGHT.match(written)
    if tight:
        what = "the colon of this line has no space behind it"
        return Problem(line, column, "", what, f"Write {tight[1]}: {tight[2].strip()}")
    _, hint = meaning("simple key")
    return Problem(line, column, "", NO_COLON, hint)


def never_closed(error: yaml.MarkedYAMLError, text: str, index: int) -> bool:
    """Whether what is open when the parser stops was to be closed in a line above.

    That is so at the end of the file, and at a line that begins no deeper than the opening one.
    """
    mark = error.context_mark
    if mark is None or text[int(mark.index) : int(mark.index) + 1] not in ("[", "{", '"', "'"):
        return False
    if not text[index:].strip():
        return True
    line, opening = (text[line_start(text, at) :] for at in (index, int(mark.index)))
    before = text[line_start(text, index) : index]
    begins = before.strip(" -") == "" or (text[index] == ":" and KEY.match(before) is not None)
    return begins and spaces_of(line) <= spaces_of(opening)


def meaning(message: str) -> tuple[str, str]:
    """What a parser's message means, and what to do."""
    for pattern, what, hint in MEANINGS:
        if re.search(pattern, message):
            return what, hint
    return "this is not well-formed YAML", "Compare it with the lines above"


def line_start(text: str, index: int) -> int:
    """Where the line of a place begins."""
    return max(text.rfind("\n", 0, index), text.rfind("\r", 0, index)) + 1


def error_index(error: yaml.MarkedYAMLError, length: int) -> int:
    """The index in the text at which the parser met the error."""
    mark = error.problem_mark or error.context_mark
    return min(int(mark.index), length) if mark else 0


def opened(error: yaml.MarkedYAMLError, line: int, places: Places) -> str:
    """Which line opened what is wrong, where the parser says so and it is another line."""
    mark = error.context_mark
    if mark is None or error.problem_mark is None:
        return ""
    first = places.line(int(mark.index))
    return f"; what it belongs to begins in line {first}" if first != line else ""
