"""The results of a filled sheet: every point's diagnosis, exchanged wires, levels, proposals."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal

from slinediag.commissioning.cause_words import explanation_text, mend_text
from slinediag.commissioning.diagnosis import Diagnosis, diagnose
from slinediag.commissioning.exchanged import Exchange, find_exchanges
from slinediag.commissioning.filled import Codes, Filled
from slinediag.commissioning.next_test import NextTest, next_test
from slinediag.commissioning.plan import CommissioningPlan, PlanRow, probe_words
from slinediag.commissioning.proposals import Proposal, find_proposals
from slinediag.commissioning.values import Taken
from slinediag.model.facility import Facility

SHOWN = 6
"""How many tied causes an answer names."""
ONE_LEG = 6.02
"""dB that a level falls where one leg is open or an equal output is tied on."""


@dataclass(frozen=True, slots=True)
class LineResult:
    """A level or voltage: what it should be, what it is, None if not measured, and a hint."""

    row: PlanRow
    figure: float | None
    verdict: Literal["as planned", "off", "not measured", "comes and goes"]
    hint: str


@dataclass(frozen=True)
class PointResult:
    """One point: its readings, its diagnosis, and the next test where causes are tied."""

    diagnosis: Diagnosis
    codes: Codes
    next: NextTest | None
    exchange: Exchange | None


@dataclass(frozen=True)
class Results:
    """All that a filled sheet tells."""

    plan: CommissioningPlan
    filled: Filled
    points: tuple[PointResult, ...]
    lines: tuple[LineResult, ...]
    exchanges: tuple[Exchange, ...]
    proposals: tuple[Proposal, ...]

    def with_edits(self, numbers: Sequence[int], facility: Facility) -> Facility:
        """The facility with the proposals of these numbers made; KeyError for an unknown one."""
        known = {proposal.number: proposal for proposal in self.proposals}
        for number in numbers:
            facility = known[number].applied_to(facility)
        return facility

    def to_dict(self) -> dict[str, Any]:
        """The results as plain values, ready for JSON; points as filed and whole are counted."""
        whole = [p for p in self.points if p.diagnosis.verdict == "as filed"]
        told = [p for p in self.points if p.diagnosis.verdict not in ("as filed", "not measured")]
        unread = [p for p in self.points if p.diagnosis.verdict == "not measured"]
        return {
            "facility": self.plan.facility.name,
            "as_filed": len(whole),
            "not_measured": [p.diagnosis.point.name for p in unread],
            "points": [_point_dict(self.plan.facility, point) for point in told],
            "lines": [
                {
                    "at": line.row.point,
                    "code": line.row.code,
                    "expected": line.row.target,
                    "value": line.figure,
                    "verdict": line.verdict,
                    "hint": line.hint,
                }
                for line in self.lines
                if line.verdict in ("off", "comes and goes")
            ],
            "exchanged": [
                {"jacks": [str(e.one), str(e.other)], "sole": e.sole} for e in self.exchanges
            ],
            "proposals": [
                {
                    "number": p.number,
                    "where": p.where,
                    "edit": p.text,
                    "because": p.because,
                    "evidence": list(p.evidence),
                    "sole": p.sole,
                }
                for p in self.proposals
            ],
            "problems": [p.text() for p in self.filled.problems],
        }


def judge(plan: CommissioningPlan, filled: Filled) -> Results:
    """What the readings of a filled sheet prove."""
    diagnoses = [diagnose(point, filled.taken.get(point.name, {})) for point in plan.points]
    exchanges = find_exchanges(diagnoses)
    by_jack = {jack: e for e in reversed(exchanges) for jack in (e.one, e.other)}
    points = []
    for diagnosis in diagnoses:
        point = diagnosis.point
        jacks = (j for j in (point.a, point.b) if j is not None and not point.across)
        exchange = next((by_jack[j] for j in jacks if j in by_jack), None)
        tied = diagnosis.explanations if diagnosis.verdict == "fault" else ()
        test = next_test(point.shape, tied, diagnosis.missing) if len(tied) > 1 else None
        codes = filled.taken.get(point.name, {})
        points.append(PointResult(diagnosis, codes, test, exchange if _lost(diagnosis) else None))
    lines = tuple(_line(row, filled) for row in plan.rows if not row.of_point)
    proposals = find_proposals(diagnoses, exchanges, plan.facility)
    return Results(plan, filled, tuple(points), lines, exchanges, proposals)


def _lost(diagnosis: Diagnosis) -> bool:
    """Whether a wire that is elsewhere explains a point."""
    return diagnosis.verdict == "fault" and any(
        cause.kind == "wire elsewhere" for e in diagnosis.explanations for cause in e.causes
    )


def _line(row: PlanRow, filled: Filled) -> LineResult:
    taken = filled.taken.get(row.point, {}).get(row.code)
    if taken is not None and row.joined is not None and not taken.missing:
        return _loop_line(row, taken)
    if taken is not None and taken.unsteady:
        hint = "move plug and connector while you watch: a contact on the way is dirty or loose"
        return LineResult(row, None, "comes and goes", hint)
    if taken is None or taken.figure is None or row.target is None:
        return LineResult(row, None, "not measured", "")
    apart = taken.figure - row.target
    if abs(apart) <= row.limit + 1e-9:
        return LineResult(row, taken.figure, "as planned", "")
    return LineResult(row, taken.figure, "off", _hint(row, taken.figure, apart))


def _loop_line(row: PlanRow, taken: Taken) -> LineResult:
    """The sleeves at the ends of a standing cord, without it."""
    if taken.unsteady:
        hint = "a sleeve, strap or shield on the way round is loose"
        return LineResult(row, None, "comes and goes", hint)
    if ("closed" if row.joined else "open") in taken.may_be:
        return LineResult(row, None, "as planned", "")
    if row.joined:
        hint = "no loop where one was worked out: a shield or bond that is filed as joined is not"
    else:
        hint = (
            "a loop that was not worked out: a shield is joined against plan, or a sleeve touches"
        )
    return LineResult(row, None, "off", hint)


def _hint(row: PlanRow, figure: float, apart: float) -> str:
    """What a level or voltage that is off most often comes from; common practice."""
    if row.unit == "V":
        if figure < row.limit:
            return "no phantom on this leg: leg open, shorted to the shield, or the supply off"
        return "phantom too low or too high: load on the line, or the supply; do not plug in"
    if abs(apart + ONE_LEG) <= 1:
        return "6 dB low: one leg open on the way, or a second output tied on"
    if apart < -20:
        return "next to nothing: the line is open, shorted, or the source is off"
    if apart < 0:
        return "low: a load too many on the line, a poor contact, or the source's own level"
    return "high: the source's level, or a load that is missing"


def _next_dict(facility: Facility, result: PointResult, test: NextTest) -> dict[str, Any]:
    """The next test: where the probes go, and which causes, by number from 1, an outcome leaves.

    A tone is sent into the line at one probe and looked for at other jacks: closed is found.
    """
    one, other, plugs = probe_words(facility, result.diagnosis.point, test.reading)
    return {
        "code": test.reading.code,
        "plugs": plugs,
        "from": one,
        "to": other,
        "leaves": {outcome: [n + 1 for n in numbers] for outcome, numbers in test.outcomes},
    }


def _point_dict(facility: Facility, result: PointResult) -> dict[str, Any]:
    diagnosis, point = result.diagnosis, result.diagnosis.point
    return {
        "point": point.name,
        "verdict": diagnosis.verdict,
        "off": [{"code": code, "value": result.codes[code].written} for code in diagnosis.off],
        "missing": list(diagnosis.missing),
        "exchanged": [str(result.exchange.one), str(result.exchange.other)]
        if result.exchange
        else None,
        "causes": [
            {
                "causes": [
                    {
                        "kind": cause.kind,
                        "jack": str(point.jack(cause.place)) if cause.place else None,
                        "legs": cause.legs or None,
                        "normal": cause.normal,
                    }
                    for cause in explanation.causes
                ],
                "text": explanation_text(point, explanation),
                "mend": mend_text(explanation),
            }
            for explanation in diagnosis.explanations[:SHOWN]
        ],
        "next": _next_dict(facility, result, result.next) if result.next else None,
        "tied": len(diagnosis.explanations) if diagnosis.verdict == "fault" else 0,
        "not_ruled_out": len(diagnosis.hidden),
    }
