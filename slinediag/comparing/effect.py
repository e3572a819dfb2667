"""What the changes between two revisions do: to what inputs hear, and to what a failure costs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from slinediag.address import PortAddress, port_order
from slinediag.comparing.renames import Renames
from slinediag.model.facility import Facility
from slinediag.progress import Tell, silent, through
from slinediag.tracing.outage.answer import Inquiry
from slinediag.tracing.outage.board import Board
from slinediag.tracing.outage.failure import Failure
from slinediag.tracing.outage.reasons import Reasons
from slinediag.tracing.outage.search import Search
from slinediag.tracing.outage.survey import every_failure
from slinediag.tracing.tracer import Tracer, tracer_of
from slinediag.tracing.values import Change, two_decimals

Hears = tuple[PortAddress, ...]
MOVES = 2
"""Cords put in or pulled at most, as in the answer to an outage unless asked."""
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


def outage_changes(
    old: Facility, new: Facility, names: Renames, tell: Tell = silent
) -> tuple[OutageChange, ...]:
    """Every failure of one box, bay or cable in both revisions whose cost differs."""
    before = {_called(failure, names): failure for failure in every_failure(old)}
    after = {_called(failure, Renames()): failure for failure in every_failure(new)}
    both = [(before[name], failure) for name, failure in after.items() if name in before]
    return _changed(old, new, names, both, tell)


def box_outage_changes(
    old: Facility, new: Facility, names: Renames, boxes: Sequence[str]
) -> tuple[OutageChange, ...]:
    """The same of these boxes alone, each failing by itself; a box that is new has no before."""
    back = {name: gone for gone, name in names.equipment.items()}
    known = [(back.get(box, box), box) for box in dict.fromkeys(boxes)]
    both = [
        (Failure(boxes=(was,)), Failure(boxes=(now,)))
        for was, now in known
        if was in old.equipment and now in new.equipment
    ]
    return _changed(old, new, names, both)


def _changed(
    old: Facility, new: Facility, names: Renames,
    failures: Sequence[tuple[Failure, Failure]], tell: Tell = silent,
) -> tuple[OutageChange, ...]:  # fmt: skip
    """What costs otherwise among failures that both revisions have, each as (old, new)."""
    boards = Board(old), Board(new)
    found: list[OutageChange] = []
    for was, now in through(failures, tell, "what failures cost, before and after"):
        before = _cost(old, was, names, boards[0])
        after = _cost(new, now, Renames(), boards[1])
        for port in sorted({*before, *after}, key=port_order):
            change = _outage_change(before.get(port), after.get(port))
            if change is not None:
                reason = after[port].reason if port in after else None
                found.append(OutageChange(_called(now, Renames()), port, change, reason))
    return tuple(found)


def _called(failure: Failure, names: Renames) -> str:
    """What fails, in the names of the new revision."""
    return " ".join(
        (
            *(names.equipment.get(box, box) for box in failure.boxes),
            *(f"bay {names.bays.get(bay, bay)}" for bay in failure.bays),
            *(f"cable {names.cable(cable)}" for cable in failure.cables),
        )
    )


def _cost(
    facility: Facility, failure: Failure, names: Renames, board: Board
) -> Mapping[PortAddress, _Silenced]:
    """What a failure silences, and whether anything brings it back."""
    inquiry = Inquiry(facility, failure, MOVES, keep=False, board=board)
    situation = inquiry.situation
    reasons = Reasons(situation, inquiry.choice, inquiry.keep)
    found = {}
    for number in situation.silenced:
        patched, cut_short = _is_patched(inquiry, number)
        reason = None if patched else reasons.of(number, MOVES, cut_short)[0]
        found[names.port(situation.inputs[number])] = _Silenced(patched, reason)
    return found


def _is_patched(inquiry: Inquiry, number: int) -> tuple[bool, bool]:
    """Whether a patch restores an input: mostly one cord does, and that is soon found.

    And where none is found, whether not all were tried.
    """
    cut_short = False
    for moves in range(1, MOVES + 1):
        search = Search(inquiry.base, inquiry.choice, inquiry.proof, number, inquiry.keep)
        if search.run(moves, 1):
            return True, False
        cut_short = search.cut_short
    return False, cut_short


def _outage_change(was: _Silenced | None, now: _Silenced | None) -> OutageWord | None:
    if was is None or now is None:
        if was is now:
            return None
        return "silent now" if was is None else "no longer silent"
    if was.patched == now.patched:
        return None
    return "gains a way round" if now.patched else "loses its way round"
