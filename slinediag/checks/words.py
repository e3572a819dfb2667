"""Findings in plain words, as a colleague tells them on a walk through the plant."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Mapping, Sequence

from slinediag.address import natural, read_spelling
from slinediag.checks.accepted import SUMMARIES
from slinediag.checks.alike import first_to_last, runs_alike
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
    at = {id(finding): acceptable_at(finding, findings) for finding in findings}
    if dangers:
        lines += ["", "DANGER. See to this first:", *_section(dangers, at)]
    others = [f for f in open_ones if f.severity != "danger"]
    for place, found in _by_place(facility, others):
        lines += ["", f"{place}:", *_section(found, at)]
    if accepted:
        lines += ["", "Accepted by the facility:", *_accepted(accepted)]
    if findings:
        lines += ["", "Why a rule asks: slinediag check --explain RULE"]
    return lines + _acceptable(open_ones, at)


def _acceptable(findings: Sequence[Finding], at: Mapping[int, str]) -> list[str]:
    """How to accept a finding, by one of the least grave that has a place: never by one that harms,
    which nobody is to silence for want of a better example."""
    harmless = [f for f in findings if f.severity in ("warning", "note")]
    example = next((f for f in reversed(harmless) if at[id(f)]), None)
    if example is None:
        return []
    place = at[id(example)]
    where = f'"{place}"' if "," in place or ":" in place else place
    entry = f"{{rule: {example.rule}, where: {where}, reason: …, by: …, date: …}}"
    return _wrapped(f"To accept one, write rule and place as in its brackets under accept: {entry}")


def acceptable_at(finding: Finding, findings: Sequence[Finding]) -> str:
    """What an entry of accept has to name as its place for it to take this finding and, where that
    can be, no other; empty where it names none, or where nothing is to be accepted."""
    if finding.rule in SUMMARIES:
        return ""
    others = [f for f in findings if f.rule == finding.rule and f is not finding]
    named: list[str] = []
    for place in finding.where:
        if named and not any(set(named) <= set(other.where) for other in others):
            break
        named.append(place)
    return ", ".join(named)


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


def _section(findings: Sequence[Finding], at: Mapping[int, str]) -> list[str]:
    """Findings of one place, those that share a cure side by side and the cure once below them;
    those alike but for numbers that count up as one, where their places count up as well. ``at``:
    by a finding's id, what an entry of accept names."""
    lines: list[str] = []
    groups: dict[tuple[str, str, str], list[Finding]] = {}
    for finding in findings:
        groups.setdefault((finding.severity, finding.rule, finding.cure), []).append(finding)
    told = list(groups.values())
    for number, group in enumerate(told):
        for one, other in runs_alike([f"{f.message} {at[id(f)]}" for f in group]):
            lines += _wrapped(_words_of(group[one : other + 1], at), "  ")
        finding, following = group[0], told[number + 1][0] if number + 1 < len(told) else None
        if following is None or (following.rule, following.cure) != (finding.rule, finding.cure):
            cure = f"To do: {finding.cure}"
            lines += _wrapped(cure, "    ")
    return lines


def _words_of(run: Sequence[Finding], at: Mapping[int, str]) -> str:
    """A finding, or several that are alike, with the rule and the place that accept names."""
    first, last = run[0], run[-1]
    place = at[id(first)]
    if len(run) == 1:
        where = f" at {place}" if place else ""
        return f"{first.severity}: {first.message} [{first.rule}{where}]"
    where = f" at {place} … {at[id(last)]} (one entry for each)" if place else ""
    message = first_to_last(first.message, last.message)
    return f"{first.severity}: {len(run)} alike: {message} [{first.rule}{where}]"


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
