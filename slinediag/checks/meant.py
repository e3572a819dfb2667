"""Which rules a name that is none may mean: those with its words, else those spelled nearly so."""

from __future__ import annotations

import difflib
import re
from collections.abc import Collection, Iterator, Mapping

LIKE = 0.85
"""How alike names are that are taken for each other: a letter or two apart."""
LIKE_WORD = 0.7
"""How alike words are: two letters that change places in a word of five or six."""
LONGEST = 60
"""Characters of a name that are compared; no rule's has half as many."""
LEAST = 3
"""Characters of a word that tells something."""


def meant_by(name: str, rules: Collection[str]) -> tuple[str, ...]:
    """The rules that a name may mean, in their order; none where nothing is near."""
    name = name.casefold()[:LONGEST]
    words = list(_words(name))
    bearing = tuple(rule for rule in rules if words and all(_stands(w, rule) for w in words))
    if bearing:
        return bearing
    near = difflib.get_close_matches(name, rules, n=1, cutoff=LIKE)
    if near:
        return tuple(near)
    sharing = tuple(rule for rule in rules if any(_stands(word, rule) for word in words))
    return sharing or tuple(
        rule
        for rule in rules
        if any(difflib.get_close_matches(word, rule.split("-"), 1, LIKE_WORD) for word in words)
    )


def spoken_of(name: str, summaries: Mapping[str, str]) -> tuple[str, ...]:
    """The rules in whose summaries all words of a name stand."""
    words = list(_words(name.casefold()[:LONGEST]))
    return tuple(
        rule
        for rule, summary in summaries.items()
        if words and all(_stands(word, summary.casefold()) for word in words)
    )


def _words(text: str) -> Iterator[str]:
    """The words that tell something, each as it begins in one or many."""
    for word in re.split(r"[\W_]+", text):
        if len(word) >= LEAST:
            yield word.removesuffix("s") if len(word) > LEAST else word


def _stands(word: str, text: str) -> bool:
    """Whether a word of the text begins like this."""
    return re.search(rf"\b{re.escape(word)}", text) is not None
