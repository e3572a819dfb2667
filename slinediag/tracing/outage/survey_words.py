"""A survey as a table, its weak points first."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from slinediag.address import PortAddress, natural
from slinediag.model.facility import Facility
from slinediag.tracing.outage.no_patch_words import one_cure, reason_words
from slinediag.tracing.outage.reasons import tied_at
from slinediag.tracing.outage.survey import Survey, SurveyRow, WeakPoint
from slinediag.tracing.outage.words import else_lines
from slinediag.tracing.phrases import listed, port_names
from slinediag.tracing.words import on_bypass

GROUPED = 12
"""How many inputs a sentence names before it counts the rest."""

HEAD = ("FAILS", "SILENT", "BACK", "IN PART", "WITHOUT A PATCH")
HOW_TO_READ = (
    "Of the inputs that fall SILENT, each patched by itself, so many are BACK as they were, or IN "
    "PART: with less, something else, or a level to be set. Two may want one jack: slinediag "
    "outage FILE --failed NAME tells what can be done together."
)

NOTHING_MISSED = (
    "Nothing to plug when one of these fails, since what falls silent leads only to what has failed"
)


def survey_lines(survey: Survey) -> list[str]:
    """Weak points, then one line for every failure."""
    facility = survey.facility
    rows = sorted(survey.rows, key=lambda row: _place(facility, row))
    silent = [_cells(facility, row) for row in rows if row.missed]
    table = ["", HOW_TO_READ, *_table([HEAD, *silent])] if silent else [""]
    changed = [
        f"When {_named(facility, row.failure.named)} fails: {line}"
        for row in rows
        for line in (
            *on_bypass(facility, row.failure.boxes),
            *else_lines(facility, row.changed),
        )
    ]
    return [*_weak_points(survey), *table, *_harmless(facility, rows), *changed]


def _harmless(facility: Facility, rows: Sequence[SurveyRow]) -> Iterator[str]:
    """The failures that silence only what leads to them alone, and those that silence nothing."""
    for words, those in (
        (NOTHING_MISSED, [row for row in rows if row.silenced and not row.missed]),
        ("Nothing falls silent when one of these fails", [r for r in rows if not r.silenced]),
    ):
        if those:
            yield f"{words}: {', '.join(_named(facility, row.failure.named) for row in those)}."


def _weak_points(survey: Survey) -> list[str]:
    """What has no patch, inputs of a priority first; those of one failure and reason in a line."""
    groups: dict[tuple[tuple[str, ...], str, str], list[WeakPoint]] = {}
    points = survey.weak_points
    ranked = [point for point in points if point.priority is not None]
    for point in ranked or points:
        cure = "" if tied_at(point.cure) else point.cure
        groups.setdefault((point.failed, point.reason, cure), []).append(point)
    if not groups:
        return ["No weak point: a patch restores all that falls silent."]
    lines = [f"  {weak_point_sentence(survey.facility, points)}" for points in groups.values()]
    if ranked and len(ranked) < len(points):
        lines.append("  Inputs without a priority that have no patch are in the table.")
    return ["WEAK POINTS, silent without a patch:", *lines]


def weak_point_sentence(facility: Facility, points: Sequence[WeakPoint]) -> str:
    """Inputs without a patch in the same failures: why, and what would cure it."""
    first = points[0]
    ranks: dict[int | None, list[PortAddress]] = {}
    for point in points:
        ranks.setdefault(point.priority, []).append(point.input)
    inputs = ", ".join(_of_rank(facility, *rank) for rank in ranks.items())
    failed, reason = _failed(facility, first), reason_words(first.reason, first.cure)
    cure = one_cure(point.cure for point in points)
    return f"{inputs}, when {failed} fails: {reason}. {cure}"


def _of_rank(facility: Facility, priority: int | None, inputs: Sequence[PortAddress]) -> str:
    names = listed(port_names(facility, inputs), GROUPED)
    return names if priority is None else f"{names} (priority {priority})"


def _failed(facility: Facility, point: WeakPoint) -> str:
    *others, last = (_named(facility, (name,)) for name in point.failed)
    return f"{', '.join(others)} or {last}" if others else last


def _named(facility: Facility, failed: Sequence[str]) -> str:
    """What fails, as people call it: a box by its label."""
    boxes = facility.equipment
    return ", ".join(boxes[name].printed if name in boxes else name for name in failed)


def _place(facility: Facility, row: SurveyRow) -> tuple[object, ...]:
    """Where a failure stands in the table: boxes, bays, cables, each by their printed names."""
    return (
        not row.failure.boxes,
        not row.failure.bays,
        natural(_named(facility, row.failure.named)),
    )


def _cells(facility: Facility, row: SurveyRow) -> tuple[str, ...]:
    without = row.without_patch
    remedies = [fallen.remedy for fallen in row.missed if fallen.remedy is not None]
    back = sum(remedy.fits and remedy.manner == "all" for remedy in remedies)
    return (
        _named(facility, row.failure.named),
        str(len(row.missed)),
        str(back),
        str(len(remedies) - back),
        listed(port_names(facility, [fallen.input for fallen in without])) or "–",
    )


def _table(rows: Sequence[tuple[str, ...]]) -> list[str]:
    widths = [max(len(row[n]) for row in rows) for n in range(len(HEAD) - 1)]
    return [
        "  ".join([*(cell.ljust(width) for cell, width in zip(row, widths, strict=False)), row[-1]])
        for row in rows
    ]
