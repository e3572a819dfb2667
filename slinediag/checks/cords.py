"""Rules on what is left in the bay: standing cords and dummy plugs."""

from __future__ import annotations

from collections.abc import Iterator

from slinediag.address import Jack
from slinediag.checks.rest import Rest
from slinediag.checks.rule import Case, Rule
from slinediag.model.facility import Cord, Plug

Left = Cord | Plug


def _left_in(rest: Rest) -> tuple[Left, ...]:
    return (*rest.facility.cords, *rest.facility.plugs)


def _jacks(left: Left) -> tuple[Jack, ...]:
    return (left.source, left.target) if isinstance(left, Cord) else (left.jack,)


def _name(rest: Rest, left: Left) -> str:
    if isinstance(left, Cord):
        return f"The standing cord {rest.jack(left.source)} to {rest.jack(left.target)}"
    return f"The dummy plug in {rest.jack(left.jack)}"


def cord_note(rest: Rest) -> Iterator[Case]:
    """Standing cords and dummy plugs without a note."""
    for left in _left_in(rest):
        if not left.note:
            message = f"{_name(rest, left)} has no note that says what it is for."
            yield Case("note", rest.spelled(_jacks(left)), message)


def cord_date(rest: Rest) -> Iterator[Case]:
    """Standing cords and dummy plugs without a date, or with one that is yet to come."""
    for left in _left_in(rest):
        if left.since is None:
            message = f"{_name(rest, left)} has no date."
            yield Case("note", rest.spelled(_jacks(left)), message)
        elif rest.today is not None and left.since > rest.today:
            message = f"{_name(rest, left)} is dated {left.since}, which is yet to come."
            yield Case("note", rest.spelled(_jacks(left)), message)


def cord_old(rest: Rest) -> Iterator[Case]:
    """Standing cords and dummy plugs older than the facility's limit, by today's date."""
    limit = rest.facility.practice.limits.cord_age
    if limit is None or rest.today is None:
        return
    for left in _left_in(rest):
        age = (rest.today - left.since).days if left.since else 0
        if age > limit:
            note = f" ({left.note})" if left.note else ""
            message = (
                f"{_name(rest, left)}{note} has been in since {left.since}, {age} days; the limit "
                f"is {limit:g}."
            )
            yield Case("warning", rest.spelled(_jacks(left)), message)


RULES = (
    Rule(
        "cord-note",
        "a standing cord or dummy plug without a note",
        "What is left in the bay by intent should say why, so that nobody pulls it in good faith, "
        "and so that somebody pulls it once it is done with.",
        "common practice",
        "Give it a note, or pull it.",
        cord_note,
    ),
    Rule(
        "cord-date",
        "a standing cord or dummy plug without a date, or with one yet to come",
        "Without a date nobody can tell last night's cord from last year's, and its age cannot be "
        "set against the facility's limit.",
        "common practice",
        "Give it the date since when it has been in, and by whom.",
        cord_date,
    ),
    Rule(
        "cord-old",
        "a standing cord or dummy plug older than the facility allows",
        "A cord that stays in for good belongs on the rear of the bay, as a normal, a mult or a "
        "wire. The limit is limits.cord_age in days, or --cord-age; without one nothing is told.",
        "the facility's own limits.cord_age",
        "Pull it; or wire it on the rear; or look it over and give it a new date.",
        cord_old,
    ),
)
