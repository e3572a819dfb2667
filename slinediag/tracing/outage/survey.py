"""Every single box, bay and cable failing in turn: where the plant is weak."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from slinediag.address import PortAddress, natural
from slinediag.model.facility import Facility
from slinediag.progress import Tell, silent, through
from slinediag.tracing.outage.answer import Inquiry, refuse_moves
from slinediag.tracing.outage.failure import Failure, cables
from slinediag.tracing.outage.patches import PatchWriter
from slinediag.tracing.outage.pause import collector_paused
from slinediag.tracing.outage.rank import Candidate
from slinediag.tracing.outage.reasons import Reasons
from slinediag.tracing.outage.situation import Situation
from slinediag.tracing.outage.values import Manner, WeakenedInput
from slinediag.tracing.values import CordEnds, cord_text

SURVEYING = "what each failure silences"


@dataclass(frozen=True, slots=True)
class Remedy:
    """The best patch of an input: its cords and pulls, and what it is worth.

    ``manner``: whether the input then hears all that it heard, a part, or something else.
    """

    cords: tuple[CordEnds, ...]
    pulls: tuple[CordEnds, ...]
    fits: bool
    full: bool
    harmed: tuple[PortAddress, ...]
    manner: Manner


@dataclass(frozen=True, slots=True)
class Fallen:
    """An input that one failure silences: its best patch, or why there is none and the cure.

    ``missed`` unless what it passed on led into failed equipment alone.
    """

    input: PortAddress
    priority: int | None
    remedy: Remedy | None
    reason: str | None
    cure: str | None
    missed: bool = True


@dataclass(frozen=True, slots=True)
class SurveyRow:
    """What one failure silences and weakens; ``changed`` inputs hear what they did not before."""

    failure: Failure
    silenced: tuple[Fallen, ...]
    weakened: tuple[PortAddress, ...]
    changed: tuple[WeakenedInput, ...] = ()

    @property
    def without_patch(self) -> tuple[Fallen, ...]:
        """The inputs it silences that have no patch and are missed."""
        return tuple(fallen for fallen in self.missed if fallen.remedy is None)

    @property
    def missed(self) -> tuple[Fallen, ...]:
        """The inputs it silences but for those that led into failed equipment alone."""
        return tuple(fallen for fallen in self.silenced if fallen.missed)


@dataclass(frozen=True, slots=True)
class WeakPoint:
    """An input that some failures silence without a patch, why, and what would cure it."""

    input: PortAddress
    priority: int | None
    failed: tuple[str, ...]
    reason: str
    cure: str


@dataclass(frozen=True, slots=True)
class Survey:
    """One row for every single box, bay and cable, in natural order of each."""

    facility: Facility
    moves: int
    rows: tuple[SurveyRow, ...]

    @property
    def weak_points(self) -> tuple[WeakPoint, ...]:
        """Inputs silenced without a patch, those of a priority first; one for each reason."""
        found: dict[tuple[PortAddress, str, str], tuple[int | None, list[str]]] = {}
        for row in self.rows:
            for fallen in row.without_patch:
                key = fallen.input, fallen.reason or "", fallen.cure or ""
                failed = found.setdefault(key, (fallen.priority, []))[1]
                failed += row.failure.named
        points = [
            WeakPoint(port, priority, tuple(failed), reason, cure)
            for (port, reason, cure), (priority, failed) in found.items()
        ]
        return tuple(sorted(points, key=_weakest_first))

    def to_dict(self) -> dict[str, Any]:
        """The survey as plain values, ready for JSON."""
        spelled = self.facility.spelled
        return {
            "facility": self.facility.name,
            "moves": self.moves,
            "weak_points": [
                {
                    "input": spelled(point.input),
                    "priority": point.priority,
                    "failed": list(point.failed),
                    "reason": point.reason,
                    "cure": point.cure,
                }
                for point in self.weak_points
            ],
            "failures": [
                {
                    "failed": list(row.failure.named),
                    "silenced": [_fallen_dict(self.facility, f) for f in row.silenced],
                    "weakened": [spelled(port) for port in row.weakened],
                }
                for row in self.rows
            ],
        }


def _weakest_first(point: WeakPoint) -> tuple[object, ...]:
    priority = point.priority
    return (
        priority is None,
        priority or 0,
        natural(point.input.equipment),
        natural(point.input.port),
        point.reason,
        point.cure,
    )


def _fallen_dict(facility: Facility, fallen: Fallen) -> dict[str, Any]:
    remedy = fallen.remedy
    return {
        "input": facility.spelled(fallen.input),
        "priority": fallen.priority,
        "cords": None if remedy is None else [cord_text(cord) for cord in remedy.cords],
        "pulls": None if remedy is None else [cord_text(cord) for cord in remedy.pulls],
        "fits": None if remedy is None else remedy.fits,
        "full": None if remedy is None else remedy.full,
        "harmed": None if remedy is None else [facility.spelled(p) for p in remedy.harmed],
        "reason": fallen.reason,
        "cure": fallen.cure,
    }


def survey(
    facility: Facility,
    *,
    moves: int = 2,
    keep_cords: bool = False,
    failures: Iterable[Failure] | None = None,
    tell: Tell = silent,
) -> Survey:
    """What every single box, bay and cable silences, and whether patches restore it.

    ``failures`` are those to go through in place of all. RequestError where moves is not 1 to 4.
    """
    refuse_moves(moves)
    tell(0.0, SURVEYING)
    mended = Situation(facility, facility)
    wanted = list(every_failure(facility) if failures is None else failures)
    rows = tuple(
        _row(Inquiry(facility, failure, moves, keep_cords, mended=mended), mended)
        for failure in through(wanted, tell, SURVEYING)
    )
    return Survey(facility, moves, rows)


def every_failure(facility: Facility) -> Iterator[Failure]:
    """Each box, then each bay, then each cable, in natural order."""
    boxes = (box.id for box in facility.equipment.values() if not box.removed)
    yield from (Failure(boxes=(box,)) for box in sorted(boxes, key=natural))
    yield from (Failure(bays=(bay,)) for bay in sorted(facility.bays, key=natural))
    yield from (Failure(cables=(cable,)) for cable in cables(facility))


@collector_paused()
def _row(inquiry: Inquiry, mended: Situation) -> SurveyRow:
    situation = inquiry.situation
    writer = PatchWriter(situation, mended)
    reasons = Reasons(situation, inquiry.choice, inquiry.keep)
    fallen = []
    for number, found in inquiry.candidates().items():
        cut_short = number in inquiry.cut_short
        reason, cure = (None, None) if found else reasons.of(number, inquiry.moves, cut_short)
        remedy = _remedy(found[0], number, writer, situation) if found else None
        entry, priority = situation.inputs[number], situation.facts[number].priority
        missed = number not in inquiry.nowhere
        fallen.append(Fallen(entry, priority, remedy, reason, cure, missed))
    weakened = tuple(situation.inputs[number] for number in situation.weakened)
    changed = (inquiry.weakened(n) for n in (*situation.weakened, *situation.gaining))
    return SurveyRow(
        inquiry.failure, tuple(fallen), weakened, tuple(each for each in changed if each.gained)
    )


def _remedy(candidate: Candidate, number: int, writer: PatchWriter, situation: Situation) -> Remedy:
    effect = situation.effect(candidate.moves)
    harmed = effect.harmed & ~(1 << number)
    return Remedy(
        writer.turned(candidate.cords, candidate.pulls),
        candidate.pulls,
        not candidate.grade.misfit,
        not candidate.grade.part,
        writer.named(harmed),
        writer.heard(effect, number).manner,
    )
