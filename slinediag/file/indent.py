"""Which line of a file is not indented like its neighbours, and by how many spaces it should be."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from typing import Any, NamedTuple

import yaml

from slinediag.file.nodes import LINE_END, Places
from slinediag.problems import Problem

BLANK = re.compile(r"\s*(?:#.*)?\Z")
COMMENT = re.compile(r"\s#.*")
OPENING = (yaml.FlowMappingStartToken, yaml.FlowSequenceStartToken)
BEGINNING = (yaml.KeyToken, yaml.BlockEntryToken)
CLOSING = (yaml.FlowMappingEndToken, yaml.FlowSequenceEndToken)


class Key(NamedTuple):
    """A key or the dash of an item, outside of brackets: its line, from 1, and what stands before
    it, as a rule spaces."""

    line: int
    spaces: int


def odd_one(
    text: str, index: int, places: Places, loader: Callable[[str], Any], otherwise: str = ""
) -> Problem | None:
    """The line whose indentation is at fault where a parser stopped at ``index``; None where the
    spaces tell nothing.

    ``otherwise`` is said besides, with the line of the key above in place of ``{}``.
    """
    lines = LINE_END.split(text)
    line = places.line(index)
    here = Key(line, spaces_of(lines[line - 1]))
    above = _keys_above(text, line, loader)
    if not above or here.spaces in (levels := _open(above)):
        return None
    last = above[-1]
    first_of_block = last.spaces == spaces_of(lines[last.line - 1]) and (
        len(levels) < 2 or above[-2].spaces == levels[1]
    )
    fellow = _line_below(lines, line, here.spaces)
    if first_of_block and fellow is not None and fellow.spaces == here.spaces:
        # The line above began the block, and all others of it agree against it.
        return _told(last, [here, fellow])
    # Of two that are equally near it belongs to the deeper, whose block it stands behind.
    meant = min(levels, key=lambda spaces: (abs(spaces - here.spaces), -spaces))
    neighbours = [next(key for key in reversed(above) if key.spaces == meant)]
    below = _line_below(lines, line)
    if below is not None and below.spaces == meant:
        neighbours.append(below)
    return _told(here, neighbours, otherwise.format(last.line))


def taken_for_text(text: str, index: int, places: Places, loader: Callable[[str], Any]) -> int:
    """The line above a key that begins where the key does, yet was read as text: its colon is
    missing; 0 where there is no such line."""
    lines = LINE_END.split(text)
    line = places.line(index)
    number = next((n for n in range(line - 1, 0, -1) if not BLANK.match(lines[n - 1])), 0)
    begins = len(lines[number - 1]) - len(lines[number - 1].lstrip(" -")) if number else -1
    above = _keys_above(text, line, loader)
    is_key = any(key.line == number and key.spaces == begins for key in above)
    alone = bool(number) and _stands_alone(lines[number - 1])
    return number if alone and begins == spaces_of(lines[line - 1]) and not is_key else 0


def _stands_alone(line: str) -> bool:
    """Whether a line is no piece of brackets or of a quoted text over several lines."""
    written = COMMENT.sub("", line).rstrip()
    paired = all(written.count(one) == written.count(other) for one, other in ("[]", "{}"))
    return paired and not written.count('"') % 2 and not written.endswith(",")


def spaces_of(line: str) -> int:
    """How many spaces a line begins with."""
    return len(line) - len(line.lstrip(" "))


def _told(odd: Key, neighbours: Sequence[Key], otherwise: str = "") -> Problem:
    wanted = neighbours[0].spaces
    spaces = "1 space" if odd.spaces == 1 else f"{odd.spaces} spaces"
    lines = " and ".join(str(key.line) for key in neighbours)
    them = f"neighbours in lines {lines}" if len(neighbours) > 1 else f"neighbour in line {lines}"
    what = f"this line is indented by {spaces}, its {them} by {wanted}"
    hint = f"Begin it with {wanted or 'no'} space{'' if wanted == 1 else 's'}{otherwise}"
    return Problem(odd.line, odd.spaces + 1, "", what, hint)


def _keys_above(text: str, line: int, loader: Callable[[str], Any]) -> list[Key]:
    """The keys and dashes in the lines above one, as far as the text can be read."""
    found: list[Key] = []
    depth = 0
    reading = loader(text)
    try:
        while reading.check_token():
            token = reading.get_token()
            depth += isinstance(token, OPENING) - isinstance(token, CLOSING)
            if token.start_mark.line + 1 >= line:
                break
            if isinstance(token, BEGINNING) and not depth:
                found.append(Key(token.start_mark.line + 1, token.start_mark.column))
    except yaml.YAMLError:
        pass
    finally:
        reading.dispose()
    return found


def _open(keys: Sequence[Key]) -> list[int]:
    """The spaces of the mappings that are open behind these keys, the innermost first."""
    found = [keys[-1].spaces]
    for key in reversed(keys):
        if key.spaces < found[-1]:
            found.append(key.spaces)
    return found


def _line_below(lines: Sequence[str], line: int, deepest: int | None = None) -> Key | None:
    """The next line below that is neither empty nor a comment, nor begins deeper than asked."""
    for number, text in enumerate(lines[line:], line + 1):
        if not BLANK.match(text) and (deepest is None or spaces_of(text) <= deepest):
            return Key(number, spaces_of(text))
    return None
