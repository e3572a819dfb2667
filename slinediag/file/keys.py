"""The keys of one mapping: known ones read, unknown and repeated ones told."""

from __future__ import annotations

import datetime
from collections import Counter
from collections.abc import Iterator
from typing import TypeVar

from slinediag.address import ID, nearest
from slinediag.file.mistakes import LONGEST, Mistakes
from slinediag.file.nodes import Mapping, Node, Scalar, Sequence, kind, shortened
from slinediag.file.scalars import (
    Range,
    read_date,
    read_number,
    read_text,
    read_truth,
    read_whole,
    read_word,
)

W = TypeVar("W", bound=str)
MERGE = "<<"


class Keys:
    """The set keys of a mapping, to be read by name; what is wrong goes to ``mistakes``.

    ``where`` names the mapping in messages: an address, or the keys that lead to it.
    """

    def __init__(
        self, node: Node, where: str, mistakes: Mistakes, known: tuple[str, ...] | None = None
    ) -> None:
        self.node = node
        self._known = known or ()
        self.where = where
        self.mistakes = mistakes
        self._values: dict[str, Node] = {}
        self._readable = isinstance(node, Mapping) or unset(node)
        self._lost: set[str] = set()
        for key, key_node, value in entries(node, where, mistakes):
            if known is not None and key not in known:
                hint = mistakes.nearest(key, known, f"Known here: {', '.join(known)}")
                mistakes.error(key_node, self.at(key), "this key is not known here", hint)
                self._lost.add(key)
            elif not unset(value):
                self._values[key] = value

    def may_lack(self, *keys: str) -> bool:
        """Whether what some keys say may be lost: misspelt, repeated, merged in, or no mapping."""
        meant = {nearest(key, self._known) for key in self._lost if len(key) <= LONGEST}
        meant |= repeated(self.node)
        return not self._readable or merges(self.node) or not meant.isdisjoint(keys)

    def at(self, key: str) -> str:
        """The place of a key of this mapping, as messages name it."""
        return f"{self.where}.{key}" if self.where else key

    def value(self, key: str) -> Node | None:
        """The node of a key; None where the key is unset."""
        return self._values.get(key)

    def required(self, key: str, hint: str) -> Node | None:
        """The node of a key that must be set; None, with an error, where it is not."""
        found = self._values.get(key)
        if found is None and self._readable:
            self.mistakes.error(self.node, self.where or key, f"the key {key} is missing", hint)
        return found

    def text(self, key: str) -> str | None:
        """The text of a key."""
        node = self._values.get(key)
        return None if node is None else read_text(node, self.at(key), self.mistakes)

    def name(self, key: str, hint: str) -> str:
        """The text of a key that must be set and not blank; empty, with an error, if it is."""
        node = self.required(key, hint)
        text = None if node is None else read_text(node, self.at(key), self.mistakes)
        if node is not None and text is not None and not text.strip():
            self.mistakes.error(node, self.at(key), "this may not be empty", hint)
        return text or ""

    def number(self, key: str, within: Range) -> float | None:
        """The number of a key."""
        node = self._values.get(key)
        return None if node is None else read_number(node, self.at(key), self.mistakes, within)

    def whole(self, key: str, within: Range) -> int | None:
        """The whole number of a key."""
        node = self._values.get(key)
        return None if node is None else read_whole(node, self.at(key), self.mistakes, within)

    def truth(self, key: str) -> bool | None:
        """The truth of a key."""
        node = self._values.get(key)
        return None if node is None else read_truth(node, self.at(key), self.mistakes)

    def date(self, key: str) -> datetime.date | None:
        """The date of a key."""
        node = self._values.get(key)
        return None if node is None else read_date(node, self.at(key), self.mistakes)

    def word(self, key: str, words: tuple[W, ...]) -> W | None:
        """The word of a key, one of some."""
        node = self._values.get(key)
        return None if node is None else read_word(node, self.at(key), self.mistakes, words)

    def items(self, key: str) -> tuple[Node, ...] | None:
        """The items of a key that holds a list; None where it is unset."""
        node = self._values.get(key)
        return None if node is None else items(node, self.at(key), self.mistakes)


def unset(node: Node) -> bool:
    """Whether a node says nothing."""
    return isinstance(node, Scalar) and node.unset


def merges(node: Node) -> bool:
    """Whether a mapping holds a merge key."""
    keys = [entry.key for entry in node.entries] if isinstance(node, Mapping) else []
    return any(isinstance(key, Scalar) and key.plain and key.text == MERGE for key in keys)


def repeated(node: Node | None) -> set[str]:
    """The keys that stand in a mapping more than once."""
    keys = [entry.key for entry in node.entries] if isinstance(node, Mapping) else []
    counts = Counter(key.text for key in keys if isinstance(key, Scalar))
    return {text for text, count in counts.items() if count > 1}


def entries(node: Node, where: str, mistakes: Mistakes) -> Iterator[tuple[str, Node, Node]]:
    """Key, key's node and value's node of a mapping's entries; no key twice.

    Errors: not a mapping, a key that is no text, a repeated key, a merge key.
    """
    if unset(node):
        return
    if not isinstance(node, Mapping):
        what = f"a mapping (key: value) is wanted here, not {kind(node)}"
        mistakes.error(node, where, what, "Write key: value")
        return
    seen: dict[str, Node] = {}
    for entry in node.entries:
        key = entry.key
        if not isinstance(key, Scalar) or key.unset:
            mistakes.error(key, where, f"a key must be a text, not {kind(key)}", "Name the key")
        elif key.plain and key.text == MERGE:
            hint = "Write the keys out, or use an alias for a whole value"
            mistakes.error(key, where, "merge keys (<<) are not read", hint)
        elif key.text in seen:
            at = f"{where}.{key.text}" if where else key.text
            what = f"this key stands here twice, first in line {mistakes.line(seen[key.text])}"
            mistakes.error(key, at, what, "Keep one of them")
        else:
            seen[key.text] = key
            yield key.text, key, entry.value


def named(node: Node | None, where: str, mistakes: Mistakes) -> Iterator[tuple[str, Node, Node]]:
    """The entries of a section whose keys are ids; an id that is not legal is an error."""
    if node is None:
        return
    for key, key_node, value in entries(node, where, mistakes):
        if ID.match(key):
            yield key, key_node, value
        else:
            what = f"{shortened(key)} cannot be an id"
            hint = "An id is a letter, then letters, digits, _ and -"
            mistakes.error(key_node, f"{where}.{key}", what, hint)


def items(node: Node, where: str, mistakes: Mistakes) -> tuple[Node, ...]:
    """The items of a list; an error, and none, where the node is no list."""
    if isinstance(node, Sequence):
        return node.items
    mistakes.error(node, where, f"a list is wanted here, not {kind(node)}", "Write [first, second]")
    return ()
