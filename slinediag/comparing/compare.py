"""What changed between two revisions of a facility, and what that does.

The steps: names → positions → facts → changes; then hearing and outages before and after.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from slinediag.address import Jack
from slinediag.comparing.change import PAPER_ONLY, Change, differences, with_changes
from slinediag.comparing.effect import (
    HearingChange,
    OutageChange,
    box_outage_changes,
    hearing_changes,
    outage_changes,
)
from slinediag.comparing.facts import Key, facts_of
from slinediag.comparing.grouping import Group, grouped
from slinediag.comparing.moves import Places, find_moves, moved, renamed, worthwhile
from slinediag.comparing.renames import Renames, find_renames
from slinediag.comparing.revision import ProposedRow, proposed_row
from slinediag.comparing.words import Wording, told
from slinediag.model.edits import Position
from slinediag.model.facility import Facility
from slinediag.model.labels import jack_label
from slinediag.progress import Tell, silent

SECTION_WORDS = {
    "equipment": "equipment",
    "bays": "bay",
    "racks": "rack",
    "cables": "cable",
    "lines": "line",
    "mults": "mult",
}


@dataclass(frozen=True)
class Comparison:
    """Two revisions: renames, moved positions, changes, and what they do.

    ``outages`` are None where they were not asked for.
    """

    old: Facility
    new: Facility
    names: Renames
    places: Places
    changes: tuple[Change, ...]
    hearing: tuple[HearingChange, ...]
    outages: tuple[OutageChange, ...] | None
    row: ProposedRow | None

    @property
    def paper_only(self) -> bool:
        """Whether only labels, notes and drawing data differ."""
        return all(change.kind in PAPER_ONLY for change in self.changes)

    def new_facts(self) -> dict[Key, Any]:
        """The facts of the old revision with all changes made: those of the new one."""
        return dict(with_changes(_carried(self.old, self.names, self.places), self.changes))

    def to_dict(self) -> dict[str, Any]:
        """The comparison as plain values, ready for JSON."""
        return {
            "facility": self.new.name,
            "changes": [change.to_dict() for change in self.changes],
            "paper_only": self.paper_only,
            "hearing": [change.to_dict(self.new) for change in self.hearing],
            "outages": None
            if self.outages is None
            else [change.to_dict(self.new) for change in self.outages],
            "revision": self.row.to_dict() if self.row else None,
        }


def compare(
    old: Facility, new: Facility, *, outages: bool = False, failed: Sequence[str] = (),
    tell: Tell = silent,
) -> Comparison:  # fmt: skip
    """What changed from one revision of a facility to another.

    ``outages`` also tells what every failure silenced before and silences now; that takes seconds,
    of which ``tell`` is told. ``failed`` are ids of equipment in the new revision whose
    failures alone are compared.
    """
    names = find_renames(old, new)
    after = facts_of(new)
    places = worthwhile(find_moves(old, new, names), renamed(facts_of(old), names), after)
    before = _carried(old, names, places)
    wording = Wording(old, new)
    changes = [*_renames(names), *_moves(new, places)]
    changes += [_told(group, wording) for group in grouped(differences(before, after))]
    return Comparison(
        old=old,
        new=new,
        names=names,
        places=places,
        changes=tuple(changes),
        hearing=hearing_changes(old, new, names) if changes else (),
        outages=_outages(old, new, names, changes, outages, failed, tell),
        row=proposed_row(old, new, changes),
    )


def _told(group: Group, wording: Wording) -> Change:
    """A group of facts as a change."""
    kind, _, facts = group
    where, text = told(group, wording)
    values: tuple[str | None, str | None] = None, None
    if len(facts) == 1:
        was, now = facts[0].before, facts[0].after
        values = (
            None if was is None else wording.value(was),
            None if now is None else wording.value(now),
        )
    return Change(kind, where, text, facts, *values)


def _outages(
    old: Facility, new: Facility, names: Renames, changes: Sequence[Change],
    every: bool, failed: Sequence[str], tell: Tell,
) -> tuple[OutageChange, ...] | None:  # fmt: skip
    if not every and not failed:
        return None
    if all(change.kind in PAPER_ONLY for change in changes):
        return ()
    if every:
        return outage_changes(old, new, names, tell)
    return box_outage_changes(old, new, names, failed)


def _carried(old: Facility, names: Renames, places: Places) -> dict[Key, Any]:
    """Old facts under new names, at new positions."""
    return moved(renamed(facts_of(old), names), places)


def _renames(names: Renames) -> list[Change]:
    changes = []
    for section, word in SECTION_WORDS.items():
        for old, new in getattr(names, section).items():
            changes.append(Change("renamed", (new,), f"{word} {old} is now called {new}"))
    for before, after in names.ports.items():
        text = f"port {before} is now called {after}"
        changes.append(Change("renamed", (str(after),), text))
    return changes


def _moves(new: Facility, places: Places) -> list[Change]:
    """The moves of positions that hold something; room that was made goes without saying."""
    held = {(jack.bay, jack.position) for jack in new.wires}
    held |= {
        (end.bay, end.position)
        for line in new.lines.values()
        for end in (line.source, line.target)
        if len(end) == 3 and not isinstance(end[2], str)
    }
    return [
        Change(
            "position moved",
            (str(old), str(to)),
            f"position {old} moved to {to}{_labels(new, to)}",
        )
        for old, to in sorted(places.items())
        if (to.bay, to.number) in held
    ]


def _labels(facility: Facility, position: Position) -> str:
    """What is printed at a position, in brackets."""
    bay = facility.bays[position.bay]
    jacks = (Jack(bay.id, row, position.number) for row in bay.jack_rows)
    labels = [label for jack in jacks if (label := jack_label(facility, jack))]
    return f" ({', '.join(dict.fromkeys(labels))})" if labels else ""
