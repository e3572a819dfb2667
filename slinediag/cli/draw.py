"""``slinediag draw``: the chart, as the file its ending names."""

from __future__ import annotations

import argparse
from pathlib import Path

from slinediag.cli.arguments import add_trial_arguments, trial_of
from slinediag.file.read import load

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
        help="where to: .svg, .png, .pdf or .gv; FILE's name with .svg here unless given",
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
    from slinediag.output import draw_chart

    facility = load(args.file).facility
    trial = trial_of(facility, args)
    path = Path(args.output or f"{Path(args.file).stem}.svg")
    for written in draw_chart(facility, path, trial, sheet=args.sheet, effort=args.effort):
        print(f"Chart: {written}")
    return 0
