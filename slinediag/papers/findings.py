"""The findings of a facility and its revisions, as pages."""

from __future__ import annotations

from slinediag.checks.check import check
from slinediag.drawing.marks import Drawing
from slinediag.model.facility import Facility
from slinediag.papers.page import Paper, Section, cautions, pages, prose
from slinediag.papers.table import Table, table_section
from slinediag.papers.unfit import unfit_labels

FINDINGS = Paper("Findings", "Findings")
REVISIONS = Paper("Revisions", "Revisions")
CAUTIONS = (
    "A finding says what the file says, not what is behind the panel: look before you change. "
    "Nothing here asks for a protective earth to be lifted; it never is.",
)


def findings_table(facility: Facility) -> Table:
    """A row a finding, worst first; the age of cords judged by the date of issue."""
    rows = tuple(
        (
            finding.severity,
            ", ".join(finding.where) or None,
            finding.message,
            finding.cure,
            finding.basis,
            (finding.accepted.reason or "yes") if finding.accepted else None,
            finding.rule,
        )
        for finding in check(facility, facility.practice.date, unfit_labels)
    )
    columns = ("Severity", "Where", "What", "Cure", "Basis", "Accepted because", "Rule")
    return Table("findings", "Findings", columns, rows)


def findings_pages(facility: Facility) -> tuple[Drawing, ...]:
    """The findings, and what to take care of."""
    table = findings_table(facility)
    found = table_section(table) if table.rows else Section("Findings", (prose("None."),))
    return pages(facility, FINDINGS, [found, cautions(CAUTIONS)])


def revision_pages(facility: Facility) -> tuple[Drawing, ...]:
    """The revisions as filed, the newest first; no page where there are none."""
    filed = facility.practice.revisions
    if not filed:
        return ()
    rows = tuple(
        (r.revision, r.date.isoformat() if r.date else None, r.by, r.what) for r in reversed(filed)
    )
    table = Table("revisions", "Revisions", ("Revision", "Date", "By", "What"), rows)
    return pages(facility, REVISIONS, [table_section(table)])
