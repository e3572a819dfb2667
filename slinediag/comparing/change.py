"""One change in the trade's terms, and the facts that it takes from the old to the new revision."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Literal

from slinediag.comparing.facts import Facts, Key

Kind = Literal[
    "renamed",
    "position moved",
    "equipment added",
    "equipment taken out",
    "equipment",
    "port added",
    "port taken out",
    "port",
    "path",
    "bay added",
    "bay taken out",
    "bay",
    "normal",
    "normal across",
    "wire added",
    "wire removed",
    "wire re-terminated",
    "polarity",
    "shield",
    "cable of a wire",
    "mult",
    "line added",
    "line removed",
    "line",
    "cable",
    "cord left in",
    "cord taken out",
    "cord",
    "dummy plug left in",
    "dummy plug taken out",
    "dummy plug",
    "label",
    "note",
    "place",
    "practice",
    "drawing data",
    "accepted finding",
]

PAPER_ONLY: frozenset[Kind] = frozenset({"label", "note", "drawing data", "accepted finding"})
"""Kinds that change what is printed and nothing that is wired, plugged or set."""


@dataclass(frozen=True, slots=True)
class FactChange:
    """One fact before and after; None where there is none."""

    key: Key
    before: Any
    after: Any


@dataclass(frozen=True, slots=True)
class Change:
    """One change: its kind, the addresses it is at, and its sentence.

    ``facts`` are what it changes besides renames and moves, in the new revision's names; where it
    is a single one, ``before`` and ``after`` are its values in words.
    """

    kind: Kind
    where: tuple[str, ...]
    text: str
    facts: tuple[FactChange, ...] = ()
    before: str | None = None
    after: str | None = None

    def to_dict(self) -> dict[str, Any]:
        """The change as plain values, ready for JSON."""
        return {
            "kind": self.kind,
            "where": list(self.where),
            "before": self.before,
            "after": self.after,
            "text": self.text,
        }


def differences(old: Facts, new: Facts) -> tuple[FactChange, ...]:
    """Every fact that differs, those of the old facts first, in their order."""
    keys = dict.fromkeys([*old, *new])
    return tuple(
        FactChange(key, old.get(key), new.get(key)) for key in keys if old.get(key) != new.get(key)
    )


def with_changes(facts: Facts, changes: Iterable[Change]) -> Mapping[Key, Any]:
    """Old facts, already renamed and moved, with changes made to them.

    ValueError where a fact is not as the change has it: it belongs to another revision.
    """
    made = dict(facts)
    for change in changes:
        for fact in change.facts:
            if made.get(fact.key) != fact.before:
                raise ValueError(f"{fact.key} is not {fact.before!r}")
            if fact.after is None:
                del made[fact.key]
            else:
                made[fact.key] = fact.after
    return made
