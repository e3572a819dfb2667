"""What the changes between two revisions do: to what inputs hear, and to what a failure costs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from slinediag.address import PortAddress, port_order
from slinediag.comparing.renames import Renames
from slinediag.model.facility import Facility
from slinediag.tracing.outage.answer import outage
from slinediag.tracing.outage.failure import Failure
from slinediag.tracing.outage.survey import survey
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


@dataclass(frozen=True, slots=True)
class _Silenced:
    """Whether a patch restores a silenced input, and why not where none does."""

    patched: bool
    reason: str | None


Cost = Mapping[str, Mapping[PortAddress, _Silenced]]
"""What failures silence, by the failure's name in the new revision."""


def outage_changes(old: Facility, new: Facility, names: Renames) -> tuple[OutageChange, ...]:
    """Every failure of one box, bay or cable in both revisions whose cost differs."""
    return _changed_cost(_every_cost(old, names), _every_cost(new, Renames()))


def box_outage_changes(
    old: Facility, new: Facility, names: Renames, boxes: Sequence[str]
) -> tuple[OutageChange, ...]:
    """The same of these boxes alone, each failing by itself; a box that is new has no before."""
    back = {name: gone for gone, name in names.equipment.items()}
    known = [(back.get(box, box), box) for box in dict.fromkeys(boxes)]
    both = [(was, now) for was, now in known if was in old.equipment and now in new.equipment]
    before = {now: _cost_of(old, was, names) for was, now in both}
    return _changed_cost(before, {now: _cost_of(new, now, Renames()) for _, now in both})


def _changed_cost(before: Cost, after: Cost) -> tuple[OutageChange, ...]:
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


def _cost_of(facility: Facility, box: str, names: Renames) -> Mapping[PortAddress, _Silenced]:
    answer = outage(facility, Failure(boxes=(box,)))
    return {
        names.port(each.input): _Silenced(bool(each.patches), each.reason)
        for each in answer.silenced
    }


def _every_cost(facility: Facility, names: Renames) -> Cost:
    found: dict[str, Mapping[PortAddress, _Silenced]] = {}
    for row in survey(facility).rows:
        failure = row.failure
        called = [
            *(names.equipment.get(box, box) for box in failure.boxes),
            *(f"bay {names.bays.get(bay, bay)}" for bay in failure.bays),
            *(f"cable {names.cable(cable)}" for cable in failure.cables),
        ]
        found[" ".join(called)] = {
            names.port(each.input): _Silenced(each.remedy is not None, each.reason)
            for each in row.silenced
        }
    return found


def _outage_change(was: _Silenced | None, now: _Silenced | None) -> OutageWord | None:
    if was is None or now is None:
        if was is now:
            return None
        return "silent now" if was is None else "no longer silent"
    if was.patched == now.patched:
        return None
    return "gains a way round" if now.patched else "loses its way round"
