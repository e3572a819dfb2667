"""Text widths from a bundled table, so that a drawing comes out the same on every machine.

The table is that of Liberation Sans, whose widths are those of the Arial family. Heights are
those of capitals and all lengths are in micrometres; a width is never less than the sum of its
advances, and kerning, which only draws letters together, is left out.
"""

from __future__ import annotations

import json
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Literal, NamedTuple

from slinediag.resources import resource

Weight = Literal["regular", "bold"]

ELLIPSIS = "…"
REPLACEMENT = "\ufffd"
KEPT = 16_384
"""Texts whose width is kept: a chart measures some thousand texts dozens of times each."""
EMBEDDING = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
"""Embeddings, overrides and isolates of UAX #9, which reach past the word they stand in."""


class Glyph(NamedTuple):
    """A character's advance, and its ink's top and bottom above the baseline, in font units."""

    advance: int
    top: int
    bottom: int


@dataclass(frozen=True, slots=True)
class Metrics:
    """The font family in font units: its em, the height of its capitals, and its characters."""

    em: int
    capitals: int
    regular: dict[str, Glyph]
    bold: dict[str, Glyph]

    def face(self, weight: Weight) -> dict[str, Glyph]:
        """The characters of one weight."""
        return self.bold if weight == "bold" else self.regular


@cache
def metrics() -> Metrics:
    """The bundled table."""
    table = json.loads(resource("text_widths.json").read_text(encoding="ascii"))
    faces = {
        face: {
            chr(first + i): Glyph(*values)
            for first, *columns in table[face]
            for i, values in enumerate(zip(*columns, strict=True))
        }
        for face in ("regular", "bold")
    }
    return Metrics(table["em"], table["capitals"], faces["regular"], faces["bold"])


def printable(text: str) -> str:
    """The text as any painter can paint it: composed, on one line, with nothing XML 1.0 forbids.

    Line ends and tabs become spaces; other control characters, lone surrogates and the
    non-characters U+FFFE and U+FFFF become U+FFFD (XML 1.0, production 2, Char). What would turn
    the words about it round is left out: it could show 27 for a 72 that follows a name.
    """
    if text.isascii() and text.isprintable():
        return text
    return "".join(_printable_character(c) for c in unicodedata.normalize("NFC", text))


def _printable_character(character: str) -> str:
    if character in EMBEDDING:
        return ""
    if character in "\t\n\r\x85\u2028\u2029":
        return " "
    if unicodedata.category(character) in ("Cc", "Cs") or character in "\ufffe\uffff":
        return REPLACEMENT
    return character


def _glyphs(text: str, weight: Weight) -> Iterator[Glyph]:
    face = metrics().face(weight)
    return (face.get(c) or _unknown_glyph(c) for c in printable(text))


@cache
def _unknown_glyph(character: str) -> Glyph:
    """What to allow for a character of another font: an em where East Asian fonts need one.

    Width classes from UAX #11; no room for marks that sit on the letter before them; for the
    rest 0.6 em, which is above the mean of the family's own letters.
    """
    em = metrics().em
    if unicodedata.category(character) in ("Mn", "Me", "Cf"):
        advance = 0
    elif unicodedata.east_asian_width(character) in ("W", "F", "A"):
        advance = em
    else:
        advance = em * 6 // 10
    return Glyph(advance, em * 9 // 10, -em * 2 // 10)


@lru_cache(maxsize=KEPT)
def width(text: str, height: int, weight: Weight = "regular") -> int:
    """The room a line of text takes at this height of capitals, rounded up."""
    units = sum(glyph.advance for glyph in _glyphs(text, weight))
    return -(-units * height // metrics().capitals)


def ink(text: str, height: int, weight: Weight = "regular") -> tuple[int, int]:
    """How far the text's ink reaches above and below its baseline, each at least 0."""
    glyphs = tuple(_glyphs(text, weight))
    above = max((glyph.top for glyph in glyphs), default=0)
    below = max((-glyph.bottom for glyph in glyphs), default=0)
    capitals = metrics().capitals
    return max(0, -(-above * height // capitals)), max(0, -(-below * height // capitals))


def font_size(height: int) -> int:
    """The size of the em at which capitals are this high."""
    return round(height * metrics().em / metrics().capitals)


def shorten(text: str, height: int, room: int, weight: Weight = "regular") -> str | None:
    """The text, or as much of its beginning as fits this room with an ellipsis; None if nothing.

    For names and prose only: a label or an address that is cut names something else.
    """
    clean = printable(text)
    if width(clean, height, weight) <= room:
        return clean
    for end in range(_first_beyond(clean, height, room, weight), 0, -1):
        if unicodedata.combining(clean[end]):
            continue
        cut = clean[:end].rstrip() + ELLIPSIS
        if cut != ELLIPSIS and width(cut, height, weight) <= room:
            return cut
    return None


def _first_beyond(clean: str, height: int, room: int, weight: Weight) -> int:
    """The least end at which a beginning of a text is too wide, blanks at its end left out."""
    units = 0
    for end, glyph in enumerate(_glyphs(clean, weight)):
        units += glyph.advance
        if units * height > room * metrics().capitals and not clean[end].isspace():
            return min(end + 1, len(clean) - 1)
    return len(clean) - 1
