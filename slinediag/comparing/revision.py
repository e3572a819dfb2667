"""The row that a revision table is offered for a change: the next letter, and what was changed."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from slinediag.comparing.change import Change
from slinediag.model.facility import Facility, Practice

LETTERS = "ABCDEFGHJKLMNPRTUVWY"
"""Letters of revisions: without I, O, Q, S, X and Z. Source: ASME Y14.35 (from memory)."""
SPELT_OUT = 3
"""Changes that a row tells one by one; more are counted by kind."""


@dataclass(frozen=True, slots=True)
class ProposedRow:
    """A row for the revision table: to be dated and signed by whoever issues it."""

    revision: str
    what: str

    def to_dict(self) -> dict[str, Any]:
        """The row as plain values, ready for JSON."""
        return {"revision": self.revision, "what": self.what}


def proposed_row(old: Facility, new: Facility, changes: Sequence[Change]) -> ProposedRow | None:
    """The row to be added; None where nothing changed, or the new revision has its row already."""
    practice = new.practice
    if not changes or _issued(old.practice, practice):
        return None
    told = [change for change in changes if change.kind not in ("drawing data", "note")] or changes
    return ProposedRow(next_revision(practice.revision), summary(told))


def _issued(old: Practice, new: Practice) -> bool:
    return new.revision != old.revision and any(
        row.revision == new.revision for row in new.revisions
    )


def next_revision(revision: str | None) -> str:
    """The revision after this one: a number more, or the next letter; A after none."""
    if not revision:
        return "A"
    if revision.isdecimal():
        return str(int(revision) + 1)
    head, last = revision[:-1], revision[-1].upper()
    if last not in LETTERS:
        return f"{revision}A"
    if last == LETTERS[-1]:
        return f"{next_revision(head) if head else 'A'}A"
    return head + LETTERS[LETTERS.index(last) + 1]


def summary(changes: Sequence[Change]) -> str:
    """What was changed, in a line."""
    if len(changes) <= SPELT_OUT:
        return "; ".join(change.text for change in changes)
    counts = Counter(change.kind for change in changes)
    return ", ".join(f"{kind}: {number}" for kind, number in counts.items())
