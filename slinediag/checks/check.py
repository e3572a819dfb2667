"""All findings of a facility, by every rule, with what the facility accepts marked as such."""

from __future__ import annotations

import datetime
from collections.abc import Callable

from slinediag.address import natural
from slinediag.checks.accepted import of_acceptances, with_acceptances
from slinediag.checks.finding import SEVERITIES, Finding
from slinediag.checks.rest import Rest, UnfitLabel
from slinediag.checks.table import BY_NAME, RULES
from slinediag.model.facility import Facility
from slinediag.tracing.tracer import tracer_of

BY_DAY = ("cord-date", "cord-old")
"""Rules that ask for today's date."""

BY_STRIPS = ("label-wide",)
"""Rules that ask how the strips are lettered."""


def check(
    facility: Facility,
    today: datetime.date | None = None,
    strips: Callable[[Facility], tuple[UnfitLabel, ...]] | None = None,
) -> tuple[Finding, ...]:
    """The findings of a facility at rest: the worst first, then by place in natural order.

    ``today`` is the day by which the age of cords is judged, ``strips`` says which labels do not
    fit the strips; None leaves either unjudged.
    """
    unfit = strips(facility) if strips is not None else None
    tracer = tracer_of(facility)
    with tracer.lock:
        rest = Rest(tracer, today, unfit)
        found = [finding for rule in RULES for finding in rule.findings(rest)]
    findings = with_acceptances(facility, found)
    unjudged = (BY_DAY if today is None else ()) + (BY_STRIPS if strips is None else ())
    findings += of_acceptances(facility, findings, BY_NAME, unjudged)
    return tuple(sorted(findings, key=_order))


def _order(finding: Finding) -> tuple[int, list[tuple[tuple[int, int, str], ...]], str, str]:
    places = [natural(place) for place in finding.where]
    return SEVERITIES.index(finding.severity), places, finding.rule, finding.message
