"""``slinediag check``: what is wrong, doubtful or worth knowing in a facility."""

from __future__ import annotations

import argparse
import datetime
import json
import math
from dataclasses import replace

from slinediag.checks import check
from slinediag.checks.table import RULES, rule_named
from slinediag.checks.words import finding_lines, rule_lines, rule_list
from slinediag.file.read import load
from slinediag.model.facility import Facility
from slinediag.papers.unfit import unfit_labels
from slinediag.problems import RequestError, problem

DESCRIPTION = """Looks over the facility at rest: wiring, normals, levels, phantom power, shields,
labels, standing cords. Ends with status 1 if there are errors or dangers that the facility has not
accepted. --explain says what a rule is about."""

FOUND = 1
LONGEST = 36_500
"""Days: a hundred years."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of this command."""
    parser.add_argument("file", metavar="FILE", nargs="?", help="the facility file")
    parser.add_argument("--json", action="store_true", help="answer with one JSON object")
    parser.add_argument("--explain", metavar="RULE", help="say what a rule is about")
    parser.add_argument("--rules", action="store_true", help="list all rules")
    parser.add_argument(
        "--cord-age",
        metavar="DAYS",
        help="report standing cords older than this, whatever limits.cord_age of the file says",
    )
    parser.add_argument(
        "--today", metavar="DATE", help="judge the age of cords by this day, as 2026-05-18"
    )


def run(args: argparse.Namespace) -> int:
    """Answer on standard output; the exit status."""
    if args.explain is not None:
        print("\n".join(rule_lines(rule_named(args.explain))))
        return 0
    if args.rules:
        print("\n".join(rule_list(RULES)))
        return 0
    if args.file is None:
        raise RequestError([problem("check", "no file is named", "Name the facility file")])
    today = read_day(args.today)
    facility = load(args.file).facility
    if args.cord_age is not None:
        facility = with_cord_age(facility, read_age(args.cord_age))
    findings = check(facility, today, unfit_labels)
    if args.json:
        answer = {"findings": [finding.to_dict() for finding in findings]}
        print(json.dumps(answer, ensure_ascii=False, indent=1))
    else:
        print("\n".join(finding_lines(facility, findings)))
    return FOUND if any(finding.grave for finding in findings) else 0


def read_age(text: str) -> float:
    """Days; RequestError where a text is no number of them."""
    try:
        days = float(text)
    except ValueError:
        days = math.nan
    if not 0 <= days <= LONGEST:
        hint = f"Write days, 0 to {LONGEST}"
        raise RequestError([problem(f"--cord-age {text}", "this is no age in days", hint)])
    return days


def with_cord_age(facility: Facility, days: float) -> Facility:
    """The same facility with another limit for the age of its standing cords."""
    limits = replace(facility.practice.limits, cord_age=days)
    return replace(facility, practice=replace(facility.practice, limits=limits))


def read_day(text: str | None) -> datetime.date:
    """The day of a date, or today; RequestError where it is none."""
    if text is None:
        return datetime.date.today()
    try:
        return datetime.date.fromisoformat(text)
    except ValueError:
        raise RequestError(
            [problem(text, "this is not a date", "Write it as 2026-05-18")]
        ) from None
