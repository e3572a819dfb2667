"""Which notes of a file warn of what can hurt someone or harm equipment, by their words."""

from __future__ import annotations

import re

_WORDS = re.compile(
    r"\b(?:(?<!\bno )(?<!\bwithout )phantom|hearing|loud|mains|voltage|shock|48 ?V"
    r"|danger(?:ous)?|harm(?:s|ed|ful)?|hurts?|turn\b[^.]*\bdown)\b",
    re.IGNORECASE,
)


def warns(words: str) -> bool:
    """Whether words tell of phantom power, mains, or what is too loud; "no phantom" does not."""
    return _WORDS.search(words) is not None
