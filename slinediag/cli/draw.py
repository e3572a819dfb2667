"""``slinediag draw``: the chart, as the file its ending names."""

from __future__ import annotations

import argparse

from slinediag.cli.arguments import add_trial_arguments, trial_of
from slinediag.file.read import load

HELP = "the single-line chart, also with a trial on it"
DESCRIPTION = """Draws the single-line chart: signal from left to right, every patch point with its
normal. With --cord, --plug, --pull or --failed the trial is drawn on it, with what it breaks, taps
and silences."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of this command."""
    parser.add_argument("file", metavar="FILE", help="the facility file")
    parser.add_argument(
        "-o",
        dest="output",
        metavar="PATH",
        help="where to, by its ending .svg, .png or .gv; beside FILE as .svg unless given",
    )
    parser.add_argument(
        "--sheet",
        default="auto",
        help="A4 to A0, A to E, auto for the smallest that fits, one for one as large as needed",
    )
    parser.add_argument("--effort", choices=("quick", "thorough"), default="thorough")
    add_trial_arguments(parser)


def run(args: argparse.Namespace) -> int:
    """Write the chart and say where it is; the exit status."""
    from slinediag.chart.files import draw

    facility = load(args.file).facility
    trial = trial_of(facility, args)
    output = args.output
    for path in draw(facility, output, trial, sheet=args.sheet, effort=args.effort):
        print(path)
    return 0
