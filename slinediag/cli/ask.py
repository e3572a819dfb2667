"""``slinediag ask``: what a trial does."""

from __future__ import annotations

import argparse
import json

from slinediag.cli.arguments import add_trial_arguments, trial_of
from slinediag.file.read import load
from slinediag.problems import RequestError, problem
from slinediag.tracing.trial import ask
from slinediag.tracing.words import sentences

DESCRIPTION = """Answers what a trial does: cords and dummy plugs pulled, cords put in, dummy plugs
put in, equipment taken as failed. Nothing in the file is changed."""

NOTHING_ASKED = "Give --cord, --plug, --pull or --failed, or --all for everything at rest"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of this command."""
    parser.add_argument("file", metavar="FILE", help="the facility file")
    add_trial_arguments(parser)
    parser.add_argument("--all", action="store_true", help="list inputs that do not change too")
    parser.add_argument("--json", action="store_true", help="answer with one JSON object")


def run(args: argparse.Namespace) -> int:
    """Answer on standard output; the exit status."""
    facility = load(args.file).facility
    trial = trial_of(facility, args)
    if trial.empty and not args.all:
        raise RequestError([problem("ask", "nothing to ask", NOTHING_ASKED)])
    answer = ask(facility, trial, every_input=args.all)
    if args.json:
        print(json.dumps(answer.to_dict(), ensure_ascii=False, indent=1))
    else:
        print("\n".join(sentences(answer)))
    return 0
