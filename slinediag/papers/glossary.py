"""Words and their short forms: the bundled glossary, extended and overruled by the file."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache

from slinediag import text
from slinediag.resources import resource


@dataclass(frozen=True)
class Glossary:
    """Short forms by word, the longest first; spellings of one word; forms that must keep apart."""

    forms: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    same: Mapping[str, str] = field(default_factory=dict)
    apart: frozenset[frozenset[str]] = frozenset()

    def overruled(self, filed: Mapping[str, str]) -> Glossary:
        """The glossary with a file's words, whose one short form is the one filed."""
        own = {capitals(word): (capitals(short),) for word, short in filed.items()}
        return Glossary({**self.forms, **own}, self.same, self.apart)

    def ways(self, word: str) -> tuple[str, ...]:
        """What may be printed for a word, itself first, each narrower than the one before it.

        A word that is itself a short form may become a shorter one of the same word, unless a
        file has settled that word's form.
        """
        shorter = self.forms.get(word)
        if shorter is None:
            shorter = self._further(word)
        ways = [word]
        for form in shorter:
            if 0 < breadth(form) < breadth(ways[-1]):
                ways.append(form)
        return tuple(ways)

    def _further(self, form: str) -> tuple[str, ...]:
        for forms in self.forms.values():
            if form in forms[:-1]:
                return forms[forms.index(form) + 1 :]
        return ()

    def spelled_out(self, form: str) -> str | None:
        """The word that a filed short form stands for; None of a word, and of what is unknown."""
        meaning = self.meaning(form)
        return None if form in self.forms or meaning == form else meaning

    def meaning(self, word: str) -> str:
        """The word that a word stands for: its one spelling, of which it may be a short form."""
        if word in self.forms:
            return self.same.get(word, word)
        for full, forms in self.forms.items():
            if word in forms:
                return self.same.get(full, full)
        return word


def capitals(words: str) -> str:
    """Words as strips print them: capitals, single spaces, no stop at the end of a word.

    ANSI Y1.1 / ASME Y14.38 (from memory).
    """
    return " ".join(w.rstrip(".") or w for w in text.printable(words).upper().split())


def breadth(words: str) -> int:
    """The width of words at the least height of a label, micrometres, unsqueezed."""
    return text.width(words, LEAST_HEIGHT)


LEAST_HEIGHT = 2_500
"""Height of a label's capitals, micrometres: 2.33 mm is 16 minutes of arc at 500 mm (ISO 9241-3,
NUREG-0700), the next height of ISO 3098 is 2.5 mm."""


@cache
def bundled() -> Glossary:
    """The glossary of ``resources/abbreviations.toml``."""
    table = tomllib.loads(resource("abbreviations.toml").read_text(encoding="utf-8"))
    return Glossary(
        {word: tuple(forms) for word, forms in table["words"].items()},
        table["same"],
        frozenset(frozenset(pair) for pair in table["apart"]["pairs"]),
    )
