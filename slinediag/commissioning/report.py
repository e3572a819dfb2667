"""The results of a filled sheet in words: what is wrong, then what is not known, then edits."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace

from slinediag.commissioning.bench import Joined
from slinediag.commissioning.cause_words import explanation_text, mend_text
from slinediag.commissioning.diagnosis import Verdict
from slinediag.commissioning.next_test import NextTest
from slinediag.commissioning.plan import probe_words
from slinediag.commissioning.results import SHOWN, PointResult, Results
from slinediag.problems import Problem
from slinediag.tracing.phrases import listed

OUTCOMES: dict[Joined, str] = {"closed": "joined", "high": "a poor contact", "open": "open"}
ALL = 10**6
PROBLEMS_SHOWN = 20


def result_lines(results: Results) -> list[str]:
    """The whole report."""
    lines = [_summary(results)]
    if results.filled.by or results.filled.dates:
        by, dates = listed(results.filled.by, ALL), listed(results.filled.dates, ALL)
        lines.append(f"Measured by {by or 'nobody named'}; {dates or 'no date'}.")
    for verdict in ("fault", "unexplained"):
        for point in results.points:
            if point.diagnosis.verdict == verdict:
                lines += _point_lines(results, point)
    lines += _level_lines(results)
    lines += _unknown_lines(results)
    lines += _proposal_lines(results)
    problems = results.filled.problems
    lines += [f"Not read: {_row_words(problem)}" for problem in problems[:PROBLEMS_SHOWN]]
    if len(problems) > PROBLEMS_SHOWN:
        lines.append(f"and {len(problems) - PROBLEMS_SHOWN} rows more that were not read")
    return lines


def _row_words(found: Problem) -> str:
    """A problem by the row of its sheet."""
    return f"row {found.line}: {replace(found, line=0, column=0).text()}"


def _summary(results: Results) -> str:
    counts = Counter(point.diagnosis.verdict for point in results.points)
    order: tuple[Verdict, ...] = (
        "fault",
        "unexplained",
        "as filed",
        "as filed so far",
        "not measured",
    )
    words: dict[Verdict, str] = {
        "fault": "with faults",
        "as filed so far": "as filed as far as measured",
    }
    parts = [f"{counts[v]} {words.get(v, str(v))}" for v in order if counts[v]]
    return f"{len(results.points)} points: {', '.join(parts)}."


def _point_lines(results: Results, result: PointResult) -> Iterator[str]:
    diagnosis, point = result.diagnosis, result.diagnosis.point
    off = ", ".join(f"{code} {result.codes[code].written}" for code in diagnosis.off)
    yield f"{point.name}: {off}"
    if diagnosis.verdict == "unexplained":
        yield "  No cause and no two causes explain all readings: measure again those that are off."
    if result.exchange is not None:
        exchange = result.exchange
        yield (
            f"  likeliest: wires of {exchange.one} and {exchange.other} exchanged"
            f"{'' if exchange.sole else ', or with another jack that lacks its wire'}. To mend: "
            "find both by a tone, terminate each where it is filed, or file what is there"
        )
    shown = diagnosis.explanations[:SHOWN]
    for n, explanation in enumerate(shown, 1):
        head = "nearest" if diagnosis.verdict == "unexplained" else f"{n}"
        text = explanation_text(point, explanation)
        yield f"  {head}. {text}. To mend: {mend_text(explanation)}"
    rest = len(diagnosis.explanations) - len(shown)
    if rest:
        yield f"  and {rest} more that fit alike"
    if result.next is not None:
        yield f"  Test next: {_next_words(results, result, result.next)}"
    if diagnosis.missing:
        yield f"  Not measured: {listed(diagnosis.missing, 8)}"


def _next_words(results: Results, result: PointResult, test: NextTest) -> str:
    """Where to put the probes, and what each outcome leaves."""
    point = result.diagnosis.point
    if test.reading.code == "tone":
        jack = point.jack("A" if test.reading.one[1] == "A" else "B")
        head = f"send a tone into the line filed at {jack} and look for it at other jacks"
    else:
        one, other, plugs = probe_words(results.plan.facility, point, test.reading)
        name = f"{test.reading.code}, " if test.planned else ""
        head = f"{name}{one} to {other}, {plugs}"
    found = test.reading.code == "tone"
    parts = []
    for outcome, numbers in test.outcomes:
        word = ("found" if outcome == "closed" else "not found") if found else OUTCOMES[outcome]
        named = [str(n + 1) for n in numbers if n < SHOWN]
        more = ["others"] if len(named) < len(numbers) else []
        parts.append(f"{word} leaves {listed([*named, *more], ALL)}")
    return f"{head}: {'; '.join(parts)}"


def _level_lines(results: Results) -> Iterator[str]:
    for line in results.lines:
        row = line.row
        if line.verdict == "off":
            figure = line.figure
            is_at = f"{figure:g} {row.unit}" if figure is not None else "otherwise"
            is_at += f", should be {row.expected}"
            yield f"{row.point} {row.code}: {is_at}. {line.hint}"
        elif line.verdict == "comes and goes":
            yield f"{row.point} {row.code}: comes and goes. {line.hint}"


def _unknown_lines(results: Results) -> Iterator[str]:
    for result in results.points:
        diagnosis = result.diagnosis
        if diagnosis.verdict == "as filed so far":
            count = len(diagnosis.hidden)
            hidden = f"; {count} cause{'s' if count > 1 else ''} not ruled out" if count else ""
            missing = listed(diagnosis.missing, 8)
            yield f"{diagnosis.point.name}: as filed so far. Not measured: {missing}{hidden}"
    unread = [
        p.diagnosis.point.name for p in results.points if p.diagnosis.verdict == "not measured"
    ]
    if unread:
        yield f"Not measured at all: {listed(unread, 12)}"
    levels = sum(line.verdict == "not measured" for line in results.lines)
    if levels:
        yield f"Loops, levels and phantom not measured: {levels} of {len(results.lines)}"


def _proposal_lines(results: Results) -> Iterator[str]:
    if not results.proposals:
        return
    yield "Edits of the file that the readings speak for; none is made unless you ask by --apply N:"
    for proposal in results.proposals:
        evidence = f" ({', '.join(proposal.evidence)})" if proposal.evidence else ""
        doubt = "" if proposal.sole else "; other causes fit as well: test next first"
        yield f"  {proposal.number}. {proposal.text}: {proposal.because}{evidence}{doubt}"
