"""A survey as a table, its weak points first."""

from __future__ import annotations

from collections.abc import Sequence

from slinediag.address import natural
from slinediag.model.facility import Facility
from slinediag.tracing.outage.survey import Survey, SurveyRow, WeakPoint
from slinediag.tracing.outage.words import else_lines, reason_words
from slinediag.tracing.phrases import listed, port_names
from slinediag.tracing.words import on_bypass

GROUPED = 12
"""How many inputs a sentence names before it counts the rest."""

HEAD = ("FAILS", "SILENT", "PATCHED", "WITHOUT A PATCH")


def survey_lines(survey: Survey) -> list[str]:
    """Weak points, then one line for every failure."""
    groups: dict[tuple[int | None, tuple[str, ...], str, str], list[WeakPoint]] = {}
    points = survey.weak_points
    ranked = [point for point in points if point.priority is not None]
    for point in ranked or points:
        key = point.priority, point.failed, point.reason, point.cure
        groups.setdefault(key, []).append(point)
    lines = ["No weak point: a patch restores all that falls silent."]
    if groups:
        lines = ["WEAK POINTS, silent without a patch:"]
    lines += [f"  {weak_point_sentence(survey.facility, points)}" for points in groups.values()]
    if ranked and len(ranked) < len(points):
        lines.append("  Inputs without a priority that have no patch are in the table.")
    rows = sorted(survey.rows, key=lambda row: _place(survey.facility, row))
    silent = [_cells(survey.facility, row) for row in rows if row.silenced]
    harmless = [_named(survey.facility, row.failure.named) for row in rows if not row.silenced]
    table = _table([HEAD, *silent]) if silent else []
    quiet = [f"Nothing falls silent when one of these fails: {', '.join(harmless)}."]
    changed = [
        f"When {_named(survey.facility, row.failure.named)} fails: {line}"
        for row in rows
        for line in (
            *on_bypass(survey.facility, row.failure.boxes),
            *else_lines(survey.facility, row.changed),
        )
    ]
    return [*lines, "", *table, *(quiet if harmless else []), *changed]


def weak_point_sentence(facility: Facility, points: Sequence[WeakPoint]) -> str:
    """Inputs without a patch in the same failures: why, and what would cure it."""
    first = points[0]
    names = listed(port_names(facility, [point.input for point in points]), GROUPED)
    rank = f" (priority {first.priority})" if first.priority is not None else ""
    failed, reason = _failed(facility, first), reason_words(first.reason)
    return f"{names}{rank}, when {failed} fails: {reason}. {first.cure}"


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


def _cells(facility: Facility, row: SurveyRow) -> tuple[str, str, str, str]:
    without = row.without_patch
    return (
        _named(facility, row.failure.named),
        str(len(row.silenced)),
        str(len(row.silenced) - len(without)),
        listed(port_names(facility, [fallen.input for fallen in without])) or "–",
    )


def _table(rows: list[tuple[str, str, str, str]]) -> list[str]:
    widths = [max(len(row[n]) for row in rows) for n in range(3)]
    return [
        "  ".join([*(cell.ljust(width) for cell, width in zip(row, widths, strict=False)), row[3]])
        for row in rows
    ]
