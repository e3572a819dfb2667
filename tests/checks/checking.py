"""One rule on one plant: it fires at a place, or it keeps quiet."""

from __future__ import annotations

from slinediag.checks import check
from slinediag.papers.unfit import unfit_labels


def found(rule, facility, today=None):
    """The findings of one rule."""
    return [f for f in check(facility, today, unfit_labels) if f.rule == rule]


def fires(rule, facility, severity, *where, today=None):
    """The one finding of the rule, of this severity, at these addresses and no others."""
    findings = found(rule, facility, today)
    assert len(findings) == 1, findings
    (finding,) = findings
    assert (finding.severity, finding.where) == (severity, where)
    return finding


def quiet(rule, facility, today=None):
    """The rule finds nothing."""
    assert found(rule, facility, today) == []
