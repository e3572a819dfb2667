"""What the changes between two revisions do: to what inputs hear, and to what a failure costs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

from slinediag.address import PortAddress, port_order
from slinediag.comparing.renames import Renames
from slinediag.model.facility import Facility
from slinediag.tracing.outage.survey import Fallen, Survey, survey
from slinediag.tracing.tracer import Tracer, tracer_of
from slinediag.tracing.values import Change, two_decimals

Hears = tuple[PortAddress, ...]
LEVEL_STEP = 0.1
"""dB below which two levels are alike."""


@dataclass(frozen=True, slots=True)
class HearingChange:
    """One input before and after, in the new revision's names; levels in dBu.

    ``change`` is one of those of a trial, or ``level`` where only the level differs, or ``new``
    or ``gone`` where one revision has no such input.
    """

    input: PortAddress
    change: Change | Literal["level", "new", "gone"]
    feeds_before: Hears
    feeds_after: Hears
    hears_before: Hears
    hears_after: Hears
    level_before: float | None
    level_after: float | None

    def to_dict(self, facility: Facility) -> dict[str, Any]:
        """The change as plain values, ready for JSON; ports as the new facility spells them."""
        return {
            "input": facility.spelled(self.input),
            "change": self.change,
            **{
                name: [facility.spelled(port) for port in getattr(self, name)]
                for name in ("feeds_before", "feeds_after", "hears_before", "hears_after")
            },
            "level_before": two_decimals(self.level_before),
            "level_after": two_decimals(self.level_after),
        }


@dataclass(frozen=True, slots=True)
class _Input:
    """What one input gets at rest."""

    feeds: Hears
    hears: Hears
    level: float | None


NOTHING = _Input((), (), None)


def hearing_changes(old: Facility, new: Facility, names: Renames) -> tuple[HearingChange, ...]:
    """Every input that gets or hears something else, or has come or gone; natural order."""
    before = {names.port(port): facts for port, facts in _at_rest(tracer_of(old), names).items()}
    after = _at_rest(tracer_of(new), Renames())
    found = []
    for port in sorted({*before, *after}, key=port_order):
        one, other = before.get(port, NOTHING), after.get(port, NOTHING)
        change = _change(one, other)
        if port not in before:
            change = "new"
        elif port not in after:
            change = "gone"
        if change != "unchanged":
            found.append(
                HearingChange(
                    port,
                    change,
                    one.feeds,
                    other.feeds,
                    one.hears,
                    other.hears,
                    one.level,
                    other.level,
                )
            )
    return tuple(found)


def _at_rest(tracer: Tracer, names: Renames) -> dict[PortAddress, _Input]:
    def called(ports: Hears) -> Hears:
        return tuple(sorted((names.port(port) for port in ports), key=port_order))

    numbers = tracer.circuit.input_number
    return {
        port: _Input(called(tracer.feeds(port)), called(tracer.hears(port)), tracer.levels[number])
        for port, number in numbers.items()
    }


def _change(one: _Input, other: _Input) -> Change | Literal["level", "new", "gone"]:
    """The first that holds, as for a trial; then a level that differs."""
    if len(other.feeds) > 1 and one.feeds != other.feeds:
        return "doubled"
    if one.hears != other.hears:
        if not other.hears:
            return "lost"
        return "altered" if one.hears else "gained"
    if one.feeds != other.feeds:
        return "rerouted"
    if one.level is None or other.level is None:
        return "unchanged"
    return "level" if abs(one.level - other.level) >= LEVEL_STEP else "unchanged"


OutageWord = Literal["silent now", "no longer silent", "loses its way round", "gains a way round"]


@dataclass(frozen=True, slots=True)
class OutageChange:
    """What one failure does to one input that it did not do before, or does no longer."""

    failed: str
    input: PortAddress
    change: OutageWord
    reason: str | None

    def to_dict(self, facility: Facility) -> dict[str, Any]:
        """The change as plain values, ready for JSON."""
        return {
            "failed": self.failed,
            "input": facility.spelled(self.input),
            "change": self.change,
            "reason": self.reason,
        }


def outage_changes(old: Facility, new: Facility, names: Renames) -> tuple[OutageChange, ...]:
    """Every failure of one box, bay or cable in both revisions whose cost differs."""
    before = {
        failed: {names.port(port): fallen for port, fallen in found.items()}
        for failed, found in _rows(survey(old), names).items()
    }
    after = _rows(survey(new), Renames())
    found = []
    for failed, now in after.items():
        was = before.get(failed)
        if was is None:
            continue
        for port in sorted({*was, *now}, key=port_order):
            change = _outage_change(was.get(port), now.get(port))
            if change is not None:
                reason = now[port].reason if port in now else None
                found.append(OutageChange(failed, port, change, reason))
    return tuple(found)


def _rows(made: Survey, names: Renames) -> dict[str, Mapping[PortAddress, Fallen]]:
    """What each failure silences, by the failure's new name."""
    found: dict[str, Mapping[PortAddress, Fallen]] = {}
    for row in made.rows:
        failure = row.failure
        called = [
            *(names.equipment.get(box, box) for box in failure.boxes),
            *(f"bay {names.bays.get(bay, bay)}" for bay in failure.bays),
            *(f"cable {names.cable(cable)}" for cable in failure.cables),
        ]
        found[" ".join(called)] = {fallen.input: fallen for fallen in row.silenced}
    return found


def _outage_change(was: Fallen | None, now: Fallen | None) -> OutageWord | None:
    if was is None or now is None:
        if was is now:
            return None
        return "silent now" if was is None else "no longer silent"
    if (was.remedy is None) == (now.remedy is None):
        return None
    return "loses its way round" if now.remedy is None else "gains a way round"
