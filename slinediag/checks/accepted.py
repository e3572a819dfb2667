"""What the facility accepts: which findings its entries cover, and which entries cover none."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Sequence
from dataclasses import replace

from slinediag.checks.finding import Finding
from slinediag.checks.meant import meant_by
from slinediag.model.equipment import Equipment
from slinediag.model.facility import Acceptance, Facility
from slinediag.model.find import find_thing
from slinediag.problems import Problem

UNKNOWN = "accept-unknown"
IDLE = "accept-idle"

SUMMARIES = {
    UNKNOWN: "an entry of accept that names no rule",
    IDLE: "an entry of accept that no finding needs, or that may not be",
}
EXPLANATIONS = {
    UNKNOWN: "An entry of accept takes a finding as it stands: rule, where, reason, by, date. "
    "Where its rule is misspelt it accepts nothing.",
    IDLE: "An entry of accept that no finding needs any more may hide one to come. An entry with "
    "where covers the findings that name all its places (addresses, parted by commas). One "
    "without where covers every note and warning of its rule, but no error and no danger: these "
    "are accepted place by place.",
}
CURES = {
    UNKNOWN: "Correct the rule's name.",
    IDLE: "Delete the entry, or correct its place.",
}
BASIS = "the facility's own accept list"
SHOWN = 4
"""Places that are named at most."""
PARTED = re.compile(r"\s*[,=]\s*")


def with_acceptances(facility: Facility, findings: Sequence[Finding]) -> list[Finding]:
    """The findings, each with the first entry of the facility that accepts it."""
    entries = [(entry, places_of(facility, entry)) for entry in facility.practice.accept]
    return [
        replace(finding, accepted=next((e for e, at in entries if covers(e, at, finding)), None))
        for finding in findings
    ]


def covers(entry: Acceptance, places: tuple[str, ...], finding: Finding) -> bool:
    """Whether an entry with these places accepts a finding."""
    if entry.rule != finding.rule:
        return False
    if not places:
        return finding.severity in ("warning", "note")
    return set(places) <= set(finding.where)


def places_of(facility: Facility, entry: Acceptance) -> tuple[str, ...]:
    """The places of an entry as findings spell them; none where it names none."""
    text = (entry.where or "").strip()
    if not text:
        return ()
    whole = _place(facility, text)
    if whole is not None:
        return (whole,)
    return tuple(_place(facility, part) or part for part in PARTED.split(text))


def _place(facility: Facility, text: str) -> str | None:
    if text in facility.bays or text in facility.equipment:
        return text
    thing = find_thing(facility, text)
    if isinstance(thing, Problem):
        return None
    return thing.id if isinstance(thing, Equipment) else facility.spelled(thing)


def of_acceptances(
    facility: Facility,
    findings: Sequence[Finding],
    rules: Collection[str],
    unjudged: Collection[str],
) -> Iterator[Finding]:
    """Findings on the entries themselves: rules unknown, and entries that cover nothing.

    ``unjudged`` are rules that could not be judged, of which nothing can be said.
    """
    for entry in facility.practice.accept:
        where = places_of(facility, entry)
        if entry.rule not in rules:
            close = meant_by(entry.rule, rules)
            hint = f"Did you mean {' or '.join(close)}?" if close else CURES[UNKNOWN]
            message = f"accept names the rule {entry.rule}, which does not exist."
            yield Finding(UNKNOWN, "warning", where, message, BASIS, hint)
        elif entry.rule not in unjudged and all(f.accepted is not entry for f in findings):
            why, cure = _why_idle(facility, entry, findings), _cure_idle(entry, findings)
            yield Finding(IDLE, "note", where, why, BASIS, cure)


def _cure_idle(entry: Acceptance, findings: Sequence[Finding]) -> str:
    """What to do, with the places that findings of its rule have."""
    there = [f.where[0] for f in findings if f.rule == entry.rule and f.where and not f.accepted]
    if not there:
        return CURES[IDLE]
    some = ", ".join(there[:SHOWN]) + (", …" if len(there) > SHOWN else "")
    return f"{CURES[IDLE].rstrip('.')}: {entry.rule} is found at {some}."


def _why_idle(facility: Facility, entry: Acceptance, findings: Sequence[Finding]) -> str:
    at = f" at {entry.where}" if entry.where else ""
    if any(f.accepted and covers(entry, places_of(facility, entry), f) for f in findings):
        return f"accept has a second entry for {entry.rule}{at}."
    if not at and any(f.rule == entry.rule for f in findings):
        return f"accept of {entry.rule} names no place; an error or danger needs its place named."
    return f"accept of {entry.rule}{at} is not needed: the check finds no such thing there."
