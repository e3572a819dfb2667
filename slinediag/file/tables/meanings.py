"""What short words in the cells of a table mean: normals, states, ditto marks, sides.

The words are common practice in lists of patch bays (from memory); what reads either way is told
as doubtful.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Literal, NamedTuple

from slinediag.model.bay import NormalKind, PointState

Certainty = Literal["sure", "likely", "doubtful"]


class NormalWord(NamedTuple):
    """The kind of normal that a word says, and how sure that is."""

    kind: NormalKind
    certainty: Certainty


SURE_NORMALS: Mapping[NormalKind, tuple[str, ...]] = {
    "full": ("full", "fn", "full normal", "full normalled", "full normaled", "fully normal",
             "fully normalled", "fully normaled", "full norm", "f n"),
    "half": ("half", "hn", "half normal", "half normalled", "half normaled", "½", "1/2", "h n",
             "half norm", "½ normal", "1/2 normal", "½ normalled", "1/2 normalled",
             "½ normaled", "1/2 normaled"),
    "reverse-half": ("reverse half", "reverse half normal", "reverse half normalled",
                     "reverse normalled", "rev half", "rev half normalled", "rhn", "rh", "reverse",
                     "half reverse", "reversed half"),
    "parallel": ("parallel", "par", "paralleled", "parallelled", "mult", "multed", "tied", "//",
                 "||", "‖", "∥", "p"),
    "none": ("none", "non", "nn", "open", "iso", "isolated", "no normal", "non normal",
             "non normalled", "non normaled", "not normalled", "not normaled", "unnormalled",
             "denormalled", "denormaled", "de normalled", "no", "nil"),
}  # fmt: skip
LIKELY_NORMALS: Mapping[NormalKind, tuple[str, ...]] = {
    "full": ("f", "normal", "normalled", "normaled", "norm", "|", "│"),
    "half": ("h", "↓", "⇣", "v", "0.5", "0,5", ".5", "50%"),
    "reverse-half": ("r", "↑", "⇡", "^"),
    "parallel": ("=", "thru", "through"),
    "none": ("nc", "n/c", "-", "–", "—", "0", "o", "x", "n/a", "na", "off", "○", "✗", "×"),
}
DOUBTFUL_NORMALS: Mapping[NormalKind, tuple[str, ...]] = {
    "full": ("n", "yes", "y", "true", "●", "•", "✓", "+", "on"),
    "none": ("false",),
}

GRADES: tuple[tuple[Certainty, Mapping[NormalKind, tuple[str, ...]]], ...] = (
    ("doubtful", DOUBTFUL_NORMALS),
    ("likely", LIKELY_NORMALS),
    ("sure", SURE_NORMALS),
)
NORMAL_WORDS: Mapping[str, NormalWord] = {
    word: NormalWord(kind, certainty)
    for certainty, kinds in GRADES
    for kind, words in kinds.items()
    for word in words
}

STATE_WORDS: Mapping[str, PointState] = {
    **dict.fromkeys(
        ("spare", "spare pair", "free", "empty", "unused", "not used", "n/u", "blank", "not wired",
         "vacant", "no", "none", "unassigned", "n/c", "nc", "not connected",
         "-", "–", "—", "--", "---", "x"),
        "spare",
    ),
    **dict.fromkeys(("reserved", "future", "for future use", "planned", "rsvd"), "reserved"),
    **dict.fromkeys(("used", "in use", "active", "live", "wired", "yes", "ok"), "used"),
}  # fmt: skip
SIGNS = ("-", "–", "—", "--", "---", "x")
"""State words that are signs only."""

DITTO = frozenset(
    {'"', "''", "″", "”", "“", "〃", "do", "do.", "ditto", "same", "as above", '""', "″ ″"}
)

SIDES: Mapping[str, str] = {
    **dict.fromkeys(("l", "left", "lt", "lft", "l/h", "lh"), "L"),
    **dict.fromkeys(("r", "right", "rt", "rgt", "r/h", "rh"), "R"),
}
BOTH_SIDES = re.compile(r"(?:l\s*[/&+,\-–]\s*r|lr|l\s+r|left\s*[/&+,\-–]\s*right|stereo|st)\Z")

ROWS: Mapping[str, Literal["T", "B"]] = {
    **dict.fromkeys(("t", "top", "upper", "up", "a", "top row", "upper row", "out", "source"), "T"),
    **dict.fromkeys(("b", "bottom", "lower", "bot", "dn", "down", "bottom row", "lower row", "in",
                     "dest", "destination"), "B"),
}  # fmt: skip


def folded(text: str) -> str:
    """A word as the tables above spell it: small letters, hyphens as spaces, no final stop."""
    small = re.sub("['’]d\\b", "alled", " ".join(text.casefold().split()))
    if len(small) > 2 and not set(small) <= set("-–—|/"):
        small = " ".join(re.sub(r"[-_–]", " ", small).rstrip(".:").split())
    return small


HALF_AS_DATE = re.compile(r"\d{4}-(?:01-02|02-01)\Z|0?[12]-(?:jan|feb)\Z", re.I)
"""1/2, of which a spreadsheet has made the second of January or the first of February."""


def normal_of(text: str) -> NormalWord | None:
    """The kind of normal that a cell says; None where it says none that is known."""
    found = NORMAL_WORDS.get(folded(text))
    if HALF_AS_DATE.match(text):
        return NormalWord("half", "doubtful")
    inside = re.search(r"\(([^()]+)\)\s*\Z", text)
    if found is None and inside is not None:
        within = NORMAL_WORDS.get(folded(inside[1]))
        return NormalWord(within.kind, "likely") if within else None
    return found or _with_points(text)


def _with_points(text: str) -> NormalWord | None:
    """The normal of a word written as "H.N.", "F/N" or "HN?"; the last is doubtful."""
    bare = re.sub(r"[.!?*]+\Z", "", folded(text)).strip()
    found = NORMAL_WORDS.get(bare) or NORMAL_WORDS.get(re.sub(r"[./\s]", "", bare))
    if found is None or not bare:
        return None
    graded: Certainty = "likely" if found.certainty == "sure" else found.certainty
    return NormalWord(found.kind, "doubtful" if "?" in text else graded)


PROSE = re.compile(
    r"(?<![\w/])(?P<word>fully?|half|1/2|½|non|not|un|de|reverse(?:[ -]half)?|rev[ -]half)?[ -]?"
    r"(?P<rest>normal(?:l?ed|l?ing|s)?)(?!\w)", re.I,
)  # fmt: skip


IN_PART = re.compile(r"\b(?:rest|others?|except|but)\b|\d\s*[-–]\s*\d", re.I)
"""What a sentence about some positions only holds."""


def normal_in(text: str) -> NormalKind | None:
    """The one kind of normal that a sentence speaks of, as "all half-normalled"; None else."""
    if IN_PART.search(text):
        return None
    found = {
        word.kind if (word := normal_of(f"{match['word']} normalled")) else None
        for match in PROSE.finditer(text)
        if match["word"]
    }
    return found.pop() if len(found) == 1 else None


def state_of(text: str) -> PointState | None:
    """The state that a cell says; None where it says none."""
    return STATE_WORDS.get(folded(text))


def is_ditto(text: str) -> bool:
    """Whether a cell says that it is as the one above."""
    return text.casefold() in DITTO
