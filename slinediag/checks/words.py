"""Findings in plain words, as a colleague tells them on a walk through the plant."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence

from slinediag.address import natural, read_spelling
from slinediag.checks.finding import SEVERITIES, Finding, Severity
from slinediag.checks.rule import Rule
from slinediag.model.facility import Facility

WIDTH = 100
PLURALS: dict[Severity, str] = {
    "danger": "dangers",
    "error": "errors",
    "warning": "warnings",
    "note": "notes",
}
ELSEWHERE = "Elsewhere"


def finding_lines(facility: Facility, findings: Sequence[Finding]) -> list[str]:
    """The findings as text: counts, dangers, then place by place, then what is accepted."""
    open_ones = [f for f in findings if f.accepted is None]
    accepted = [f for f in findings if f.accepted is not None]
    lines = [_counts(facility, open_ones, len(accepted))]
    dangers = [f for f in open_ones if f.severity == "danger"]
    if dangers:
        lines += ["", "DANGER. See to this first:", *_section(dangers)]
    others = [f for f in open_ones if f.severity != "danger"]
    for place, found in _by_place(facility, others):
        lines += ["", f"{place}:", *_section(found)]
    if accepted:
        lines += ["", "Accepted by the facility:", *_accepted(accepted)]
    if findings:
        lines += ["", "Why a rule asks: slinediag check --explain RULE"]
    return lines


def rule_lines(rule: Rule) -> list[str]:
    """A rule explained."""
    return [
        f"{rule.name}: {rule.summary}",
        "",
        *_wrapped(rule.explanation),
        "",
        *_wrapped(f"What to do: {rule.cure}"),
        *_wrapped(f"Basis: {rule.basis}."),
    ]


def rule_list(rules: Iterable[Rule]) -> list[str]:
    """All rules, one a line."""
    listed = list(rules)
    longest = max(len(rule.name) for rule in listed)
    return [f"{rule.name.ljust(longest)}  {rule.summary}" for rule in listed]


def _counts(facility: Facility, findings: Sequence[Finding], accepted: int) -> str:
    counts = [
        f"{count} {severity if count == 1 else PLURALS[severity]}"
        for severity in SEVERITIES
        if (count := sum(f.severity == severity for f in findings))
    ]
    said = ", ".join(counts) if counts else "nothing to report"
    aside = f"; {accepted} accepted" if accepted else ""
    return f"{facility.name}: {said}{aside}."


def _by_place(facility: Facility, findings: Sequence[Finding]) -> list[tuple[str, list[Finding]]]:
    """Findings by the bay or box of their chief address: the gravest place first."""
    groups: dict[str, list[Finding]] = {}
    for finding in findings:
        groups.setdefault(_owner(facility, finding), []).append(finding)
    ranked = sorted(groups.items(), key=lambda item: (_gravity(item[1]), natural(item[0])))
    return [(_place(facility, owner), found) for owner, found in ranked]


def _gravity(findings: Sequence[Finding]) -> int:
    return min(SEVERITIES.index(f.severity) for f in findings)


def _owner(facility: Facility, finding: Finding) -> str:
    chief = finding.where[0] if finding.where else ""
    spelling = read_spelling(chief)
    owner = spelling.owner if spelling else chief
    return owner if owner in facility.bays or owner in facility.equipment else ""


def _place(facility: Facility, owner: str) -> str:
    thing = facility.bays.get(owner) or facility.equipment.get(owner)
    if thing is None:
        return ELSEWHERE
    where = f", {thing.place}" if thing.place else ""
    return f"{thing.printed} ({thing.name}{where})"


def _section(findings: Sequence[Finding]) -> list[str]:
    """Findings of one place, those that share a cure side by side and the cure once below them."""
    lines: list[str] = []
    groups: dict[tuple[str, str, str], list[Finding]] = {}
    for finding in findings:
        groups.setdefault((finding.severity, finding.rule, finding.cure), []).append(finding)
    findings = [finding for group in groups.values() for finding in group]
    for number, finding in enumerate(findings):
        following = findings[number + 1] if number + 1 < len(findings) else None
        text = f"{finding.severity}: {finding.message} [{finding.rule}]"
        lines += _wrapped(text, "  ")
        if following is None or (following.rule, following.cure) != (finding.rule, finding.cure):
            cure = f"To do: {finding.cure}"
            lines += _wrapped(cure, "    ")
    return lines


def _accepted(findings: Sequence[Finding]) -> list[str]:
    lines = []
    for finding in findings:
        entry = finding.accepted
        if entry is None:
            continue
        who = " ".join(filter(None, [entry.by, str(entry.date) if entry.date else None]))
        reason = f" Reason: {entry.reason or 'none given'}{f' ({who})' if who else ''}."
        text = f"{finding.severity}: {finding.message}{reason} [{finding.rule}]"
        lines += _wrapped(text, "  ")
    return lines


def _wrapped(text: str, first: str = "") -> list[str]:
    """The text in lines, never parted at a hyphen: names of rules and ids stay whole."""
    after = "    " if first else ""
    return textwrap.wrap(
        text, WIDTH, initial_indent=first, subsequent_indent=after, break_on_hyphens=False
    )
