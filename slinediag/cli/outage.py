"""``slinediag outage``: what falls silent when something fails, and the patches that restore it."""

from __future__ import annotations

import argparse
import json
import re
import textwrap

from slinediag.cli.arguments import (
    add_failure_arguments,
    failure_of,
    refuse_blank,
    whole_number,
)
from slinediag.cli.telling import Telling
from slinediag.file.read import load
from slinediag.model.facility import Facility
from slinediag.problems import RequestError, problem
from slinediag.tracing.outage.answer import MOST_MOVES, outage
from slinediag.tracing.outage.failure import Failure
from slinediag.tracing.outage.survey import survey
from slinediag.tracing.outage.survey_words import survey_lines
from slinediag.tracing.outage.words import outage_lines

DESCRIPTION = """Answers what falls silent when equipment, a bay, a place or a cable fails, and
which cords bring it back, plug by plug. Nothing in the file is changed."""

WIDTH = 100
"""Characters to a line."""

HELD = re.compile(r"(?<=\w) (?=[TB]\d+\b)|(?<=priority) (?=\d)")
"""Where the name of a jack, or a priority, must not be parted."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of this command."""
    parser.add_argument("file", metavar="FILE", help="the facility file")
    parser.add_argument(
        "--failed", action="append", default=[], metavar="EQ", help="equipment that has failed"
    )
    add_failure_arguments(parser)
    parser.add_argument("--all", action="store_true", help="every box, bay and cable in turn")
    parser.add_argument(
        "--moves",
        type=whole_number,
        default=2,
        metavar="K",
        help=f"cords put in or pulled at most, 1 to {MOST_MOVES}; 2 unless given",
    )
    parser.add_argument("--keep-cords", action="store_true", help="pull no standing cord")
    parser.add_argument("--json", action="store_true", help="answer with one JSON object")


def run(args: argparse.Namespace) -> int:
    """Answer on standard output; the exit status."""
    facility = load(args.file).facility
    failure = _failure(facility, args)
    if failure is None:
        with Telling() as tell:
            found = survey(facility, moves=args.moves, keep_cords=args.keep_cords, tell=tell)
        answer, lines = found.to_dict(), survey_lines
        text = None if args.json else lines(found)
    else:
        with Telling() as tell:
            tell(0.0, "looking for patches")
            one = outage(facility, failure, moves=args.moves, keep_cords=args.keep_cords)
        answer = one.to_dict()
        text = None if args.json else outage_lines(one)
    if text is None:
        print(json.dumps(answer, ensure_ascii=False, indent=1))
    else:
        print("\n".join(piece for line in text for piece in wrapped(line)))
    return 0


def wrapped(line: str) -> list[str]:
    """A line in pieces that a screen holds, what runs on set in under its first words."""
    line = HELD.sub("\N{NO-BREAK SPACE}", line)
    inset = len(line) - len(line.lstrip())
    number = line.lstrip().partition(". ")[0]
    hang = inset + (len(number) + 2 if number.isdecimal() else 2)
    found = textwrap.wrap(
        line, WIDTH, subsequent_indent=" " * hang, break_long_words=False, break_on_hyphens=False
    )
    return [piece.replace("\N{NO-BREAK SPACE}", " ") for piece in found] or [""]


def _failure(facility: Facility, args: argparse.Namespace) -> Failure | None:
    """What has failed, None where all is to fail in turn; RequestError for neither or both."""
    refuse_blank(args, "failed", "failed-bay", "failed-place", "cut")
    named = [*args.failed, *args.failed_bay, *args.failed_place, *args.cut]
    if bool(named) == bool(args.all):
        what = "nothing has failed" if not named else "a failure and --all do not go together"
        hint = "Give --failed, --failed-bay, --failed-place or --cut; or --all for each in turn"
        raise RequestError([problem("outage", what, hint)])
    if args.all:
        return None
    return failure_of(facility, args, args.failed)
