"""What a trial is and what it answers, as plain frozen values."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

from slinediag.address import Jack, PortAddress
from slinediag.model.facility import Facility, Normal
from slinediag.tracing.cords import CordEnds as CordEnds
from slinediag.tracing.cords import Trial as Trial
from slinediag.tracing.cords import cord_text as cord_text
from slinediag.tracing.detour import GoneRound
from slinediag.tracing.line import LineFacts
from slinediag.tracing.phantom import PhantomReach
from slinediag.tracing.shields.closed import ShieldLoop, closed_by
from slinediag.tracing.sides import Exchange

Effect = Literal["breaks", "taps", "open already"]
Change = Literal["doubled", "lost", "gained", "altered", "rerouted", "unchanged"]
PlugAct = Literal["put", "pull"]


def two_decimals(figure: float | None) -> float | None:
    """A level or loss as answers write it: two decimals, and no minus before a zero."""
    return None if figure is None else round(figure, 2) + 0.0


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
class LivePlug:
    """A plug put in or pulled where phantom stands, and the inputs that give it.

    ``cord`` is None for a dummy plug.
    """

    jack: Jack
    act: PlugAct
    cord: CordEnds | None
    givers: tuple[PortAddress, ...]


@dataclass(frozen=True, slots=True)
class LineChange:
    """The line at one input before and after."""

    before: LineFacts
    after: LineFacts


@dataclass(frozen=True, slots=True)
class Answer:
    """What a trial does: plugs in the order they go in, cords as given, inputs in natural order.

    ``lines`` are those at inputs whose nets the trial changes. ``phantom`` are the ports on nets
    that the trial concerns where phantom should not be, ``live`` the plugs put in or pulled where
    phantom stands, in their order. ``gone_round`` is equipment with a caution that the trial's
    patch leaves out, ``exchanges`` the inputs that newly get the other side of a stereo pair.
    """

    facility: Facility
    trial: Trial
    plugs: tuple[PlugStep, ...]
    cords: tuple[CordOutcome, ...]
    inputs: tuple[InputOutcome, ...]
    harmless: bool
    lines: tuple[LineChange, ...] = ()
    phantom: tuple[PhantomReach, ...] = ()
    live: tuple[LivePlug, ...] = ()
    gone_round: tuple[GoneRound, ...] = ()
    exchanges: tuple[Exchange, ...] = ()

    @property
    def ground_loops(self) -> tuple[ShieldLoop, ...]:
        """The loops through shields that the trial's cords close; worked out when asked for."""
        return closed_by(self.facility, self.trial)

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
                    "level_before": two_decimals(outcome.level_before),
                    "level_after": two_decimals(outcome.level_after),
                }
                for outcome in self.inputs
            ],
            "harmless": self.harmless,
            "lines": [_line_dict(self.facility, line) for line in self.lines],
            "cautions": [
                *(_reach_dict(self.facility, reach) for reach in self.phantom),
                *(_live_dict(self.facility, plug) for plug in self.live),
                *(_gone_round_dict(self.facility, box) for box in self.gone_round),
                *(_exchange_dict(self.facility, each) for each in self.exchanges),
            ],
            "ground_loops": [_shield_loop_dict(self.facility, loop) for loop in self.ground_loops],
        }


def _line_dict(facility: Facility, change: LineChange) -> dict[str, Any]:
    """The line at an input: levels in dBu, dB, pF, Hz, mA; null where there is none."""
    before, after = change.before.arrival, change.after.arrival
    treble = change.after.treble
    return {
        "input": facility.spelled(change.after.input),
        "level_before": two_decimals(before.level if before else None),
        "level_after": two_decimals(after.level if after else None),
        "loss": two_decimals(after.loss if after else None),
        "excess": two_decimals(after.excess if after else None),
        "headroom": two_decimals(after.headroom if after else None),
        "capacitance": round(treble.capacitance, 1) if treble else None,
        "corner": round(treble.corner) if treble and treble.corner else None,
        "treble_loss": two_decimals(treble.loss if treble else None),
        "tied": [
            {
                "output": facility.spelled(tied.output),
                "level": two_decimals(tied.level),
                "current": two_decimals(tied.current),
            }
            for tied in change.after.tied
        ],
        "unbalanced": [facility.spelled(port) for port in change.after.unbalanced],
    }


def _reach_dict(facility: Facility, reach: PhantomReach) -> dict[str, Any]:
    return {
        "caution": f"phantom {reach.harm}",
        "severity": reach.severity,
        "at": facility.spelled(reach.port),
        "given_by": [facility.spelled(port) for port in reach.givers],
        "new": reach.new,
    }


def _live_dict(facility: Facility, plug: LivePlug) -> dict[str, Any]:
    return {
        "caution": "phantom live",
        "severity": "caution",
        "at": str(plug.jack),
        "act": plug.act,
        "cord": cord_text(plug.cord) if plug.cord else None,
        "given_by": [facility.spelled(port) for port in plug.givers],
    }


def _gone_round_dict(facility: Facility, box: GoneRound) -> dict[str, Any]:
    return {
        "caution": f"{box.equipment}: {facility.equipment[box.equipment].caution}",
        "severity": "caution",
        "at": box.equipment,
        "inputs": [facility.spelled(port) for port in box.inputs],
    }


def _exchange_dict(facility: Facility, exchange: Exchange) -> dict[str, Any]:
    return {
        "caution": "left and right exchanged",
        "severity": "caution",
        "at": facility.spelled(exchange.input),
        "output": facility.spelled(exchange.output),
    }


def _shield_loop_dict(facility: Facility, loop: ShieldLoop) -> dict[str, Any]:
    return {
        "cord": cord_text(loop.cord),
        "severity": loop.severity,
        "bay": loop.bay,
        "way": loop.way,
        "unbalanced": [facility.spelled(port) for port in loop.unbalanced],
    }
