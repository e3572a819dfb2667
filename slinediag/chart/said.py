"""What is said beside the drawing: what a trial's cords do, what an outage needs."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class OutageTable:
    """A heading, and for each thing that may fail its name and what then is to be done."""

    heading: str
    rows: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Said:
    """Sentences on a trial, and the table of outages; both empty unless they are asked for."""

    words: tuple[str, ...] = ()
    outages: OutageTable | None = None
