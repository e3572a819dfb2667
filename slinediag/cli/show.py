"""``slinediag show``: all of one jack, port, equipment or label."""

from __future__ import annotations

import argparse
import json
from collections.abc import Sequence

from slinediag.address import Address
from slinediag.file.read import load
from slinediag.model.facility import Facility
from slinediag.model.find import find_several, find_thing
from slinediag.problems import Problem, RequestError, problem
from slinediag.tracing.phrases import listed
from slinediag.tracing.way import way_of
from slinediag.tracing.way_words import way_lines, ways_lines

DESCRIPTION = """Shows one thing at rest, standing cords and dummy plugs in: its wires, normals,
cords, and its whole way from the origins that reach it to the ends that hear it."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of this command."""
    parser.add_argument("file", metavar="FILE", help="the facility file")
    parser.add_argument(
        "thing",
        metavar="THING",
        help="PB1.T3, LIM.L:out, LIM or a printed label; a position (PB1 3), a mult and the two "
        "ends of a box that bear one label are shown in turn",
    )
    parser.add_argument("--json", action="store_true", help="answer with one JSON object")


def run(args: argparse.Namespace) -> int:
    """Answer on standard output; the exit status."""
    if not args.thing.strip():
        hint = "Name a jack, a port, equipment or a printed label"
        raise RequestError([problem("show", "nothing is named", hint)])
    facility = load(args.file).facility
    thing = find_thing(facility, args.thing)
    if isinstance(thing, Problem):
        # One object answers one question: who reads it has to say which.
        several = () if args.json else find_several(facility, args.thing)
        if not several:
            raise RequestError([thing])
        print("\n".join(told_in_turn(facility, args.thing, several)))
    elif args.json:
        print(json.dumps(way_of(facility, thing).to_dict(), ensure_ascii=False, indent=1))
    else:
        print("\n".join(way_lines(way_of(facility, thing))))
    return 0


def told_in_turn(facility: Facility, text: str, things: Sequence[Address]) -> list[str]:
    """What each of several things is that a text means, under the words by which it is named."""
    ways = [way_of(facility, thing) for thing in things]
    if len(ways) == 1:
        return way_lines(ways[0])
    named = listed([facility.spelled(thing) for thing in things], len(things))
    return [f"{' '.join(text.split())} is {named}, each in turn:", *ways_lines(ways)]
