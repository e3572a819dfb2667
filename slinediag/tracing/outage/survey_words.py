"""A survey as a table, its weak points first."""

from __future__ import annotations

from slinediag.model.facility import Facility
from slinediag.tracing.outage.survey import Survey, SurveyRow, WeakPoint
from slinediag.tracing.phrases import listed, port_name, port_names

HEAD = ("FAILS", "SILENT", "PATCHED", "WITHOUT A PATCH")


def survey_lines(survey: Survey) -> list[str]:
    """Weak points, then one line for every failure."""
    points = survey.weak_points
    lines = (
        ["WEAK POINTS:"] if points else ["No weak point: a patch restores all that falls silent."]
    )
    lines += [f"  {weak_point_sentence(survey.facility, point)}" for point in points]
    return [*lines, "", *_table([HEAD, *(_cells(survey.facility, row) for row in survey.rows)])]


def weak_point_sentence(facility: Facility, point: WeakPoint) -> str:
    """An input without a patch: in which failures, why, and what would cure it."""
    name = port_name(facility, point.input)
    rank = f" (priority {point.priority})" if point.priority is not None else ""
    return f"{name}{rank}, when {_failed(point)} fails: {point.reason}. {point.cure}"


def _failed(point: WeakPoint) -> str:
    names = listed(point.failed)
    return f"any of {names}" if len(point.failed) > 1 else names


def _cells(facility: Facility, row: SurveyRow) -> tuple[str, str, str, str]:
    without = row.without_patch
    return (
        ", ".join(row.failure.named),
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
