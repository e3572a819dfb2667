"""What a trial is and what it answers, as plain frozen values."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

from slinediag.address import Jack, PortAddress
from slinediag.model.facility import Facility, Normal

Effect = Literal["breaks", "taps", "open already"]
Change = Literal["doubled", "lost", "gained", "altered", "rerouted", "unchanged"]
CordEnds = tuple[Jack, Jack]
"""A cord by its two jacks, first-named end first."""


def cord_text(cord: CordEnds) -> str:
    """A cord as answers write it, ``PB1.T3=PB2.B7``."""
    return f"{cord[0]}={cord[1]}"


def shown_level(level: float | None) -> float | None:
    """A level as answers write it: dBu to two decimals, and no minus before a zero."""
    return None if level is None else round(level, 2) + 0.0


@dataclass(frozen=True, slots=True)
class Trial:
    """What a person would do: cords and dummy plugs out, cords and dummy plugs in, boxes dead."""

    cords: tuple[CordEnds, ...] = ()
    pulled_cords: tuple[CordEnds, ...] = ()
    pulled_plugs: tuple[Jack, ...] = ()
    plugs: tuple[Jack, ...] = ()
    failed: tuple[str, ...] = ()

    @property
    def empty(self) -> bool:
        """Whether nothing is changed."""
        return self == Trial()


@dataclass(frozen=True, slots=True)
class Act:
    """What one plug does to one normal at its jack."""

    normal: Normal
    effect: Effect


@dataclass(frozen=True, slots=True)
class PlugStep:
    """One plug going in: its jack, its cord (None for a dummy plug), and what it does."""

    jack: Jack
    cord: CordEnds | None
    acts: tuple[Act, ...]


@dataclass(frozen=True, slots=True)
class CordOutcome:
    """What a cord of the trial comes to; its length in metres where it is known."""

    cord: CordEnds
    idle: bool
    feedback: bool
    length: float | None = None


@dataclass(frozen=True, slots=True)
class InputOutcome:
    """One input before and after: what feeds it, which origins it hears, its level.

    Levels in dBu, not rounded; None unless there is exactly one feed, of working equipment.
    """

    input: PortAddress
    change: Change
    feeds_before: tuple[PortAddress, ...]
    feeds_after: tuple[PortAddress, ...]
    hears_before: tuple[PortAddress, ...]
    hears_after: tuple[PortAddress, ...]
    level_before: float | None = None
    level_after: float | None = None


@dataclass(frozen=True, slots=True)
class Answer:
    """What a trial does: plugs in the order they go in, cords as given, inputs in natural order."""

    facility: Facility
    trial: Trial
    plugs: tuple[PlugStep, ...]
    cords: tuple[CordOutcome, ...]
    inputs: tuple[InputOutcome, ...]
    harmless: bool

    def to_dict(self) -> dict[str, Any]:
        """The answer as plain values, ready for JSON; levels in dBu, lengths in metres."""
        spelled = self.facility.spelled
        return {
            "facility": self.facility.name,
            "plugs": [
                {
                    "jack": str(step.jack),
                    "cord": cord_text(step.cord) if step.cord else None,
                    "acts": [
                        {
                            "normal": str(act.normal),
                            "kind": act.normal.kind,
                            "effect": act.effect,
                        }
                        for act in step.acts
                    ],
                }
                for step in self.plugs
            ],
            "cords": [
                {
                    "cord": cord_text(outcome.cord),
                    "idle": outcome.idle,
                    "feedback": outcome.feedback,
                    "length": outcome.length,
                }
                for outcome in self.cords
            ],
            "inputs": [
                {
                    "input": spelled(outcome.input),
                    "change": outcome.change,
                    "feeds_before": [spelled(port) for port in outcome.feeds_before],
                    "feeds_after": [spelled(port) for port in outcome.feeds_after],
                    "hears_before": [spelled(port) for port in outcome.hears_before],
                    "hears_after": [spelled(port) for port in outcome.hears_after],
                    "level_before": shown_level(outcome.level_before),
                    "level_after": shown_level(outcome.level_after),
                }
                for outcome in self.inputs
            ],
            "harmless": self.harmless,
        }
