"""A comparison as lines for people: changes, then what they do, then the row for the revision."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from textwrap import wrap

from slinediag.address import PortAddress
from slinediag.comparing.change import Change
from slinediag.comparing.compare import Comparison
from slinediag.comparing.effect import HearingChange, OutageChange
from slinediag.tracing.outage.reasons import NOT_ALL_TRIED, was_cut_short
from slinediag.tracing.phrases import listed, port_name

ALIKE = frozenset({"normal", "shield", "note"})
"""Kinds that are told together where what differs is alike."""
WORST = ("doubled", "lost")
"""What is told before all else of what inputs hear."""
COUNTED = 4
"""So many inputs alike are counted, and named at the end of the line."""
WIDE = 100
"""Characters of a line."""
ALL = 10**6


def comparison_lines(comparison: Comparison) -> list[str]:
    """The whole comparison as text."""
    if not comparison.changes:
        return ["Nothing changed."]
    lines = _section("CHANGED:", change_lines(comparison.changes))
    if comparison.paper_only:
        lines.append("Paper only: all is wired, normaled and plugged as before.")
    lines += _section("HEARING:", list(_hearing_lines(comparison)))
    if not comparison.hearing:
        lines.append("Every input hears what it heard, at the level it had.")
    if comparison.outages is not None:
        found = list(_outage_lines(comparison, comparison.outages))
        lines += _section("OUTAGES:", found or ["What failures cost is what it was before."])
    if comparison.row is not None:
        row = comparison.row
        lines.append(f"Proposed row: revision {row.revision}: {row.what}")
    return lines


def _section(heading: str, lines: Sequence[str]) -> list[str]:
    """The lines under a heading, each folded where it is long."""
    folded = (
        wrap(line, WIDE, initial_indent="  ", subsequent_indent="    ", break_on_hyphens=False)
        for line in lines
    )
    return [heading, *(part for parts in folded for part in parts)] if lines else []


def change_lines(changes: Sequence[Change]) -> list[str]:
    """A line a change; those that differ alike, at several places, in one line."""
    groups: dict[tuple[str, str], list[Change]] = {}
    for change in changes:
        place, _, rest = change.text.rpartition(": ")
        alike = change.kind in ALIKE and place
        groups.setdefault((change.kind, rest if alike else change.text), []).append(change)
    lines = []
    for (kind, rest), found in groups.items():
        if len(found) == 1:
            lines.append(_marked(found[0]))
        else:
            places = runs([change.where[-1] for change in found])
            lines.append(f"{kind} at {listed(places, ALL)}: {rest}")
    return lines


def _marked(change: Change) -> str:
    return f"label only: {change.text}" if change.kind == "label" else change.text


def runs(places: Sequence[str]) -> list[str]:
    """Places with those that follow one another drawn together: ``PB1 1-48``."""
    found: list[tuple[str, int | None, int | None]] = []
    for place in places:
        head = place.rstrip("0123456789")
        digits = place[len(head) :]
        number = int(digits) if digits else None
        if found and number is not None and found[-1][0] == head and found[-1][2] == number - 1:
            found[-1] = head, found[-1][1], number
        else:
            found.append((head, number, number))
    return [
        head + ("" if first is None else str(first) if first == last else f"{first}-{last}")
        for head, first, last in found
    ]


def _hearing_lines(comparison: Comparison) -> Iterator[str]:
    """A line for each thing that befalls inputs, what is worst first, its inputs drawn together."""
    groups: dict[str, list[HearingChange]] = {}
    for change in sorted(comparison.hearing, key=lambda change: change.change not in WORST):
        groups.setdefault(_befallen(comparison, change, many=False), []).append(change)
    for said, found in groups.items():
        many = len(found) > 1
        names = listed([known_name(comparison, change.input) for change in found], ALL)
        counted = f"{len(found)} inputs " if len(found) >= COUNTED else ""
        told = _befallen(comparison, found[0], many=many)
        yield f"{counted}{told}: {names}" if counted else f"{names} {told if many else said}"


def _befallen(comparison: Comparison, change: HearingChange, *, many: bool) -> str:
    """What befalls one input, or many alike."""
    be = "are" if many else "is"
    if change.change == "gone":
        return f"{be} gone"
    if change.change == "new":
        heard = listed(known_name(comparison, port) for port in change.hears_after)
        return f"{be} new and hear{'' if many else 's'} {heard or 'nothing'}"
    if change.change == "level":
        was, now = change.level_before, change.level_after
        return f"come{'' if many else 's'} in at {now:.2f} dBu, was {was:.2f}"
    return _heard(comparison, change, many)


def known_name(comparison: Comparison, port: PortAddress) -> str:
    """The printed name of a port in the revision that has it."""
    for facility in (comparison.new, comparison.old):
        box = facility.equipment.get(port.equipment)
        if box is not None and (port.port, port.side) in box.facts:
            return port_name(facility, port)
    return str(port)


def _heard(comparison: Comparison, change: HearingChange, many: bool) -> str:
    """What an input hears less and more than before, and from where."""

    def named(ports: Sequence[PortAddress]) -> str:
        return listed(known_name(comparison, port) for port in ports)

    s = "" if many else "s"
    gone = [port for port in change.hears_before if port not in change.hears_after]
    come = [port for port in change.hears_after if port not in change.hears_before]
    if change.change == "doubled":
        be = "are" if many else "is"
        return f"{be} DOUBLED: {named(change.feeds_after)} are tied together"
    if change.change == "lost":
        return f"fall{s} SILENT: {'they' if many else 'it'} heard {named(gone)}"
    if change.change == "rerouted":
        return f"hear{s} the same by way of {named(change.feeds_after) or 'nothing'}"
    clauses = [f"no longer hear{s} {named(gone)}"] if gone else []
    clauses += [f"now hear{s} {named(come)}"] if come else []
    return " and ".join(clauses)


def _outage_lines(comparison: Comparison, changes: Sequence[OutageChange]) -> Iterator[str]:
    """A line for each failure and what it does, the inputs drawn together."""
    groups: dict[tuple[str, str, bool], list[OutageChange]] = {}
    for change in changes:
        cut_short = was_cut_short(change.reason)
        groups.setdefault((change.failed, change.change, cut_short), []).append(change)
    for (failed, word, cut_short), found in groups.items():
        names = listed([known_name(comparison, change.input) for change in found], ALL)
        box = comparison.new.equipment.get(failed)
        what = f"the {box.name}" if box is not None else failed
        line = _outage_line(names, word, what, len(found) > 1)
        yield f"{line}; no patch was found, {NOT_ALL_TRIED}" if cut_short else line


def _outage_line(names: str, word: str, what: str, many: bool) -> str:
    s = "" if many else "s"
    match word:
        case "silent now":
            return f"{names} now fall{s} silent when {what} fails"
        case "no longer silent":
            return f"{names} no longer fall{s} silent when {what} fails"
        case "loses its way round":
            return f"{names} lose{s} {'their' if many else 'its'} way round {what}"
        case _:
            return f"{names} gain{s} a way round {what}"
