"""Arguments that several commands share: what makes a trial."""

from __future__ import annotations

import argparse
from collections.abc import Sequence

from slinediag.model.facility import Facility
from slinediag.problems import Problem, RequestError, problem
from slinediag.tracing.naming import find_cord, read_trial
from slinediag.tracing.outage.failure import Failure, read_failure
from slinediag.tracing.values import Trial

FAILURE_FORMS = {
    "equipment": '--failed "{}"',
    "bay": '--failed-bay "{}"',
    "place": '--failed-place "{}"',
    "cable": '--cut "{}"',
}
"""How each kind of thing that fails is named."""
CORD_FORM = "Write a cord as JACK=JACK, as in PB1.T3=PB2.B7"


def add_trial_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments that make a trial: pulls, cords, dummy plugs, failed equipment."""
    for name, form, words in (
        ("--pull", "A=B|J", "take out a standing cord, or what is plugged into a jack"),
        ("--cord", "A=B", "put a cord in, first-named end first"),
        ("--plug", "J", "put a dummy plug in a jack"),
        ("--failed", "EQ", "take equipment as failed"),
    ):
        parser.add_argument(name, action="append", default=[], metavar=form, help=words)


def add_failure_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of what fails beside single boxes: bays, places, cables."""
    for name, form, words in (
        ("--failed-bay", "B", "a bay that has failed: its jacks and normals are open"),
        ("--failed-place", "P", "a rack or room: all equipment and bays there have failed"),
        ("--cut", "CABLE[/PAIR]", "a cable or pair that is cut"),
    ):
        parser.add_argument(name, action="append", default=[], metavar=form, help=words)


def failure_of(facility: Facility, args: argparse.Namespace, boxes: Sequence[str] = ()) -> Failure:
    """What the arguments say has failed, and these boxes; RequestError with all that is wrong."""
    refuse_blank(args, "failed-bay", "failed-place", "cut")
    return read_failure(
        facility, boxes, args.failed_bay, args.failed_place, args.cut, forms=FAILURE_FORMS
    )


def refuse_blank(args: argparse.Namespace, *options: str) -> None:
    """RequestError for every one of these options that is given without a name."""
    problems = [
        problem(f"--{option}", "no name is given", "Write the name after it, in quotes if need be")
        for option in options
        for text in getattr(args, option.replace("-", "_"))
        if not text.strip()
    ]
    if problems:
        raise RequestError(problems)


def refuse_no_path(path: str | None) -> None:
    """RequestError where -o is given with nothing after it, as an unset variable of a shell is."""
    if path is not None and not path.strip():
        raise RequestError([problem("-o", "no name is given", "Write where to after it")])


def whole_number(text: str) -> int:
    """The number that an option is given, told in words where it is none."""
    try:
        return int(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"give a whole number, not '{text}'") from None


def trial_of(facility: Facility, args: argparse.Namespace) -> Trial:
    """The trial that the arguments ask for; RequestError with all that is wrong in them."""
    refuse_blank(args, "pull", "cord", "plug", "failed")
    pulls = [split_cord(facility, text) if "=" in text else text for text in args.pull]
    cords = [split_cord(facility, text) for text in args.cord]
    return read_trial(facility, cords, pulls, args.plug, args.failed)


def split_cord(facility: Facility, text: str) -> tuple[str, str]:
    """The two ends of ``A=B``; where labels hold a ``=`` too, the split at which both are found."""
    pairs = [(text[:at], text[at + 1 :]) for at, sign in enumerate(text) if sign == "="]
    if not any(one.strip() and other.strip() for one, other in pairs):
        raise RequestError([problem(text, "this is not a cord", CORD_FORM)])
    found = [pair for pair in pairs if not isinstance(find_cord(facility, pair), Problem)]
    return (found or pairs)[0]
