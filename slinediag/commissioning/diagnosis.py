"""What the readings of a measuring point prove: which causes explain them, the likeliest first.

Each hypothesis is put on the bench of contacts and read there; it stands if every reading that
was taken is as it would be. One cause is preferred to two.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from slinediag.commissioning.faults import (
    COMES_AND_GOES,
    Explanation,
    pairs_of_causes,
    single_causes,
)
from slinediag.commissioning.filled import Codes
from slinediag.commissioning.points import MeasuringPoint
from slinediag.commissioning.readings import expected, readings_of
from slinediag.commissioning.values import ANYTHING, Taken

Verdict = Literal["as filed", "as filed so far", "fault", "unexplained", "not measured"]
NEAREST = 3
"""How many causes are named where none explains all."""
NOT_TAKEN = Taken("")


@dataclass(frozen=True, slots=True)
class Diagnosis:
    """A point's verdict and what explains its readings.

    ``explanations`` are those that fit alike well, the likeliest first; of an unexplained point
    those that fit best. ``off`` are the codes that read otherwise than planned, ``missing`` those
    not taken, ``hidden`` the single causes that the readings taken do not rule out.
    """

    point: MeasuringPoint
    verdict: Verdict
    explanations: tuple[Explanation, ...]
    off: tuple[str, ...]
    missing: tuple[str, ...]
    hidden: tuple[Explanation, ...] = ()


def diagnose(point: MeasuringPoint, codes: Codes) -> Diagnosis:
    """The diagnosis of one point from its readings by code."""
    readings = readings_of(point.shape)
    taken = [codes.get(reading.code, NOT_TAKEN) for reading in readings]
    missing = tuple(r.code for r, t in zip(readings, taken, strict=True) if t.missing)
    planned = expected(point.shape)
    off = tuple(
        r.code
        for r, t, e in zip(readings, taken, planned, strict=True)
        if t.unsteady or e not in t.may_be
    )
    if len(missing) == len(readings):
        return Diagnosis(point, "not measured", (), (), missing)
    singles = [e for e in single_causes(point.shape) if explains(point, e, taken)]
    if not off:
        hidden = tuple(e for e in singles if e.causes)
        verdict: Verdict = "as filed so far" if missing else "as filed"
        return Diagnosis(point, verdict, (), (), missing, hidden)
    found = singles or [e for e in pairs_of_causes(point.shape) if explains(point, e, taken)]
    if found:
        return Diagnosis(point, "fault", tuple(found), off, missing)
    return Diagnosis(point, "unexplained", _nearest(point, taken), off, missing)


def explains(point: MeasuringPoint, explanation: Explanation, taken: Sequence[Taken]) -> bool:
    """Whether every reading is as the explanation has it.

    What comes and goes must be a cause that does, and show in each reading that comes and goes.
    """
    unsteady = False
    for reads, planned, reading in zip(
        explanation.reads, expected(point.shape), taken, strict=True
    ):
        if reading.unsteady:
            unsteady = True
            if reads == planned:
                return False
        elif reads not in reading.may_be:
            return False
    return not unsteady or any(cause.kind in COMES_AND_GOES for cause in explanation.causes)


def _nearest(point: MeasuringPoint, taken: Sequence[Taken]) -> tuple[Explanation, ...]:
    """The single causes that contradict the fewest readings."""

    def wrong(explanation: Explanation) -> int:
        return sum(
            reads not in reading.may_be
            for reads, reading in zip(explanation.reads, taken, strict=True)
            if reading.may_be != ANYTHING
        )

    ranked = sorted(single_causes(point.shape)[1:], key=lambda e: (wrong(e), e.weight))
    return tuple(ranked[:NEAREST])
