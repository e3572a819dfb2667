"""Scalars as YAML text: plain where that is safe, else in double quotes."""

from __future__ import annotations

import re
from typing import Any

import yaml

from slinediag.file.scalars import NUMBER

BEGINS = "(/"
WITHIN = " _-./+()'&;=%°"
ESCAPES = {"\\": "\\\\", '"': '\\"', "\n": "\\n", "\t": "\\t", "\r": "\\r"}
ESCAPED = re.compile('[\\\\"\x00-\x1f\x7f-\x9f\u2028\u2029\ufeff\ufffe\uffff\ud800-\udfff]')

MEANINGS: dict[str | None, list[tuple[str, Any]]] = yaml.SafeLoader.yaml_implicit_resolvers
"""By first character, the patterns of what YAML 1.1 takes for something else than text."""


def quoted_if_needed(text: str, flow: bool) -> str:
    """A text as a scalar, in brackets or braces (``flow``) or outside of them.

    Texts that any YAML reader might take for a number, a truth, a date or nothing are quoted too.
    """
    return text if safe(text, flow) and not looks_like_something_else(text) else quoted(text)


def safe(text: str, flow: bool) -> bool:
    """Whether every character of a text can stand in a plain scalar where it does."""
    within = WITHIN if flow else WITHIN + ","
    return (
        bool(text)
        and (text[0].isalnum() or text[0] in BEGINS)
        and text[-1] != " "
        and all(c.isalnum() or c in within for c in text)
    )


def looks_like_something_else(text: str) -> bool:
    """Whether a plain scalar of this text might be taken for something else than text."""
    patterns = [*MEANINGS.get(text[0], ()), *MEANINGS.get(None, ())]
    return bool(NUMBER.match(text)) or any(pattern.match(text) for _, pattern in patterns)


def quoted(text: str) -> str:
    """A text in double quotes."""
    return '"' + ESCAPED.sub(lambda found: escaped(found[0]), text) + '"'


def escaped(character: str) -> str:
    """A character as an escape of YAML 1.1, section 5.6."""
    if character in ESCAPES:
        return ESCAPES[character]
    code = ord(character)
    return f"\\x{code:02x}" if code < 0x100 else f"\\u{code:04x}"
