"""Notes and cautions by number: what stands beside a thing on the chart, and what it refers to."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from slinediag.chart.subject import Position, Subject
from slinediag.model.dangers import is_marked, warns
from slinediag.model.facility import Facility

CAUTION = "Caution:"
"""What a note that is a caution begins with."""


@dataclass(frozen=True, slots=True)
class NumberedNotes:
    """Notes of equipment and positions, numbered from 1 in natural order."""

    words: tuple[str, ...] = ()
    equipment: Mapping[str, int] = field(default_factory=dict)
    points: Mapping[Position, int] = field(default_factory=dict)

    def of_point(self, position: Position) -> int | None:
        """The number of a position's note."""
        return self.points.get(position)

    def of_equipment(self, box: str) -> int | None:
        """The number of a box's note."""
        return self.equipment.get(box)


def number_notes(subject: Subject) -> NumberedNotes:
    """Number the notes and cautions of everything drawn; things with the same words share one."""
    numbers: dict[str, int] = {}
    equipment = {
        box.id: numbers.setdefault(words, len(numbers) + 1)
        for box in subject.equipment
        if (words := _of_box(box.caution, box.note))
    }
    points = {
        position: numbers.setdefault(note, len(numbers) + 1)
        for position in subject.drawn
        if (note := _of_position(subject.facility, position))
    }
    return NumberedNotes(tuple(numbers), equipment, points)


def _of_box(caution: str | None, note: str | None) -> str:
    parts = [f"{CAUTION} {caution}" if caution else "", note or ""]
    return as_caution("; ".join(part.rstrip(".; ") for part in parts if part))


def _of_position(facility: Facility, position: Position) -> str:
    return as_caution(facility.bays[position.bay].point(position.number).note or "")


def as_caution(words: str) -> str:
    """A note as a caution where it warns of what can hurt or harm."""
    return f"{CAUTION} {words}" if warns(words) and not is_marked(words) else words
