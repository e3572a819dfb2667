"""``slinediag show``: all of one jack, port, equipment or label."""

from __future__ import annotations

import argparse
import json

from slinediag.file.read import load
from slinediag.model.find import find_thing
from slinediag.problems import Problem, RequestError, problem
from slinediag.tracing.way import way_of
from slinediag.tracing.way_words import way_lines

DESCRIPTION = """Shows one thing at rest, standing cords and dummy plugs in: its wires, normals,
cords, and its whole way from the origins that reach it to the ends that hear it."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of this command."""
    parser.add_argument("file", metavar="FILE", help="the facility file")
    parser.add_argument("thing", metavar="THING", help="PB1.T3, LIM.L:out, LIM or a printed label")
    parser.add_argument("--json", action="store_true", help="answer with one JSON object")


def run(args: argparse.Namespace) -> int:
    """Answer on standard output; the exit status."""
    if not args.thing.strip():
        hint = "Name a jack, a port, equipment or a printed label"
        raise RequestError([problem("show", "nothing is named", hint)])
    facility = load(args.file).facility
    thing = find_thing(facility, args.thing)
    if isinstance(thing, Problem):
        raise RequestError([thing])
    way = way_of(facility, thing)
    if args.json:
        print(json.dumps(way.to_dict(), ensure_ascii=False, indent=1))
    else:
        print("\n".join(way_lines(way)))
    return 0
